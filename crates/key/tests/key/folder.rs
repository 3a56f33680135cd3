//! Reading a key's folder from disk.

use standbook_key::{FolderError, KeyFiles, load};

use crate::keys;

#[test]
fn a_folder_on_disk_gives_the_same_files_as_its_contents() {
    let from_disk = KeyFiles::read_folder(&keys::folder().join("good")).unwrap();
    assert_eq!(from_disk, KeyFiles::from_contents(keys::good()));
}

#[test]
fn other_files_are_left_alone_and_yml_is_spoken_of() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("taxa")).unwrap();
    for (name, bytes) in keys::good() {
        std::fs::write(folder.path().join(name), bytes).unwrap();
    }
    std::fs::write(folder.path().join("README.md"), "not a key").unwrap();
    std::fs::write(folder.path().join("taxa/sketch.png"), b"\xff").unwrap();
    // A folder with the name of a file is no file.
    std::fs::create_dir(folder.path().join("taxa/more.yaml")).unwrap();
    let loaded = load(&KeyFiles::read_folder(folder.path()).unwrap());
    assert_eq!(loaded.report.findings, []);

    std::fs::write(folder.path().join("taxa/poa.yml"), "id: poa\n").unwrap();
    let loaded = load(&KeyFiles::read_folder(folder.path()).unwrap());
    let first = loaded.report.faults().next().unwrap();
    assert_eq!(first.file, "taxa/poa.yml");
}

#[test]
fn what_is_no_folder_is_named_with_what_to_give_instead() {
    let folder = tempfile::tempdir().unwrap();
    let missing = folder.path().join("nowhere");
    let error = KeyFiles::read_folder(&missing).unwrap_err();
    assert!(matches!(error, FolderError::Missing(_)));
    let text = error.to_string();
    assert!(
        text.contains("nowhere") && text.contains("key.yaml"),
        "{text}"
    );

    let file = folder.path().join("key.yaml");
    std::fs::write(&file, "id: a\n").unwrap();
    let error = KeyFiles::read_folder(&file).unwrap_err();
    assert!(matches!(error, FolderError::NotAFolder(_)));
}

#[test]
fn an_empty_folder_gets_every_missing_file_named() {
    let folder = tempfile::tempdir().unwrap();
    let loaded = load(&KeyFiles::read_folder(folder.path()).unwrap());
    let files: Vec<&str> = loaded.report.faults().map(|f| f.file.as_str()).collect();
    assert_eq!(
        files,
        ["key.yaml", "key.yaml", "sources.yaml", "traits.yaml"]
    );
}
