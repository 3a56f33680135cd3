//! Nobody is told that a record is kept before the system was told to bring it to the disk.

use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;

use standbook_fieldbook::RecordId;

use crate::field::to_the_first_point;
use crate::http::{Browser, send};
use crate::outbox::{Waiting, send_all};
use crate::program::{Server, serving};
use crate::trace::{answered_too_early, read, syncs, syncs_for, traced};

/// Records sent one after another, by one client.
const ALONE: u32 = 20;
/// Clients that send at the same time, so that their records share syncs.
const CLIENTS: u32 = 8;
/// Records of each.
const EACH: u32 = 10;
/// Forms sent together, as a phone does.
const TOGETHER: usize = 5;

/// Sends by the form's own page.
fn by_its_page(port: u16, item: &Waiting) {
    let answer = send(port, "POST", &item.to, "", &item.fields).unwrap();
    assert_eq!(answer.status, 303, "{}", answer.text());
    assert!(answer.location().contains(&item.id), "{answer:?}");
}

fn some(point: &str, scout: &str, many: u32) -> Vec<Waiting> {
    let ids = (1..=many).map(|n| (n, RecordId::new().to_string()));
    ids.map(|(n, id)| Waiting::frame(&id, point, n, scout, &[n % 25 + 1]))
        .collect()
}

#[test]
fn a_record_is_synced_before_anybody_is_told_that_it_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let account = folder.path().join("account");
    let command = serving(&folder.path().join("season.standbook"));
    let mut server = Server::start(&mut traced(&command, &account));
    let port = server.port;
    let point = to_the_first_point(&mut Browser::new(port)).point;
    let mut sent = some(&point, "Ana Wren", ALONE);
    for item in &sent {
        by_its_page(port, item);
    }
    let clients: Vec<_> = (0..CLIENTS)
        .map(|client| {
            let items = some(&point, &format!("Scout {client}"), EACH);
            thread::spawn(move || {
                if client % 2 == 0 {
                    items.iter().for_each(|item| by_its_page(port, item));
                } else {
                    for together in items.chunks(TOGETHER) {
                        let said = send_all(port, "", together).unwrap();
                        assert_eq!(said.kept.len(), together.len(), "{said:?}");
                    }
                }
                items
            })
        })
        .collect();
    for client in clients {
        sent.extend(client.join().unwrap());
    }
    let pid = server.pid();
    assert!(server.ctrl_c().success());
    let calls = read(&account, pid);
    let ids: Vec<String> = sent.into_iter().map(|item| item.id).collect();
    let early = answered_too_early(&calls, &ids);
    assert!(early.is_empty(), "acknowledged before a sync: {early:?}");
    println!("{} records, {} syncs of the log", ids.len(), syncs(&calls));
}

/// A phone that comes back with much must not wait for the disk once a form.
#[test]
fn forms_sent_together_share_a_sync() {
    let folder = tempfile::tempdir().unwrap();
    let account = folder.path().join("account");
    let command = serving(&folder.path().join("season.standbook"));
    let mut server = Server::start(&mut traced(&command, &account));
    let point = to_the_first_point(&mut Browser::new(server.port)).point;
    let items = some(&point, "Ana Wren", EACH);
    let sendings = items.chunks(TOGETHER).len();
    for together in items.chunks(TOGETHER) {
        let said = send_all(server.port, "", together).unwrap();
        assert_eq!(said.kept.len(), TOGETHER, "{said:?}");
    }
    let pid = server.pid();
    assert!(server.ctrl_c().success());
    let calls = read(&account, pid);
    let ids: Vec<String> = items.into_iter().map(|item| item.id).collect();
    assert!(answered_too_early(&calls, &ids).is_empty());
    assert_eq!(syncs_for(&calls, &ids), sendings);
}

/// How the child below writes; its value is SQLite's `synchronous`.
const CHILD: &str = "STANDBOOK_TEST_WRITER";
/// The folder of its book and its answers.
const FOLDER: &str = "STANDBOOK_TEST_WRITER_FOLDER";
/// The records it writes, with blanks between.
const IDS: &str = "STANDBOOK_TEST_WRITER_IDS";

/// Not a test of its own: a writer that commits, then answers. Without the variable it does nothing.
#[test]
fn writer() {
    let Ok(synchronous) = std::env::var(CHILD) else {
        return;
    };
    let folder = std::env::var(FOLDER).unwrap();
    let folder = Path::new(&folder);
    let book = rusqlite::Connection::open(folder.join("writer.standbook")).unwrap();
    book.pragma_update(None, "journal_mode", "WAL").unwrap();
    book.pragma_update(None, "synchronous", synchronous)
        .unwrap();
    book.execute_batch("CREATE TABLE record (id TEXT)").unwrap();
    let answers = folder.join("answers");
    for id in std::env::var(IDS).unwrap().split(' ') {
        book.execute("INSERT INTO record VALUES (?1)", [id])
            .unwrap();
        std::fs::write(&answers, id).unwrap();
    }
}

/// The same look at a writer that syncs and at one that leaves it to the system.
#[test]
fn a_writer_that_does_not_wait_for_the_disk_is_found_out() {
    let ids: Vec<String> = (0..10).map(|_| RecordId::new().to_string()).collect();
    for (synchronous, early) in [("FULL", 0), ("NORMAL", ids.len())] {
        let folder = tempfile::tempdir().unwrap();
        let account = folder.path().join("account");
        let mut command = Command::new(std::env::current_exe().unwrap());
        command
            .args(["--exact", "synced::writer"])
            .env(CHILD, synchronous)
            .env(FOLDER, folder.path())
            .env(IDS, ids.join(" "));
        let mut child = traced(&command, &account)
            .stdout(Stdio::null())
            .spawn()
            .expect("strace starts: run `cargo xtask test`, which installs it");
        let pid = child.id();
        assert!(child.wait().unwrap().success());
        let found = answered_too_early(&read(&account, pid), &ids);
        assert_eq!(found.len(), early, "synchronous={synchronous}: {found:?}");
    }
}
