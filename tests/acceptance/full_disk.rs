//! A disk that fills up while somebody types.
//!
//! The book lies on a small file system in memory, mounted in a name space of the server's own:
//! it is gone when the server is, however that ends. Root may do that; so may everybody
//! where the system lets people make name spaces.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use standbook_fieldbook::{Book, RecordId};

use crate::field::{SCOUT, to_the_first_point};
use crate::form::Form;
use crate::http::Browser;
use crate::outbox::{Waiting, send_all};
use crate::program::{PROGRAM, Server};

/// Size of the disk, bytes.
pub const DISK_BYTES: u32 = 1_500_000;
/// Something else that lies on it and can be thrown away later, bytes.
const LUMBER_BYTES: usize = 500_000;

/// Runs a shell script in a name space with a small disk mounted on `disk`.
pub fn on_a_small_disk(disk: &Path, then: &str) -> Command {
    let mut command = Command::new("unshare");
    command.args(["--mount", "--map-root-user", "sh", "-c"]);
    // No quotes needed inside: paths are arguments.
    command.arg(format!(
        "mount -t tmpfs -o size={DISK_BYTES} none \"$1\" && {then}"
    ));
    command.arg("sh").arg(disk);
    command
}

/// Serves a book on the small disk; the program is the next argument.
pub const SERVE: &str = "exec \"$2\" serve --book \"$1/season.standbook\" --port 0";

/// Whether a small disk can be mounted on `disk`. Where the system forbids it this says so; root
/// and CI must be able to.
pub fn can_mount(disk: &Path) -> bool {
    let tried = on_a_small_disk(disk, "true").output();
    if tried.as_ref().is_ok_and(|done| done.status.success()) {
        return true;
    }
    let root = fs::metadata(disk).is_ok_and(|m| std::os::unix::fs::MetadataExt::uid(&m) == 0);
    let why =
        format!("a small disk can't be mounted here, so the full disk is not tested: {tried:?}");
    assert!(
        !root && std::env::var("CI").as_deref() != Ok("true"),
        "{why}"
    );
    eprintln!("{why}");
    false
}

/// Makes the folder for a small disk; false where none can be mounted.
pub fn can_have(disk: &Path) -> bool {
    fs::create_dir(disk).unwrap();
    can_mount(disk)
}

/// The server's own view of its disk.
pub fn seen_by(server: &Server, disk: &Path) -> PathBuf {
    PathBuf::from(format!("/proc/{}/root{}", server.pid(), disk.display()))
}

/// A server whose book lies on the small disk, with lumber beside it, and the server's own view of
/// the disk.
fn served_from_a_small_disk(folder: &Path) -> Option<(Server, PathBuf)> {
    let disk = folder.join("disk");
    if !can_have(&disk) {
        return None;
    }
    let mut command = on_a_small_disk(&disk, SERVE);
    command.arg(PROGRAM);
    let server = Server::start(&mut command);
    let disk = seen_by(&server, &disk);
    fs::write(disk.join("lumber"), vec![b'x'; LUMBER_BYTES]).unwrap();
    Some((server, disk))
}

/// The book, taken out before the disk goes away with the server, which is stopped.
fn taken_out(server: &mut Server, disk: &Path, folder: &Path) -> PathBuf {
    let copy = folder.join("copy");
    fs::create_dir(&copy).unwrap();
    for file in fs::read_dir(disk).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), copy.join(file.file_name())).unwrap();
    }
    assert!(server.ctrl_c().success());
    copy.join("season.standbook")
}

#[test]
fn a_full_disk_keeps_the_form_and_what_was_saved_before() {
    let folder = tempfile::tempdir().unwrap();
    let Some((mut server, disk)) = served_from_a_small_disk(folder.path()) else {
        return;
    };
    let mut browser = Browser::new(server.port);
    let mut saved = Vec::new();
    let (refused, form) = loop {
        let page = browser.open("/sites/new");
        let name = format!("Site {}", saved.len());
        let form = Form::find(&page.body, "post", "/sites", "name")
            .fill("name", &name)
            .fill(
                "permission",
                "Ask at the house, then at the mill. ".repeat(50).trim_end(),
            )
            .fill("scout", SCOUT);
        let answer = browser.submit(&form);
        match answer.status {
            303 => saved.push(name),
            _ => break (answer, form),
        }
        assert!(
            saved.len() < 1_000,
            "{DISK_BYTES} bytes hold no 1000 records of 1800"
        );
    };
    assert!(saved.len() > 3, "the disk was full from the start");
    assert_eq!(refused.status, 507, "{}", refused.text());
    refused.says("the disk is full");
    let back = Form::find(&refused.body, "post", "/sites", "name");
    assert_eq!(back.encoded(), form.encoded(), "nothing typed is lost");

    // Pages still open, and show what was kept.
    browser.open("/plot").says("Site 0");
    // Room is made; the form that came back is sent again and kept.
    fs::remove_file(disk.join("lumber")).unwrap();
    browser.save(&back);
    saved.push(back.value("name").to_owned());

    let path = taken_out(&mut server, &disk, folder.path());
    let book = Book::open(&path).unwrap();
    let names: Vec<String> = book
        .sites()
        .unwrap()
        .into_iter()
        .map(|s| s.body.name)
        .collect();
    assert_eq!(names, saved);
    drop(book);
    crate::killed::assert_intact(&path);
}

/// A phone that comes back to a laptop whose disk fills up keeps what the laptop can't, and gets rid
/// of it once there is room.
#[test]
fn a_full_disk_lets_a_phone_wait_and_refuses_it_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let Some((mut server, disk)) = served_from_a_small_disk(folder.path()) else {
        return;
    };
    let point = to_the_first_point(&mut Browser::new(server.port)).point;
    let note = "by the old fence ".repeat(110);
    let together = || -> Vec<Waiting> {
        let ids = (0..5).map(|_| RecordId::new().to_string());
        ids.map(|id| Waiting::plant(&id, &point, SCOUT, note.trim_end()))
            .collect()
    };
    let mut kept = Vec::new();
    let (items, said) = loop {
        let items = together();
        let said = send_all(server.port, "", &items).unwrap();
        assert_eq!(said.refused, [], "nothing is wrong with them");
        kept.extend(said.kept.clone());
        if !said.waiting.is_empty() {
            break (items, said);
        }
        assert!(
            kept.len() < 1_000,
            "{DISK_BYTES} bytes hold no 1000 records of 1800"
        );
    };
    assert_eq!(said.kept.len() + said.waiting.len(), items.len());
    assert!(said.waiting[0].1.contains("the disk is full"), "{said:?}");
    // Sent again while nothing has changed: it waits on.
    let again = send_all(server.port, "", &items).unwrap();
    assert_eq!((again.kept, again.refused), (said.kept, vec![]));

    fs::remove_file(disk.join("lumber")).unwrap();
    let said = send_all(server.port, "", &items).unwrap();
    assert_eq!(said.kept.len(), items.len(), "{said:?}");
    kept.extend(said.kept);
    kept.sort();
    kept.dedup();
    let path = taken_out(&mut server, &disk, folder.path());
    let book = rusqlite::Connection::open(&path).unwrap();
    let mut ids = book
        .prepare("SELECT id FROM determination ORDER BY id")
        .unwrap();
    let ids = ids.query_map([], |row| row.get(0)).unwrap();
    let ids: Vec<String> = ids.map(Result::unwrap).collect();
    assert_eq!(ids, kept);
    crate::killed::assert_intact(&path);
}
