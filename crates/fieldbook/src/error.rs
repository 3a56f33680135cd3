//! Everything that can go wrong with a book, said so that a person can mend it.
//!
//! Every message names the file or record, what is wrong, and what to do. No variant carries
//! a `source()`: the cause is already in the message. Nothing of a refused call is written.

use std::fmt;
use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;

use crate::id::RecordId;
use crate::safe::merge::Clash;

/// A book that cannot be opened, read or written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BookError {
    /// There is no file at the path.
    #[error("{}: there is no such file. Check the path, or make a new book there", path.display())]
    Missing {
        /// Where the book should be.
        path: PathBuf,
    },
    /// A new book was asked for where a book is already.
    #[error("{}: a book is here already. Open it, or choose another name for the new one", path.display())]
    Exists {
        /// Where the book is.
        path: PathBuf,
    },
    /// The folder for a new book is missing.
    #[error("{}: the folder for this book does not exist. Make the folder first, or choose another path", path.display())]
    NoFolder {
        /// Where the book should go.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("{}: this is not a book: {why}. Choose the book's file, or another name for a new book; nothing was changed", path.display())]
    NotABook {
        /// The file.
        path: PathBuf,
        /// What it is instead.
        why: String,
    },
    /// The book was written by a newer program.
    #[error("{}: this book has version {found}, and this program knows versions up to {known}. Open it with a newer program; nothing was changed", path.display())]
    NewerVersion {
        /// The book.
        path: PathBuf,
        /// Version of the book's schema.
        found: i64,
        /// Newest version this program knows.
        known: i64,
    },
    /// The book can be read, not written.
    #[error("{}: the book is open for viewing only: {why}. Nothing was written. Make the file and its folder writable, or work on a copy, and open it again", path.display())]
    ReadOnly {
        /// The book.
        path: PathBuf,
        /// Why it cannot be written.
        why: String,
    },
    /// Records lie in the -wal file and the folder does not allow to read them.
    #[error("{}: the newest records of this book still lie in the file ending in -wal beside it, and that cannot be read in a folder without the right to write. Copy both files into a folder you can write in, and open the copy", path.display())]
    WalUnreadable {
        /// The book.
        path: PathBuf,
    },
    /// The file system cannot do what safe writing needs.
    #[error("{}: the place of this book does not allow safe writing (write-ahead log refused; a network drive?). Move the book to a disk of this machine", path.display())]
    NoWal {
        /// The book.
        path: PathBuf,
    },
    /// The disk is full.
    #[error("{}: the disk is full. Nothing of this call was written; everything kept before is safe. Make room, then send it again", path.display())]
    Full {
        /// The book.
        path: PathBuf,
    },
    /// Another program holds the book.
    #[error("{}: another program has been writing to this book for more than {waited_s} seconds. Nothing of this call was written. Close the other program, then try again", path.display())]
    Busy {
        /// The book.
        path: PathBuf,
        /// How long this program waited, seconds.
        waited_s: u64,
    },
    /// The file's content is broken.
    #[error("{}: the book is damaged ({detail}). Do not write to it: copy the file and its -wal file away, then go back to a backup or an export", path.display())]
    Damaged {
        /// The book.
        path: PathBuf,
        /// What SQLite or the reader said.
        detail: String,
    },
    /// Reading or writing a file failed for another reason.
    #[error("{}: the file could not be read or written ({detail}). Nothing of this call was written. Check the rights on the file and its folder, and the disk; then try again", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        detail: String,
    },
    /// The same id came with different content.
    #[error(
        "record {id} is in the book already, with different content. Nothing of this call was written. A correction needs a new id and `supersedes` set to {id}"
    )]
    Conflict {
        /// The id.
        id: RecordId,
    },
    /// Records that two books hold differ; every one is listed.
    #[error(
"{}: nothing was merged. Both books hold records that say different things under the same id. A record never changes, so one of the books was changed by hand: find out which, and merge a backup of it instead. {}", from.display(), list(clashes)
    )]
    Clashes {
        /// The book that was to be merged.
        from: PathBuf,
        /// The records.
        clashes: Vec<Clash>,
    },
    /// A copy of a book that cannot be trusted, or cannot be made.
    #[error("{}: {problem}. {mend}", path.display())]
    Backup {
        /// The copy, or the folder for it.
        path: PathBuf,
        /// What is wrong.
        problem: String,
        /// How to mend it.
        mend: String,
    },
    /// Records break the book's rules; every problem is listed.
    #[error("nothing was written, {}", list(.0))]
    Invalid(Vec<Problem>),
    /// Lines of an import are bad; every bad line is listed.
    #[error("nothing was imported, {}", list(.0))]
    Import(Vec<LineFault>),
    /// The bytes are not a picture the book takes.
    #[error(
        "this is not a JPEG, PNG, WebP or HEIC picture (it starts with {start}). Save the picture as JPEG and add it again"
    )]
    PhotoType {
        /// The first bytes, in hex, or `nothing`.
        start: String,
    },
    /// The picture is too large.
    #[error(
        "this picture has {bytes} bytes, and the limit is {limit} bytes. Make a smaller copy and add that"
    )]
    PhotoTooLarge {
        /// Its size, bytes.
        bytes: u64,
        /// The limit, bytes.
        limit: u64,
    },
    /// The text to import could not be read, or the export could not be written.
    #[error(
        "the {what} stopped: {detail}. The book is unchanged. Check the file and the disk, then start again"
    )]
    Exchange {
        /// `import` or `export`.
        what: &'static str,
        /// What the system said.
        detail: String,
    },
    /// The writer has stopped, which is a fault of ours.
    #[error("{}: the book's writer has stopped, a fault of this program. Whether this call was written is not known: start the program again and send it again (sending twice does no harm)", path.display())]
    Closed {
        /// The book.
        path: PathBuf,
    },
    /// Any other answer of SQLite, most likely a fault of ours.
    #[error("{}: SQLite refused ({detail}), which is most likely a fault of this program. Nothing of this call was written. Export the book, and report the message", path.display())]
    Sqlite {
        /// The book.
        path: PathBuf,
        /// What SQLite said.
        detail: String,
    },
}

impl BookError {
    /// The same of another file: for work on a copy, `path` being the copy's.
    pub(crate) fn about(mut self, path: &Path, other: &Path) -> BookError {
        let named = match &mut self {
            BookError::Missing { path }
            | BookError::Exists { path }
            | BookError::NoFolder { path }
            | BookError::NotABook { path, .. }
            | BookError::NewerVersion { path, .. }
            | BookError::ReadOnly { path, .. }
            | BookError::WalUnreadable { path }
            | BookError::NoWal { path }
            | BookError::Busy { path, .. }
            | BookError::Damaged { path, .. }
            | BookError::File { path, .. }
            | BookError::Sqlite { path, .. } => Some(path),
            // The copy lies where the book is: a full disk is the book's.
            _ => None,
        };
        if let Some(named) = named.filter(|named| *named == path) {
            other.clone_into(named);
        }
        self
    }
}

/// One rule of the book broken by one record.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// The record.
    pub record: RecordId,
    /// Its kind, such as `frame`.
    pub kind: &'static str,
    /// The field, such as `tallies[2].cell` (items are counted from 0).
    pub field: String,
    /// What is wrong.
    pub problem: String,
    /// How to mend it.
    pub mend: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {}, {}: {}. {}",
            self.kind, self.record, self.field, self.problem, self.mend
        )
    }
}

/// What is wrong with one line of an import.
#[derive(Debug, Clone, PartialEq)]
pub struct LineFault {
    /// Line number, from 1.
    pub line: u64,
    /// What is wrong.
    pub problem: String,
    /// How to mend it.
    pub mend: String,
}

impl fmt::Display for LineFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}: {}. {}", self.line, self.problem, self.mend)
    }
}

/// Lines shown in a message; all of them are in the variant.
const SHOWN: usize = 20;

fn list(items: &[impl fmt::Display]) -> String {
    let mut text = match items.len() {
        1 => "1 problem:".to_owned(),
        n => format!("{n} problems:"),
    };
    for item in items.iter().take(SHOWN) {
        text.push_str(&format!("\n- {item}"));
    }
    if items.len() > SHOWN {
        text.push_str(&format!("\n- and {} more", items.len() - SHOWN));
    }
    text
}

/// How long a connection waits for another program, seconds.
pub(crate) const BUSY_WAIT_S: u64 = 5;

/// Sorts an answer of SQLite into what a person can do about it.
pub(crate) fn from_sqlite(path: &Path, error: &rusqlite::Error) -> BookError {
    let path = path.to_owned();
    let detail = error.to_string();
    let Some(failure) = error.sqlite_error() else {
        return match error {
            // A value in the file that no version of ours ever wrote.
            rusqlite::Error::FromSqlConversionFailure(..)
            | rusqlite::Error::IntegralValueOutOfRange(..)
            | rusqlite::Error::InvalidColumnType(..) => BookError::Damaged { path, detail },
            _ => BookError::Sqlite { path, detail },
        };
    };
    // The wal-index could not grow: SQLite reports a full disk there as an I/O error.
    if failure.extended_code == rusqlite::ffi::SQLITE_IOERR_SHMSIZE {
        return BookError::Full { path };
    }
    match failure.code {
        ErrorCode::DiskFull => BookError::Full { path },
        ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => BookError::Busy {
            path,
            waited_s: BUSY_WAIT_S,
        },
        ErrorCode::ReadOnly => BookError::ReadOnly { path, why: detail },
        ErrorCode::DatabaseCorrupt => BookError::Damaged { path, detail },
        ErrorCode::NotADatabase => BookError::NotABook {
            path,
            why: "it is no SQLite file, or damaged at its start".to_owned(),
        },
        ErrorCode::SystemIoFailure | ErrorCode::CannotOpen | ErrorCode::PermissionDenied => {
            BookError::File { path, detail }
        }
        _ => BookError::Sqlite { path, detail },
    }
}

/// Sorts an answer of the file system.
pub(crate) fn from_io(path: &Path, error: &std::io::Error) -> BookError {
    let path = path.to_owned();
    match error.kind() {
        std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => {
            BookError::Full { path }
        }
        std::io::ErrorKind::NotFound => BookError::Missing { path },
        _ => BookError::File {
            path,
            detail: error.to_string(),
        },
    }
}
