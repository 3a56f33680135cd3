//! Examines a book: the file, its pictures, its records, the clocks that dated them. Never writes.
//!
//! In: a book's path. Out: findings, each with what it means and what to do, and figures. What
//! cannot be read is a finding, not an error: a damaged book is what this is for.
//! Not here: whether the engine still says what it said (crate `web`), which reads determinations
//! through [`each_determination`].

mod clocks;
mod file;
mod photos;
mod records;

use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};
use serde::Serialize;

use crate::error::{BookError, from_sqlite};
use crate::id::RecordId;
use crate::kinds::load;
use crate::open::looking;
use crate::record::{Body, Determination};
use crate::schema::see_as_newest;

pub use self::file::Figures;

/// Places listed with a finding; there may be more.
const LISTED: usize = 20;

/// Something that a person has to know.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// What kind of thing, such as `photo_missing`; the same for ever.
    pub what: &'static str,
    /// In words, a sentence.
    pub says: String,
    /// What it means and what to do.
    pub mend: String,
    /// Where: records, files or devices; the first 20.
    pub places: Vec<String>,
    /// How many places there are.
    pub count: usize,
}

impl Finding {
    /// A finding at places; `None` when there are none.
    pub fn at(
        what: &'static str,
        says: impl Into<String>,
        mend: impl Into<String>,
        mut places: Vec<String>,
    ) -> Option<Finding> {
        let count = places.len();
        places.truncate(LISTED);
        (count > 0).then(|| Finding {
            what,
            says: says.into(),
            mend: mend.into(),
            places,
            count,
        })
    }
}

/// A book that was examined.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Checkup {
    /// The book.
    pub book: String,
    /// UTC instant, RFC 3339 with milliseconds.
    pub looked_at: String,
    /// How large everything is.
    pub figures: Figures,
    /// What was found, gravest first; none: sound.
    pub findings: Vec<Finding>,
}

/// What the checks of one room give.
type Found = rusqlite::Result<Vec<Option<Finding>>>;

/// Examines the book at `path`. Every byte of its pictures is read.
///
/// Errors: the file is missing, is no book, or is a book of a newer program.
pub fn examine(path: &Path) -> Result<Checkup, BookError> {
    let mut conn = looking(path)?;
    let failed = |error: rusqlite::Error| from_sqlite(path, &error);
    let tx = conn
        .transaction_with_behavior(TransactionBehavior::Deferred)
        .map_err(failed)?;
    let mut findings = Vec::new();
    let mut note = |room: &str, found: Found| {
        match found {
        Ok(found) => findings.extend(found.into_iter().flatten()),
        Err(error) => findings.extend(Finding::at(
            "unreadable",
            format!("Looking at {room} stopped: {error}."),
            "The file is damaged there. Copy it and its -wal file away, and restore the last backup: standbook restore.",
            vec![path.display().to_string()],
        )),
    }
    };
    note("the file", file::check(&tx, path));
    // What an older version lacks is put before it after its own tables were looked at.
    let seen = see_as_newest(&tx);
    note("the records", seen.and_then(|()| records::check(&tx)));
    note("the pictures", photos::check(&tx, path));
    note("the clocks", clocks::check(&tx));
    Ok(Checkup {
        book: path.display().to_string(),
        looked_at: crate::time::now(),
        figures: file::figures(&tx, path),
        findings,
    })
}

/// Shows every determination of a book, superseded ones too, in the order of their ids. One that
/// cannot be read is left out; [`examine`] says so.
///
/// Errors: as for [`examine`].
pub fn each_determination(
    path: &Path,
    mut show: impl FnMut(RecordId, &Determination),
) -> Result<(), BookError> {
    let conn = looking(path)?;
    let ids = ids_of(&conn, "SELECT id FROM determination ORDER BY id");
    for id in ids.map_err(|error| from_sqlite(path, &error))? {
        if let Ok(Some(record)) = load(&conn, id)
            && let Body::Determination(determination) = &record.body
        {
            show(id, determination);
        }
    }
    Ok(())
}

fn ids_of(conn: &Connection, sql: &str) -> rusqlite::Result<Vec<RecordId>> {
    conn.prepare(sql)?
        .query_map([], |row| row.get(0))?
        .collect()
}

fn texts_of(conn: &Connection, sql: &str) -> rusqlite::Result<Vec<String>> {
    conn.prepare(sql)?
        .query_map([], |row| row.get(0))?
        .collect()
}
