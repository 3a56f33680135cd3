//! Starting and stopping: ports, Ctrl-C, books that can't be opened.

use std::fs;
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use crate::field::to_the_first_point;
use crate::form::link;
use crate::http::Browser;
use crate::program::{PROGRAM, Said, Server, run_refused, serving};

/// A book made by the program, closed again.
fn made(folder: &Path) -> std::path::PathBuf {
    let path = folder.join("season.standbook");
    let mut server = Server::serve(&path);
    assert!(server.ctrl_c().success());
    path
}

/// `serve` must refuse: exit code 1, no address printed.
#[track_caller]
fn refused(book: &Path) -> Said {
    let said = run_refused(&mut serving(book));
    assert_eq!((said.code, said.out.as_str()), (1, ""), "{}", said.err);
    assert!(said.err.starts_with("error: "), "{}", said.err);
    said
}

#[test]
fn the_demo_opens_with_places_plants_and_a_stand() {
    let folder = tempfile::tempdir().unwrap();
    let mut command = Command::new(PROGRAM);
    command
        .args(["demo", "--port", "0", "--folder"])
        .arg(folder.path());
    let mut server = Server::start(&mut command);
    let mut browser = Browser::new(server.port);
    let start = browser.open("/");
    start.says("Demo book: invented places and people");
    let planting = browser.open(&link(&start.body, "/plantings/", ""));
    let visit = browser.open(&link(&planting.body, "/visits/", ""));
    let point = browser.open(&link(&visit.body, "/at/", ""));
    browser.open(&link(&point.body, "/at/", "/count"));
    browser.open("/stand").says("95 % interval");
    let desk = browser.open("/desk");
    browser
        .open(&link(&desk.body, "/determinations/", ""))
        .says("weighed again just now, give the same result");
    assert!(server.ctrl_c().success());
    let told = server.out();
    assert!(
        told.contains("What to click first") && told.contains("Ctrl-C"),
        "{told}"
    );
    assert_eq!(server.err(), "");
}

#[test]
fn the_demo_runs_beside_another_one() {
    let folder = tempfile::tempdir().unwrap();
    let demo = |name: &str| {
        let mut command = Command::new(PROGRAM);
        command
            .args(["demo", "--folder"])
            .arg(folder.path().join(name));
        Server::start(&mut command)
    };
    let (one, other) = (demo("one"), demo("other"));
    assert_ne!(one.port, other.port);
    Browser::new(one.port).open("/plot");
    Browser::new(other.port).open("/plot");
}

/// A browser keeps connections open, some of them before it has asked anything.
#[test]
fn ctrl_c_stops_the_server_whatever_a_browser_holds_open() {
    let folder = tempfile::tempdir().unwrap();
    let mut server = Server::serve(&folder.path().join("season.standbook"));
    let connect = || TcpStream::connect(("127.0.0.1", server.port)).unwrap();
    let silent = connect();
    let mut kept = connect();
    let host = format!("host: 127.0.0.1:{}\r\n", server.port);
    kept.write_all(format!("GET /plot HTTP/1.1\r\n{host}\r\n").as_bytes())
        .unwrap();
    kept.set_read_timeout(Some(Duration::from_secs(10)))
        .unwrap();
    let mut first = [0; 12];
    kept.read_exact(&mut first).unwrap();
    assert_eq!(&first, b"HTTP/1.1 200");
    assert!(server.ctrl_c().success());
    drop((silent, kept));
    // Folded together: one file, nothing left beside it.
    let left: Vec<_> = fs::read_dir(folder.path())
        .unwrap()
        .map(|f| f.unwrap().file_name())
        .collect();
    assert_eq!(left, ["season.standbook"]);
}

/// Whoever reads the address, a script for one, may stop the server at once.
#[test]
fn ctrl_c_works_from_the_moment_the_address_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("season.standbook");
    for start in 0..10 {
        let status = Server::serve(&path).ctrl_c();
        assert!(status.success(), "start {start}: {status}");
    }
}

#[test]
fn a_book_is_kept_from_one_day_to_the_next() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("season.standbook");
    let mut server = Server::serve(&path);
    let spot = to_the_first_point(&mut Browser::new(server.port));
    assert!(server.ctrl_c().success());
    let server = Server::serve(&path);
    Browser::new(server.port)
        .open(&spot.planting)
        .says("Long meadow");
}

#[test]
fn a_port_in_use_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let holder = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = holder.local_addr().unwrap().port().to_string();
    let mut command = Command::new(PROGRAM);
    command
        .arg("serve")
        .arg("--book")
        .arg(folder.path().join("season.standbook"))
        .args(["--port", &port]);
    let said = run_refused(&mut command);
    assert_eq!((said.code, said.out.as_str()), (1, ""), "{}", said.err);
    assert!(said.err.contains(&format!("port {port}")), "{}", said.err);
    assert!(
        said.err.contains("\n\nhint: ") && said.err.contains("--port"),
        "{}",
        said.err
    );
}

#[test]
fn a_book_of_a_newer_program_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = made(folder.path());
    let mut bytes = fs::read(&path).unwrap();
    // SQLite file format, "The Database Header": the user version, 4 bytes big-endian, from byte 60.
    bytes[60..64].copy_from_slice(&1_000_u32.to_be_bytes());
    fs::write(&path, &bytes).unwrap();
    let said = refused(&path);
    assert!(
        said.err.contains("version 1000") && said.err.contains("newer program"),
        "{}",
        said.err
    );
    assert!(fs::read(&path).unwrap() == bytes, "the file is unchanged");
}

#[test]
fn what_is_no_book_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let notes = folder.path().join("notes.txt");
    let text = "Thursday: walked the long meadow, dry.\n".repeat(200);
    fs::write(&notes, &text).unwrap();
    let said = refused(&notes);
    assert!(
        said.err.contains("this is not a book") && said.err.contains("notes.txt"),
        "{}",
        said.err
    );
    assert_eq!(fs::read_to_string(&notes).unwrap(), text);

    let said = refused(folder.path());
    assert!(said.err.contains("it is a folder"), "{}", said.err);

    let said = refused(&folder.path().join("no such folder/season.standbook"));
    assert!(said.err.contains("Make the folder first"), "{}", said.err);
    assert!(!folder.path().join("no such folder").exists());
}

#[test]
fn a_book_cut_short_is_not_written_to() {
    let folder = tempfile::tempdir().unwrap();
    let path = made(folder.path());
    let whole = fs::read(&path).unwrap();
    let half = &whole[..whole.len() / 2];
    fs::write(&path, half).unwrap();
    let mut command = serving(&path);
    let said = run_refused(&mut command);
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    assert!(said.err.contains("damaged"), "{}", said.err);
    assert!(fs::read(&path).unwrap() == half, "the file is unchanged");
}
