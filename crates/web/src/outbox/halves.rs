//! Photos of which not every byte has arrived.
//!
//! In: bytes from an offset on. Out: files in a folder beside the book, named by the id and the
//! hash that the phone announced, so that a restart or another announcement mixes nothing up.
//! Nothing here is kept for anybody: the phone has every byte of it until the whole is in the
//! book, so any half may be dropped, and is sent anew.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::PathBuf;
use std::time::{Duration, SystemTime};

use standbook_fieldbook::Book;

use super::wire::Announced;

/// Most halves at once: twenty phones with ten each.
const MOST: usize = 200;

/// Most bytes of all halves, by what was announced of the next and what has arrived of the others.
const MOST_BYTES: u64 = 2_000_000_000;

/// How long after its phone last asked for it a half is dropped.
const DROPPED_AFTER: Duration = Duration::from_secs(30 * 24 * 3600);

/// The same, where there is no room for another.
const GIVES_WAY_AFTER: Duration = Duration::from_secs(3600);

/// The folder with the halves.
pub(super) struct Halves {
    folder: PathBuf,
}

/// Why a piece is not taken.
#[derive(Debug)]
pub(super) enum NotTaken {
    /// There is room for no more halves.
    TooMany,
    /// The disk says no.
    Disk(io::Error),
}

impl From<io::Error> for NotTaken {
    fn from(error: io::Error) -> Self {
        NotTaken::Disk(error)
    }
}

impl Halves {
    /// Those of a book.
    pub fn of(book: &Book) -> Halves {
        let folder = book.upload_folder();
        Halves { folder }
    }

    fn path(&self, photo: &Announced) -> PathBuf {
        // Both are checked when an announcement is read: 36 and 64 characters, no separator.
        self.folder.join(format!("{}.{}", photo.id, photo.sha256))
    }

    /// How many bytes of a photo are here. Also marks it as asked for: while a phone does that,
    /// no age drops it.
    pub fn have(&self, photo: &Announced) -> u64 {
        let Ok(file) = OpenOptions::new().append(true).open(self.path(photo)) else {
            return 0;
        };
        let _ = file.set_modified(SystemTime::now());
        match file.metadata() {
            Ok(about) if about.len() <= photo.bytes => about.len(),
            // Longer than announced: not ours.
            _ => {
                self.drop(photo);
                0
            }
        }
    }

    /// Adds the bytes that follow those that are here; gives how many are here then.
    pub fn add(&self, photo: &Announced, piece: &[u8]) -> Result<u64, NotTaken> {
        let have = self.have(photo);
        if have == 0 {
            std::fs::create_dir_all(&self.folder)?;
            self.make_room(photo)?;
        }
        let mut file = OpenOptions::new()
            .append(true)
            .create(true)
            .open(self.path(photo))?;
        match file.write_all(piece) {
            Ok(()) => Ok(file.metadata()?.len()),
            Err(error) => {
                // On a full disk a half would keep a form from being saved.
                self.drop(photo);
                Err(error.into())
            }
        }
    }

    /// All bytes of a photo that has arrived whole.
    pub fn bytes(&self, photo: &Announced) -> io::Result<Vec<u8>> {
        std::fs::read(self.path(photo))
    }

    /// Drops what is here of a photo.
    pub fn drop(&self, photo: &Announced) {
        let _ = std::fs::remove_file(self.path(photo));
    }

    /// Drops what no phone has asked for in a long time, and makes room for one more.
    fn make_room(&self, photo: &Announced) -> Result<(), NotTaken> {
        let now = SystemTime::now();
        let mut halves = Vec::new();
        for entry in std::fs::read_dir(&self.folder)?.flatten() {
            let Ok(about) = entry.metadata() else {
                continue;
            };
            let asked = about.modified().unwrap_or(now);
            let silent = now.duration_since(asked).unwrap_or_default();
            match silent > DROPPED_AFTER {
                true => std::fs::remove_file(entry.path())?,
                false => halves.push((silent, about.len(), entry.path())),
            }
        }
        halves.sort();
        let mut bytes = photo.bytes + halves.iter().map(|(_, len, _)| len).sum::<u64>();
        while halves.len() >= MOST || bytes > MOST_BYTES {
            match halves.pop() {
                Some((silent, len, path)) if silent > GIVES_WAY_AFTER => {
                    std::fs::remove_file(path)?;
                    bytes -= len;
                }
                _ => return Err(NotTaken::TooMany),
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use standbook_fieldbook::RecordId;

    use super::*;

    fn announced(bytes: u64) -> Announced {
        Announced {
            id: RecordId::new(),
            of: RecordId::new(),
            sha256: "ab".repeat(32),
            bytes,
            shows: "base".to_owned(),
            author: "A. Fenn".to_owned(),
            made: "2026-07-14T15:02:07.250Z".to_owned(),
            view: false,
        }
    }

    fn silent_for(halves: &Halves, photo: &Announced, silent: Duration) {
        let file = OpenOptions::new().append(true).open(halves.path(photo));
        let then = SystemTime::now() - silent;
        file.unwrap().set_modified(then).unwrap();
    }

    #[test]
    fn a_half_is_dropped_a_month_after_its_phone_asked_for_it_last() {
        let folder = tempfile::tempdir().unwrap();
        let halves = Halves {
            folder: folder.path().to_owned(),
        };
        let (asked, silent) = (announced(9), announced(9));
        for photo in [&asked, &silent] {
            assert_eq!(halves.add(photo, b"1234").unwrap(), 4);
        }
        for photo in [&asked, &silent] {
            silent_for(&halves, photo, DROPPED_AFTER + GIVES_WAY_AFTER);
        }
        // However old it is, its phone still asks for it.
        assert_eq!(halves.have(&asked), 4);
        halves.add(&announced(9), b"1").unwrap();
        assert_eq!((halves.have(&asked), halves.have(&silent)), (4, 0));
    }

    #[test]
    fn when_there_is_no_room_the_longest_silent_gives_way_and_none_that_is_under_way() {
        let folder = tempfile::tempdir().unwrap();
        let halves = Halves {
            folder: folder.path().to_owned(),
        };
        let photos: Vec<Announced> = (0..MOST).map(|_| announced(9)).collect();
        for photo in &photos {
            halves.add(photo, b"12").unwrap();
        }
        let one_more = announced(9);
        let refused = halves.add(&one_more, b"12");
        assert!(matches!(refused, Err(NotTaken::TooMany)), "{refused:?}");
        silent_for(&halves, &photos[7], GIVES_WAY_AFTER * 3);
        silent_for(&halves, &photos[8], GIVES_WAY_AFTER * 2);
        assert_eq!(halves.add(&one_more, b"12").unwrap(), 2);
        assert_eq!((halves.have(&photos[7]), halves.have(&photos[8])), (0, 2));
        // By bytes as well.
        let refused = halves.add(&announced(MOST_BYTES), b"12");
        assert!(matches!(refused, Err(NotTaken::TooMany)), "{refused:?}");
    }
}
