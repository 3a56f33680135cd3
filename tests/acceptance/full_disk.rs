//! A disk that fills up while somebody types.
//!
//! The book lies on a small file system in memory, mounted in a name space of the server's own:
//! it is gone when the server is, however that ends. Root may do that; so may everybody
//! where the system lets people make name spaces.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use standbook_fieldbook::Book;

use crate::field::SCOUT;
use crate::form::Form;
use crate::http::Browser;
use crate::program::{PROGRAM, Server};

/// Size of the disk, bytes.
const DISK_BYTES: u32 = 1_500_000;
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

#[test]
fn a_full_disk_keeps_the_form_and_what_was_saved_before() {
    let folder = tempfile::tempdir().unwrap();
    let disk = folder.path().join("disk");
    fs::create_dir(&disk).unwrap();
    if !can_mount(&disk) {
        return;
    }

    let mut command = on_a_small_disk(
        &disk,
        "exec \"$2\" serve --book \"$1/season.standbook\" --port 0",
    );
    command.arg(PROGRAM);
    let mut server = Server::start(&mut command);
    // The server's own view of the file system.
    let disk = PathBuf::from(format!("/proc/{}/root{}", server.pid(), disk.display()));
    fs::write(disk.join("lumber"), vec![b'x'; LUMBER_BYTES]).unwrap();

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

    // The same book, looked at from outside before the disk goes away with the server.
    let copy = folder.path().join("copy");
    fs::create_dir(&copy).unwrap();
    for file in fs::read_dir(&disk).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), copy.join(file.file_name())).unwrap();
    }
    assert!(server.ctrl_c().success());
    let path = copy.join("season.standbook");
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
