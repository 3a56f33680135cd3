//! Practice that was removed is gone, from every table and from the bytes of the file; nothing else is.

use super::*;
use crate::Kept;

fn practised(scout: &str, born_at: &str) -> Record {
    Record {
        born_at: born_at.into(),
        ..record(a_practice(scout))
    }
}

#[test]
fn a_removal_takes_one_persons_practice_until_its_instant() {
    let s = Sample::new();
    let before = s.keep(Record {
        born_at: "2026-08-01T00:00:00.000Z".into(),
        ..record(Practice {
            drill: Drill::CountFrame,
            cells: vec![a_cell(3)],
            ..a_practice("Wren Hollis")
        })
    });
    // Names that differ in capitals and spaces are one person's.
    let same = s.keep(practised(" wren hollis", "2026-08-09T23:59:59.999Z"));
    let after = s.keep(practised("Wren Hollis", "2026-08-10T00:00:00.001Z"));
    let ahead = s.keep(practised("Wren Hollis", "2099-01-01T00:00:00.000Z"));
    let others = s.keep(practised("A. Fenn", "2026-08-01T00:00:00.000Z"));
    assert_eq!(s.book.practice_of("WREN HOLLIS").unwrap().len(), 4);
    let rest = s.export();
    s.keep(record(PracticeRemoval {
        also: vec![ahead, others],
        ..a_removal("Wren Hollis")
    }));
    let left = s.book.practice_of("Wren Hollis").unwrap();
    assert_eq!(left.iter().map(|it| it.id).collect::<Vec<_>>(), [after]);
    for gone in [before, same, ahead] {
        assert_eq!(s.book.get(gone).unwrap(), None);
        assert_eq!(s.book.practice(gone).unwrap(), None);
    }
    // A removal of hers names a record of his in vain.
    assert!(s.book.get(others).unwrap().is_some());
    let left_over: i64 = s
        .book
        .ask(|conn| {
            conn.query_row(
                "SELECT (SELECT count(*) FROM practice_reading) - 2 * (SELECT count(*) FROM practice)
                      + (SELECT count(*) FROM practice_cell)",
                [],
                |row| row.get(0),
            )
        })
        .unwrap();
    assert_eq!(left_over, 0, "rows without their whole");
    // Everything else is as it was, and the removal has come.
    let now = s.export();
    let same: Vec<&str> = rest.lines().filter(|line| now.contains(line)).collect();
    assert_eq!(same.len(), rest.lines().count() - 3);
    assert_eq!(now.lines().count(), rest.lines().count() - 3 + 1);
    assert!(!now.contains("wren hollis"));
    assert_sound(&s.book);
}

#[test]
fn what_comes_late_from_a_phone_is_taken_and_goes() {
    let s = Sample::new();
    s.keep(record(a_removal("Wren Hollis")));
    let late = practised("Wren Hollis", "2026-08-01T00:00:00.000Z");
    // The phone is told that it was kept, and forgets it.
    assert_eq!(s.book.append(vec![late.clone()]).unwrap(), [Kept::New]);
    assert_eq!(s.book.get(late.id).unwrap(), None);
    // By an exchange file too.
    let line = serde_json::to_string(&late).unwrap();
    s.book.import(line.as_bytes()).unwrap();
    assert_eq!(s.book.get(late.id).unwrap(), None);
}

#[test]
fn a_merge_carries_removals_both_ways_and_brings_nothing_back() {
    let (one, two) = (Sample::new(), Sample::new());
    let kept = practised("Wren Hollis", "2026-08-01T00:00:00.000Z");
    one.book.append(vec![kept.clone()]).unwrap();
    two.book.import(one.export().as_bytes()).unwrap();
    one.keep(record(a_removal("Wren Hollis")));

    // What was removed here does not come back from there.
    let merged = one.book.merge(&two.path(), false).unwrap();
    assert_eq!(merged.counts.all.left_out, 1);
    assert_eq!(merged.counts.kinds["practice"].left_out, 1);
    assert_eq!(one.book.get(kept.id).unwrap(), None);
    let again = one.book.merge(&two.path(), false).unwrap();
    assert_eq!((again.counts.all.new, again.counts.all.left_out), (0, 1));
    // And what was removed here goes there.
    let looked = two.book.merge(&one.path(), true).unwrap();
    assert_eq!(looked.counts.kinds["practice_removal"].new, 1);
    assert!(two.book.get(kept.id).unwrap().is_some(), "only looked at");
    two.book.merge(&one.path(), false).unwrap();
    assert_eq!(two.book.get(kept.id).unwrap(), None);
    assert_sound(&one.book);
    assert_sound(&two.book);
}

#[test]
fn no_byte_of_it_stays_in_the_files_of_the_book() {
    let s = Sample::new();
    let secret = "Quillon Vetchmarsh";
    for minute in 10..40 {
        s.keep(practised(
            secret,
            &format!("2026-08-01T00:{minute}:00.000Z"),
        ));
    }
    let read = |path: &std::path::Path| std::fs::read(path).unwrap_or_default();
    let holds = |bytes: &[u8]| {
        bytes
            .windows(secret.len())
            .any(|it| it == secret.as_bytes())
    };
    let log = crate::open::beside(&s.path(), "-wal");
    assert!(holds(&read(&s.path())) || holds(&read(&log)));
    s.keep(record(a_removal(secret)));
    // Several readings of pages hold nothing open.
    assert!(!holds(&read(&s.path())), "in the book");
    assert!(!holds(&read(&log)), "in its log");
}

/// Whatever tool is used, nothing goes that no removal covers.
#[test]
fn triggers_let_go_what_is_covered_and_nothing_else() {
    let s = Sample::new();
    let id = s.keep(practised("Wren Hollis", "2026-08-01T00:00:00.000Z"));
    s.book.on_writer(move |conn| {
        for sql in [
            format!("DELETE FROM record WHERE id = '{id}'"),
            format!("DELETE FROM practice WHERE id = '{id}'"),
            "DELETE FROM practice_reading".to_owned(),
        ] {
            let error = conn.execute(&sql, []).expect_err(&sql).to_string();
            assert!(error.contains("append-only"), "{sql}: {error}");
        }
    });
    s.keep(record(a_removal("Wren Hollis")));
    s.book.on_writer(|conn| {
        for sql in [
            "DELETE FROM practice_removal",
            "DELETE FROM record WHERE kind = 'practice_removal'",
        ] {
            let error = conn.execute(sql, []).expect_err(sql).to_string();
            assert!(error.contains("append-only"), "{sql}: {error}");
        }
    });
}
