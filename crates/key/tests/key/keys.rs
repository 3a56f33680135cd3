//! The good key, and what is laid over it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use standbook_key::{Key, KeyFiles, Loaded, load};

/// File contents by name relative to the key's folder.
pub type Files = BTreeMap<String, Vec<u8>>;

/// `tests/keys`.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/keys")
}

/// The files of the good key.
pub fn good() -> Files {
    contents(&folder().join("good"))
}

/// Every file below a folder, whatever its name.
pub fn contents(folder: &Path) -> Files {
    let mut files = Files::new();
    let mut todo = vec![(folder.to_owned(), String::new())];
    while let Some((folder, prefix)) = todo.pop() {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let name = format!("{prefix}{}", path.file_name().unwrap().to_str().unwrap());
            if path.is_dir() {
                todo.push((path, format!("{name}/")));
            } else {
                files.insert(name, std::fs::read(path).unwrap());
            }
        }
    }
    files
}

/// Loads files.
pub fn load_files(files: &Files) -> Loaded {
    load(&KeyFiles::from_contents(files.clone()))
}

/// The good key with one file replaced.
pub fn with(name: &str, text: impl Into<Vec<u8>>) -> Files {
    let mut files = good();
    files.insert(name.to_owned(), text.into());
    files
}

/// The good key with `from`, which must stand exactly once in file `name`, replaced by `to`.
pub fn edited(name: &str, from: &str, to: &str) -> Files {
    let text = String::from_utf8(good()[name].clone()).unwrap();
    assert_eq!(text.matches(from).count(), 1, "`{from}` in {name}");
    with(name, text.replacen(from, to, 1))
}

/// The faults of `files` as people read them.
pub fn faults(files: &Files) -> Vec<String> {
    let report = load_files(files).report;
    report.faults().map(ToString::to_string).collect()
}

/// The key that `files` make; they must be sound.
pub fn sound(files: &Files) -> Key {
    let loaded = load_files(files);
    let faults: Vec<String> = loaded.report.faults().map(ToString::to_string).collect();
    loaded
        .key
        .unwrap_or_else(|| panic!("{}", faults.join("\n")))
}
