//! A server that was stopped and started again, by another version of the program: pages that were
//! open meanwhile, their old addresses, and a book that is too new.

use std::fs;
use std::path::Path;

use rusqlite::Connection;

use crate::field::{SCOUT, to_the_first_point};
use crate::form::Form;
use crate::http::Browser;
use crate::program::{Server, run_refused, serving};

/// The addresses of style sheets and scripts in a page.
fn assets(page: &str) -> Vec<String> {
    // The tools here read text; icons are pictures.
    let text = |it: &&str| it.starts_with("/assets/") && !it.ends_with(".png");
    let quoted = page.split('"').filter(text);
    let mut found: Vec<String> = quoted.map(str::to_owned).collect();
    found.dedup();
    found
}

/// The address that another version would have had: its checksum is another one.
fn of_another_version(asset: &str) -> String {
    let digits = |part: &&str| part.len() == 16 && part.bytes().all(|b| b.is_ascii_hexdigit());
    let checksum = asset.split(['/', '-', '.']).find(digits);
    let checksum = checksum.unwrap_or_else(|| panic!("no checksum in {asset}"));
    asset.replace(checksum, "0123456789abcdef")
}

#[test]
fn a_page_that_was_open_over_a_restart_still_saves_and_gets_no_other_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("season.standbook");
    let mut server = Server::serve(&path);
    let mut browser = Browser::new(server.port);
    let spot = to_the_first_point(&mut browser);
    let address = format!("{}/count", spot.point);
    let page = browser.open(&address);
    let form = Form::find(&page.body, "post", &address, "c")
        .tick("c", "0.13")
        .fill("scout", SCOUT)
        .press("do", "save");
    server.kill();

    let server = Server::serve(&path);
    let mut browser = Browser::new(server.port);
    let saved = browser.save(&form);
    saved.says("in 1 of 25 cells");
    let found = assets(&page.body);
    assert!(found.len() >= 2, "a style sheet and a script: {found:?}");
    for asset in found {
        assert_eq!(browser.ask("GET", &asset, "").status, 200, "{asset}");
        let old = of_another_version(&asset);
        let answer = browser.ask("GET", &old, "");
        assert_eq!(answer.status, 404, "{old}");
        // A page that says so: a browser takes that for no sheet and no script.
        let kind = answer.header("content-type").unwrap();
        assert!(kind.starts_with("text/html"), "{old}: {kind}");
        // Asked for again once there is such a file: 404 is not for ever.
        assert_eq!(answer.header("cache-control"), Some("no-store"), "{old}");
    }
}

/// Every file of a folder with its bytes.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let files = fs::read_dir(folder).unwrap().map(|it| it.unwrap().path());
    let mut files: Vec<_> = files
        .map(|it| (it.display().to_string(), fs::read(&it).unwrap()))
        // An index of -wal, made anew by whoever opens it.
        .filter(|(name, _)| !name.ends_with("-shm"))
        .collect();
    files.sort();
    files
}

/// A newer program was killed: that the book is newer stands in its -wal only.
#[test]
fn a_book_that_a_newer_program_left_in_its_log_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("season.standbook");
    let mut server = Server::serve(&path);
    to_the_first_point(&mut Browser::new(server.port));
    assert!(server.ctrl_c().success());
    let newer = Connection::open(&path).unwrap();
    newer.pragma_update(None, "user_version", 1_000).unwrap();
    let left = folder.path().join("left");
    fs::create_dir(&left).unwrap();
    let copy = left.join("season.standbook");
    for end in ["", "-wal"] {
        let from = format!("{}{end}", path.display());
        fs::copy(from, format!("{}{end}", copy.display())).unwrap();
    }
    let before = files(&left);
    assert!(
        before
            .iter()
            .any(|(name, bytes)| name.ends_with("-wal") && !bytes.is_empty())
    );

    let said = run_refused(&mut serving(&copy));
    assert_eq!((said.code, said.out.as_str()), (1, ""), "{}", said.err);
    assert!(
        said.err.contains("version 1000") && said.err.contains("newer program"),
        "{}",
        said.err
    );
    assert!(files(&left) == before, "the files are unchanged");
}
