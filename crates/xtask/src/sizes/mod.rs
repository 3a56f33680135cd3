//! `cargo xtask sizes`: how long the office's pages take on a large book, at the server.
//!
//! In: a book of the size asked for (made where there is none, which takes minutes), the built
//! program. Out: a table; an error when a page is slower than it may be. Run by hand on a quiet
//! machine: build with `--release`.
//!
//! The first answer of each page is told apart: it finds nothing in memory. Measured is from the
//! request to the last byte on this machine's own network.

mod ask;
mod book;

use std::path::Path;
use std::time::Duration;

use rusqlite::Connection;
use serde_json::json;
use standbook_fieldbook::{RecordId, time};

use crate::baselines::program::Running;
pub use ask::ask;
pub use book::Size;

/// What a page may take, the median of [`TIMES`].
const MOST: Duration = Duration::from_millis(50);

/// How often each page is asked for.
const TIMES: usize = 15;

/// Measures the pages of a book.
pub fn run(path: &Path, size: Size) -> Result<(), String> {
    if !path.exists() {
        let records = book::make(path, size)?;
        println!("xtask: {} with {records} records", path.display());
    }
    let (plants, cells) = (
        number(path, "SELECT count(*) FROM determination")?,
        number(path, "SELECT count(*) FROM tally")?,
    );
    println!("{plants} determinations, {cells} tallies");
    let places = Places::read(path)?;
    let server = Running::serve_without_backups(path)?;
    let mut slow = Vec::new();
    println!(
        "{:<34} {:>9} {:>9} {:>9} {:>9}",
        "page, ms", "first", "median", "worst", "bytes"
    );
    for (name, address) in places.pages() {
        let mut took = Vec::new();
        let mut bytes = 0;
        for _ in 0..TIMES {
            let answer = ask(server.port, "GET", &address, "")?;
            took.push(answer.took);
            bytes = answer.text.len();
        }
        if !tell(name, &took, bytes) {
            slow.push(name);
        }
    }
    // Somebody records while the office reads: what was kept in memory holds no longer.
    let mut took = Vec::new();
    let mut bytes = 0;
    for n in 0..TIMES {
        ask(server.port, "POST", "/api/records", &places.opinion(n))?;
        let answer = ask(server.port, "GET", "/desk", "")?;
        took.push(answer.took);
        bytes = answer.text.len();
    }
    if !tell("/desk after a record came in", &took, bytes) {
        slow.push("/desk after a record came in");
    }
    match slow.is_empty() {
        true => Ok(()),
        false => Err(format!("slower than {MOST:?}: {}", slow.join(", "))),
    }
}

/// One line of the table; whether it is fast enough.
fn tell(name: &str, took: &[Duration], bytes: usize) -> bool {
    let ms = |it: Duration| it.as_secs_f64() * 1000.0;
    let mut sorted = took.to_vec();
    sorted.sort();
    let median = sorted[sorted.len() / 2];
    let worst = sorted.last().copied().unwrap_or_default();
    let first = took.first().copied().unwrap_or_default();
    println!(
        "{name:<34} {:>9.1} {:>9.1} {:>9.1} {bytes:>9}",
        ms(first),
        ms(median),
        ms(worst)
    );
    median <= MOST
}

/// Records of the book that pages are asked for.
struct Places {
    planting: String,
    visit: String,
    determination: String,
    unknown: String,
}

impl Places {
    /// Of the latest visit, which is in nobody's cache.
    fn read(path: &Path) -> Result<Places, String> {
        let visit = text(path, "SELECT max(id) FROM visit")?;
        let of = |sql: &str| text(path, &sql.replace("VISIT", &visit));
        Ok(Places {
            planting: of("SELECT planting FROM visit WHERE id = 'VISIT'")?,
            unknown: of("SELECT max(id) FROM unknown WHERE visit = 'VISIT'")?,
            determination: text(path, "SELECT max(id) FROM determination")?,
            visit,
        })
    }

    fn pages(&self) -> [(&'static str, String); 8] {
        [
            ("/desk", "/desk".to_owned()),
            (
                "/desk?page=2&which=open",
                "/desk?page=2&which=open".to_owned(),
            ),
            ("/desk of a visit", format!("/desk?visit={}", self.visit)),
            ("/desk/book", "/desk/book".to_owned()),
            (
                "a determination",
                format!("/determinations/{}", self.determination),
            ),
            ("an unknown", format!("/unknowns/{}", self.unknown)),
            (
                "the stand of a planting",
                format!("/stand/{}", self.planting),
            ),
            (
                "/api/determinations",
                "/api/determinations?limit=100".to_owned(),
            ),
        ]
    }

    fn opinion(&self, n: usize) -> String {
        let id = RecordId::new();
        json!({
            "id": id,
            "born_at": time::now(),
            "device": "laptop",
            "author": "R. Teal",
            "body": { "opinion": {
                "about": self.determination,
                "taxon": null,
                "name_as_written": "",
                "reasons": format!("look {n}"),
            }},
        })
        .to_string()
    }
}

fn text(path: &Path, sql: &str) -> Result<String, String> {
    let read = || Connection::open(path)?.query_row(sql, [], |row| row.get(0));
    read().map_err(|e| format!("{}: {e}", path.display()))
}

fn number(path: &Path, sql: &str) -> Result<u64, String> {
    let read = || -> rusqlite::Result<u32> {
        Connection::open(path)?.query_row(sql, [], |row| row.get(0))
    };
    read()
        .map(u64::from)
        .map_err(|e| format!("{}: {e}", path.display()))
}
