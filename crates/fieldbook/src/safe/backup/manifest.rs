//! What a backup says of itself: a JSON file with the SHA-256 of everything in it, written last.

use std::fs;
use std::io::Write;
use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::error::{BookError, from_io};
use crate::open::sync_folder;

/// The manifest's file name.
pub(super) const MANIFEST: &str = "manifest.json";

/// What `format` says.
pub(super) const FORMAT: &str = "standbook backup 1";

/// Largest manifest read, bytes; one of 100,000 pictures has about 20 million.
const LARGEST: u64 = 200_000_000;

/// What is in a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Manifest {
    /// `standbook backup 1`.
    pub format: String,
    /// UTC instant, RFC 3339 with milliseconds.
    pub made_at: String,
    /// Where the book lay.
    pub book: String,
    /// The copy's file, beside the manifest.
    pub file: String,
    /// Its size, bytes.
    pub bytes: u64,
    /// Its SHA-256, hex.
    pub sha256: String,
    /// Version of the book's schema.
    pub version: i64,
    /// Number of records.
    pub records: usize,
    /// The pictures, which lie in the folder `photos` beside the backup's own folder.
    pub photos: Vec<Picture>,
    /// SHA-256 of pictures that records name and whose files were lost or changed when the backup
    /// was made.
    pub lacking: Vec<String>,
}

/// A picture of a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Picture {
    /// Its file within the folder `photos`, such as `3f/3f....jpg`.
    pub file: String,
    /// Its SHA-256, hex.
    pub sha256: String,
    /// Its size, bytes.
    pub bytes: u64,
}

impl Manifest {
    /// Reads the manifest of the backup in `folder`.
    ///
    /// Errors: [`BookError::Backup`] when there is none or it is of another kind.
    pub fn read(folder: &Path) -> Result<Manifest, BookError> {
        let path = folder.join(MANIFEST);
        let unfit = |problem: String| BookError::Backup {
            path: path.clone(),
            problem,
            mend: "Choose another backup".to_owned(),
        };
        let size = fs::metadata(&path).map(|found| found.len());
        if !size.is_ok_and(|size| size <= LARGEST) {
            let problem = "this is not a backup: the file is missing, or far too large";
            return Err(unfit(problem.to_owned()));
        }
        let text = fs::read(&path).map_err(|error| from_io(&path, &error))?;
        let manifest: Manifest = serde_json::from_slice(&text)
            .map_err(|error| unfit(format!("the manifest can't be read: {error}")))?;
        if manifest.format != FORMAT {
            return Err(unfit(format!(
                "the manifest is of the kind `{}`, and this program knows `{FORMAT}`",
                manifest.format
            )));
        }
        let inside = |name: &str| {
            let mut parts = Path::new(name).components();
            !name.is_empty() && parts.all(|part| matches!(part, std::path::Component::Normal(_)))
        };
        let files = manifest.photos.iter().map(|picture| &picture.file);
        let outside = files.chain([&manifest.file]).find(|file| !inside(file));
        if let Some(file) = outside {
            return Err(unfit(format!("it names a file outside the backup: {file}")));
        }
        Ok(manifest)
    }

    /// Writes the manifest into `folder`; it is on disk when this returns.
    pub(super) fn write(&self, folder: &Path) -> Result<(), BookError> {
        let path = folder.join(MANIFEST);
        let write = || {
            let mut file = fs::File::create(&path)?;
            serde_json::to_writer_pretty(&mut file, self)?;
            file.write_all(b"\n")?;
            file.sync_all()?;
            sync_folder(folder)
        };
        write().map_err(|error| from_io(&path, &error))
    }
}
