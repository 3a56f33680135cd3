//! Pictures: files beside the book, named by the hash of their bytes.
//!
//! In: the bytes of a picture. Out: `<book>.photos/<first two hex digits>/<sha256>.<ext>` and a
//! record that says what it shows. The file is on disk before the record is written, so a record
//! never names a picture that a crash took. Originals are never changed.
//! Not here: thumbnails, and taking the position out of copies.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use sha2::{Digest, Sha256};

use crate::book::Book;
use crate::check::is_sha256;
use crate::error::{BookError, from_io};
use crate::id::RecordId;
use crate::open::{beside, folder_of, sync_folder};
use crate::record::{Body, Photo, Record};
use crate::time::now;

/// Largest picture, bytes (25 MB; a phone's 12-megapixel JPEG has 2 to 8 MB, memory).
pub const PHOTO_MAX_BYTES: u64 = 25_000_000;

/// The types of picture that the book takes.
pub(crate) const MEDIA_TYPES: [&str; 3] = ["image/jpeg", "image/png", "image/webp"];

/// The file endings of these types, in the same order.
const ENDINGS: [&str; 3] = ["jpg", "png", "webp"];

impl Book {
    /// Keeps a picture of a record: first the file, then the record; both on disk when this returns.
    ///
    /// The type is found from the bytes. `shows` says which part it shows and may be empty. Sending
    /// the same picture again under the same `id` gives the record kept before.
    ///
    /// Errors: [`BookError::PhotoType`], [`BookError::PhotoTooLarge`], and those of `append`.
    pub fn add_photo(
        &self,
        bytes: &[u8],
        of: RecordId,
        shows: &str,
        author: &str,
        device: &str,
        id: RecordId,
    ) -> Result<Record, BookError> {
        let kind = kind_of(bytes)?;
        let sha256 = hex(&Sha256::digest(bytes));
        let photo = Photo {
            of,
            sha256: sha256.clone(),
            media_type: MEDIA_TYPES[kind].to_owned(),
            bytes: u64::try_from(bytes.len()).unwrap_or(u64::MAX),
            shows: shows.to_owned(),
        };
        let record = Record {
            id,
            born_at: now(),
            received_at: None,
            device: device.to_owned(),
            author: author.to_owned(),
            supersedes: None,
            body: Body::Photo(photo),
        };
        if let Some(why) = self.read_only() {
            return Err(BookError::ReadOnly {
                path: self.path().to_owned(),
                why: why.to_owned(),
            });
        }
        let held = self.held(&record)?;
        if held.is_none() {
            // Refuse what the writer would refuse, before a file is written that nobody names.
            let mut problems = Vec::new();
            crate::check::check(&record, &mut problems);
            let nothing_refused = std::collections::HashSet::new();
            problems.extend(self.ask(|conn| {
                let mut found = Vec::new();
                crate::links::check_references(conn, &record, &nothing_refused, &mut found)?;
                Ok(found)
            })?);
            if !problems.is_empty() {
                return Err(BookError::Invalid(problems));
            }
        }
        // Also on a second sending: it heals a file that was lost or damaged since.
        self.write_picture(bytes, &sha256, ENDINGS[kind])?;
        if let Some(held) = held {
            return Ok(held);
        }
        match self.append(vec![record.clone()]) {
            // Somebody else sent the same picture at the same time: their record stands.
            Err(BookError::Conflict { id }) => {
                self.held(&record)?.ok_or(BookError::Conflict { id })
            }
            Err(error) => Err(error),
            Ok(_) => Ok(self.get(id)?.unwrap_or(record)),
        }
    }

    /// Where a picture lies; `None` unless `sha256` is 64 lower-case hex digits and the file is there.
    pub fn photo_path(&self, sha256: &str) -> Option<PathBuf> {
        if !is_sha256(sha256) {
            return None;
        }
        ENDINGS
            .iter()
            .map(|ending| self.place_of(sha256, ending))
            .find(|path| path.is_file())
    }

    /// The folder in which the pictures lie; it is made with the first picture.
    pub fn photo_folder(&self) -> PathBuf {
        folder_of_book(self.path())
    }

    fn place_of(&self, sha256: &str, ending: &str) -> PathBuf {
        inside(&self.photo_folder(), sha256, ending)
    }

    /// The record kept under this id, if it says the same apart from its birth.
    fn held(&self, record: &Record) -> Result<Option<Record>, BookError> {
        match self.get(record.id)? {
            None => Ok(None),
            Some(held)
                if held.body == record.body
                    && held.author == record.author
                    && held.device == record.device =>
            {
                Ok(Some(held))
            }
            Some(_) => Err(BookError::Conflict { id: record.id }),
        }
    }

    fn write_picture(&self, bytes: &[u8], sha256: &str, ending: &str) -> Result<(), BookError> {
        let place = self.place_of(sha256, ending);
        write_durably(&place, bytes, &self.photo_folder()).map_err(|error| from_io(&place, &error))
    }
}

/// The folder in which the pictures of a book lie.
pub(crate) fn folder_of_book(book: &Path) -> PathBuf {
    beside(book, ".photos")
}

/// Where a picture of a type of [`MEDIA_TYPES`] lies inside a folder of pictures.
pub(crate) fn place_in(folder: &Path, sha256: &str, media_type: &str) -> PathBuf {
    let at = MEDIA_TYPES.iter().position(|known| *known == media_type);
    inside(folder, sha256, at.map_or("bin", |at| ENDINGS[at]))
}

fn inside(folder: &Path, sha256: &str, ending: &str) -> PathBuf {
    folder
        .join(sha256.get(..2).unwrap_or_default())
        .join(format!("{sha256}.{ending}"))
}

/// Which of [`MEDIA_TYPES`] the bytes are, by their first bytes. Sources: ISO/IEC 10918-1 B.1.1.3
/// (JPEG: SOI and the next marker), W3C PNG 5.2, RFC 9649 2.4 (WebP).
fn kind_of(bytes: &[u8]) -> Result<usize, BookError> {
    let limit = PHOTO_MAX_BYTES;
    let size = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    let kind = if bytes.starts_with(&[0xFF, 0xD8, 0xFF]) {
        0
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        1
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        2
    } else {
        let start = match bytes.get(..bytes.len().min(12)) {
            None | Some([]) => "nothing".to_owned(),
            Some(first) => hex(first),
        };
        return Err(BookError::PhotoType { start });
    };
    if size > limit {
        Err(BookError::PhotoTooLarge { bytes: size, limit })
    } else {
        Ok(kind)
    }
}

pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Sets temporary files of one process apart.
static NEXT: AtomicU64 = AtomicU64::new(0);

fn write_durably(place: &Path, bytes: &[u8], top: &Path) -> std::io::Result<()> {
    let folder = folder_of(place);
    fs::create_dir_all(folder)?;
    let there = fs::read(place).is_ok_and(|held| held == bytes);
    if !there {
        let name = format!(
            ".{}-{}.part",
            std::process::id(),
            NEXT.fetch_add(1, Ordering::Relaxed)
        );
        let part = folder.join(name);
        let written = write_new(&part, bytes).and_then(|()| fs::rename(&part, place));
        if written.is_err() {
            let _ = fs::remove_file(&part);
        }
        written?;
    }
    // Always: a file that is there may be another thread's, whose folder is not on disk yet.
    sync_folder(folder)?;
    sync_folder(top)?;
    sync_folder(folder_of(top))
}

fn write_new(part: &Path, bytes: &[u8]) -> std::io::Result<()> {
    // Left over from a program with the same number that was killed.
    match fs::remove_file(part) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error),
        _ => {}
    }
    let mut file = fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(part)?;
    file.write_all(bytes)?;
    file.sync_all()
}
