//! Every kind of finding, each brought about in a real file; and a sound book has none.

use std::fs;
use std::path::Path;

use rusqlite::Connection;

use super::exchange::rich;
use super::migrate::version_1;
use super::*;
use crate::open::beside;
use crate::safe::doctor::{Checkup, each_determination, examine};

fn what(checkup: &Checkup) -> Vec<&'static str> {
    checkup
        .findings
        .iter()
        .map(|finding| finding.what)
        .collect()
}

/// Names and sizes of everything in a folder.
fn listing(folder: &Path) -> Vec<(String, u64)> {
    let entries = fs::read_dir(folder).unwrap();
    let mut all: Vec<(String, u64)> = entries
        .map(|entry| {
            let entry = entry.unwrap();
            let size = entry.metadata().unwrap().len();
            (entry.file_name().into_string().unwrap(), size)
        })
        .collect();
    all.sort();
    all
}

/// A closed book with every kind of record, changed by another tool.
#[track_caller]
fn tampered(sql: &str) -> (Sample, Checkup) {
    let s = rich();
    let path = s.path();
    s.book.ask(|_| Ok(())).unwrap();
    let conn = Connection::open(&path).unwrap();
    conn.pragma_update(None, "foreign_keys", false).unwrap();
    conn.execute_batch(sql).unwrap();
    drop(conn);
    let checkup = examine(&path).unwrap();
    (s, checkup)
}

/// Instants of the sample, in whose records both clocks are invented.
const RECEIVED: &str = "DROP TRIGGER record_no_update;
    UPDATE record SET born_at = '2026-08-31T10:00:00.000Z', received_at = '2026-08-31T10:00:01.000Z';";

#[test]
fn a_sound_book_has_no_findings_open_or_closed_and_nothing_is_written() {
    let s = Sample::new();
    let export = s.export().replace(
        "\"device\"",
        "\"received_at\":\"2026-07-14T16:00:00.000Z\",\"device\"",
    );
    let path = s.folder.path().join("sound.book");
    let book = Book::create(&path).unwrap();
    let lines: Vec<String> = export
        .lines()
        .map(|line| {
            let mut value: serde_json::Value = serde_json::from_str(line).unwrap();
            value["received_at"] = "2026-07-14T16:00:00.000Z".into();
            value.to_string()
        })
        .collect();
    book.import(lines.join("\n").as_bytes()).unwrap();
    book.add_photo(
        b"\xFF\xD8\xFF\xE0",
        s.point,
        "",
        "A. Fenn",
        "phone",
        RecordId::new(),
    )
    .unwrap();
    let open = examine(&path).unwrap();
    assert_eq!(open.findings, []);
    assert_eq!((open.figures.records, open.figures.photo_files), (7, 1));
    assert!(open.figures.wal_bytes.is_some_and(|bytes| bytes > 0));
    drop(book);
    let before = (listing(s.folder.path()), fs::read(&path).unwrap());
    let closed = examine(&path).unwrap();
    assert_eq!(closed.findings, []);
    assert_eq!(closed.figures.wal_bytes, None);
    assert_eq!((listing(s.folder.path()), fs::read(&path).unwrap()), before);
}

#[test]
fn references_that_lead_nowhere_are_named_by_table_record_and_target() {
    let gone = "DROP TRIGGER point_no_delete; DROP TRIGGER record_no_delete; DROP TRIGGER unknown_no_delete;
                DELETE FROM point; DELETE FROM record WHERE kind = 'point'; DELETE FROM unknown;";
    let (s, checkup) = tampered(gone);
    let astray = checkup
        .findings
        .iter()
        .find(|f| f.what == "reference_astray")
        .unwrap();
    let places = astray.places.join("\n");
    assert!(places.contains("determination"), "{places}");
    assert!(
        places.contains(&format!("no point {}", s.point)),
        "{places}"
    );
    assert!(
        what(&checkup).contains(&"record_hollow"),
        "unknowns without content"
    );
    assert!(what(&checkup).contains(&"guard_missing"));
}

#[test]
fn a_correction_of_nothing_and_a_circle_are_torn_chains() {
    let nowhere = "DROP TRIGGER record_no_update;
        UPDATE record SET supersedes = '0197f3a2-7c1e-7abc-8def-0123456789ab' WHERE supersedes IS NOT NULL;";
    let (_, checkup) = tampered(nowhere);
    let found = what(&checkup);
    assert!(
        found.contains(&"chain_torn") && found.contains(&"reference_astray"),
        "{found:?}"
    );
    let circle = "DROP TRIGGER record_no_update;
        UPDATE record SET supersedes = (SELECT id FROM record s WHERE s.supersedes = record.id)
        WHERE id IN (SELECT supersedes FROM record) AND supersedes IS NOT NULL;";
    let (_, checkup) = tampered(circle);
    assert!(
        what(&checkup).contains(&"chain_torn"),
        "{:?}",
        what(&checkup)
    );
}

#[test]
fn a_tally_that_names_an_unknown_which_is_not_there_is_found() {
    let stray = "DROP TRIGGER tally_no_update;
        UPDATE tally SET taxon = NULL, unknown = '0197f3a2-7c1e-7abc-8def-0123456789ab';";
    let (_, checkup) = tampered(stray);
    let astray = checkup
        .findings
        .iter()
        .find(|f| f.what == "reference_astray")
        .unwrap();
    assert!(
        astray.places[0].ends_with("unknown: no unknown 0197f3a2-7c1e-7abc-8def-0123456789ab"),
        "{:?}",
        astray.places
    );
}

#[test]
fn bytes_that_changed_are_found() {
    let s = rich();
    let path = s.path();
    for number in 10..200 {
        s.keep(record(a_frame(s.point, number)));
    }
    drop(s.book);
    let whole = fs::read(&path).unwrap();
    let conn = Connection::open(&path).unwrap();
    // Pages that hold nothing may hold anything.
    let unused: usize = conn
        .pragma_query_value(None, "freelist_count", |row| row.get::<_, i64>(0))
        .map(|n| n as usize)
        .unwrap();
    drop(conn);
    let mut found = 0;
    let pages = whole.len() / 4096;
    for page in 1..pages {
        let mut damaged = whole.clone();
        // The header of a page of the tree: its kind and its number of cells.
        for byte in &mut damaged[page * 4096..page * 4096 + 8] {
            *byte ^= 0x5A;
        }
        fs::write(&path, &damaged).unwrap();
        // Where not even the tables can be listed it is an error.
        let unsuspecting = examine(&path).is_ok_and(|c| c.findings.is_empty());
        found += usize::from(!unsuspecting);
    }
    assert!(
        found >= pages - 1 - unused,
        "{found} of {pages} pages, {unused} unused"
    );
    fs::write(&path, &whole[..4096 * 3]).unwrap();
    assert!(!examine(&path).is_ok_and(|c| c.findings.is_empty()));
    fs::write(&path, "SQLite format 2").unwrap();
    assert!(examine(&path).is_err());
    drop(s.folder);
}

#[test]
fn pictures_missing_changed_and_unnamed_are_told_apart() {
    let s = Sample::new();
    let mut paths = Vec::new();
    for n in 0..2_u8 {
        let bytes = [&b"\xFF\xD8\xFF\xE0"[..], &[n]].concat();
        let kept = s
            .book
            .add_photo(&bytes, s.point, "", "A. Fenn", "phone", RecordId::new())
            .unwrap();
        let Body::Photo(photo) = kept.body else {
            panic!()
        };
        paths.push(s.book.photo_path(&photo.sha256).unwrap());
    }
    fs::remove_file(&paths[0]).unwrap();
    fs::write(&paths[1], b"\xFF\xD8\xFF\xE1\x01").unwrap();
    fs::write(s.book.photo_folder().join("note.txt"), "a note").unwrap();
    let checkup = examine(&s.path()).unwrap();
    let at = |kind: &str| {
        let finding = checkup.findings.iter().find(|f| f.what == kind);
        finding
            .map(|f| f.places.clone())
            .unwrap_or_default()
            .join("\n")
    };
    assert!(at("photo_missing").contains(&paths[0].display().to_string()));
    assert!(at("photo_changed").contains(&paths[1].display().to_string()));
    assert!(at("photo_orphan").contains("note.txt"));
}

#[test]
fn clocks_are_told_by_device() {
    let off = format!(
        "{RECEIVED}
         UPDATE record SET device = 'phone 1', born_at = '2026-08-31T11:00:00.000Z' WHERE kind = 'frame';
         UPDATE record SET device = 'phone 2', born_at = '2020-01-01T00:00:00.000Z' WHERE kind = 'point';"
    );
    let (_, checkup) = tampered(&off);
    let at = |kind: &str| {
        let finding = checkup.findings.iter().find(|f| f.what == kind);
        finding.map(|f| f.places.clone()).unwrap_or_default()
    };
    assert_eq!(at("clock_ahead"), ["phone 1: 3 records"]);
    assert_eq!(at("clock_behind"), ["phone 2: 2 records"]);
    assert_eq!(at("before_seeding"), ["phone 2: 2 records"]);
    let (_, right) = tampered(RECEIVED);
    // The guard that was taken away to change the clocks.
    assert_eq!(what(&right), ["guard_missing"]);
}

#[test]
fn ids_of_another_making_and_an_old_version_are_said() {
    let s = Sample::new();
    // Version 4 (RFC 9562, 5.4); the digits are invented.
    let id = "6ba7b810-9dad-41d1-80b4-00c04fd430c8".parse().unwrap();
    s.keep(Record {
        id,
        ..record(a_site())
    });
    let checkup = examine(&s.path()).unwrap();
    let odd = checkup
        .findings
        .iter()
        .find(|f| f.what == "id_odd")
        .unwrap();
    assert_eq!(odd.places, [format!("site {id}")]);

    let old = s.folder.path().join("old.book");
    drop(version_1(&old, ""));
    let before = fs::read(&old).unwrap();
    let checkup = examine(&old).unwrap();
    let found = what(&checkup);
    assert!(
        found.contains(&"version_old") && !found.contains(&"unreadable"),
        "{found:?}"
    );
    assert!(!found.contains(&"guard_missing"), "{found:?}");
    assert_eq!(fs::read(&old).unwrap(), before);
    assert!(!beside(&old, "-wal").exists());
}

#[test]
fn what_people_have_to_settle_is_found_too() {
    let s = Sample::new();
    s.keep(correction(s.plot, 10, a_plot(s.planting, "east")));
    s.keep(correction(s.plot, 20, a_plot(s.planting, "west")));
    let found = what(&examine(&s.path()).unwrap());
    assert!(found.contains(&"corrected_twice"), "{found:?}");
    let other = s.folder.path().join("other.book");
    let twin = Book::create(&other).unwrap();
    twin.import(s.export().as_bytes()).unwrap();
    s.keep(record(an_unknown(s.visit, 2, s.point)));
    twin.append(vec![record(an_unknown(s.visit, 2, s.point))])
        .unwrap();
    s.book.merge(&other, false).unwrap();
    let found = what(&examine(&s.path()).unwrap());
    assert!(found.contains(&"misfit"), "{found:?}");
}

#[test]
fn determinations_are_shown_one_by_one() {
    let s = rich();
    let mut seen = Vec::new();
    each_determination(&s.path(), |id, determination| {
        seen.push((id, determination.evidence.outcome.clone()));
    })
    .unwrap();
    assert_eq!(seen.len(), 1);
    assert_eq!(seen[0].1, "leaning");
}
