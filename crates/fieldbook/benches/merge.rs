//! How long merging takes: `cargo bench -p standbook-fieldbook --bench merge`.
//!
//! A book of 100,000 records comes into an empty one, and into one that holds it already. Aim: less
//! than 10 s. Beside it, as baseline, the bare rows by `ATTACH` and `INSERT ... SELECT` into a file
//! without rules, triggers, examination and report.

mod big;

use std::path::Path;

use divan::Bencher;
use rusqlite::Connection;
use standbook_fieldbook::Book;

const RECORDS: usize = 100_000;

fn main() {
    divan::main();
}

/// The book to merge from, made once.
fn from() -> &'static Path {
    static FROM: std::sync::OnceLock<(tempfile::TempDir, std::path::PathBuf)> =
        std::sync::OnceLock::new();
    let (_, path) = FROM.get_or_init(|| {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("from.standbook");
        drop(big::book(&path, RECORDS));
        (folder, path)
    });
    path
}

fn empty() -> (tempfile::TempDir, Book) {
    let folder = tempfile::tempdir().expect("a folder");
    let book = Book::create(folder.path().join("into.standbook")).expect("a new book");
    (folder, book)
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn into_an_empty_book(bencher: Bencher) {
    let from = from();
    bencher.with_inputs(empty).bench_refs(|(_, into)| {
        let merged = into.merge(from, false).expect("merged");
        assert!(merged.counts.all.new >= RECORDS);
    });
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn into_a_book_that_has_it_all(bencher: Bencher) {
    let from = from();
    let (_folder, into) = empty();
    into.merge(from, false).expect("merged");
    bencher.bench_local(|| {
        let merged = into.merge(from, false).expect("merged");
        assert_eq!(merged.counts.all.new, 0);
    });
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn baseline_attach_and_insert(bencher: Bencher) {
    let from = from().to_str().expect("text");
    bencher
        .with_inputs(|| {
            let folder = tempfile::tempdir().expect("a folder");
            let conn = Connection::open(folder.path().join("into")).expect("a file");
            conn.pragma_update(None, "foreign_keys", false)
                .expect("set");
            conn.execute("ATTACH ?1 AS came", [from]).expect("attached");
            let tables: Vec<(String, String)> = conn
                .prepare("SELECT name, sql FROM came.sqlite_schema WHERE type = 'table'")
                .and_then(|mut all| {
                    all.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
                        .collect()
                })
                .expect("tables");
            for (_, sql) in &tables {
                conn.execute_batch(sql).expect("a table");
            }
            (folder, conn, tables)
        })
        .bench_refs(|(_, conn, tables)| {
            let tx = conn.transaction().expect("a transaction");
            for (name, _) in tables.iter() {
                let sql = format!("INSERT INTO main.\"{name}\" SELECT * FROM came.\"{name}\"");
                tx.execute_batch(&sql).expect("rows");
            }
            tx.commit().expect("committed");
        });
}
