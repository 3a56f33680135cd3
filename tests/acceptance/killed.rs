//! The server is killed while records come in: a flat battery, a power cut as far as a test can
//! make one (what the disk itself forgets is SQLite's `synchronous=FULL`, tested in
//! `crates/fieldbook`).
//!
//! Several clients post plants and frames as fast as they can. Whatever was answered with 303
//! must be in the book afterwards, whole.

use std::path::Path;
use std::thread;
use std::time::Duration;

use standbook_fieldbook::record::Body;
use standbook_fieldbook::{Book, RecordId};

use crate::field::to_the_first_point;
use crate::form::encode;
use crate::http::{Browser, send};
use crate::program::Server;

/// Clients at a time; their records share commits.
const CLIENTS: usize = 4;
/// How long they post before each kill, ms.
const ROUNDS_MS: [u64; 4] = [150, 400, 700, 1_000];

/// One record that was acknowledged, with the note or the number that it must have.
struct Acknowledged {
    id: RecordId,
    content: String,
}

/// Posts plants and frames in turn until the server is gone.
fn post_until_gone(port: u16, point: &str, client: usize) -> Vec<Acknowledged> {
    let mut acknowledged = Vec::new();
    let scout = format!("Scout {}-{client}", RecordId::new());
    for n in 1.. {
        let id = RecordId::new();
        let (ids, number) = (id.to_string(), n.to_string());
        let note = format!("{scout}, plant {n}");
        let plant = [
            ("walk", ids.as_str()),
            ("stage", "tillering"),
            ("a", "vernation:rolled"),
            ("a", "ligule_type:hairs"),
            ("taxon", "panicum_virgatum"),
            ("note", &note),
            ("scout", &scout),
        ];
        let frame = [
            ("id", ids.as_str()),
            ("number", &number),
            ("scout", &scout),
            ("device", "grid"),
            ("cells", "25"),
            ("side", "15"),
            ("col", "t.panicum_virgatum"),
            ("c", "0.3"),
            ("c", "0.4"),
            ("do", "save"),
        ];
        let (path, body, content) = if n % 2 == 0 {
            (
                format!("{point}/plant"),
                encode(plant.into_iter()),
                note.clone(),
            )
        } else {
            (
                format!("{point}/count"),
                encode(frame.into_iter()),
                number.clone(),
            )
        };
        match send(port, "POST", &path, "", &body) {
            Ok(answer) => {
                assert_eq!(answer.status, 303, "{}", answer.text());
                acknowledged.push(Acknowledged { id, content });
            }
            // Killed: this one may be in the book or not.
            Err(_) => break,
        }
    }
    acknowledged
}

/// SQLite's own check of the whole file, and the book's.
pub fn assert_intact(path: &Path) {
    let sqlite = rusqlite::Connection::open(path).unwrap();
    let told: String = sqlite
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .unwrap();
    assert_eq!(told, "ok");
    let dangling = sqlite
        .prepare("PRAGMA foreign_key_check")
        .unwrap()
        .exists([])
        .unwrap();
    assert!(!dangling, "a reference leads nowhere");
}

#[test]
fn whatever_was_acknowledged_survives_a_kill() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("season.standbook");
    let mut server = Server::serve(&path);
    let spot = to_the_first_point(&mut Browser::new(server.port));
    let mut acknowledged = Vec::new();
    for (round, ms) in ROUNDS_MS.into_iter().enumerate() {
        let clients: Vec<_> = (0..CLIENTS)
            .map(|client| {
                let (port, point) = (server.port, spot.point.clone());
                thread::spawn(move || post_until_gone(port, &point, client))
            })
            .collect();
        thread::sleep(Duration::from_millis(ms));
        server.kill();
        let before = acknowledged.len();
        for client in clients {
            acknowledged.extend(client.join().unwrap());
        }
        assert!(
            acknowledged.len() > before,
            "round {round}: nothing was posted before the kill"
        );
        // Opened again right away, as a person would; what lay in -wal is taken up.
        server = Server::serve(&path);
        Browser::new(server.port)
            .open(&spot.point)
            .says("Recorded here");
    }
    server.kill();

    let book = Book::open(&path).unwrap();
    for one in &acknowledged {
        let record = book.get(one.id).unwrap();
        let content = match record.as_ref().map(|r| &r.body) {
            Some(Body::Determination(plant)) => plant.note.clone(),
            Some(Body::Frame(frame)) => {
                assert_eq!(frame.tallies.len(), 2);
                frame.number.to_string()
            }
            _ => panic!("{} was acknowledged and is gone", one.id),
        };
        assert_eq!(content, one.content);
    }
    drop(book);
    assert_intact(&path);
    println!(
        "{} records acknowledged in {} rounds, all there",
        acknowledged.len(),
        ROUNDS_MS.len()
    );
}
