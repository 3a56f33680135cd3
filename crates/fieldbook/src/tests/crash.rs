//! A program killed, and a log cut off or damaged: every acknowledged record is there.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};
use std::time::Duration;

use super::*;
use crate::open::beside;

/// Set for the child that appends until it is killed; its value is the book.
const CHILD: &str = "STANDBOOK_TEST_KILLED_CHILD";
/// The point under which the child appends.
const POINT: &str = "STANDBOOK_TEST_KILLED_POINT";

/// Not a test of its own: the body of the child. Without the variable it does nothing.
#[test]
fn killed_child() {
    let Some(path) = std::env::var_os(CHILD) else {
        return;
    };
    let book = Book::open(path).unwrap();
    let point: RecordId = std::env::var(POINT).unwrap().parse().unwrap();
    let first = book.next_frame_number(point).unwrap();
    std::thread::scope(|scope| {
        for thread in 0..4 {
            let book = &book;
            scope.spawn(move || {
                for n in 0..1_000_000 {
                    let frame = Frame {
                        scout: format!("scout {thread}"),
                        ..a_frame(point, first + n)
                    };
                    let frame = record(frame);
                    let id = frame.id;
                    book.append(vec![frame]).unwrap();
                    // One write for the line, so that a kill cannot mix two.
                    let line = format!("ack {id}\n");
                    std::io::stdout().lock().write_all(line.as_bytes()).unwrap();
                    std::io::stdout().lock().flush().unwrap();
                }
            });
        }
    });
}

#[test]
fn every_record_acknowledged_before_a_kill_is_there_after_it() {
    const KILLS: u64 = 6;
    let s = Sample::new();
    let (path, point) = (s.path(), s.point);
    drop(s.book);
    let mut acknowledged: Vec<RecordId> = Vec::new();
    for kill in 0..KILLS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "tests::crash::killed_child", "--nocapture"])
            .env(CHILD, &path)
            .env(POINT, point.to_string())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        // The clock starts with the first acknowledgement, so that every run has something to lose.
        let first = lines
            .by_ref()
            .map(Result::unwrap)
            .find_map(|line| acknowledgement(&line));
        acknowledged.push(first.expect("the child never acknowledged anything"));
        let reader = std::thread::spawn(move || {
            lines
                .map_while(Result::ok)
                .filter_map(|line| acknowledgement(&line))
                .collect::<Vec<_>>()
        });
        // A moment that differs from kill to kill and from run to run.
        let now = std::time::SystemTime::UNIX_EPOCH
            .elapsed()
            .unwrap()
            .subsec_nanos();
        std::thread::sleep(Duration::from_micros(
            5_000 + kill * 10_000 + u64::from(now % 40_000),
        ));
        child.kill().unwrap();
        child.wait().unwrap();
        acknowledged.extend(reader.join().unwrap());

        let book = Book::open(&path).unwrap();
        assert_sound(&book);
        let held: std::collections::HashSet<RecordId> = book
            .frames_at(point)
            .unwrap()
            .into_iter()
            .map(|frame| frame.id)
            .collect();
        let lost: Vec<_> = acknowledged
            .iter()
            .filter(|id| !held.contains(id))
            .collect();
        assert!(lost.is_empty(), "lost after kill {kill}: {lost:?}");
        // Whatever else is there is whole.
        for frame in book.frames_at(point).unwrap() {
            assert_eq!(frame.body.tallies.len(), 1);
        }
    }
    assert!(
        acknowledged.len() as u64 > KILLS,
        "the kills came too early to mean anything"
    );
    drop(s.folder);
}

fn acknowledgement(line: &str) -> Option<RecordId> {
    // The test harness prints on the same stream, and may do so at the start of this very line.
    let (_, id) = line.split_once("ack ")?;
    id.parse().ok()
}

/// A book with 60 frames that lie in -wal only, copied with a changed -wal, must open and hold a prefix.
#[track_caller]
fn assert_prefix(main: &[u8], wal: &[u8], point: RecordId, acknowledged: &[RecordId]) -> usize {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("copy.book");
    std::fs::write(&path, main).unwrap();
    std::fs::write(beside(&path, "-wal"), wal).unwrap();
    let book = Book::open(&path).unwrap();
    assert_sound(&book);
    let held: Vec<RecordId> = book
        .frames_at(point)
        .unwrap()
        .into_iter()
        .map(|frame| frame.id)
        .collect();
    assert_eq!(held, acknowledged[..held.len()]);
    for frame in book.frames_at(point).unwrap() {
        assert_eq!(frame.body.tallies.len(), 1, "half a frame");
    }
    // And it goes on from there.
    if book.point(point).unwrap().is_some() {
        book.append(vec![record(a_frame(point, 9_000))]).unwrap();
    }
    held.len()
}

/// A small generator, so that a failure can be repeated (Knuth's MMIX constants, memory).
fn random(state: &mut u64) -> usize {
    *state = state
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407);
    (*state >> 33) as usize
}

fn logged() -> (Vec<u8>, Vec<u8>, RecordId, Vec<RecordId>) {
    let s = Sample::new();
    let acknowledged: Vec<RecordId> = (1..=60)
        .map(|number| s.keep(record(a_frame(s.point, number))))
        .collect();
    let main = std::fs::read(s.path()).unwrap();
    let wal = std::fs::read(beside(&s.path(), "-wal")).unwrap();
    (main, wal, s.point, acknowledged)
}

#[test]
fn a_log_cut_off_anywhere_opens_and_holds_a_prefix() {
    let (main, wal, point, acknowledged) = logged();
    assert_eq!(
        assert_prefix(&main, &wal, point, &acknowledged),
        60,
        "the whole log"
    );
    assert_eq!(assert_prefix(&main, &[], point, &acknowledged), 0, "no log");
    let (mut state, mut between) = (7, 0);
    for _ in 0..200 {
        let held = assert_prefix(
            &main,
            &wal[..random(&mut state) % wal.len()],
            point,
            &acknowledged,
        );
        between += usize::from(held > 0 && held < 60);
    }
    assert!(between > 40, "only {between} cuts fell between records");
}

#[test]
fn a_log_with_a_bit_flipped_opens_and_holds_a_prefix() {
    let (main, wal, point, acknowledged) = logged();
    let mut state = 11;
    for _ in 0..100 {
        let mut damaged = wal.clone();
        let at = random(&mut state) % damaged.len();
        damaged[at] ^= 1 << (random(&mut state) % 8);
        assert_prefix(&main, &damaged, point, &acknowledged);
    }
}
