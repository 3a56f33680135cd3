//! `standbook standards`: what stands are compared with, and a folder of one's own checked.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::program::{Said, run};

/// Runs it on a folder that holds one file of standards.
fn check(yaml: &str, more: &[&str]) -> Said {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().join("office");
    fs::create_dir(&own).unwrap();
    fs::write(own.join("rules.yaml"), yaml).unwrap();
    let mut args = vec!["standards", "--check", own.to_str().unwrap()];
    args.extend(more);
    let mut said = run(&args);
    let path = own.to_str().unwrap();
    said.out = said.out.replace(path, "OWN");
    said
}

/// An invented rule of an invented office.
const RULE: &str = "\
sources:
  - id: quill_office
    citation: Quill County office, rule for cover plantings, 2026
    kind: local
thresholds:
  - id: quill_cover
    name: Quill County, 80 % of cells
    group: planted_together
    purposes: [conservation]
    counts: plants
    unit: percent_of_cells
    levels:
      - at_least: 80
        word: passes
    source: quill_office
";

/// The names in the project's own file, read without the reader of standards.
fn shipped() -> Vec<String> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("keys/standards/thresholds.yaml");
    let text = fs::read_to_string(file).unwrap();
    let (_, thresholds) = text.split_once("\nthresholds:\n").unwrap();
    thresholds
        .lines()
        .filter_map(|line| line.strip_prefix("    name: "))
        .map(|name| name.trim_matches('"').to_owned())
        .collect()
}

#[test]
fn every_threshold_is_shown_with_its_source() {
    let said = run(&["standards"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    let text = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let names = shipped();
    assert!(names.len() > 8, "{names:?}");
    for name in &names {
        assert!(text.contains(&format!("{name} [")), "{name}:\n{}", said.out);
    }
    // Schmer and others 2006, abstract: 40 % for biomass, 25 % for conservation.
    assert!(text.contains("40* or more: established"), "{}", said.out);
    assert!(text.contains("25* or more: adequate"), "{}", said.out);
    assert!(text.contains("Crop Science 46:157-161"), "{}", said.out);
    for line in said.out.lines() {
        assert!(
            line.chars().count() <= 100 && line == line.trim_end(),
            "{line}"
        );
    }
    let json: Value = serde_json::from_str(&run(&["standards", "--json"]).out).unwrap();
    let listed = json["standards"]["thresholds"].as_array().unwrap();
    assert_eq!(listed.len(), names.len());
    assert_eq!(json["sound"], true);
}

#[test]
fn a_folder_of_ones_own_is_taken_and_goes_first() {
    let said = check(RULE, &[]);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{}", said.out);
    let wanted = "OWN: no fault, 0 note(s)\n\n\
        Thresholds of your own, which go before the others\n  Quill County, 80 % of cells [1]\n";
    assert!(said.out.starts_with(wanted), "{}", said.out);
    let json: Value = serde_json::from_str(&check(RULE, &["--json"]).out).unwrap();
    let own: Vec<&Value> = json["standards"]["thresholds"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|one| one["own"] == true)
        .collect();
    assert_eq!(own.len(), 1);
    assert_eq!(own[0]["id"], "quill_cover");
}

#[test]
fn every_fault_of_a_folder_is_told_with_its_place() {
    let faulty = RULE
        .replace("planted_together", "planted_togther")
        .replace("[conservation]", "[conservaton]")
        .replace("at_least: 80", "at_least: 180");
    let said = check(&faulty, &[]);
    assert_eq!((said.code, said.err.as_str()), (1, ""), "{}", said.out);
    for (line, words) in [(8, "planted_togther"), (9, "conservaton"), (13, "180")] {
        let fault = said.out.lines().find(|text| {
            text.contains(&format!("/office/rules.yaml:{line}:"))
                || text.starts_with(&format!("OWN/rules.yaml:{line}:"))
        });
        assert!(
            fault.is_some_and(|fault| fault.contains(words)),
            "{line} {words}:\n{}",
            said.out
        );
    }
    assert!(said.out.contains("  mend: "), "{}", said.out);
    assert!(said.out.contains("3 fault(s), 0 note(s)"), "{}", said.out);
    assert!(
        !said.out.contains("Thresholds inside"),
        "nothing half-said:\n{}",
        said.out
    );
    let json: Value = serde_json::from_str(&check(&faulty, &["--json"]).out).unwrap();
    assert_eq!(
        (&json["sound"], &json["standards"]),
        (&false.into(), &Value::Null)
    );
    assert_eq!(json["findings"].as_array().unwrap().len(), 3);
}

#[test]
fn a_folder_that_is_not_there() {
    let said = run(&["standards", "--check", "no-such-folder"]);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(
        said.err
            .starts_with("error: there is no folder no-such-folder"),
        "{}",
        said.err
    );
}
