//! The files of one folder of standards as bytes, from disk or from inside the program.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// File contents by name, and what the folder is called in messages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandardFiles {
    folder: String,
    files: BTreeMap<String, Vec<u8>>,
}

/// A folder of standards that could not be read.
#[derive(Debug, thiserror::Error)]
pub enum StandardsFolderError {
    /// There is no such folder.
    #[error("there is no folder {}: give one that holds .yaml files of standards", .0.display())]
    Missing(PathBuf),
    /// It is not a folder.
    #[error("{} is not a folder: give one that holds .yaml files of standards", .0.display())]
    NotAFolder(PathBuf),
    /// It can't be read.
    #[error("can't read {}: {error}", path.display())]
    Unreadable {
        /// What was read.
        path: PathBuf,
        /// Why not.
        error: io::Error,
    },
}

impl StandardFiles {
    /// Wraps contents that are at hand already. `folder` stands before file names in messages.
    pub fn from_contents(
        folder: impl Into<String>,
        files: impl IntoIterator<Item = (String, Vec<u8>)>,
    ) -> Self {
        StandardFiles {
            folder: folder.into(),
            files: files.into_iter().collect(),
        }
    }

    /// Reads every `.yaml` file of a folder (`.yml` too), not of folders in it. Other files are
    /// left alone.
    ///
    /// # Errors
    /// [`StandardsFolderError`]: no folder, or one that can't be read.
    pub fn read_folder(folder: &Path) -> Result<Self, StandardsFolderError> {
        if !folder.exists() {
            return Err(StandardsFolderError::Missing(folder.to_owned()));
        }
        if !folder.is_dir() {
            return Err(StandardsFolderError::NotAFolder(folder.to_owned()));
        }
        let unreadable = |path: &Path| {
            let path = path.to_owned();
            move |error| StandardsFolderError::Unreadable { path, error }
        };
        let mut files = BTreeMap::new();
        for entry in std::fs::read_dir(folder).map_err(unreadable(folder))? {
            let path = entry.map_err(unreadable(folder))?.path();
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let is_yaml = name.ends_with(".yaml") || name.ends_with(".yml");
            if is_yaml && path.is_file() {
                let bytes = std::fs::read(&path).map_err(unreadable(&path))?;
                files.insert(name.into_owned(), bytes);
            }
        }
        let name = folder.file_name().unwrap_or_default().to_string_lossy();
        Ok(StandardFiles {
            folder: name.into_owned(),
            files,
        })
    }

    /// All, by name, with the name as messages show it.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (String, &[u8])> {
        let shown = |name: &String| match self.folder.as_str() {
            "" => name.clone(),
            folder => format!("{folder}/{name}"),
        };
        self.files
            .iter()
            .map(move |(n, b)| (shown(n), b.as_slice()))
    }

    /// What the folder is called in messages.
    pub(crate) fn folder(&self) -> &str {
        &self.folder
    }
}
