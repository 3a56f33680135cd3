//! Opens connections to a book, with what SQLite wants per connection.
//!
//! In: a path. Out: connections to a file that is a book of a version we know, or what is
//! wrong. A file that is no book, or a newer one, is not changed.
//!
//! A book in use is three files: the book, `-wal` (newest records, not yet folded in) and `-shm`
//! (an index of it, made again when missing). Reading needs the right to write `-shm`. In a
//! folder without that right a book that was closed properly (no `-wal`) is opened as an
//! immutable file; one whose `-wal` still holds records is refused rather than shown without them.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OpenFlags};

use crate::error::{BUSY_WAIT_S, BookError, from_io, from_sqlite};
use crate::schema::{APPLICATION_ID, SCHEMA_VERSION, migrate};

/// The first bytes of every SQLite file. Source: sqlite.org, "Database File Format", 1.3.1.
pub(crate) const MAGIC: &[u8; 16] = b"SQLite format 3\0";

/// What may happen to a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Want {
    /// There is a book: open it.
    Open,
    /// There is no book: make one.
    Create,
    /// Either.
    OpenOrCreate,
}

/// How readers open the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ReadBy {
    /// With the files beside it; sees what is written meanwhile.
    Sharing,
    /// As a file that nobody changes.
    Immutable,
}

/// A book found sound.
pub(crate) struct Opened {
    /// The connection for the writer, or why there is none.
    pub(crate) writer: Result<Connection, String>,
    pub(crate) read_by: ReadBy,
}

/// Opens for writing if possible, else for viewing.
pub(crate) fn open(path: &Path, want: Want) -> Result<Opened, BookError> {
    look(path, want)?;
    match writing(path, want) {
        Ok(conn) => Ok(Opened {
            writer: Ok(conn),
            read_by: ReadBy::Sharing,
        }),
        Err(Failed::MayNotWrite(why)) if want != Want::Create && path.exists() => view(path, why),
        Err(Failed::MayNotWrite(why)) => Err(BookError::File {
            path: path.to_owned(),
            detail: why,
        }),
        Err(Failed::Book(error)) => Err(error),
    }
}

/// Opens for viewing.
pub(crate) fn open_read_only(path: &Path) -> Result<Opened, BookError> {
    look(path, Want::Open)?;
    view(path, "it was opened that way".to_owned())
}

/// A connection that can only read.
pub(crate) fn reading(path: &Path, read_by: ReadBy) -> Result<Connection, BookError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = match read_by {
        ReadBy::Sharing => Connection::open_with_flags(path, flags),
        ReadBy::Immutable => {
            Connection::open_with_flags(immutable_uri(path), flags | OpenFlags::SQLITE_OPEN_URI)
        }
    };
    let conn = conn.map_err(|error| from_sqlite(path, &error))?;
    per_connection(&conn).map_err(|error| from_sqlite(path, &error))?;
    Ok(conn)
}

/// A connection for looking at a book without leaving a file beside it. Where no `-wal` lies
/// nobody has the book open, and it is read as a file that nobody changes.
pub(crate) fn looking(path: &Path) -> Result<Connection, BookError> {
    look(path, Want::Open)?;
    let read_by = if beside(path, "-wal").exists() {
        view(path, String::new())?.read_by
    } else {
        look_inside(path, ReadBy::Immutable)?;
        ReadBy::Immutable
    };
    reading(path, read_by)
}

/// What every connection is set to; nothing of it is kept in the file.
fn per_connection(conn: &Connection) -> rusqlite::Result<()> {
    conn.busy_timeout(Duration::from_secs(BUSY_WAIT_S))?;
    conn.set_prepared_statement_cache_capacity(128);
    conn.pragma_update(None, "foreign_keys", true)?;
    // What a question needs for itself (older books) must not need a folder that can be written.
    conn.pragma_update(None, "temp_store", "MEMORY")?;
    // Without this INSERT OR REPLACE deletes rows without asking the triggers.
    conn.pragma_update(None, "recursive_triggers", true)?;
    // What is removed on request is overwritten, not only let go.
    conn.pragma_update(None, "secure_delete", true)?;
    conn.pragma_update(None, "trusted_schema", false)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    // FULL: a commit is on disk when it returns. NORMAL would lose the last ones in a power cut.
    conn.pragma_update(None, "synchronous", "FULL")
}

/// Looks at the file before SQLite does, which would take a missing or empty one for a new book.
fn look(path: &Path, want: Want) -> Result<(), BookError> {
    let not_a_book = |why: &str| BookError::NotABook {
        path: path.to_owned(),
        why: why.to_owned(),
    };
    let found = match fs::metadata(path) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            if want == Want::Open {
                return Err(BookError::Missing {
                    path: path.to_owned(),
                });
            }
            let folder = folder_of(path);
            return if folder.is_dir() {
                Ok(())
            } else {
                Err(BookError::NoFolder {
                    path: path.to_owned(),
                })
            };
        }
        found => found.map_err(|error| from_io(path, &error))?,
    };
    if found.is_dir() {
        return Err(not_a_book("it is a folder"));
    }
    if !found.is_file() {
        return Err(not_a_book("it is no ordinary file"));
    }
    if found.len() == 0 {
        // A crash while making a book can leave this behind; making it again is safe.
        return if want == Want::Open {
            Err(not_a_book("it is empty"))
        } else {
            Ok(())
        };
    }
    let mut start = [0_u8; 16];
    let read = fs::File::open(path).and_then(|mut file| file.read_exact(&mut start));
    match read {
        Ok(()) if &start == MAGIC => Ok(()),
        Ok(()) => Err(not_a_book("it is no SQLite file, or damaged at its start")),
        Err(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => {
            Err(not_a_book("it is too short"))
        }
        Err(error) => Err(from_io(path, &error)),
    }
}

/// The folder a file lies in.
pub(crate) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

enum Failed {
    /// The file or its folder cannot be written.
    MayNotWrite(String),
    Book(BookError),
}

fn writing(path: &Path, want: Want) -> Result<Connection, Failed> {
    let sorted = |error: rusqlite::Error| match error.sqlite_error_code() {
        Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
            Failed::MayNotWrite("its file or folder may not be written".to_owned())
        }
        _ => Failed::Book(from_sqlite(path, &error)),
    };
    let mut flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    if want != Want::Open {
        flags |= OpenFlags::SQLITE_OPEN_CREATE;
    }
    let mut conn = Connection::open_with_flags(path, flags).map_err(sorted)?;
    // SQLite opens a write-protected file for reading without a word.
    if conn.is_readonly("main").map_err(sorted)? {
        return Err(Failed::MayNotWrite(
            "its file may not be written".to_owned(),
        ));
    }
    per_connection(&conn).map_err(sorted)?;
    // Until the file is known to be ours to write: closing it would fold another's -wal into it.
    leave_wal(&conn, true).map_err(sorted)?;
    match identify(&conn).map_err(sorted)? {
        Identity::Unborn if want == Want::Open => {
            let why = "it is an SQLite file with nothing in it".to_owned();
            return Err(Failed::Book(BookError::NotABook {
                path: path.to_owned(),
                why,
            }));
        }
        Identity::Book(_) if want == Want::Create => {
            return Err(Failed::Book(BookError::Exists {
                path: path.to_owned(),
            }));
        }
        other => known(path, other).map_err(Failed::Book)?,
    }
    leave_wal(&conn, false).map_err(sorted)?;
    let mode: String = conn
        .pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get(0))
        .map_err(sorted)?;
    if !mode.eq_ignore_ascii_case("wal") {
        return Err(Failed::Book(BookError::NoWal {
            path: path.to_owned(),
        }));
    }
    // A write lock for a moment shows whether writing is allowed at all.
    conn.execute_batch("BEGIN IMMEDIATE; ROLLBACK")
        .map_err(sorted)?;
    let version: i64 = conn
        .pragma_query_value(None, "user_version", |row| row.get(0))
        .map_err(sorted)?;
    if version < SCHEMA_VERSION {
        migrate(&mut conn).map_err(sorted)?;
        // The book's shape goes into the main file at once: whatever happens to -wal later, it is a book.
        conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
            .map_err(sorted)?;
        sync_folder(folder_of(path)).map_err(|error| Failed::Book(from_io(path, &error)))?;
    }
    Ok(conn)
}

/// Whether closing this connection leaves a -wal as it is.
fn leave_wal(conn: &Connection, leave: bool) -> rusqlite::Result<()> {
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, leave)
        .map(|_| ())
}

enum Identity {
    Book(i64),
    Unborn,
    Foreign,
}

fn identify(conn: &Connection) -> rusqlite::Result<Identity> {
    let mark: i64 = conn.pragma_query_value(None, "application_id", |row| row.get(0))?;
    let version: i64 = conn.pragma_query_value(None, "user_version", |row| row.get(0))?;
    if mark == APPLICATION_ID {
        return Ok(Identity::Book(version));
    }
    let things: i64 = conn.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    Ok(if mark == 0 && version == 0 && things == 0 {
        Identity::Unborn
    } else {
        Identity::Foreign
    })
}

fn known(path: &Path, identity: Identity) -> Result<(), BookError> {
    let path = path.to_owned();
    match identity {
        Identity::Unborn => Ok(()),
        Identity::Foreign => Err(BookError::NotABook {
            path,
            why: "it is an SQLite file of another program".to_owned(),
        }),
        Identity::Book(found) if found > SCHEMA_VERSION => Err(BookError::NewerVersion {
            path,
            found,
            known: SCHEMA_VERSION,
        }),
        Identity::Book(found) if found < 1 => Err(BookError::Damaged {
            path,
            detail: format!("its version is {found}"),
        }),
        Identity::Book(_) => Ok(()),
    }
}

fn view(path: &Path, why: String) -> Result<Opened, BookError> {
    let read_by = match look_inside(path, ReadBy::Sharing) {
        Ok(()) => ReadBy::Sharing,
        Err(BookError::ReadOnly { .. } | BookError::File { .. }) => {
            // No right to make or write -shm.
            let wal = beside(path, "-wal");
            if fs::metadata(&wal).is_ok_and(|found| found.len() > 0) {
                return Err(BookError::WalUnreadable {
                    path: path.to_owned(),
                });
            }
            look_inside(path, ReadBy::Immutable)?;
            ReadBy::Immutable
        }
        Err(error) => return Err(error),
    };
    Ok(Opened {
        writer: Err(why),
        read_by,
    })
}

fn look_inside(path: &Path, read_by: ReadBy) -> Result<(), BookError> {
    let conn = reading(path, read_by)?;
    let identity = identify(&conn).map_err(|error| from_sqlite(path, &error))?;
    match identity {
        Identity::Unborn => {
            let why = "it is an SQLite file with nothing in it".to_owned();
            Err(BookError::NotABook {
                path: path.to_owned(),
                why,
            })
        }
        other => known(path, other),
    }
}

/// The path with something added to the file's name.
pub(crate) fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Makes names written in a folder durable. On systems where a folder cannot be opened, the
/// system does that by itself.
pub(crate) fn sync_folder(folder: &Path) -> std::io::Result<()> {
    if cfg!(unix) {
        fs::File::open(folder)?.sync_all()
    } else {
        Ok(())
    }
}

fn immutable_uri(path: &Path) -> String {
    let mut uri = "file:".to_owned();
    for byte in path.as_os_str().as_encoded_bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' => {
                uri.push(char::from(*byte))
            }
            other => uri.push_str(&format!("%{other:02X}")),
        }
    }
    uri.push_str("?immutable=1");
    uri
}
