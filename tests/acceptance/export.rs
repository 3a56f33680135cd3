//! `standbook export`: a book in open formats, one whole file or none.

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use standbook_fieldbook::Book;

use crate::program::{PROGRAM, Said, run};

/// A copy of the demo's book, closed, in a folder of its own.
pub fn demo(folder: &Path) -> PathBuf {
    let path = folder.join("demo.standbook");
    let records = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/demo.jsonl");
    let book = Book::create(&path).unwrap();
    book.import(fs::read(records).unwrap().as_slice()).unwrap();
    path
}

fn export(book: &Path, out: &Path, more: &[&str]) -> Said {
    let mut line = vec![
        OsStr::new("export"),
        book.as_os_str(),
        "--out".as_ref(),
        out.as_os_str(),
    ];
    line.extend(more.iter().map(OsStr::new));
    run(&line)
}

#[test]
fn every_format_begins_as_its_standard_says_and_the_book_stays_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let book = demo(folder.path());
    let before = fs::read(&book).unwrap();
    for (format, start) in [
        // PKWARE APPNOTE 4.3.7; RFC 7946; GPX 1.1 is XML; sqlite.org, Database File Format, 1.3.1.
        ("darwin-core", &b"PK\x03\x04"[..]),
        ("csv", b"PK\x03\x04"),
        ("geojson", b"{\"type\":\"FeatureCollection\""),
        ("gpx", b"<?xml version=\"1.0\""),
        ("sqlite", b"SQLite format 3\0"),
    ] {
        let out = folder.path().join("out");
        fs::write(&out, "the old one").unwrap();
        let said = export(&book, &out, &["--as", format]);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{format}");
        assert!(said.out.contains("out\n"), "{}", said.out);
        assert!(fs::read(&out).unwrap().starts_with(start), "{format}");
        fs::remove_file(out).unwrap();
    }
    assert_eq!(fs::read(&book).unwrap(), before);
    // Nothing temporary is left; -shm and -wal are SQLite's own.
    for entry in fs::read_dir(folder.path()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(name.starts_with("demo.standbook"), "{name}");
    }
}

#[test]
fn a_disk_without_room_leaves_the_old_file() {
    let folder = tempfile::tempdir().unwrap();
    let book = demo(folder.path());
    for format in ["darwin-core", "csv", "geojson", "sqlite"] {
        let place = tempfile::tempdir().unwrap();
        let out = place.path().join("taken.out");
        fs::write(&out, "the old one").unwrap();
        // Files may grow to 40 KiB (80 blocks of 512 bytes, POSIX): enough for SQLite to open the book, and
        // less than every one of these.
        let done = Command::new("sh")
            .args([
                "-c",
                "trap '' XFSZ; ulimit -f 80; exec \"$0\" \"$@\"",
                PROGRAM,
            ])
            .arg("export")
            .arg(&book)
            .args(["--as", format, "--out"])
            .arg(&out)
            .output()
            .unwrap();
        let err = String::from_utf8(done.stderr).unwrap();
        assert_eq!(done.status.code(), Some(1), "{format}: {err}");
        assert!(
            err.contains("taken.out can't be written"),
            "{format}: {err}"
        );
        assert_eq!(fs::read_to_string(&out).unwrap(), "the old one", "{format}");
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1, "{format}");
    }
}

#[test]
fn what_is_not_there_is_named_and_what_is_wrong_on_the_line_is_code_2() {
    let folder = tempfile::tempdir().unwrap();
    let book = demo(folder.path());
    let out = folder.path().join("out");
    for (more, code, words) in [
        (
            &["--as", "gpx", "--planting", "north forty"][..],
            1,
            "Sallow Creek, Creek field",
        ),
        (
            &["--as", "gpx", "--visit", "7"],
            1,
            "--visit: `7` is no id of a visit",
        ),
        (
            &["--as", "gpx", "--blur", "5"],
            1,
            "--blur: cells of 5 m are out of range",
        ),
        (
            &["--as", "sqlite", "--photos"],
            1,
            "--photos: pictures can't travel inside sqlite",
        ),
        (&["--as", "shapefile"], 2, "darwin-core"),
        (&["--as", "gpx", "--blur", "wide"], 2, "--blur"),
        (&["--as", "gpx", "--with-locality"], 2, "--blur"),
        (&[], 2, "--as"),
    ] {
        let said = export(&book, &out, more);
        assert_eq!(said.code, code, "{more:?}: {}", said.err);
        assert!(said.err.contains(words), "{more:?}: {}", said.err);
        assert!(!out.exists(), "{more:?}");
    }
    let said = export(&folder.path().join("none"), &out, &["--as", "gpx"]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("there is no such file"), "{}", said.err);
    let said = export(&book, &book, &["--as", "gpx"]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("a book has this name"), "{}", said.err);
}

#[test]
fn one_planting_is_found_by_its_name_and_one_visit_by_its_id() {
    let folder = tempfile::tempdir().unwrap();
    let path = demo(folder.path());
    let (visit, points) = {
        let book = Book::open(&path).unwrap();
        let planting = book.plantings().unwrap()[0].id;
        let visit = book.visits(planting).unwrap()[0].id;
        (visit.to_string(), book.points(visit).unwrap().len())
    };
    let out = folder.path().join("out.geojson");
    let counted = |more: &[&str]| {
        let said = export(&path, &out, &[&["--as", "geojson"], more].concat());
        assert_eq!(said.code, 0, "{}", said.err);
        let map: serde_json::Value = serde_json::from_slice(&fs::read(&out).unwrap()).unwrap();
        let features = map["features"].as_array().unwrap();
        let points = features
            .iter()
            .filter(|one| one["properties"]["role"] == "point");
        points.count()
    };
    let all = counted(&["--planting", "creek FIELD"]);
    assert_eq!(counted(&["--visit", &visit]), points);
    assert!(points < all);
}
