//! `standbook why`: a number of the table traced to its sources, and held against what
//! `identify` does with it.

use serde_json::Value;

use crate::identify_names::cases;
use crate::program::{key_folder, run};

fn traced(taxon: &str, of: &str) -> Value {
    let key = key_folder();
    let said = run(&[
        "why".as_ref(),
        "--key".as_ref(),
        key.as_os_str(),
        "--json".as_ref(),
        taxon.as_ref(),
        of.as_ref(),
    ]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    serde_json::from_str(&said.out).unwrap()
}

/// The chance that a state, by position, is reported of a grass.
fn chance(taxon: &str, of: &str, state: usize) -> f64 {
    traced(taxon, of)["reported"][state].as_f64().unwrap()
}

/// One answer to names that start even: their odds are those of the traced chances.
#[test]
fn the_traced_chances_are_what_naming_uses() {
    let said = cases("case,trait,value\np,vernation,folded\n");
    let p = |id: &str| {
        let ranking = said[0]["ranking"].as_array().unwrap();
        let found = ranking.iter().find(|r| r["taxon"] == *id).unwrap();
        found["probability"].as_f64().unwrap()
    };
    let (one, other) = ("poa_pratensis", "setaria_viridis");
    let odds = chance(one, "vernation", 1) / chance(other, "vernation", 1);
    assert!(odds > 5.0, "{odds}");
    // One answer counts as much as one of five: (5 + 2.5) / 5 times (`Modelling::earned`).
    let stated = odds.powf(1.5);
    assert!((p(one) / p(other) - stated).abs() < 1e-9 * stated);
}

/// Every source of the cell in the key's file is there by its citation, and no other.
#[test]
fn every_source_of_the_cell_is_named() {
    let said = traced("Big Bluestem", "Ligule");
    assert_eq!(said["taxon"], "andropogon_gerardi");
    let named: Vec<&str> = said["statements"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| s["source"].as_str().unwrap())
        .collect();
    let file = std::fs::read_to_string(key_folder().join("taxa/andropogon_gerardi.yaml")).unwrap();
    let cell = file.split("\n  ligule_type:\n").nth(1).unwrap();
    let in_file: Vec<&str> = cell
        .lines()
        .take_while(|l| l.starts_with("    "))
        .filter_map(|l| l.strip_prefix("      source: "))
        .collect();
    // Sources that share a text or an author are one voice, and named by it.
    let sources = std::fs::read_to_string(key_folder().join("sources.yaml")).unwrap();
    let voice = |source: &str| {
        let entry = sources
            .split("\n  - id: ")
            .find(|e| e.lines().next() == Some(source));
        let lines = entry.unwrap().lines();
        let with = lines
            .filter_map(|l| l.strip_prefix("    counts_with: "))
            .next();
        with.unwrap_or(source).to_owned()
    };
    let mut in_file: Vec<String> = in_file.into_iter().map(voice).collect();
    in_file.dedup();
    let mut sorted = (named.clone(), in_file);
    sorted.0.sort_unstable();
    sorted.1.sort_unstable();
    sorted.1.dedup();
    assert_eq!(sorted.0, sorted.1);
    let total: f64 = said["reported"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p.as_f64().unwrap())
        .sum();
    assert!((total - 1.0).abs() < 1e-9);
}

#[test]
fn in_words_it_names_sources_kin_and_misreading() {
    let said = run(&["why", "switchgrass", "ligule_length"]);
    assert_eq!(said.code, 0, "{}", said.err);
    for part in [
        "What is said",
        "its kin",
        "So plants show",
        "misread",
        "mm",
        "Sources",
    ] {
        assert!(said.out.contains(part), "{part}\n{}", said.out);
    }
    assert!(
        said.out.lines().all(|l| l.chars().count() <= 100),
        "{}",
        said.out
    );
}

#[test]
fn what_is_not_there_is_said_with_a_hint() {
    for (taxon, of, hint) in [
        ("switchgras", "vernation", "panicum_virgatum"),
        ("panicum_virgatum", "vernatio", "vernation"),
        ("panicum_virgatum", "odor_or_other", "with states"),
    ] {
        let said = run(&["why", taxon, of]);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{taxon} {of}");
        assert!(said.err.contains(hint), "{}", said.err);
    }
}
