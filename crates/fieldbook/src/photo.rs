//! Pictures: files beside the book, named by the hash of their bytes.
//!
//! In: the bytes of a picture. Out: `<book>.photos/<first two hex digits>/<sha256>.<ext>` and a
//! record that says what it shows. The file is on disk before the record is written, so a record
//! never names a picture that a crash took. Originals are never changed; what is made of one
//! ([`Made`]) lies beside it. Pictures that are still arriving lie in `<book>.uploads`.
//! Not here: how thumbnails are made, and taking the position out of copies.

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
pub(crate) const MEDIA_TYPES: [&str; 5] = [
    "image/jpeg",
    "image/png",
    "image/webp",
    "image/heic",
    "image/heif",
];

/// The file endings of these types, in the same order.
const ENDINGS: [&str; 5] = ["jpg", "png", "webp", "heic", "heif"];

/// A picture on its way into the book: all of its record but what its bytes say themselves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewPhoto<'a> {
    /// The record's id to be.
    pub id: RecordId,
    /// The record it shows.
    pub of: RecordId,
    /// Which part it shows; may be empty.
    pub shows: &'a str,
    /// Who adds it.
    pub author: &'a str,
    /// The device it comes from.
    pub device: &'a str,
    /// UTC instant by that device's clock, RFC 3339 with milliseconds.
    pub born_at: String,
}

/// What is made of a picture and lies beside it. It is no record: it can be lost without harm.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Made {
    /// A thumbnail, JPEG.
    Small,
    /// A JPEG of a picture that few browsers can show (HEIC), made by the phone that took it.
    View,
}

impl Made {
    fn ending(self) -> &'static str {
        match self {
            Made::Small => "small.jpg",
            Made::View => "view.jpg",
        }
    }
}

impl Book {
    /// As [`Book::keep_photo`], for a picture that was born here and now.
    pub fn add_photo(
        &self,
        bytes: &[u8],
        of: RecordId,
        shows: &str,
        author: &str,
        device: &str,
        id: RecordId,
    ) -> Result<Record, BookError> {
        let photo = NewPhoto {
            id,
            of,
            shows,
            author,
            device,
            born_at: now(),
        };
        self.keep_photo(bytes, &photo)
    }

    /// Keeps a picture of a record: first the file, then the record; both on disk when this returns.
    ///
    /// The type is found from the bytes. Sending the same picture again under the same id gives
    /// the record kept before.
    ///
    /// Errors: [`BookError::PhotoType`], [`BookError::PhotoTooLarge`], and those of `append`.
    pub fn keep_photo(&self, bytes: &[u8], new: &NewPhoto) -> Result<Record, BookError> {
        let id = new.id;
        let kind = kind_of(bytes)?;
        let sha256 = hex(&Sha256::digest(bytes));
        let photo = Photo {
            of: new.of,
            sha256: sha256.clone(),
            media_type: MEDIA_TYPES[kind].to_owned(),
            bytes: u64::try_from(bytes.len()).unwrap_or(u64::MAX),
            shows: new.shows.to_owned(),
        };
        let record = Record {
            id,
            born_at: new.born_at.clone(),
            received_at: None,
            device: new.device.to_owned(),
            author: new.author.to_owned(),
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

    /// The folder in which pictures lie that have not arrived whole yet; whoever takes them in makes it.
    pub fn upload_folder(&self) -> PathBuf {
        beside(self.path(), ".uploads")
    }

    /// Where something made of a picture lies; `None` unless `sha256` is 64 lower-case hex digits
    /// and the file is there.
    pub fn made_path(&self, sha256: &str, made: Made) -> Option<PathBuf> {
        is_sha256(sha256)
            .then(|| self.place_of(sha256, made.ending()))
            .filter(|path| path.is_file())
    }

    /// Keeps something made of a picture beside it; on disk when this returns. What was there of
    /// the kind is replaced.
    ///
    /// Errors: [`BookError::Missing`] without the picture, [`BookError::Full`], [`BookError::File`].
    pub fn keep_made(&self, sha256: &str, made: Made, bytes: &[u8]) -> Result<(), BookError> {
        if self.photo_path(sha256).is_none() {
            return Err(BookError::Missing {
                path: self.photo_folder().join(sha256),
            });
        }
        self.write_picture(bytes, sha256, made.ending())
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

/// The type of a picture by its first bytes (twelve are enough), such as `image/jpeg`;
/// [`BookError::PhotoType`] for what the book does not take.
pub fn photo_type(bytes: &[u8]) -> Result<&'static str, BookError> {
    kind_of(bytes).map(|kind| MEDIA_TYPES[kind])
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
/// (JPEG: SOI and the next marker), W3C PNG 5.2, RFC 9649 2.4 (WebP), ISO/IEC 14496-12 4.3 (`ftyp`)
/// with the brands of ISO/IEC 23008-12 10.2 and B.4 (HEIF, HEIC; the brands from memory).
fn kind_of(bytes: &[u8]) -> Result<usize, BookError> {
    let limit = PHOTO_MAX_BYTES;
    let size = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    let kind = if bytes.starts_with(&[0xFF, 0xD8, 0xFF]) {
        0
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        1
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        2
    } else if bytes.get(4..8) == Some(b"ftyp")
        && let Some(kind) = heif(bytes.get(8..12))
    {
        kind
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

/// The type that a brand of HEIF stands for.
fn heif(brand: Option<&[u8]>) -> Option<usize> {
    match brand? {
        b"heic" | b"heix" | b"heim" | b"heis" => Some(3),
        b"mif1" | b"msf1" => Some(4),
        _ => None,
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
