//! What merging refuses, with the book as it was.

use std::fs;

use super::exchange::rich;
use super::merge::{empty, merge, twin};
use super::*;
use crate::BookError;

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
