//! A book that may be read and not written: on a stick with its lock on, or of somebody else.

use std::fs::{self, Permissions};
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::Command;

use standbook_fieldbook::RecordId;

use crate::field::{SCOUT, to_the_first_point};
use crate::form::Form;
use crate::http::Browser;
use crate::outbox::{Waiting, send_all};
use crate::program::{PROGRAM, Server};

/// The user that owns nothing; on most systems called `nobody`.
const NOBODY: u32 = 65_534;

fn allow(path: &Path, mode: u32) {
    fs::set_permissions(path, Permissions::from_mode(mode)).unwrap();
}

/// `serve` by somebody whom permissions hold back: root is not, so root becomes nobody.
fn by_somebody_else(folder: &Path, book: &Path) -> Command {
    let root = fs::metadata(folder).unwrap().uid() == 0;
    // The build may lie where only its owner may look.
    let program = folder.join("standbook");
    fs::copy(PROGRAM, &program).unwrap();
    allow(&program, 0o755);
    let mut command = Command::new(program);
    command
        .arg("serve")
        .arg("--book")
        .arg(book)
        .args(["--port", "0"])
        .current_dir("/");
    if root {
        command.uid(NOBODY).gid(NOBODY);
    }
    command
}

#[test]
fn a_book_that_may_not_be_written_is_shown_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    allow(folder.path(), 0o755);
    let shelf = folder.path().join("shelf");
    fs::create_dir(&shelf).unwrap();
    let book = shelf.join("season.standbook");
    let mut server = Server::serve(&book);
    let spot = to_the_first_point(&mut Browser::new(server.port));
    assert!(server.ctrl_c().success());
    let bytes = fs::read(&book).unwrap();
    allow(&book, 0o444);
    allow(&shelf, 0o555);

    let mut server = Server::start(&mut by_somebody_else(folder.path(), &book));
    let mut browser = Browser::new(server.port);
    for page in [
        "/plot",
        &spot.planting,
        &spot.visit,
        &spot.point,
        "/stand",
        "/desk",
        "/sites/new",
    ] {
        browser.open(page).says("Nothing can be saved: ");
    }
    browser.open(&spot.planting).says("Long meadow");

    // Forms come back as they were typed, with why.
    let page = browser.open("/sites/new");
    let form = Form::find(&page.body, "post", "/sites", "name")
        .fill("name", "Heron <flat>")
        .fill("permission", "gate code with the owner")
        .fill("scout", SCOUT);
    let answer = browser.submit(&form);
    assert_eq!(answer.status, 403, "{}", answer.text());
    answer.says("for viewing only");
    let back = Form::find(&answer.body, "post", "/sites", "name");
    assert_eq!(back.encoded(), form.encoded(), "nothing typed is lost");

    let address = format!("{}/count", spot.point);
    let page = browser.open(&address);
    let form = Form::find(&page.body, "post", &address, "c")
        .tick("c", "0.13")
        .fill("scout", SCOUT)
        .press("do", "save");
    let answer = browser.submit(&form);
    assert_eq!(answer.status, 403, "{}", answer.text());
    let back = Form::find(&answer.body, "post", &address, "c").press("do", "save");
    assert_eq!(back.encoded(), form.encoded(), "no mark is lost");

    let address = format!("{}/plant", spot.point);
    let page = browser.open(&format!("{address}?stage=tillering&a=vernation:rolled"));
    let form = Form::find(&page.body, "post", &address, "taxon")
        .fill("note", "by the old fence")
        .fill("scout", SCOUT);
    let answer = browser.submit(&form);
    assert_eq!(answer.status, 403, "{}", answer.text());
    let back = Form::find(&answer.body, "post", &address, "taxon");
    for name in ["walk", "stage", "a", "taxon", "note", "scout"] {
        assert_eq!(back.value(name), form.value(name), "{name}");
    }

    // A phone that comes back keeps what it has.
    let ids = [RecordId::new(), RecordId::new()].map(|id| id.to_string());
    let items = [
        Waiting::frame(&ids[0], &spot.point, 1, SCOUT, &[13]),
        Waiting::plant(&ids[1], &spot.point, SCOUT, "by the old fence"),
    ];
    let said = send_all(server.port, "", &items).unwrap();
    assert_eq!((said.kept.len(), said.refused.len()), (0, 0), "{said:?}");
    let waiting: Vec<&String> = said.waiting.iter().map(|(id, _)| id).collect();
    assert_eq!(waiting, [&ids[0], &ids[1]]);
    assert!(said.waiting[1].1.contains("for viewing only"), "{said:?}");

    assert!(server.ctrl_c().success());
    assert!(
        server.err().contains("note: nothing can be saved"),
        "{}",
        server.err()
    );
    // The owner's program finds the book as it was.
    allow(&shelf, 0o755);
    assert!(fs::read(&book).unwrap() == bytes, "the file is unchanged");
}
