//! Two books become one: union, clashes, what people have to settle, what FROM may be.

use std::fs;
use std::path::Path;

use super::exchange::rich;
use super::migrate::{EXPORT, version_1};
use super::*;
use crate::open::beside;
use crate::safe::merge::Merged;
use crate::{BookError, SCHEMA_VERSION};

/// An export without receipts, which are each book's own.
pub(super) fn content(book: &Book) -> Vec<String> {
    let without = |line: &str| {
        let mut value: serde_json::Value = serde_json::from_str(line).unwrap();
        value.as_object_mut().unwrap().remove("received_at");
        value.to_string()
    };
    exported(book).lines().map(without).collect()
}

/// A copy of a closed or open book, without its pictures, in a folder of its own.
fn twin(of: &Sample) -> (tempfile::TempDir, Book) {
    let folder = tempfile::tempdir().unwrap();
    let book = Book::create(folder.path().join("twin.book")).unwrap();
    book.import(of.export().as_bytes()).unwrap();
    (folder, book)
}

/// Every file under a folder with its bytes.
fn bytes_of(folder: &Path) -> Vec<(std::path::PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => found.extend(bytes_of(&path)),
            false => found.push((path.clone(), fs::read(&path).unwrap())),
        }
    }
    found.sort();
    found
}

fn empty() -> (tempfile::TempDir, Book) {
    let folder = tempfile::tempdir().unwrap();
    let book = Book::create(folder.path().join("into.book")).unwrap();
    (folder, book)
}

#[track_caller]
fn merge(into: &Book, from: &Path) -> Merged {
    into.merge(from, false).unwrap()
}

#[test]
fn everything_comes_and_the_second_time_nothing() {
    let s = rich();
    let (_folder, into) = empty();
    let all = s.export().lines().count();
    let looked = into.merge(&s.path(), true).unwrap();
    assert_eq!(looked.counts.all.new, all);
    assert_eq!(looked.pictures.copied, 1);
    assert!(exported(&into).is_empty() && !into.photo_folder().exists());

    let first = merge(&into, &s.path());
    assert_eq!(
        first,
        Merged {
            looked: false,
            ..looked
        }
    );
    assert_eq!(exported(&into), s.export());
    assert_eq!(first.counts.kinds.len(), 15);
    assert_eq!(first.counts.scouts["A. Fenn"].new, all);
    let visit = &first.counts.visits[0];
    assert_eq!(
        (visit.visit, visit.planting.as_str(), visit.on.as_str()),
        (s.visit, "north forty", "2026-08-30")
    );
    // 2 versions of the visit, 2 points, an unknown, 3 frames, a plant, its opinion, a picture.
    assert_eq!(visit.new, 11);
    let photo = &into.photos(s.point).unwrap()[0];
    assert!(into.photo_path(&photo.body.sha256).is_some());
    assert_sound(&into);

    let again = merge(&into, &s.path());
    assert_eq!((again.counts.all.new, again.counts.all.already), (0, all));
    assert_eq!((again.pictures.copied, again.pictures.already), (0, 1));
    assert!(again.counts.visits.is_empty());
    assert_eq!(exported(&into), s.export());
}

#[test]
fn an_exchange_file_brings_the_same() {
    let s = rich();
    let (folder, into) = empty();
    let file = folder.path().join("season.jsonl");
    fs::write(&file, format!("\u{feff}{}", s.export())).unwrap();
    let merged = merge(&into, &file);
    assert_eq!(exported(&into), s.export());
    // Its picture is nowhere near the file, and is named.
    let photo = &into.photos(s.point).unwrap()[0];
    assert_eq!(merged.pictures.lacking[0].sha256, photo.body.sha256);
    assert!(!merged.pictures.lacking[0].changed);

    fs::write(&file, "{\"id\":").unwrap();
    let Err(BookError::Import(faults)) = into.merge(&file, false) else {
        panic!("half a line was taken")
    };
    assert_eq!(faults[0].line, 1);
}

#[test]
fn from_is_never_written_to() {
    let s = rich();
    // Open, with records that lie in -wal only.
    let wal = fs::metadata(beside(&s.path(), "-wal")).unwrap().len();
    assert!(wal > 0);
    let before = bytes_of(s.folder.path());
    let (_folder, into) = empty();
    merge(&into, &s.path());
    assert_eq!(bytes_of(s.folder.path()), before);
    assert_eq!(exported(&into), s.export());
    // Nothing is left beside the book that was merged into.
    let mut names: Vec<String> = fs::read_dir(into.path().parent().unwrap())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(
        names,
        [
            "into.book",
            "into.book-shm",
            "into.book-wal",
            "into.book.photos"
        ]
    );
}

#[test]
fn the_same_id_with_other_content_is_named_record_by_record_and_nothing_comes() {
    let s = Sample::new();
    let frame = record(a_frame(s.point, 1));
    let plot = record(a_plot(s.planting, "2"));
    s.book.append(vec![frame.clone(), plot.clone()]).unwrap();
    let (_folder, other) = twin(&Sample::new());
    drop(other);
    let (_folder, other) = empty();
    let changed = s
        .export()
        .replace("\"name\":\"2\"", "\"name\":\"two\"")
        .replace("\"cell\":3", "\"cell\":4");
    other.import(changed.as_bytes()).unwrap();
    other.append(vec![record(a_site())]).unwrap();

    let before = s.export();
    let error = s.book.merge(other.path(), false).unwrap_err();
    let said = error.to_string();
    let BookError::Clashes { clashes, .. } = error else {
        panic!("{said}")
    };
    let mut named: Vec<RecordId> = clashes.iter().map(|clash| clash.record).collect();
    named.sort();
    assert_eq!(named, [frame.id, plot.id]);
    assert!(said.contains("name is `2` here and `two` there"), "{said}");
    assert!(
        said.contains("tallies[0].cell is `3` here and `4` there"),
        "{said}"
    );
    assert_eq!(s.export(), before);
    assert!(s.book.merge(other.path(), true).is_err(), "looking as well");

    // A part that only one of them has is as much another content.
    let (_folder, fewer) = empty();
    let none = before.replace(
        "[{\"cell\":3,\"what\":{\"taxon\":\"andropogon_gerardi\"},\"plants\":null}]",
        "[]",
    );
    assert_ne!(none, before);
    fewer.import(none.as_bytes()).unwrap();
    for (one, other) in [(&s.book, &fewer), (&fewer, &s.book)] {
        let error = one.merge(other.path(), false).unwrap_err();
        assert!(
            matches!(&error, BookError::Clashes { clashes, .. } if clashes.len() == 1),
            "{error}"
        );
    }
}

#[test]
fn two_corrections_are_for_people_to_settle_and_stay_settled() {
    let s = Sample::new();
    let (_folder, other) = twin(&s);
    let east = s.keep(correction(s.plot, 10, a_plot(s.planting, "east")));
    let west = Record {
        author: "B. Reed".into(),
        ..correction(s.plot, 20, a_plot(s.planting, "west"))
    };
    other.append(vec![west.clone()]).unwrap();
    let merged = merge(&s.book, other.path());
    let [twice] = &merged.corrected_twice[..] else {
        panic!("{merged:?}")
    };
    assert_eq!((twice.root, twice.kind.as_str()), (s.plot, "plot"));
    assert_eq!((twice.current.id, twice.others[0].id), (west.id, east));
    let differs = &twice.others[0].differs;
    assert_eq!(differs.len(), 1);
    assert_eq!(
        (differs[0].one.as_str(), differs[0].other.as_str()),
        ("west", "east")
    );
    assert_eq!(s.book.both_corrected().unwrap(), merged.corrected_twice);
    // A merge that brings nothing of it does not tell of it again; the book still does.
    assert!(merge(&s.book, other.path()).corrected_twice.is_empty());

    // The one that does not count now is right.
    assert!(s.book.settle(east, "C. Moor", "laptop").unwrap());
    assert_eq!(s.book.plot(s.plot).unwrap().unwrap().body.name, "east");
    assert!(s.book.both_corrected().unwrap().is_empty());
    let records = s.export().lines().count();
    assert!(!s.book.settle(east, "C. Moor", "laptop").unwrap(), "once");
    assert_eq!(s.export().lines().count(), records);
    // Corrected once more, it is no quarrel again; and the other book learns of all of it.
    let current = s.book.plot(s.plot).unwrap().unwrap().id;
    s.keep(Record {
        born_at: crate::time::later(crate::time::now(), "9999-01-01T00:00:00.000Z"),
        ..correction(current, 1, a_plot(s.planting, "east of the road"))
    });
    assert!(s.book.both_corrected().unwrap().is_empty());
    assert!(merge(&other, &s.path()).corrected_twice.is_empty());
    assert_eq!(content(&other), content(&s.book));
    assert_eq!(
        other.plot(s.plot).unwrap().unwrap().body.name,
        "east of the road"
    );
}

#[test]
fn the_same_correction_made_twice_is_no_quarrel_and_a_return_to_the_start_is() {
    let s = Sample::new();
    let one = s.keep(correction(s.plot, 10, a_plot(s.planting, "east")));
    s.keep(correction(s.plot, 20, a_plot(s.planting, "east")));
    assert!(s.book.both_corrected().unwrap().is_empty());
    // "1" is what both started from: saying it again on one way is not the other's answer.
    s.keep(correction(one, 5, a_plot(s.planting, "1")));
    assert_eq!(s.book.both_corrected().unwrap().len(), 1);
}

#[test]
fn what_does_not_fit_together_is_taken_and_told() {
    let s = Sample::new();
    let (_folder, other) = twin(&s);
    let mine = s.keep(record(an_unknown(s.visit, 2, s.point)));
    let theirs = record(Unknown {
        description: "blue, upright".into(),
        ..an_unknown(s.visit, 2, s.point)
    });
    other.append(vec![theirs.clone()]).unwrap();
    let merged = merge(&s.book, other.path());
    assert_eq!(merged.misfits.len(), 1);
    assert_eq!(
        (merged.misfits[0].record, merged.misfits[0].what.as_str()),
        (theirs.id, "unknown 2")
    );
    let numbers: Vec<_> = s
        .book
        .unknowns(s.visit)
        .unwrap()
        .iter()
        .map(|u| (u.id, u.body.number))
        .collect();
    assert_eq!(numbers, [(s.unknown, 1), (mine, 2), (theirs.id, 2)]);
    // An exchange file of such a book can be merged as well, and it can go on.
    let (folder, third) = empty();
    let file = folder.path().join("both.jsonl");
    fs::write(&file, s.export()).unwrap();
    assert_eq!(merge(&third, &file).misfits.len(), 2, "each of the other");
    third
        .append(vec![correction(
            theirs.id,
            1,
            an_unknown(s.visit, 3, s.point),
        )])
        .unwrap();
}

#[test]
fn two_names_for_one_plant_are_told_until_a_third_agrees() {
    let s = Sample::new();
    let (_folder, other) = twin(&s);
    let opinion = |author: &str, second: u8, taxon: &str| Record {
        author: author.into(),
        born_at: format!("2026-08-01T10:00:{second:02}.000Z"),
        ..record(Opinion {
            taxon: Some(taxon.into()),
            ..an_opinion(s.unknown)
        })
    };
    s.book
        .append(vec![opinion("A. Fenn", 1, "sorghastrum_nutans")])
        .unwrap();
    other
        .append(vec![opinion("B. Reed", 2, "panicum_virgatum")])
        .unwrap();
    let merged = merge(&s.book, other.path());
    let [apart] = &merged.named_apart[..] else {
        panic!("{merged:?}")
    };
    assert_eq!((apart.what.as_str(), apart.root), ("unknown 1", s.unknown));
    assert_eq!(
        (apart.last.author.as_str(), apart.before.author.as_str()),
        ("B. Reed", "A. Fenn")
    );
    assert_eq!(s.book.named_apart().unwrap(), merged.named_apart);
    // Repeating oneself settles nothing.
    s.book
        .append(vec![opinion("B. Reed", 3, "panicum_virgatum")])
        .unwrap();
    assert_eq!(s.book.named_apart().unwrap().len(), 1);
    s.book
        .append(vec![opinion("C. Moor", 4, "panicum_virgatum")])
        .unwrap();
    assert!(s.book.named_apart().unwrap().is_empty());
}

#[test]
fn an_older_book_is_brought_over_and_a_newer_one_refused() {
    let folder = tempfile::tempdir().unwrap();
    let old = folder.path().join("old.book");
    drop(version_1(&old, ""));
    let before = fs::read(&old).unwrap();
    let (_folder, into) = empty();
    let merged = merge(&into, &old);
    assert_eq!(
        fs::read(&old).unwrap(),
        before,
        "the old file stays as it is"
    );
    assert_eq!(merged.counts.all.new, EXPORT.lines().count());
    assert_eq!(exported(&into), EXPORT);

    let conn = rusqlite::Connection::open(&old).unwrap();
    conn.pragma_update(None, "user_version", SCHEMA_VERSION + 1)
        .unwrap();
    drop(conn);
    let expected = BookError::NewerVersion {
        path: old.clone(),
        found: SCHEMA_VERSION + 1,
        known: SCHEMA_VERSION,
    };
    assert_eq!(into.merge(&old, false).unwrap_err(), expected);
}

#[test]
fn what_is_no_sound_book_is_refused_and_nothing_changes() {
    let s = rich();
    let (folder, into) = empty();
    into.append(vec![record(a_site())]).unwrap();
    let before = exported(&into);
    let file = folder.path().join("from");
    let refused = |bytes: &[u8]| {
        fs::write(&file, bytes).unwrap();
        let error = into.merge(&file, false).unwrap_err();
        assert_eq!(exported(&into), before);
        error.to_string()
    };
    assert!(refused(b"").contains("empty"));
    assert!(refused(b"id,name\n1,2\n").contains("exchange file"));
    let path = s.path();
    drop(s.book);
    let whole = fs::read(&path).unwrap();
    refused(&whole[..whole.len() / 2]);
    let mut torn = whole.clone();
    for byte in &mut torn[8192..8192 + 4096] {
        *byte = 0xA5;
    }
    assert!(refused(&torn).contains("damaged"));

    // A book that another tool changed: a table of its own making, a chain torn apart.
    let tamper = |sql: &str| {
        fs::write(&file, &whole).unwrap();
        let conn = rusqlite::Connection::open(&file).unwrap();
        conn.pragma_update(None, "foreign_keys", false).unwrap();
        conn.execute_batch(sql).unwrap();
        drop(conn);
        let error = into.merge(&file, false).unwrap_err();
        assert_eq!(exported(&into), before);
        error.to_string()
    };
    assert!(tamper("ALTER TABLE photo ADD COLUMN place TEXT").contains("photo"));
    assert!(
        tamper("DROP TRIGGER record_no_update; UPDATE record SET root = (SELECT min(id) FROM record) WHERE supersedes IS NOT NULL")
            .contains("root")
    );
    assert!(tamper("DROP TRIGGER tally_no_growth; INSERT INTO tally VALUES ('0197f3a2-7c1e-7abc-8def-0123456789ab', 1, 3, 'x', NULL, NULL)").contains("refers to one that is not there"));
    // The book itself, under another spelling of its name.
    let own = into.path().parent().unwrap().join(".").join("into.book");
    assert!(
        into.merge(&own, false)
            .unwrap_err()
            .to_string()
            .contains("very book")
    );
}

#[test]
fn pictures_come_only_with_the_bytes_that_their_record_names() {
    let s = Sample::new();
    let picture = |n: u8| [&b"\xFF\xD8\xFF\xE0 picture "[..], &[n]].concat();
    let mut hashes = Vec::new();
    for n in 0..3 {
        let kept = s
            .book
            .add_photo(
                &picture(n),
                s.point,
                "",
                "A. Fenn",
                "phone",
                RecordId::new(),
            )
            .unwrap();
        let Body::Photo(photo) = kept.body else {
            panic!()
        };
        hashes.push(photo.sha256);
    }
    let lost = s.book.photo_path(&hashes[0]).unwrap();
    fs::remove_file(&lost).unwrap();
    let spoilt = s.book.photo_path(&hashes[1]).unwrap();
    fs::write(&spoilt, "other bytes").unwrap();
    let (_folder, into) = empty();
    let merged = merge(&into, &s.path());
    assert_eq!(merged.counts.kinds["photo"].new, 3, "their records come");
    assert_eq!(merged.pictures.copied, 1);
    let lacking: Vec<_> = merged
        .pictures
        .lacking
        .iter()
        .map(|l| (l.sha256.as_str(), l.changed))
        .collect();
    assert_eq!(
        lacking,
        [(hashes[0].as_str(), false), (hashes[1].as_str(), true)]
    );
    assert!(into.photo_path(&hashes[1]).is_none());
    assert_eq!(
        fs::read(into.photo_path(&hashes[2]).unwrap()).unwrap(),
        picture(2)
    );
    // Found again, merging once more brings them.
    fs::write(&lost, picture(0)).unwrap();
    fs::write(&spoilt, picture(1)).unwrap();
    let again = merge(&into, &s.path());
    assert_eq!((again.counts.all.new, again.pictures.copied), (0, 2));
    assert!(into.photo_path(&hashes[1]).is_some());
}

#[test]
fn a_full_disk_leaves_the_book_as_it_was() {
    let s = Sample::new();
    for number in 1..200 {
        s.keep(record(a_frame(s.point, number)));
    }
    let (_folder, into) = empty();
    into.append(vec![record(a_site())]).unwrap();
    let before = exported(&into);
    // A limit on pages gives the same answer as a full disk: SQLITE_FULL.
    into.on_writer(|conn| {
        let pages: i64 = conn
            .pragma_query_value(None, "page_count", |row| row.get(0))
            .unwrap();
        conn.pragma_update(None, "max_page_count", pages + 5)
            .unwrap();
    });
    let error = into.merge(&s.path(), false).unwrap_err();
    assert!(matches!(error, BookError::Full { .. }), "{error}");
    assert_eq!(exported(&into), before);
    assert_sound(&into);
    into.on_writer(|conn| {
        conn.pragma_update(None, "max_page_count", 1_000_000)
            .unwrap()
    });
    assert_eq!(
        merge(&into, &s.path()).counts.all.new,
        s.export().lines().count()
    );
}

#[test]
fn a_book_for_viewing_takes_nothing() {
    let s = Sample::new();
    let (_folder, into) = empty();
    let path = into.path().to_owned();
    drop(into);
    let viewed = Book::open_read_only(&path).unwrap();
    let error = viewed.merge(&s.path(), true).unwrap_err();
    assert!(matches!(error, BookError::ReadOnly { .. }), "{error}");
}
