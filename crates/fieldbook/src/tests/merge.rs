//! Two books become one: the union, what FROM may be, pictures. What people have to settle is in
//! `merge_settle`, what is refused in `merge_refused`.

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
pub(super) fn twin(of: &Sample) -> (tempfile::TempDir, Book) {
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

pub(super) fn empty() -> (tempfile::TempDir, Book) {
    let folder = tempfile::tempdir().unwrap();
    let book = Book::create(folder.path().join("into.book")).unwrap();
    (folder, book)
}

#[track_caller]
pub(super) fn merge(into: &Book, from: &Path) -> Merged {
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
