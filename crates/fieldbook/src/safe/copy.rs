//! Files copied with their hash, on disk under a temporary name before they get their own.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

use sha2::{Digest, Sha256};

use crate::open::{folder_of, sync_folder};
use crate::photo::hex;

/// Bytes read at a time; a file of any size takes no more memory.
const CHUNK: usize = 256 * 1024;

/// Sets temporary files of one process apart.
static NEXT: AtomicU64 = AtomicU64::new(0);

/// Size and SHA-256 of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Hashed {
    /// Bytes.
    pub(super) bytes: u64,
    /// 64 hex digits, lower case.
    pub(super) sha256: String,
}

/// Reads a file to its end.
pub(super) fn hash_of(path: &Path) -> io::Result<Hashed> {
    pour(&mut File::open(path)?, &mut io::sink())
}

/// Copies a file; the copy is on disk when this returns. The hash is that of what was written.
pub(super) fn copy(from: &Path, to: &Path) -> io::Result<Hashed> {
    let mut target = File::create(to)?;
    let hashed = pour(&mut File::open(from)?, &mut target)?;
    target.sync_all()?;
    Ok(hashed)
}

fn pour(from: &mut impl Read, to: &mut impl Write) -> io::Result<Hashed> {
    let (mut hash, mut bytes, mut chunk) = (Sha256::new(), 0_u64, vec![0; CHUNK]);
    loop {
        let read = match from.read(&mut chunk) {
            Ok(0) => break,
            Ok(read) => read,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(error),
        };
        hash.update(&chunk[..read]);
        to.write_all(&chunk[..read])?;
        bytes += u64::try_from(read).unwrap_or(u64::MAX);
    }
    let sha256 = hex(&hash.finalize());
    Ok(Hashed { bytes, sha256 })
}

/// What became of a picture that was to be put in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Placed {
    /// It is there now.
    Copied,
    /// It was there.
    Already,
    /// The file to copy is not there.
    Missing,
    /// Its bytes are not those that its name says.
    Changed,
}

/// Puts the picture `from` at `to`, a place named by its hash, unless a file of the right size is
/// there. Only bytes with the right hash get the name.
pub(super) fn place(from: &Path, to: &Path, sha256: &str, bytes: u64) -> io::Result<Placed> {
    if fs::metadata(to).is_ok_and(|found| found.is_file() && found.len() == bytes) {
        return Ok(Placed::Already);
    }
    if !from.is_file() {
        return Ok(Placed::Missing);
    }
    let folder = folder_of(to);
    fs::create_dir_all(folder)?;
    let number = NEXT.fetch_add(1, Ordering::Relaxed);
    let part = folder.join(format!(".{}-{number}.part", std::process::id()));
    let placed = copy(from, &part).and_then(|hashed| {
        if hashed.sha256 == sha256 {
            fs::rename(&part, to)?;
            sync_folder(folder)?;
            Ok(Placed::Copied)
        } else {
            Ok(Placed::Changed)
        }
    });
    if !matches!(placed, Ok(Placed::Copied)) {
        let _ = fs::remove_file(&part);
    }
    placed
}
