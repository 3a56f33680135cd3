//! `standbook backup` and `standbook restore`, and the backups that the server makes by itself.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use standbook_fieldbook::safe::backup::{list, verify};

use crate::field::to_the_first_point;
use crate::full_disk::{can_mount, on_a_small_disk};
use crate::http::Browser;
use crate::killed::assert_intact;
use crate::program::{PROGRAM, Server, run, serving};
use crate::safe::{copy_book, ending, kill_at_any_moment, make_book, rows_by_another_reader};

/// A server makes its first backup soon after it prints its address.
const PATIENCE: Duration = Duration::from_secs(30);

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The newest backup of a book in a folder.
fn newest(folder: &Path, book: &Path) -> PathBuf {
    list(folder, book).pop().expect("a backup").folder
}

fn wait_for_backup(folder: &Path, book: &Path, records: usize) {
    let until = Instant::now() + PATIENCE;
    let newest = || list(folder, book).pop();
    while newest().is_none_or(|found| found.manifest.records != records) {
        assert!(Instant::now() < until, "no backup in {}", folder.display());
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn a_restored_book_is_the_original_record_by_record() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let (book, stick, back) = (at("season.standbook"), at("stick"), at("back.standbook"));
    make_book(&book, 50);
    let missing = run(&["backup", text(&book), "--to", text(&stick)]);
    assert_eq!(missing.code, 1);
    assert!(missing.err.contains("Plug in the stick"), "{}", missing.err);
    fs::create_dir(&stick).unwrap();
    let made = run(&["backup", text(&book), "--to", text(&stick), "--keep", "2"]);
    assert_eq!(made.code, 0, "{}", made.err);
    assert!(
        made.out
            .contains("56 records, 1 picture (1 copied now), verified"),
        "{}",
        made.out
    );
    let backup = newest(&stick, &book);
    let restored = run(&["restore", text(&backup), "--to", text(&back)]);
    assert_eq!(restored.code, 0, "{}", restored.err);
    assert_eq!(rows_by_another_reader(&back), rows_by_another_reader(&book));
    assert_eq!(run(&["doctor", text(&back)]).code, 0);

    // What lies there is not overwritten, and is put aside when asked.
    let refused = run(&["restore", text(&backup), "--to", text(&back)]);
    assert_eq!(refused.code, 1);
    assert!(refused.err.contains("--aside"), "{}", refused.err);
    let aside = run(&["restore", text(&backup), "--to", text(&back), "--aside"]);
    assert_eq!(aside.code, 0, "{}", aside.err);
    let name = aside
        .out
        .split("is now ")
        .nth(1)
        .unwrap()
        .lines()
        .next()
        .unwrap();
    assert_eq!(
        rows_by_another_reader(Path::new(name)),
        rows_by_another_reader(&book)
    );
    assert_eq!(run(&["doctor", name]).code, 0, "with its pictures");
}

#[test]
fn a_server_backs_up_by_itself_and_says_when_the_stick_is_out() {
    let folder = tempfile::tempdir().unwrap();
    let (book, stick) = (
        folder.path().join("season.standbook"),
        folder.path().join("stick"),
    );
    let mut server = Server::serve(&book);
    to_the_first_point(&mut Browser::new(server.port));
    assert!(server.ctrl_c().success());
    assert!(
        !ending(&book, "-wal").exists(),
        "closed after the last backup"
    );

    let mut server = Server::serve(&book);
    wait_for_backup(&ending(&book, ".backups"), &book, 5);
    Browser::new(server.port)
        .open("/desk/book")
        .says("Last one:");
    assert!(server.ctrl_c().success());
    let first = newest(&ending(&book, ".backups"), &book);
    assert_eq!(verify(&first).unwrap().0.records, 5);
    // Nothing new, nothing to copy.
    let before = list(&ending(&book, ".backups"), &book);
    let mut server = Server::serve(&book);
    Browser::new(server.port)
        .open("/desk/book")
        .says("Last one:");
    assert!(server.ctrl_c().success());
    assert_eq!(list(&ending(&book, ".backups"), &book), before);

    let mut server = Server::start(serving(&book).arg("--backups").arg(&stick));
    let mut browser = Browser::new(server.port);
    let until = Instant::now() + PATIENCE;
    while !browser.open("/plot").text().contains("no new backup") {
        assert!(Instant::now() < until, "nothing said of the stick");
        std::thread::sleep(Duration::from_millis(20));
    }
    // Saving goes on; and when the stick is put in, so do backups.
    let point = browser.open("/plot");
    point.says("Long meadow");
    fs::create_dir(&stick).unwrap();
    wait_for_backup(&stick, &book, 5);
    // The file has its name a moment before the pages know of it.
    let until = Instant::now() + PATIENCE;
    while browser.open("/plot").text().contains("no new backup") {
        assert!(Instant::now() < until, "the strip stays");
        std::thread::sleep(Duration::from_millis(20));
    }
    assert!(server.ctrl_c().success());

    let mut server = Server::start(serving(&book).arg("--no-backups"));
    Browser::new(server.port)
        .open("/desk/book")
        .says("This server makes none");
    assert!(server.ctrl_c().success());
}

#[test]
fn a_backup_that_is_killed_leaves_only_whole_ones() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("season.standbook");
    make_book(&book, 1_500);
    let mut n = 0;
    let prepare = || {
        n += 1;
        let stick = folder.path().join(format!("stick-{n}"));
        fs::create_dir(&stick).unwrap();
        vec![book.clone(), stick]
    };
    kill_at_any_moment(
        prepare,
        &["backup", "{0}", "--to", "{1}"],
        |paths, ended| {
            let found = list(&paths[1], &book);
            assert!(found.len() == 1 || !ended);
            for one in &found {
                let (manifest, lacking) = verify(&one.folder).unwrap();
                assert_eq!((manifest.records, lacking.len()), (1_506, 0));
            }
            assert_intact(&book);
            let again = run(&["backup", text(&book), "--to", text(&paths[1])]);
            assert_eq!(again.code, 0, "{}", again.err);
        },
    );
}

#[test]
fn a_restore_that_is_killed_leaves_the_old_book_or_the_new_one() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let (book, old) = (at("season.standbook"), at("old.standbook"));
    make_book(&book, 1_500);
    make_book(&old, 3);
    assert_eq!(run(&["backup", text(&book)]).code, 0);
    let backup = newest(&ending(&book, ".backups"), &book);
    let (new_rows, old_rows) = (rows_by_another_reader(&book), rows_by_another_reader(&old));
    let mut n = 0;
    let prepare = || {
        n += 1;
        let home = at(&format!("home-{n}"));
        fs::create_dir(&home).unwrap();
        vec![
            backup.clone(),
            copy_book(&old, &home.join("mine.standbook")),
        ]
    };
    kill_at_any_moment(
        prepare,
        &["restore", "{0}", "--to", "{1}", "--aside"],
        |paths, ended| {
            let there = rows_by_another_reader(&paths[1]);
            let start = there.as_deref().map(|rows| rows.get(..300).unwrap_or(rows));
            let fits = there == new_rows || (there == old_rows && !ended);
            assert!(fits, "ended: {ended}; {start:?}");
            assert_intact(&paths[1]);
            // Each has its picture, and so has the one put aside.
            let home = fs::read_dir(paths[1].parent().unwrap()).unwrap();
            let asides: Vec<PathBuf> = home
                .map(|entry| entry.unwrap().path())
                .filter(|path| path.is_file() && text(path).contains(".aside-"))
                .collect();
            assert!(!asides.is_empty() || there == old_rows);
            for aside in asides {
                assert_eq!(rows_by_another_reader(&aside), old_rows);
            }
            let doctor = run(&["doctor", text(&paths[1])]);
            assert!(
                !doctor.out.contains("Pictures that records name"),
                "{}",
                doctor.out
            );
        },
    );
}

#[test]
fn a_stick_without_room_takes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (disk, out) = (folder.path().join("disk"), folder.path().join("out"));
    fs::create_dir(&disk).unwrap();
    fs::create_dir(&out).unwrap();
    if !can_mount(&disk) {
        return;
    }
    let book = folder.path().join("season.standbook");
    make_book(&book, 3);
    let script = "\"$2\" backup \"$3\" --to \"$1\"; code=$?; cp -r \"$1\"/. \"$4\"; exit $code";
    let said = on_a_small_disk(&disk, script)
        .args([Path::new(PROGRAM), &book, &out])
        .output()
        .unwrap();
    let err = String::from_utf8_lossy(&said.stderr);
    assert_eq!(said.status.code(), Some(1), "{err}");
    assert!(err.contains("no room for a backup"), "{err}");
    assert_eq!(fs::read_dir(&out).unwrap().count(), 0);
}
