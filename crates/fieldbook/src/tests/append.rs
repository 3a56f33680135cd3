//! Keeping records: order, second sending, conflict, neighbours, many at once.

use super::*;
use crate::{BookError, Kept};

#[test]
fn a_call_may_come_in_any_order_and_answers_in_the_order_given() {
    let folder = tempfile::tempdir().unwrap();
    let book = Book::create(folder.path().join("b")).unwrap();
    let site = record(a_site());
    let planting = record(a_planting(site.id));
    let plot = record(a_plot(planting.id, "1"));
    let better = correction(plot.id, 1, a_plot(planting.id, "one"));
    book.append(vec![site.clone()]).unwrap();
    let kept = book.append(vec![better, plot, site, planting]).unwrap();
    assert_eq!(kept, [Kept::New, Kept::New, Kept::Already, Kept::New]);
    assert_sound(&book);
}

#[test]
fn sending_again_changes_nothing_and_keeps_the_first_receipt() {
    let sample = Sample::new();
    let mut frame = record(a_frame(sample.point, 1));
    assert_eq!(
        sample.book.append(vec![frame.clone()]).unwrap(),
        [Kept::New]
    );
    let before = sample.export();
    frame.received_at = Some("2030-01-01T00:00:00.000Z".into());
    assert_eq!(
        sample.book.append(vec![frame.clone(), frame]).unwrap(),
        [Kept::Already, Kept::Already]
    );
    assert_eq!(sample.export(), before);
}

#[test]
fn what_would_be_kept_is_said_and_nothing_is_written() {
    let sample = Sample::new();
    let (one, two) = (a_frame(sample.point, 1), a_frame(sample.point, 2));
    let (known, new) = (record(one.clone()), record(two));
    sample.keep(known.clone());
    let before = sample.export();
    let would = sample.book.would_append(&[known, new.clone()]);
    assert_eq!(would.unwrap(), [Kept::Already, Kept::New]);
    // The same number by the same scout, as `append` would refuse it.
    let again = record(one);
    let refused = sample.book.would_append(std::slice::from_ref(&again));
    assert_eq!(refused, sample.book.append(vec![again]));
    assert!(matches!(refused, Err(BookError::Invalid(_))));
    assert_eq!(sample.export(), before);
    sample.keep(new);
}

#[test]
fn received_at_is_set_by_the_book() {
    let sample = Sample::new();
    let mut frame = record(a_frame(sample.point, 1));
    frame.received_at = Some("1999-01-01T00:00:00.000Z".into());
    let before = crate::time::now();
    let id = sample.keep(frame);
    let received = sample.book.get(id).unwrap().unwrap().received_at.unwrap();
    assert!(
        before <= received && received <= crate::time::now(),
        "{received}"
    );
}

#[test]
fn the_same_id_with_other_content_is_a_conflict_and_nothing_of_the_call_is_kept() {
    let sample = Sample::new();
    let frame = record(a_frame(sample.point, 1));
    sample.keep(frame.clone());
    let before = sample.export();
    let other = Record {
        body: a_frame(sample.point, 7).into(),
        ..frame.clone()
    };
    let innocent = record(a_frame(sample.point, 2));
    let error = sample.book.append(vec![innocent, other]).unwrap_err();
    assert_eq!(error, BookError::Conflict { id: frame.id });
    // A conflict inside one call as well.
    let first = record(a_frame(sample.point, 3));
    let second = Record {
        author: "B. Reed".into(),
        ..first.clone()
    };
    let error = sample.book.append(vec![first.clone(), second]).unwrap_err();
    assert_eq!(error, BookError::Conflict { id: first.id });
    assert_eq!(sample.export(), before);
}

#[test]
fn one_bad_record_keeps_its_whole_call_out() {
    let sample = Sample::new();
    let before = sample.export();
    let good = record(a_frame(sample.point, 1));
    let bad = record(Frame {
        scout: String::new(),
        ..a_frame(sample.point, 2)
    });
    assert!(matches!(
        sample.book.append(vec![good, bad]),
        Err(BookError::Invalid(_))
    ));
    assert_eq!(sample.export(), before);
}

#[test]
fn an_empty_call_is_nothing() {
    let sample = Sample::new();
    assert_eq!(sample.book.append(vec![]).unwrap(), []);
}

#[test]
fn sixteen_threads_are_all_acknowledged_and_bad_calls_spoil_no_neighbour() {
    const THREADS: u32 = 16;
    const EACH: u32 = 25;
    let sample = Sample::new();
    let acknowledged: Vec<RecordId> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..THREADS)
            .map(|thread| {
                let (book, point) = (sample.book.clone(), sample.point);
                scope.spawn(move || {
                    let mut acknowledged = Vec::new();
                    for n in 0..EACH {
                        let frame = record(a_frame(point, thread * EACH + n + 1));
                        if n % 5 == 4 {
                            let bad = record(Frame {
                                number: 0,
                                ..a_frame(point, 1)
                            });
                            assert!(book.append(vec![frame, bad]).is_err());
                        } else {
                            acknowledged.push(frame.id);
                            assert_eq!(book.append(vec![frame]).unwrap(), [Kept::New]);
                        }
                    }
                    acknowledged
                })
            })
            .collect();
        threads
            .into_iter()
            .flat_map(|thread| thread.join().unwrap())
            .collect()
    });
    assert_eq!(acknowledged.len(), 16 * 20);
    let mut held: Vec<RecordId> = sample
        .book
        .frames_at(sample.point)
        .unwrap()
        .into_iter()
        .map(|frame| frame.id)
        .collect();
    held.sort();
    let mut expected = acknowledged;
    expected.sort();
    assert_eq!(held, expected);
    assert_sound(&sample.book);
}

#[test]
fn calls_that_wait_together_share_one_transaction() {
    let sample = Sample::new();
    let commits = |book: &Book| -> i64 {
        // Counted from outside: frames of -wal with the commit mark.
        let wal = std::fs::read(crate::open::beside(book.path(), "-wal")).unwrap();
        let page = 4096 + 24;
        // Source: sqlite.org "WAL-mode File Format", 4: bytes 4..8 of a frame are 0 except in a commit frame.
        wal[32..]
            .chunks(page)
            .filter(|frame| frame.len() == page && frame[4..8] != [0; 4])
            .count() as i64
    };
    let before = commits(&sample.book);
    let (release, wait) = std::sync::mpsc::channel::<()>();
    let blocked = sample.book.clone();
    let holder = std::thread::spawn(move || blocked.on_writer(move |_| wait.recv().unwrap()));
    std::thread::scope(|scope| {
        for n in 1..=16 {
            let (book, point) = (sample.book.clone(), sample.point);
            scope.spawn(move || book.append(vec![record(a_frame(point, n))]).unwrap());
        }
        // Long enough for all sixteen to queue up; a slow machine only makes the test easier to pass.
        std::thread::sleep(std::time::Duration::from_millis(500));
        release.send(()).unwrap();
    });
    holder.join().unwrap();
    assert_eq!(sample.book.frames_at(sample.point).unwrap().len(), 16);
    let shared = commits(&sample.book) - before;
    assert!((1..16).contains(&shared), "{shared} commits for 16 calls");
}

#[test]
fn readers_do_not_wait_for_a_writer() {
    let sample = Sample::new();
    let reader = sample.book.clone();
    sample.book.on_writer(move |conn| {
        let tx = conn
            .transaction_with_behavior(rusqlite::TransactionBehavior::Exclusive)
            .unwrap();
        // Would fail with `Busy` after five seconds if it had to wait.
        assert_eq!(reader.sites().unwrap().len(), 1);
        drop(tx);
    });
}

#[test]
fn another_program_that_writes_for_long_makes_the_book_busy_and_loses_nothing() {
    let sample = Sample::new();
    let other = rusqlite::Connection::open(sample.path()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let frame = record(a_frame(sample.point, 1));
    let error = sample.book.append(vec![frame.clone()]).unwrap_err();
    assert!(matches!(error, BookError::Busy { .. }), "{error}");
    other.execute_batch("ROLLBACK").unwrap();
    assert_eq!(sample.book.append(vec![frame]).unwrap(), [Kept::New]);
}

#[test]
fn two_books_on_one_file_see_each_other() {
    let sample = Sample::new();
    let second = Book::open(sample.path()).unwrap();
    second
        .append(vec![record(a_frame(sample.point, 1))])
        .unwrap();
    sample
        .book
        .append(vec![record(a_frame(sample.point, 2))])
        .unwrap();
    assert_eq!(second.frames_at(sample.point).unwrap().len(), 2);
    assert_eq!(sample.book.next_frame_number(sample.point).unwrap(), 3);
}

#[test]
fn the_last_clone_closes_the_file_and_folds_the_log_in() {
    let sample = Sample::new();
    let (path, before) = (sample.path(), sample.export());
    let Sample { folder, book, .. } = sample;
    let clone = book.clone();
    drop(book);
    assert!(clone.sites().is_ok());
    drop(clone);
    assert!(!crate::open::beside(&path, "-wal").exists());
    assert_eq!(exported(&Book::open(&path).unwrap()), before);
    drop(folder);
}
