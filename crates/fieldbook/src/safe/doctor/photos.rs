//! Pictures: each is there with the bytes that its record names, and no file is there that none does.

use std::collections::HashSet;
use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::Transaction;

use super::{Finding, Found};
use crate::photo::folder_of_book;
use crate::safe::copy::hash_of;
use crate::safe::pictures::named;

/// Every file in a folder and the folders in it.
pub(super) fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        // A link is no picture of ours, and may lead in a circle.
        match entry.file_type() {
            Ok(kind) if kind.is_dir() => found.extend(files(&entry.path())),
            _ => found.push(entry.path()),
        }
    }
    found.sort();
    found
}

pub(super) fn check(tx: &Transaction<'_>, path: &Path) -> Found {
    let folder = folder_of_book(path);
    let (mut missing, mut changed) = (Vec::new(), Vec::new());
    let mut expected = HashSet::new();
    for picture in named(tx, "main")? {
        let file = folder.join(&picture.inside);
        let place = format!("{} (record {})", file.display(), picture.record);
        match hash_of(&file) {
            Ok(hashed) if hashed.sha256 == picture.sha256 => {}
            Ok(_) => changed.push(place),
            Err(_) => missing.push(place),
        }
        expected.insert(file);
    }
    let mut orphans = files(&folder);
    orphans.retain(|file| !expected.contains(file));
    Ok(vec![
        Finding::at(
            "photo_missing",
            "Pictures that records name are not there, or cannot be read.",
            "Their records are sound. Copy the files back from the folder photos of a backup, merge the book they came from, or add the same picture again on its page.",
            missing,
        ),
        Finding::at(
            "photo_changed",
            "Pictures have other bytes than when they were added.",
            "Something outside this program changed them, or the disk fails. Put the files of the same names from a backup in their place.",
            changed,
        ),
        Finding::at(
            "photo_orphan",
            "Files lie among the pictures that no record names.",
            "They do no harm: an upload or a merge was cut off, or somebody put them there. Adding the same picture again, or merging again, puts them to use; others may be removed by hand.",
            orphans
                .iter()
                .map(|file| file.display().to_string())
                .collect(),
        ),
    ])
}
