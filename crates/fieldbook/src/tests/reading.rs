//! Questions cost what they ask for, not what the book holds.

use rusqlite::StatementStatus;

use super::*;
use crate::read::{any, select};

/// Steps of SQLite's machine for all plantings of the book.
fn steps(s: &Sample) -> i32 {
    let steps = s.book.ask(|conn| {
        let mut plantings = conn.prepare(&select::<Planting>(&any::<Planting>()))?;
        let found = plantings.query_map([], |_| Ok(()))?.count();
        assert_eq!(found, 1);
        Ok(plantings.get_status(StatementStatus::VmStep))
    });
    steps.unwrap()
}

#[test]
fn plantings_are_found_without_going_through_the_frames() {
    let s = Sample::new();
    let before = steps(&s);
    let frames = (1..=300).map(|number| record(a_frame(s.point, number)));
    s.book.append(frames.collect()).unwrap();
    assert_eq!(steps(&s), before);
}

#[test]
fn what_is_counted_is_what_is_read() {
    let s = Sample::new();
    let other = record(Point {
        label: "2".into(),
        ..s.book.point(s.point).unwrap().unwrap().body
    });
    let other = s.keep(other);
    for (point, number) in [(s.point, 1), (s.point, 2), (other, 1)] {
        s.keep(record(a_frame(point, number)));
    }
    s.keep(record(a_determination(other)));
    // A correction is no further one, and what was read at a point stays with its new version.
    let moved = Point {
        label: "3".into(),
        ..s.book.point(other).unwrap().unwrap().body
    };
    s.keep(correction(other, 1, moved));
    let first = s.book.frames_at(s.point).unwrap()[0].id;
    s.keep(correction(first, 2, a_frame(s.point, 1)));

    let book = &s.book;
    assert_eq!(book.count_points(s.visit).unwrap(), 2);
    assert_eq!(book.points(s.visit).unwrap().len(), 2);
    assert_eq!(book.count_frames(s.visit).unwrap(), 3);
    assert_eq!(book.frames(s.visit).unwrap().len(), 3);
    for (point, frames, plants) in [(s.point, 2, 0), (other, 1, 1)] {
        assert_eq!(book.count_frames_at(point).unwrap(), frames);
        assert_eq!(book.frames_at(point).unwrap().len(), frames);
        assert_eq!(book.count_determinations_at(point).unwrap(), plants);
        assert_eq!(book.determinations_at(point).unwrap().len(), plants);
    }
}

/// The number is kept in memory, and must not outlive what anybody writes.
#[test]
fn records_are_counted_anew_when_somebody_has_written() {
    let s = Sample::new();
    let before = s.book.count().unwrap();
    assert_eq!(s.book.count().unwrap(), before);
    s.keep(record(a_frame(s.point, 1)));
    assert_eq!(s.book.count().unwrap(), before + 1);
    // Another program with the same book.
    let other = Book::open(s.book.path()).unwrap();
    other.append(vec![record(a_frame(s.point, 2))]).unwrap();
    assert_eq!(s.book.count().unwrap(), before + 2);
    assert_eq!(other.count().unwrap(), before + 2);
    drop(other);
    assert_eq!(s.book.count().unwrap(), before + 2);
}
