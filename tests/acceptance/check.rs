//! `standbook check`: whoever writes a key is told everything that is wrong with it at once.

use std::fs;
use std::path::{Path, PathBuf};

use crate::program::{key_folder, run};

/// A copy of the key that may be damaged.
pub fn copy_of_the_key() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let key = folder.path().join("my key");
    fs::create_dir_all(key.join("taxa")).unwrap();
    for inner in ["", "taxa"] {
        for file in fs::read_dir(key_folder().join(inner)).unwrap() {
            let from = file.unwrap().path();
            if from.is_file() {
                fs::copy(&from, key.join(inner).join(from.file_name().unwrap())).unwrap();
            }
        }
    }
    (folder, key)
}

/// Damages switchgrass in three ways; gives `file:line:column` of each wrong value, worked out
/// from the text itself.
pub fn damage(key: &Path) -> Vec<String> {
    let file = "taxa/panicum_virgatum.yaml";
    let mut text = fs::read_to_string(key.join(file)).unwrap();
    let mut places = Vec::new();
    for (good, bad, value) in [
        ("role: planted", "role: plantedd", "plantedd"),
        ("often: usually", "often: usualy", "usualy"),
        ("state: rolled", "state: roled", "roled"),
    ] {
        assert!(text.contains(good), "the file has changed: no `{good}`");
        text = text.replacen(good, bad, 1);
        let at = text.find(bad).unwrap() + bad.find(value).unwrap();
        let line = text[..at].matches('\n').count() + 1;
        let column = at - text[..at].rfind('\n').map_or(0, |end| end + 1) + 1;
        places.push(format!("{file}:{line}:{column}"));
    }
    fs::write(key.join(file), text).unwrap();
    places
}

#[test]
fn the_key_of_the_project_is_sound() {
    let said = run(&["check".as_ref(), key_folder().as_os_str()]);
    assert_eq!(said.code, 0, "{}", said.out);
    assert!(said.out.contains("52 taxa"), "{}", said.out);
    assert!(said.out.contains("no fault"), "{}", said.out);
    assert_eq!(said.err, "");
}

#[test]
fn every_fault_is_told_with_file_line_and_column() {
    let (_folder, key) = copy_of_the_key();
    let places = damage(&key);
    let said = run(&["check".as_ref(), key.as_os_str()]);
    assert_eq!(said.code, 1);
    let faults: Vec<&str> = said
        .out
        .lines()
        .filter(|l| l.contains(": fault: "))
        .collect();
    for place in &places {
        let wanted = format!("{}/{place}: fault: ", key.display());
        assert!(
            faults.iter().any(|l| l.starts_with(&wanted)),
            "no {wanted} in\n{}",
            said.out
        );
    }
    assert_eq!(faults.len(), 3, "one line a fault, no echo:\n{}", said.out);
    assert_eq!(
        said.out.matches("\n  mend: ").count(),
        said.out.matches(".yaml:").count().max(3)
    );
    assert!(said.out.contains("3 fault(s)"), "{}", said.out);
}

#[test]
fn json_says_the_same() {
    let (_folder, key) = copy_of_the_key();
    let places = damage(&key);
    let said = run(&["check".as_ref(), key.as_os_str(), "--json".as_ref()]);
    assert_eq!(said.code, 1);
    let json: serde_json::Value = serde_json::from_str(&said.out).expect("JSON and nothing else");
    assert_eq!(json["sound"], false);
    let mut found: Vec<String> = json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|f| f["weight"] == "fault")
        .map(|f| {
            assert!(!f["mend"].as_str().unwrap().is_empty());
            format!(
                "{}:{}:{}",
                f["file"].as_str().unwrap(),
                f["place"]["line"],
                f["place"]["column"]
            )
        })
        .collect();
    found.sort();
    let mut places = places;
    places.sort();
    assert_eq!(found, places);
}

#[test]
fn a_faulty_key_serves_and_names_nothing() {
    let (folder, key) = copy_of_the_key();
    damage(&key);
    let observations = folder.path().join("seen.csv");
    fs::write(&observations, "case,trait,value\n1,vernation,rolled\n").unwrap();
    let said = run(&[
        "identify".as_ref(),
        "--key".as_ref(),
        key.as_os_str(),
        observations.as_os_str(),
    ]);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(
        said.err.contains("3 fault(s)") && said.err.contains("standbook check"),
        "{}",
        said.err
    );
}

#[test]
fn a_folder_that_is_not_there_and_one_that_is_no_key() {
    let folder = tempfile::tempdir().unwrap();
    let missing = folder.path().join("nothing");
    let said = run(&["check".as_ref(), missing.as_os_str()]);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(
        said.err.starts_with("error: ") && said.err.contains("nothing"),
        "{}",
        said.err
    );
    let said = run(&["check".as_ref(), folder.path().as_os_str()]);
    assert_eq!(
        said.code, 1,
        "an empty folder is no key: {} {}",
        said.out, said.err
    );
}

#[test]
fn a_wrong_command_line_is_exit_code_2() {
    for line in [
        &["check"][..],
        &["chekc", "keys"],
        &["check", "--jsn", "keys"],
        &[],
        &["serve"],
        &["identify"],
    ] {
        let said = run(line);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{line:?}");
        assert!(said.err.contains("Usage:"), "{line:?}: {}", said.err);
    }
}
