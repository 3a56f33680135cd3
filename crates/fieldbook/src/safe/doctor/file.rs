//! The file itself: SQLite's own check, the guards against change, the log beside it, room left.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use rusqlite::{Connection, Transaction};
use serde::Serialize;

use super::{Finding, Found, texts_of};
use crate::open::{beside, folder_of};
use crate::photo::folder_of_book;
use crate::schema::{SCHEMA_VERSION, made_of};

/// A log larger than this is not folded in as it should be, bytes.
const LARGE_WAL: u64 = 100_000_000;

/// Less room than this and the disk is soon full, bytes.
const LITTLE_ROOM: u64 = 500_000_000;

/// How large everything is.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Figures {
    /// Version of the book's schema.
    pub version: i64,
    /// Size of the book's file, bytes.
    pub bytes: u64,
    /// Size of the log beside it with the newest records, bytes; `None`: no log, the book is closed.
    pub wal_bytes: Option<u64>,
    /// Room left on its disk, bytes; `None`: the system does not say.
    pub room_bytes: Option<u64>,
    /// Number of records.
    pub records: usize,
    /// Number of records by kind.
    pub kinds: BTreeMap<String, usize>,
    /// Number of files of pictures.
    pub photo_files: usize,
    /// Their size, bytes.
    pub photo_bytes: u64,
}

/// Figures, as far as they can be read.
pub(super) fn figures(tx: &Transaction<'_>, path: &Path) -> Figures {
    let size = |path: &Path| fs::metadata(path).map(|found| found.len()).ok();
    let kinds = kinds(tx).unwrap_or_default();
    let photos = super::photos::files(&folder_of_book(path));
    Figures {
        version: version(tx).unwrap_or(0),
        bytes: size(path).unwrap_or(0),
        wal_bytes: size(&beside(path, "-wal")),
        room_bytes: fs4::available_space(folder_of(path)).ok(),
        records: kinds.values().sum(),
        kinds,
        photo_files: photos.len(),
        photo_bytes: photos.iter().filter_map(|file| size(file)).sum(),
    }
}

fn kinds(conn: &Connection) -> rusqlite::Result<BTreeMap<String, usize>> {
    conn.prepare("SELECT kind, count(*) FROM record GROUP BY kind")?
        .query_map([], |row| {
            let count: i64 = row.get(1)?;
            Ok((row.get(0)?, usize::try_from(count).unwrap_or(0)))
        })?
        .collect()
}

fn version(conn: &Connection) -> rusqlite::Result<i64> {
    conn.pragma_query_value(None, "user_version", |row| row.get(0))
}

pub(super) fn check(tx: &Transaction<'_>, path: &Path) -> Found {
    let mut said = texts_of(tx, "PRAGMA integrity_check(100)")?;
    said.retain(|line| line != "ok");
    let shown = path.display().to_string();
    let size = |path: &Path| fs::metadata(path).map_or(0, |found| found.len());
    let wal = size(&beside(path, "-wal"));
    let room = fs4::available_space(folder_of(path)).unwrap_or(u64::MAX);
    let needed = LITTLE_ROOM.max(3 * size(path));
    let version = version(tx)?;
    Ok(vec![
        Finding::at(
            "file_damaged",
            "SQLite's own check says that the file is damaged.",
            "Bytes of it changed by no doing of this program, as when a disk fails. Copy the book and its -wal file away, restore the last backup with standbook restore, and merge what can still be read of the damaged one.",
            said,
        ),
        Finding::at(
            "guard_missing",
            "Parts of the book that every book has are missing or made otherwise.",
            "Somebody changed the book with another tool, and records may have been changed unseen. Compare with the last backup, and go back to it where they differ.",
            missing(tx, version)?,
        ),
        Finding::at(
            "version_old",
            format!(
                "The book has version {version}, and this program makes version {SCHEMA_VERSION}."
            ),
            "Nothing is wrong: it is brought to the new version when it is opened for writing. Make a backup first.",
            if version < SCHEMA_VERSION {
                vec![shown.clone()]
            } else {
                Vec::new()
            },
        ),
        Finding::at(
            "wal_large",
            format!(
                "The log beside the book, which holds its newest records, has {} MB.",
                wal / 1_000_000
            ),
            "It is folded in when the last program that has the book open closes it. Stop Standbook with Ctrl-C and start it again. Never delete the -wal file: records are in it.",
            if wal > LARGE_WAL {
                vec![beside(path, "-wal").display().to_string()]
            } else {
                Vec::new()
            },
        ),
        Finding::at(
            "little_room",
            format!(
                "The disk has {} MB left, and {} MB should be free.",
                room / 1_000_000,
                needed / 1_000_000
            ),
            "When it is full nothing more can be saved. Make room.",
            if room < needed {
                vec![folder_of(path).display().to_string()]
            } else {
                Vec::new()
            },
        ),
    ])
}

/// Names of what a book of this version is made of and this one lacks, or has made otherwise.
fn missing(conn: &Connection, version: i64) -> rusqlite::Result<Vec<String>> {
    let mut same = conn.prepare("SELECT 1 FROM main.sqlite_schema WHERE name = ?1 AND sql = ?2")?;
    let mut missing = Vec::new();
    for (name, sql) in made_of(version)?.unwrap_or_default() {
        if !same.exists([&name, &sql])? {
            missing.push(name);
        }
    }
    Ok(missing)
}
