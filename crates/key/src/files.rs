//! The files of one key folder as bytes, from disk or from inside the program.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// File contents by path relative to the key's folder (`taxa/poa_pratensis.yaml`), `/`
/// between folders.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct KeyFiles {
    files: BTreeMap<String, Vec<u8>>,
}

/// A folder that could not be read.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// There is no such folder.
    #[error("there is no key folder {}: give the folder that holds key.yaml", .0.display())]
    Missing(PathBuf),
    /// It is not a folder.
    #[error("{} is not a folder: give the folder that holds key.yaml", .0.display())]
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

impl KeyFiles {
    /// Wraps contents that are at hand already.
    pub fn from_contents(files: impl IntoIterator<Item = (String, Vec<u8>)>) -> Self {
        KeyFiles {
            files: files.into_iter().collect(),
        }
    }

    /// Reads `key.yaml`, `traits.yaml`, `sources.yaml`, `couplets.yaml` and `taxa/*.yaml`.
    /// Other files are left alone; files named `.yml` are taken too, so that the check can
    /// speak of them.
    pub fn read_folder(folder: &Path) -> Result<Self, FolderError> {
        if !folder.exists() {
            return Err(FolderError::Missing(folder.to_owned()));
        }
        if !folder.is_dir() {
            return Err(FolderError::NotAFolder(folder.to_owned()));
        }
        let mut files = BTreeMap::new();
        for (sub, prefix) in [(folder.to_owned(), ""), (folder.join("taxa"), "taxa/")] {
            if !sub.is_dir() {
                continue;
            }
            let unreadable = |path: &Path| {
                let path = path.to_owned();
                move |error| FolderError::Unreadable { path, error }
            };
            for entry in std::fs::read_dir(&sub).map_err(unreadable(&sub))? {
                let path = entry.map_err(unreadable(&sub))?.path();
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                let is_yaml = name.ends_with(".yaml") || name.ends_with(".yml");
                if is_yaml && path.is_file() {
                    let bytes = std::fs::read(&path).map_err(unreadable(&path))?;
                    files.insert(format!("{prefix}{name}"), bytes);
                }
            }
        }
        Ok(KeyFiles { files })
    }

    /// One file.
    pub fn get(&self, name: &str) -> Option<&[u8]> {
        self.files.get(name).map(Vec::as_slice)
    }

    /// All, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.files.iter().map(|(n, b)| (n.as_str(), b.as_slice()))
    }
}
