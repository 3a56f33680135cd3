//! A folder for work in progress, beside what it is for, gone when the work is done.
//!
//! It lies on the same disk, so that what is finished needs only a new name. A program that was
//! killed leaves one behind; the next work at the same place sweeps it away.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use crate::error::{BookError, from_io};
use crate::open::folder_of;

/// What the names of such folders hold after the name of what they are for.
const MARK: &str = ".standbook-part-";

/// A folder that nobody has touched for so long belongs to a program that was killed.
const LEFT_BEHIND: Duration = Duration::from_secs(24 * 60 * 60);

/// Sets folders of one process apart.
static NEXT: AtomicU64 = AtomicU64::new(0);

/// A folder for work in progress, gone with its handle.
#[derive(Debug)]
pub struct Scratch {
    folder: PathBuf,
}

impl Scratch {
    /// Makes one in `place` for what is called `name` there.
    pub(super) fn new(place: &Path, name: &str) -> Result<Scratch, BookError> {
        sweep(place, name);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let folder = place.join(format!(".{name}{MARK}{}-{number}", std::process::id()));
        // Of a program with the same number that was killed.
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir(&folder).map_err(|error| from_io(&folder, &error))?;
        Ok(Scratch { folder })
    }

    /// One beside a book, for a file that is still arriving.
    ///
    /// Errors: the folder of the book may not be written.
    pub fn beside(book: &Path) -> Result<Scratch, BookError> {
        let name = book.file_name().unwrap_or_default().to_string_lossy();
        Scratch::new(folder_of(book), &name)
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.folder
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // After its content went to its own place there is nothing to remove.
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// Removes what killed programs left in `place`.
fn sweep(place: &Path, name: &str) {
    let start = format!(".{name}{MARK}");
    for entry in fs::read_dir(place).into_iter().flatten().flatten() {
        let ours = entry.file_name().to_string_lossy().starts_with(&start);
        let age = entry.metadata().and_then(|found| found.modified());
        let age = age.ok().and_then(|changed| changed.elapsed().ok());
        if ours && age.is_some_and(|age| age > LEFT_BEHIND) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}
