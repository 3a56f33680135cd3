//! The phones that were let in to one book on this machine.
//!
//! In: names, keys that phones show. Out: which phone it is. Kept in a file of its own beside the
//! book, not in it: a copy of the book on another laptop lets nobody in. A phone's key is 256
//! random bits; the file holds only its SHA-256, so whoever reads the file can't show a key.

use std::fs;
use std::io;
use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::code::Guest;
use crate::whole;

/// Name and version of the file's form.
const FORMAT: &str = "standbook phones 1";

/// Seconds between two notes of when a phone was seen: each is a write to the disk.
const SEEN_EVERY_S: i64 = 300;

/// A phone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Phone {
    /// Eight hexadecimal digits, the start of its key's checksum.
    pub id: String,
    /// Whose it is.
    pub scout: String,
    /// Whether it may work at the Desk.
    pub desk: bool,
    /// When it was let in; UTC, as records write it.
    pub since: String,
    /// When it was last seen, to five minutes.
    pub seen: String,
    /// When it was sent away again.
    pub away: Option<String>,
    /// The laptop's address at which it was last seen: what it keeps unsent belongs to it.
    #[serde(default)]
    pub at: Option<IpAddr>,
    /// SHA-256 of its key, hexadecimal.
    key_sha256: String,
}

impl Phone {
    /// Its name as the device of records.
    pub fn device(&self) -> String {
        format!("phone {}", self.id)
    }
}

#[derive(Debug, Serialize, Deserialize)]
struct File {
    format: String,
    phones: Vec<Phone>,
}

/// Why the list of phones can't be used.
#[derive(Debug, thiserror::Error)]
pub enum RosterFault {
    /// The disk says no.
    #[error("the list of phones {path} can't be {what}: {source}")]
    Disk {
        /// The file.
        path: String,
        /// `read` or `written`.
        what: &'static str,
        /// Why.
        source: io::Error,
    },
    /// It is no list of phones.
    #[error(
        "{path} is not a list of phones ({why}); move it away, start again, and let the phones in anew"
    )]
    NotAList {
        /// The file.
        path: String,
        /// What is wrong.
        why: String,
    },
    /// The system gives no random numbers.
    #[error("this machine gives no random numbers for a phone's key: {0}")]
    Random(getrandom::Error),
}

/// All phones of a book.
#[derive(Debug)]
pub struct Roster {
    path: PathBuf,
    phones: Mutex<Vec<Phone>>,
}

impl Roster {
    /// The list of a book: the file that is called as the book is, and `.phones`. An empty one
    /// where there is none.
    pub fn of_book(book: &Path) -> Result<Roster, RosterFault> {
        let mut path = book.as_os_str().to_owned();
        path.push(".phones");
        let path = PathBuf::from(path);
        let phones = match fs::read(&path) {
            Ok(bytes) => read(&path, &bytes)?,
            Err(error) if error.kind() == io::ErrorKind::NotFound => Vec::new(),
            Err(source) => {
                return Err(RosterFault::Disk {
                    path: path.display().to_string(),
                    what: "read",
                    source,
                });
            }
        };
        let phones = Mutex::new(phones);
        Ok(Roster { path, phones })
    }

    /// Lets a phone in. Out: the key that it must show from now on. On the disk before it is given.
    pub fn let_in(&self, guest: &Guest) -> Result<(String, Phone), RosterFault> {
        let mut bits = [0_u8; 32];
        getrandom::fill(&mut bits).map_err(RosterFault::Random)?;
        let key = hex(&bits);
        let sum = checksum(&key);
        let now = standbook_fieldbook::time::now();
        let phone = Phone {
            id: sum.chars().take(8).collect(),
            scout: guest.scout.clone(),
            desk: guest.desk,
            since: now.clone(),
            seen: now,
            away: None,
            at: None,
            key_sha256: sum,
        };
        let mut phones = self.lock();
        let mut after = phones.clone();
        after.push(phone.clone());
        self.write(&after)?;
        *phones = after;
        Ok((key, phone))
    }

    /// The phone that shows a key, unless it was sent away.
    pub fn shown(&self, key: &str) -> Option<Phone> {
        let sum = checksum(key);
        let mut phones = self.lock();
        let at = phones
            .iter()
            .position(|phone| phone.away.is_none() && phone.key_sha256 == sum)?;
        let now = standbook_fieldbook::time::now();
        let phone = phones.get_mut(at)?;
        if seconds_between(&phone.seen, &now).is_none_or(|s| s.abs() >= SEEN_EVERY_S) {
            phone.seen = now;
            let phone = phone.clone();
            // A note for the eye: a full disk must not keep a scout out.
            let _ = self.write(&phones);
            return Some(phone);
        }
        Some(phone.clone())
    }

    /// Notes the laptop's address at which a phone was seen.
    pub fn seen_at(&self, id: &str, at: IpAddr) {
        let mut phones = self.lock();
        let new = |phone: &&mut Phone| phone.id == id && phone.at != Some(at);
        if let Some(phone) = phones.iter_mut().find(new) {
            phone.at = Some(at);
            // As above.
            let _ = self.write(&phones);
        }
    }

    /// Sends a phone away; at once. Whether there was one of this id.
    pub fn send_away(&self, id: &str) -> Result<bool, RosterFault> {
        let mut phones = self.lock();
        let mut after = phones.clone();
        let found = after
            .iter_mut()
            .find(|phone| phone.id == id && phone.away.is_none());
        let Some(phone) = found else {
            return Ok(false);
        };
        phone.away = Some(standbook_fieldbook::time::now());
        // Out first, noted second: a full disk must not keep a phone in.
        *phones = after;
        self.write(&phones)?;
        Ok(true)
    }

    /// All, the ones in first, the newest first.
    pub fn all(&self) -> Vec<Phone> {
        let mut all = self.lock().clone();
        all.sort_by(|a, b| (a.away.is_some(), &b.since).cmp(&(b.away.is_some(), &a.since)));
        all
    }

    fn write(&self, phones: &[Phone]) -> Result<(), RosterFault> {
        let fault = |source| RosterFault::Disk {
            path: self.path.display().to_string(),
            what: "written",
            source,
        };
        let list = File {
            format: FORMAT.to_owned(),
            phones: phones.to_vec(),
        };
        let text = serde_json::to_string_pretty(&list).map_err(|e| fault(e.into()))?;
        whole::replace(&self.path, text.as_bytes()).map_err(fault)
    }

    fn lock(&self) -> MutexGuard<'_, Vec<Phone>> {
        self.phones.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn read(path: &Path, bytes: &[u8]) -> Result<Vec<Phone>, RosterFault> {
    let fault = |why: String| RosterFault::NotAList {
        path: path.display().to_string(),
        why,
    };
    let list: File = serde_json::from_slice(bytes).map_err(|e| fault(e.to_string()))?;
    if list.format != FORMAT {
        return Err(fault(format!("its form is {:?}", list.format)));
    }
    Ok(list.phones)
}

fn checksum(key: &str) -> String {
    hex(&Sha256::digest(key.as_bytes()))
}

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Seconds from one stamp to another; `None` where one is no stamp.
fn seconds_between(from: &str, to: &str) -> Option<i64> {
    let read = |text: &str| standbook_fieldbook::time::parse_stamp(text);
    Some(read(to)?.as_second() - read(from)?.as_second())
}
