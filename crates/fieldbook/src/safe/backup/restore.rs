//! The way back from a backup to a book.
//!
//! In: a backup's folder, and where the book shall lie. Out: the book, whole, or nothing. What lies
//! there already is never deleted: it is put aside under another name, and only when asked to.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, ErrorCode, OpenFlags};

use super::manifest::Manifest;
use super::{PICTURES, sound};
use crate::error::{BookError, from_io, from_sqlite};
use crate::open::{MAGIC, beside, folder_of, sync_folder};
use crate::photo::folder_of_book;
use crate::safe::copy::{Placed, copy, hash_of, place};
use crate::safe::scratch::Scratch;
use crate::schema::SCHEMA_VERSION;

/// What SQLite may leave beside a book.
const LOGS: [&str; 3] = ["-wal", "-shm", "-journal"];

/// A book that was restored.
#[derive(Debug, Clone, PartialEq)]
pub struct Restored {
    /// What the backup holds.
    pub manifest: Manifest,
    /// Where the book went that lay there before, if one did.
    pub aside: Option<PathBuf>,
    /// SHA-256 of pictures that are missing or changed in the backup.
    pub lacking: Vec<String>,
}

/// Reads a backup to its last byte and compares it with its manifest. Gives the manifest, and the
/// SHA-256 of pictures that are missing or changed.
///
/// Errors: [`BookError::Backup`] when it is no backup, or the book's copy is not what it was.
pub fn verify(backup: &Path) -> Result<(Manifest, Vec<String>), BookError> {
    let manifest = Manifest::read(backup).map_err(|error| {
        let inside = backups_in(backup);
        match inside.first() {
            // A folder of backups was named instead of one of them.
            Some(newest) => BookError::Backup {
                path: backup.to_owned(),
                problem: format!("this folder holds {} backup(s)", inside.len()),
                mend: format!("Name one of them; the newest is {}", newest.display()),
            },
            None => error,
        }
    })?;
    let file = backup.join(&manifest.file);
    if manifest.version > SCHEMA_VERSION {
        return Err(BookError::NewerVersion {
            path: file,
            found: manifest.version,
            known: SCHEMA_VERSION,
        });
    }
    let hashed = hash_of(&file).map_err(|error| from_io(&file, &error))?;
    if hashed.sha256 != manifest.sha256 {
        return Err(changed(file));
    }
    let pictures = pictures_of(backup);
    let lacking = manifest.photos.iter().filter(|picture| {
        let there = hash_of(&pictures.join(&picture.file));
        !there.is_ok_and(|there| there.sha256 == picture.sha256)
    });
    let lacking = lacking.map(|picture| picture.sha256.clone()).collect();
    Ok((manifest, lacking))
}

/// Makes a book at `to` from a backup, after every byte of it was verified. With `aside` a book
/// that lies there is put aside under another name first; without, that is an error. With
/// `without_pictures` pictures that the backup has lost are no reason to stop.
///
/// Errors: those of [`verify`]; [`BookError::Backup`] when a book is there, pictures are lost, or
/// another program has the book open. After any error what lay at `to` lies there still.
pub fn restore(
    backup: &Path,
    to: &Path,
    aside: bool,
    without_pictures: bool,
) -> Result<Restored, BookError> {
    // A log without its book as well: SQLite would read it into the new one.
    let occupied =
        fs::symlink_metadata(to).is_ok() || LOGS.iter().any(|log| beside(to, log).exists());
    if occupied && !aside {
        return Err(BookError::Backup {
            path: to.to_owned(),
            problem: "something lies here already, and is never overwritten".to_owned(),
            mend: "Choose another name after --to; or add --aside, which puts it aside under another name first".to_owned(),
        });
    }
    let (manifest, lacking) = verify(backup)?;
    if !lacking.is_empty() && !without_pictures {
        return Err(BookError::Backup {
            path: pictures_of(backup),
            problem: format!(
                "{} picture(s) of this backup are missing or changed, the first being {}",
                lacking.len(),
                lacking[0]
            ),
            mend: "Copy the folder `photos` that lies beside the backups together with them; or add --without-pictures, which restores every record and the pictures that are left".to_owned(),
        });
    }
    let folder = folder_of(to);
    if !folder.is_dir() {
        return Err(BookError::NoFolder {
            path: to.to_owned(),
        });
    }
    let scratch = Scratch::new(folder, &super::file_name(to))?;
    let part = scratch.path().join("book");
    let source = backup.join(&manifest.file);
    let hashed = copy(&source, &part).map_err(|error| from_io(to, &error))?;
    if hashed.sha256 != manifest.sha256 {
        return Err(changed(source));
    }
    examine(&part, &manifest).map_err(|error| error.about(&part, &source))?;
    // Pictures first: no record ever names one that a crash took. They are named by their hash, so
    // those of the book that lies there are not touched.
    let (from, into) = (pictures_of(backup), folder_of_book(to));
    for picture in manifest
        .photos
        .iter()
        .filter(|p| !lacking.contains(&p.sha256))
    {
        let target = into.join(&picture.file);
        let source = from.join(&picture.file);
        let placed = place(&source, &target, &picture.sha256, picture.bytes)
            .map_err(|error| from_io(&target, &error))?;
        if matches!(placed, Placed::Missing | Placed::Changed) {
            return Err(changed(source));
        }
    }
    let aside = match occupied {
        true => Some(put_aside(to)?),
        false => None,
    };
    fs::rename(&part, to)
        .and_then(|()| sync_folder(folder))
        .map_err(|error| from_io(to, &error))?;
    Ok(Restored {
        manifest,
        aside,
        lacking,
    })
}

fn changed(path: PathBuf) -> BookError {
    BookError::Backup {
        path,
        problem:
            "this file is no longer what was backed up: its SHA-256 is not that of the manifest"
                .to_owned(),
        mend: "Choose another backup, and have the disk or stick looked at".to_owned(),
    }
}

fn pictures_of(backup: &Path) -> PathBuf {
    // `canonicalize`, for `.` has no folder above it by name.
    let real = fs::canonicalize(backup).unwrap_or_else(|_| backup.to_owned());
    real.parent().unwrap_or(&real).join(PICTURES)
}

/// Backups in a folder, newest first.
fn backups_in(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut found: Vec<(String, PathBuf)> = entries
        .filter_map(|entry| {
            let manifest = Manifest::read(&entry.path()).ok()?;
            Some((manifest.made_at, entry.path()))
        })
        .collect();
    found.sort();
    found.into_iter().rev().map(|(_, path)| path).collect()
}

fn examine(part: &Path, manifest: &Manifest) -> Result<(), BookError> {
    let failed = |error: rusqlite::Error| from_sqlite(part, &error);
    let conn =
        Connection::open_with_flags(part, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(failed)?;
    let sound = sound(&conn, part)?;
    if sound.records == manifest.records {
        return Ok(());
    }
    Err(BookError::Damaged {
        path: part.to_owned(),
        detail: format!(
            "it holds {} records and its manifest says {}",
            sound.records, manifest.records
        ),
    })
}

/// Gives what lies at `to` another name, with its pictures. Until the new book takes the place, the
/// old one can be opened under both.
fn put_aside(to: &Path) -> Result<PathBuf, BookError> {
    fold(to)?;
    let stamp = crate::time::now();
    let stamp = stamp.get(..19).unwrap_or_default().replace(':', "");
    let aside = (1..)
        .map(|n| match n {
            1 => beside(to, &format!(".aside-{stamp}Z")),
            n => beside(to, &format!(".aside-{stamp}Z-{n}")),
        })
        .find(|name| !name.exists())
        .unwrap_or_else(|| beside(to, ".aside"));
    let failed = |error: std::io::Error| from_io(&aside, &error);
    copy_folder(&folder_of_book(to), &folder_of_book(&aside)).map_err(failed)?;
    // Records that could not be folded in lie in -wal, which must not meet the new book.
    let linked = fs::hard_link(to, &aside);
    for ending in LOGS {
        let old = beside(to, ending);
        if old.exists() {
            fs::rename(&old, beside(&aside, ending)).map_err(failed)?;
        }
    }
    if linked.is_err() && to.exists() {
        fs::rename(to, &aside).map_err(failed)?;
    }
    sync_folder(folder_of(to)).map_err(failed)?;
    Ok(aside)
}

/// Folds what lies in -wal into a book that is going to be renamed. One that another program has
/// open is an error. What does not begin as SQLite files do is left as it is: SQLite would throw its
/// log away.
fn fold(book: &Path) -> Result<(), BookError> {
    let mut start = [0_u8; 16];
    let read = fs::File::open(book).and_then(|mut file| file.read_exact(&mut start));
    if read.is_err() || &start != MAGIC {
        return Ok(());
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE;
    let Ok(conn) = Connection::open_with_flags(book, flags) else {
        return Ok(());
    };
    // Whoever has it open shares a lock on it. Folding by this lock makes no journal, which a kill
    // would leave beside the file that takes its place.
    let done = conn
        .pragma_update_and_check(None, "locking_mode", "EXCLUSIVE", |_| Ok(()))
        .and_then(|()| conn.execute_batch("BEGIN IMMEDIATE; ROLLBACK"))
        .and_then(|()| conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())));
    match done {
        Err(error) if error.sqlite_error_code() == Some(ErrorCode::DatabaseBusy) => {
            Err(BookError::Backup {
                path: book.to_owned(),
                problem: "another program has this book open".to_owned(),
                mend: "Stop it (Standbook with Ctrl-C), then restore again".to_owned(),
            })
        }
        _ => Ok(()),
    }
}

/// The same files under another folder: linked where the file system can, else copied.
fn copy_folder(from: &Path, to: &Path) -> std::io::Result<()> {
    if !from.is_dir() {
        return Ok(());
    }
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            copy_folder(&entry.path(), &target)?;
        } else if fs::hard_link(entry.path(), &target).is_err() {
            copy(&entry.path(), &target)?;
        }
    }
    sync_folder(to)
}
