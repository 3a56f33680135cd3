//! A file that is there whole or not at all.

use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

use standbook_fieldbook::APPLICATION_ID;

use crate::error::{Done, ExportError};

/// Makes a file under a temporary name beside `out` and then gives it its name: whoever reads it finds
/// what lay there before or the whole new one. What a link leads to is replaced, not the link.
///
/// Errors: those of `make`; [`ExportError::File`] when a folder, a device or a book has this name.
pub fn whole<T>(
    out: &Path,
    make: impl FnOnce(&Path) -> Result<T, ExportError>,
) -> Result<T, ExportError> {
    let out = fs::canonicalize(out).unwrap_or_else(|_| out.to_owned());
    let refuse = |detail: &str| ExportError::File {
        path: out.clone(),
        detail: detail.to_owned(),
    };
    match fs::metadata(&out) {
        Ok(there) if !there.is_file() => return Err(refuse("a folder or a device has this name")),
        Ok(_) if is_a_book(&out) => return Err(refuse("a book has this name")),
        _ => {}
    }
    let mut part = out.as_os_str().to_owned();
    part.push(format!(".{}.part", std::process::id()));
    let part = PathBuf::from(part);
    // Of a program with the same number that was killed.
    let _ = fs::remove_file(&part);
    let made = make(&part).and_then(|made| {
        File::open(&part)?.sync_all()?;
        fs::rename(&part, &out)?;
        Ok(made)
    });
    if made.is_err() {
        // What is left of it is of no use to anybody.
        let _ = fs::remove_file(&part);
    }
    made.map_err(|error| error.at(&out))
}

/// Whether a file bears the mark of a book. Source: sqlite.org, "Database File Format", 1.3 (the
/// application id is at byte 68, big-endian).
fn is_a_book(path: &Path) -> bool {
    let mut head = [0_u8; 72];
    let read = File::open(path).and_then(|mut file| file.read_exact(&mut head));
    let mark = head[68..]
        .iter()
        .fold(0, |mark, byte| mark << 8 | i64::from(*byte));
    read.is_ok() && mark == APPLICATION_ID
}

/// A new file, for [`whole`].
pub(crate) fn create(part: &Path) -> Done<File> {
    Ok(File::create_new(part)?)
}
