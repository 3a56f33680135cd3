//! Many phones that come back at once: every record is in the book, once, however often it is sent.

use std::path::Path;
use std::time::{Duration, Instant};

use rusqlite::Connection;

use crate::outbox::{Waiting, send_all};
use crate::phones::{let_in, phones_port};
use crate::program::{PROGRAM, Server};

/// Phones, and forms on each. The real thing is 20 with 500 (`STANDBOOK_SYNC=500`, in release).
const PHONES: usize = 20;
const EACH: usize = 25;

/// Forms sent together, as the phone's script does.
const TOGETHER: usize = 5;

/// An id of a form: version 7 and a number of its own.
fn id(phone: usize, at: usize) -> String {
    format!("019f60ea-c054-7{phone:03x}-8000-{at:012x}")
}

fn outbox(points: &[String], phone: usize, forms: std::ops::Range<usize>) -> Vec<Waiting> {
    let forms = forms.map(|at| {
        let point = format!("/at/{}", points[(at * 7 + phone) % points.len()]);
        let (number, cell) = (at as u32 + 1, at as u32 % 25 + 1);
        let scout = format!("Scout {phone}");
        Waiting::frame(&id(phone, at), &point, number, &scout, &[cell])
    });
    forms.collect()
}

fn ids_of(book: &Path, table: &str) -> Vec<String> {
    let book = Connection::open(book).unwrap();
    let mut ids = book
        .prepare(&format!("SELECT id FROM {table} ORDER BY id"))
        .unwrap();
    let ids = ids.query_map([], |row| row.get(0)).unwrap();
    ids.map(Result::unwrap).collect()
}

#[test]
fn twenty_phones_come_back_at_once() {
    let each = std::env::var("STANDBOOK_SYNC").map_or(EACH, |n| n.parse().unwrap());
    let folder = tempfile::tempdir().unwrap();
    let mut command = std::process::Command::new(PROGRAM);
    command
        .args(["demo", "--port", "0", "--share", "0", "--folder"])
        .arg(folder.path());
    let server = Server::start(&mut command);
    let door = phones_port(&server);
    let book = folder.path().join("demo.standbook");
    let points = ids_of(&book, "point");
    let before = ids_of(&book, "frame").len();
    let keys: Vec<String> = (0..PHONES)
        .map(|phone| let_in(server.port, door, &format!("Scout+{phone}")))
        .collect();
    let start = Instant::now();
    let mut taken: Vec<Duration> = std::thread::scope(|scope| {
        let phones: Vec<_> = keys
            .iter()
            .enumerate()
            .map(|(phone, key)| {
                let points = &points;
                scope.spawn(move || {
                    let mut taken = Vec::new();
                    for from in (0..each).step_by(TOGETHER) {
                        let forms = from..(from + TOGETHER).min(each);
                        let items = outbox(points, phone, forms);
                        // The first answer is lost on the way, every third time.
                        for _ in 0..=usize::from((from / TOGETHER).is_multiple_of(3)) {
                            let start = Instant::now();
                            let said = send_all(door, key, &items).unwrap();
                            taken.push(start.elapsed());
                            assert_eq!(said.kept.len(), items.len(), "{said:?}");
                        }
                    }
                    taken
                })
            })
            .collect();
        let phones = phones.into_iter();
        phones.flat_map(|phone| phone.join().unwrap()).collect()
    });
    let all = start.elapsed();
    taken.sort_unstable();
    let at = |share: f64| taken[((taken.len() - 1) as f64 * share) as usize];
    println!(
        "{} records in {all:.1?}; an answer to {TOGETHER}: median {:.1?}, p99 {:.1?}",
        PHONES * each,
        at(0.5),
        at(0.99)
    );
    let frames = ids_of(&book, "frame");
    assert_eq!(frames.len() - before, PHONES * each);
    for phone in 0..PHONES {
        for at in 0..each {
            assert!(frames.binary_search(&id(phone, at)).is_ok());
        }
    }
}
