//! The book that is merged from, as a copy of its own in today's version.
//!
//! In: a book's file of any version, with or without `-wal`, or an exchange file. Out: a sound book
//! in a folder for work in progress. The original is only ever read as a file: SQLite, which makes
//! files beside what it opens, sees the copy alone.

use std::fs;
use std::io::{BufReader, Read};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use rusqlite::Connection;

use super::copy::copy;
use super::scratch::Scratch;
use crate::book::Book;
use crate::error::{BookError, from_io, from_sqlite};
use crate::open::{MAGIC, Want, beside, open};
use crate::photo::folder_of_book;

/// Largest exchange file, bytes: its records are in memory until they are written. A book's file
/// has no such limit.
pub(super) const EXCHANGE_BYTES: u64 = 200_000_000;

/// How often a file that changes while it is copied is tried.
const TRIES: usize = 3;

/// A book to merge from.
#[derive(Debug)]
pub(super) struct Source {
    /// Goes away with the copy in it.
    _scratch: Scratch,
    /// The copy.
    pub(super) path: PathBuf,
    /// Where its pictures lie; may not be there.
    pub(super) photos: PathBuf,
}

impl Source {
    /// Copies `from` to where `into` is, brings it to today's version and looks whether it is sound.
    pub(super) fn take(from: &Path, into: &Path) -> Result<Source, BookError> {
        let scratch = Scratch::beside(into)?;
        let path = scratch.path().join("from.standbook");
        let here = |error: BookError| error.about(&path, from);
        match kind_of(from)? {
            FileKind::Book => {
                copy_quiet(from, &path)?;
                let opened = open(&path, Want::Open).map_err(here)?;
                let conn = opened.writer.map_err(|why| BookError::File {
                    path: path.clone(),
                    detail: why,
                })?;
                let unsound = unsound(&conn).map_err(|e| from_sqlite(from, &e))?;
                if let Some(detail) = unsound {
                    return Err(BookError::Damaged {
                        path: from.to_owned(),
                        detail,
                    });
                }
            }
            FileKind::Exchange => {
                let file = fs::File::open(from).map_err(|error| from_io(from, &error))?;
                let book = Book::create(&path).map_err(here)?;
                book.take_over(BufReader::new(file)).map_err(here)?;
            }
        }
        Ok(Source {
            _scratch: scratch,
            path,
            photos: folder_of_book(from),
        })
    }
}

enum FileKind {
    Book,
    Exchange,
}

fn kind_of(path: &Path) -> Result<FileKind, BookError> {
    let failed = |error: std::io::Error| from_io(path, &error);
    let found = fs::metadata(path).map_err(failed)?;
    let not_a_book = |why: &str| {
        Err(BookError::NotABook {
            path: path.to_owned(),
            why: why.to_owned(),
        })
    };
    if !found.is_file() {
        return not_a_book("it is no ordinary file");
    }
    let mut start = Vec::new();
    let file = fs::File::open(path).map_err(failed)?;
    file.take(64).read_to_end(&mut start).map_err(failed)?;
    if start.starts_with(MAGIC) {
        return Ok(FileKind::Book);
    }
    let text = start.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&start);
    match text.iter().find(|byte| !byte.is_ascii_whitespace()) {
        Some(b'{') if found.len() > EXCHANGE_BYTES => not_a_book(&format!(
            "it is an exchange file of more than {} million bytes; merge the book's own file instead",
            EXCHANGE_BYTES / 1_000_000
        )),
        Some(b'{') => Ok(FileKind::Exchange),
        Some(_) => not_a_book("it is neither a book's file nor an exchange file (JSON Lines)"),
        None => not_a_book("it is empty"),
    }
}

/// Copies a book and its `-wal` as of one moment: when either changed meanwhile, both again.
fn copy_quiet(from: &Path, to: &Path) -> Result<(), BookError> {
    let failed = |error: std::io::Error| from_io(from, &error);
    let (wal, wal_to) = (beside(from, "-wal"), beside(to, "-wal"));
    for _ in 0..TRIES {
        let before = (stamp(from).map_err(failed)?, stamp(&wal).ok());
        copy(from, to).map_err(failed)?;
        let _ = fs::remove_file(&wal_to);
        if before.1.is_some() {
            copy(&wal, &wal_to).map_err(failed)?;
        }
        if before == (stamp(from).map_err(failed)?, stamp(&wal).ok()) {
            return Ok(());
        }
    }
    Err(BookError::Busy {
        path: from.to_owned(),
        waited_s: 0,
    })
}

fn stamp(path: &Path) -> std::io::Result<(u64, SystemTime)> {
    let found = fs::metadata(path)?;
    Ok((found.len(), found.modified()?))
}

/// What is wrong with the copy, in SQLite's words or ours.
fn unsound(conn: &Connection) -> rusqlite::Result<Option<String>> {
    let said: String = conn.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
    if said != "ok" {
        return Ok(Some(said));
    }
    let astray = conn.prepare("PRAGMA foreign_key_check")?.exists([])?;
    if astray {
        return Ok(Some(
            "a record refers to one that is not there; standbook doctor names it".to_owned(),
        ));
    }
    // The union takes the roots of chains as they are.
    let torn = conn
        .prepare(
            "SELECT 1 FROM record r JOIN record s ON s.id = r.supersedes WHERE r.root <> s.root",
        )?
        .exists([])?;
    Ok(torn.then(|| "a correction has another root than what it corrects".to_owned()))
}
