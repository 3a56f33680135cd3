//! What every field worker knows, against the compiled table of the key that ships.
//!
//! `facts/published.csv`: one claim a row, with the source that makes it. `common_practice.csv`:
//! claims of the trade without a source. Column `expect`: `main`, the state is the most likely
//! one; `contested`, sources differ, and at least a quarter of the plants are taken to show it;
//! `possible`, it is recorded; `not`, it is not recorded as usual; `range`, ranges overlap.

#![allow(clippy::unwrap_used)]

mod common;

use std::collections::BTreeMap;
use std::path::PathBuf;

use common::{key, table};
use standbook_key::{Fact, FactValue, Often};

/// Every group of taxa has at least this many published claims.
const PUBLISHED_PER_GROUP: usize = 12;

/// Chances this near are equal.
const TIE: f64 = 1e-9;

/// A state that sources differ about keeps at least this chance.
const CONTESTED: f64 = 0.25;

#[derive(Debug)]
struct Claim {
    group: String,
    taxon: String,
    trait_id: String,
    expect: String,
    value: String,
    source: String,
    citation: String,
    claim: String,
}

fn claims(name: &str) -> Vec<Claim> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/facts");
    let mut reader = csv::Reader::from_path(path.join(name)).unwrap();
    let header = reader.headers().unwrap().clone();
    assert_eq!(
        header.iter().collect::<Vec<_>>(),
        [
            "group", "taxon", "trait", "expect", "value", "source", "citation", "claim"
        ]
    );
    reader
        .records()
        .map(|line| {
            let line = line.unwrap();
            let cell = |at: usize| {
                assert!(!line[at].trim().is_empty(), "empty cell in {line:?}");
                line[at].to_owned()
            };
            Claim {
                group: cell(0),
                taxon: cell(1),
                trait_id: cell(2),
                expect: cell(3),
                value: cell(4),
                source: cell(5),
                citation: cell(6),
                claim: cell(7),
            }
        })
        .collect()
}

/// Why a claim does not hold; `None` if it does.
fn wrong(claim: &Claim) -> Option<String> {
    let (key, table) = (key(), table());
    let Some(taxon) = key.taxon(&claim.taxon) else {
        return Some("no such taxon in the key".to_owned());
    };
    if taxon.group != claim.group.as_str() {
        return Some(format!("it is in group {}", taxon.group));
    }
    let Some(one) = key.trait_by_id(&claim.trait_id) else {
        return Some("no such trait in the key".to_owned());
    };
    let facts = taxon.facts(&claim.trait_id);
    if claim.expect == "range" {
        let (low, high) = claim.value.split_once('-').unwrap();
        let (low, high): (f64, f64) = (low.parse().unwrap(), high.parse().unwrap());
        let overlaps = facts.iter().any(
            |f| matches!(f.value, FactValue::Range { low: l, high: h } if l <= high && low <= h),
        );
        return (!overlaps).then(|| format!("recorded: {facts:?}"));
    }
    let Some(state) = one.state_index(&claim.value) else {
        return Some(format!("`{}` is not a state of the trait", claim.value));
    };
    let recorded = |at_least: Often| {
        facts.iter().any(|f| {
            matches!(&f.value, FactValue::State { state, often }
                if *state == claim.value.as_str() && *often >= at_least)
        })
    };
    match claim.expect.as_str() {
        "main" | "contested" => {
            let columns = &table.traits[table.trait_index(&claim.trait_id).unwrap()];
            let row = table.row_index(&claim.taxon).unwrap();
            let chances: Vec<f64> = columns.chances.iter().map(|c| c[row]).collect();
            let best = chances.iter().copied().fold(0.0, f64::max);
            let enough = match claim.expect.as_str() {
                "main" => best - TIE,
                _ => CONTESTED,
            };
            (chances[state] < enough).then(|| {
                let all: Vec<String> = columns
                    .states
                    .iter()
                    .zip(&chances)
                    .map(|(s, p)| format!("{s} {p:.3}"))
                    .collect();
                format!("the table has {}", all.join(", "))
            })
        }
        "possible" => (!recorded(Often::Rarely)).then(|| format!("recorded: {facts:?}")),
        "not" => recorded(Often::Usually).then(|| format!("recorded: {facts:?}")),
        other => Some(format!("`{other}` is not an expectation")),
    }
}

fn report(claim: &Claim, why: &str) -> String {
    format!(
        "{} {}: {} {}\n  claim: {}\n  citation: {}\n  but: {why}",
        claim.taxon, claim.trait_id, claim.expect, claim.value, claim.claim, claim.citation
    )
}

fn all_hold(claims: &[Claim]) {
    let failures: Vec<String> = claims
        .iter()
        .filter_map(|claim| Some(report(claim, &wrong(claim)?)))
        .collect();
    assert!(
        failures.is_empty(),
        "{} of {} claims fail:\n{}",
        failures.len(),
        claims.len(),
        failures.join("\n")
    );
}

#[test]
fn published_claims_hold() {
    all_hold(&claims("published.csv"));
}

#[test]
fn common_practice_holds() {
    let claims = claims("common_practice.csv");
    assert!(claims.iter().all(|c| c.source == "common practice"));
    all_hold(&claims);
}

#[test]
fn every_group_has_published_claims() {
    let mut n: BTreeMap<String, usize> =
        key().groups.iter().map(|g| (g.id.to_string(), 0)).collect();
    for claim in claims("published.csv") {
        *n.entry(claim.group).or_default() += 1;
    }
    println!("published claims: {n:?}");
    assert!(n.values().all(|&n| n >= PUBLISHED_PER_GROUP), "{n:?}");
}

/// The key itself cites the claim's source for that taxon and trait, as the source of a fact
/// or as one that agrees, in its note.
#[test]
fn published_sources_are_cited_in_the_key() {
    let words = |note: &str, id: &str| {
        note.split(|c: char| !(c.is_ascii_alphanumeric() || c == '_'))
            .any(|word| word == id)
    };
    let failures: Vec<String> = claims("published.csv")
        .iter()
        .filter_map(|claim| {
            if !key().sources.contains_key(claim.source.as_str()) {
                return Some(report(
                    claim,
                    &format!("`{}` is not in sources.yaml", claim.source),
                ));
            }
            let facts: &[Fact] = key().taxon(&claim.taxon)?.facts(&claim.trait_id);
            let cited = facts.iter().any(|f| {
                f.source == claim.source.as_str()
                    || f.note.as_ref().is_some_and(|n| words(n, &claim.source))
            });
            (!cited).then(|| {
                report(
                    claim,
                    &format!("`{}` is not cited: {facts:?}", claim.source),
                )
            })
        })
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
