//! `standbook doctor`: exit codes, words, JSON, and that it writes nothing.

use std::fs;
use std::path::Path;

use crate::program::{PROGRAM, Server, run};
use crate::safe::{ending, make_book};

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn the_demo_is_sound_also_while_it_is_served() {
    let folder = tempfile::tempdir().unwrap();
    let mut command = std::process::Command::new(PROGRAM);
    command
        .args(["demo", "--port", "0", "--folder"])
        .arg(folder.path());
    let mut server = Server::start(&mut command);
    let book = folder.path().join("demo.standbook");
    let open = run(&["doctor", text(&book)]);
    assert_eq!((open.code, open.err.as_str()), (0, ""), "{}", open.out);
    assert!(open.out.contains("sound"), "{}", open.out);
    assert!(server.ctrl_c().success());
    let files = || {
        let all = fs::read_dir(folder.path()).unwrap();
        let mut all: Vec<_> = all.map(|e| e.unwrap().path()).collect();
        all.sort();
        all
    };
    let before = (files(), fs::read(&book).unwrap());
    let json = run(&["doctor", text(&book), "--json"]);
    assert_eq!(json.code, 0);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["findings"], serde_json::json!([]));
    assert_eq!(json["figures"]["records"], 434);
    assert_eq!(
        (files(), fs::read(&book).unwrap()),
        before,
        "it writes nothing"
    );
    assert!(!ending(&book, ".backups").exists(), "the demo makes none");
}

#[test]
fn damage_is_found_and_said_with_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("season.standbook");
    make_book(&book, 500);
    assert_eq!(run(&["doctor", text(&book)]).code, 0);
    // A byte in the middle of a page, as a failing disk leaves it.
    let whole = fs::read(&book).unwrap();
    let pages = whole.len() / 4096;
    let with_damage = |page: usize| {
        let mut damaged = whole.clone();
        for byte in &mut damaged[page * 4096..page * 4096 + 16] {
            *byte = !*byte;
        }
        fs::write(&book, &damaged).unwrap();
        let said = run(&["doctor", text(&book)]);
        assert_eq!(said.code, 1);
        let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        (words(&said.out), words(&said.err))
    };
    // Records were written last.
    let (out, err) = with_damage(pages - 10);
    let mend = "restore the last backup: standbook restore";
    assert!(out.contains(mend), "{out} {err}");
    // Where tables are described a book can't even be opened to be looked through.
    let unreadable = (1..40).map(with_damage).find(|(_, err)| !err.is_empty());
    let (_, err) = unreadable.unwrap();
    assert!(err.contains("the book is damaged"), "{err}");
    assert!(err.contains("go back to a backup"), "{err}");
    fs::write(&book, &whole).unwrap();
    // A picture whose bytes changed.
    let photos = ending(&book, ".photos");
    let sub = fs::read_dir(&photos)
        .unwrap()
        .next()
        .unwrap()
        .unwrap()
        .path();
    let picture = fs::read_dir(&sub).unwrap().next().unwrap().unwrap().path();
    let mut bytes = fs::read(&picture).unwrap();
    bytes[100] ^= 1;
    fs::write(&picture, bytes).unwrap();
    let said = run(&["doctor", text(&book), "--json"]);
    assert_eq!(said.code, 1);
    let json: serde_json::Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!(json["findings"][0]["what"], "photo_changed");
    assert_eq!(json["findings"].as_array().unwrap().len(), 1);
    // No book at all.
    fs::write(&book, "a letter").unwrap();
    let said = run(&["doctor", text(&book)]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("this is not a book"), "{}", said.err);
}
