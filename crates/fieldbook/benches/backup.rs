//! How long a backup takes, and how long whoever saves has to wait meanwhile:
//! `cargo bench -p standbook-fieldbook --bench backup`.
//!
//! A book of 100,000 records. Aim: nobody waits more than 100 ms because of a backup. Records are
//! saved one after the other, at first alone and then while backups are made; what is printed is the
//! slowest and the median of each. The disk of the machine has its say in both.

mod big;

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use standbook_fieldbook::Book;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Body, Record};
use standbook_fieldbook::safe::backup::{Care, Rotation, folder_beside};

const RECORDS: usize = 100_000;

/// Backups made while somebody saves.
const BACKUPS: usize = 5;

/// A point of the book, to record something at.
fn any_point(book: &Book) -> RecordId {
    let planting = &book.plantings().expect("read")[0];
    let visit = &book.visits(planting.id).expect("read")[0];
    book.points(visit.id).expect("read")[0].id
}

fn save(book: &Book, point: RecordId, number: u32) -> Duration {
    let record = Record {
        id: RecordId::new(),
        born_at: standbook_fieldbook::time::now(),
        received_at: None,
        device: "phone".to_owned(),
        author: "B. Reed".to_owned(),
        supersedes: None,
        body: Body::Frame(big::frame(point, number)),
    };
    let start = Instant::now();
    book.append(vec![record]).expect("kept");
    start.elapsed()
}

fn print(what: &str, mut waits: Vec<Duration>) {
    waits.sort_unstable();
    let (median, slowest) = (waits[waits.len() / 2], waits[waits.len() - 1]);
    println!(
        "{what}: {} saved, median {median:.1?}, slowest {slowest:.1?}",
        waits.len()
    );
}

fn main() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("season.standbook");
    let book = big::book(&path, RECORDS);
    let point = any_point(&book);
    let mb = std::fs::metadata(&path).map_or(0, |found| found.len()) / 1_000_000;
    println!("a book of {RECORDS} records, {mb} MB");
    let mut number = 1_000;
    let mut next = || {
        number += 1;
        save(&book, point, number)
    };
    print("nobody else", (0..500).map(|_| next()).collect());
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let backups = scope.spawn(|| {
            let mut took = Vec::new();
            for _ in 0..BACKUPS {
                let made = book.back_up(&folder_beside(&path), &Rotation::default(), Care::Quick);
                took.push(made.expect("a backup").took);
            }
            done.store(true, Ordering::Relaxed);
            took
        });
        let mut waits = Vec::new();
        while !done.load(Ordering::Relaxed) {
            waits.push(next());
        }
        print("while backups are made", waits);
        println!("the backups took {:.1?}", backups.join().expect("made"));
    });
}
