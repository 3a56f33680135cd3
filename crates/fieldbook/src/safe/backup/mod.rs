//! Whole copies of a book, made while it is in use.
//!
//! A folder of backups holds a folder a copy, named after the book and the moment, and one folder
//! `photos` that all copies share: a picture is named by its hash and never changes, so it is copied
//! once. Copied and not linked: a bad sector under one of two names of a file is under both.
//!
//! A copy is SQLite's online backup, taken in one step (in small ones it starts again with every
//! record that comes in, and never ends), by a reader: writers go on. It is made under a temporary
//! name, examined, listed in a manifest with the SHA-256 of everything, and only then gets its name.
//! Not here: when backups are made (crate `web`), and the way back (`restore`).

mod manifest;
mod restore;
mod rotate;

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};

pub use manifest::{Manifest, Picture};
pub use restore::{Restored, restore, verify};
pub use rotate::Rotation;

use self::manifest::{FORMAT, MANIFEST};
use super::RESERVE;
use super::copy::{Placed, hash_of, place};
use super::pictures::{Named, named};
use super::scratch::Scratch;
use crate::book::Book;
use crate::error::{BookError, from_io, from_sqlite};
use crate::open::{beside, folder_of, sync_folder};
use crate::read::count;

/// The folder of pictures that all backups in a folder share.
const PICTURES: &str = "photos";

/// Pause between two pieces of a copy on their way to disk.
const TRICKLE: Duration = Duration::from_millis(10);

/// How carefully pictures are looked at that an earlier backup copied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Care {
    /// Their files are there and have the right size.
    Quick,
    /// Every byte is read and hashed again.
    Thorough,
}

/// A backup that was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// Its folder.
    pub folder: PathBuf,
    /// What is in it.
    pub manifest: Manifest,
    /// Pictures copied now; the others were copied before.
    pub copied: usize,
    /// Older backups that were removed, oldest first.
    pub removed: Vec<PathBuf>,
    /// How long it took.
    pub took: Duration,
}

/// A backup found in a folder.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Its folder.
    pub folder: PathBuf,
    /// What it says is in it.
    pub manifest: Manifest,
}

/// Where backups of a book go unless told otherwise: into a folder beside it.
pub fn folder_beside(book: &Path) -> PathBuf {
    beside(book, ".backups")
}

/// The whole backups of a book in a folder, oldest first. Copies of other books and what is no
/// backup are left out; none when there is no such folder.
pub fn list(folder: &Path, book: &Path) -> Vec<Found> {
    let own = real_path(book);
    let mut found: Vec<Found> = fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| {
            let folder = entry.path();
            let manifest = Manifest::read(&folder).ok()?;
            Some(Found { folder, manifest })
        })
        .filter(|found| found.manifest.book == own)
        .collect();
    found.sort_by(|a, b| {
        let key = |f: &Found| (f.manifest.made_at.clone(), f.folder.clone());
        key(a).cmp(&key(b))
    });
    found
}

impl Book {
    /// Makes a whole copy in the folder `to`, then removes those that `rotation` no longer keeps.
    /// Records go on being kept meanwhile. The folder must be there, lest a copy for a stick that is
    /// not plugged in lands on the disk below; the folder beside the book is made.
    ///
    /// Pictures whose files are lost or changed are listed in the manifest as lacking, and the
    /// records are copied all the same.
    ///
    /// Errors: [`BookError::Backup`] when there is no folder, no room, or the copy is not sound;
    /// those of the disk. After any error there is no new backup, and none was removed.
    pub fn back_up(&self, to: &Path, rotation: &Rotation, care: Care) -> Result<Made, BookError> {
        let start = Instant::now();
        let size = |path: &Path| fs::metadata(path).map_or(0, |found| found.len());
        let book = size(self.path()) + size(&beside(self.path(), "-wal"));
        if to == folder_beside(self.path()) {
            self.look_for_room(folder_of(to), book)?;
            fs::create_dir_all(to).map_err(|error| from_io(to, &error))?;
        }
        if !to.is_dir() {
            return Err(BookError::Backup {
                path: to.to_owned(),
                problem: "the folder for backups is not there".to_owned(),
                mend: "Plug in the stick, or make the folder, and try again".to_owned(),
            });
        }
        let file = file_name(self.path());
        self.look_for_room(to, book)?;
        let scratch = Scratch::new(to, &file)?;
        let copy = scratch.path().join(&file);
        let sound = self.copy_to(&copy)?;
        let (kept, lacking, copied) = self.copy_pictures(&sound.pictures, to, care)?;
        let hashed = hash_of(&copy).map_err(|error| from_io(&copy, &error))?;
        let made_at = crate::time::now();
        let manifest = Manifest {
            format: FORMAT.to_owned(),
            made_at: made_at.clone(),
            book: real_path(self.path()),
            file: file.clone(),
            bytes: hashed.bytes,
            sha256: hashed.sha256,
            version: sound.version,
            records: sound.records,
            photos: kept,
            lacking,
        };
        manifest.write(scratch.path())?;
        let folder = free_name(to, &file, &made_at);
        fs::rename(scratch.path(), &folder)
            .and_then(|()| sync_folder(to))
            .map_err(|error| from_io(&folder, &error))?;
        let removed = rotate::remove_outlived(&list(to, self.path()), rotation);
        Ok(Made {
            folder,
            manifest,
            copied,
            removed,
            took: start.elapsed(),
        })
    }

    /// Whether so many bytes find room in `to`, and some is left then.
    fn look_for_room(&self, to: &Path, bytes: u64) -> Result<(), BookError> {
        let needed = bytes + RESERVE;
        // A system that cannot tell lets the disk itself say so.
        let left = fs4::available_space(to).unwrap_or(u64::MAX);
        if left >= needed {
            return Ok(());
        }
        Err(BookError::Backup {
            path: to.to_owned(),
            problem: format!(
                "there is no room for a backup: {} MB are free and {} MB are needed, of which {} MB stay free",
                left / 1_000_000,
                needed.div_ceil(1_000_000),
                RESERVE / 1_000_000
            ),
            mend: "Make room there, or choose a folder on another disk".to_owned(),
        })
    }

    /// Copies the book's file and looks whether the copy is sound.
    fn copy_to(&self, copy: &Path) -> Result<Sound, BookError> {
        let source = self.reading()?;
        let failed = |error: rusqlite::Error| from_sqlite(self.path(), &error);
        let there = |error: rusqlite::Error| from_sqlite(copy, &error);
        let before = count(&source).map_err(failed)?;
        let mut target = Connection::open(copy).map_err(there)?;
        // Everything is on disk before the name is given, and nothing has to be earlier.
        target
            .pragma_update(None, "synchronous", "OFF")
            .map_err(there)?;
        let done = AtomicBool::new(false);
        let step = std::thread::scope(|scope| {
            scope.spawn(|| trickle(copy, &done));
            let step = Backup::new(&source, &mut target).and_then(|backup| backup.step(-1));
            done.store(true, Ordering::Relaxed);
            step
        });
        let step = step.map_err(failed)?;
        if step != StepResult::Done {
            return Err(BookError::Busy {
                path: self.path().to_owned(),
                waited_s: crate::error::BUSY_WAIT_S,
            });
        }
        // One file that needs nothing beside it, also on a stick that may not be written.
        target
            .pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))
            .map_err(there)?;
        let sound = sound(&target, self.path())?;
        let after = count(&source).map_err(failed)?;
        // More came meanwhile, or somebody's practice was removed.
        if !(before.min(after)..=before.max(after)).contains(&sound.records) {
            return Err(BookError::Damaged {
                path: self.path().to_owned(),
                detail: format!("{before} records became {} in the copy", sound.records),
            });
        }
        drop(target);
        fs::File::open(copy)
            .and_then(|file| file.sync_all())
            .map_err(|error| from_io(copy, &error))?;
        Ok(sound)
    }

    /// Gives the pictures that the backup has, those that are lacking, and how many were copied.
    fn copy_pictures(
        &self,
        pictures: &[Named],
        to: &Path,
        care: Care,
    ) -> Result<(Vec<Picture>, Vec<String>, usize), BookError> {
        let (from, to) = (self.photo_folder(), to.join(PICTURES));
        let new = pictures.iter().filter(|one| !to.join(&one.inside).exists());
        self.look_for_room(folder_of(&to), new.map(|one| one.bytes).sum())?;
        let (mut kept, mut lacking, mut copied) = (Vec::new(), Vec::new(), 0);
        for one in pictures {
            let (source, target) = (from.join(&one.inside), to.join(&one.inside));
            let failed = |error: std::io::Error| from_io(&target, &error);
            if care == Care::Thorough
                && target.is_file()
                && hash_of(&target).map_err(failed)?.sha256 != one.sha256
            {
                fs::remove_file(&target).map_err(failed)?;
            }
            match place(&source, &target, &one.sha256, one.bytes).map_err(failed)? {
                Placed::Missing | Placed::Changed => {
                    lacking.push(one.sha256.clone());
                    continue;
                }
                Placed::Copied => copied += 1,
                Placed::Already => {}
            }
            kept.push(Picture {
                file: one.inside.to_string_lossy().replace('\\', "/"),
                sha256: one.sha256.clone(),
                bytes: one.bytes,
            });
        }
        Ok((kept, lacking, copied))
    }
}

/// A copy of a book's file, found sound.
struct Sound {
    records: usize,
    /// Version of the schema.
    version: i64,
    pictures: Vec<Named>,
}

/// Examines a copy; `path` is what an error names.
fn sound(conn: &Connection, path: &Path) -> Result<Sound, BookError> {
    let failed = |error: rusqlite::Error| from_sqlite(path, &error);
    let said: String = conn
        .query_row("PRAGMA quick_check(1)", [], |row| row.get(0))
        .map_err(failed)?;
    if said != "ok" {
        return Err(BookError::Damaged {
            path: path.to_owned(),
            detail: said,
        });
    }
    Ok(Sound {
        records: count(conn).map_err(failed)?,
        version: conn
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .map_err(failed)?,
        pictures: named(conn, "main").map_err(failed)?,
    })
}

/// Brings a file to disk bit by bit while it grows: all at once would keep those waiting who save.
fn trickle(path: &Path, done: &AtomicBool) {
    let Ok(file) = fs::File::open(path) else {
        return;
    };
    while !done.load(Ordering::Relaxed) && file.sync_data().is_ok() {
        std::thread::sleep(TRICKLE);
    }
}

fn file_name(book: &Path) -> String {
    let name = book.file_name().unwrap_or_default();
    name.to_string_lossy().into_owned()
}

fn real_path(book: &Path) -> String {
    let real = fs::canonicalize(book).unwrap_or_else(|_| book.to_owned());
    real.to_string_lossy().into_owned()
}

/// A name for the backup that no other has: the book's, and the moment without what some systems
/// forbid in names.
fn free_name(to: &Path, file: &str, made_at: &str) -> PathBuf {
    let second = made_at.get(..19).unwrap_or(made_at).replace(':', "");
    let first = to.join(format!("{file}.{second}Z"));
    std::iter::once(first)
        .chain((2..).map(|n| to.join(format!("{file}.{second}Z-{n}"))))
        .find(|name| !name.exists())
        .unwrap_or_else(|| to.join(file))
}
