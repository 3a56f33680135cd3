//! Pairs of taxa that no deciding trait separates.
//!
//! Two taxa are *separated* by a deciding trait when both have facts on it and nothing that
//! is recorded more often than `rarely` is shared: no common state, or ranges apart. A cell
//! that nobody recorded separates nothing.

use std::collections::BTreeSet;

use crate::fault::{Findings, Place};
use crate::ids::TaxonId;
use crate::model::{FactValue, Often, Taxon, Trait};

/// Every pair, each once, that no deciding trait of `traits` separates.
pub fn unseparated<'a>(traits: &[Trait], taxa: &'a [Taxon]) -> Vec<(&'a TaxonId, &'a TaxonId)> {
    let mut pairs = Vec::new();
    for (at, one) in taxa.iter().enumerate() {
        for other in &taxa[at + 1..] {
            if !traits.iter().any(|t| t.decides && separates(t, one, other)) {
                pairs.push((&one.id, &other.id));
            }
        }
    }
    pairs
}

/// Whether a trait separates two taxa.
pub fn separates(one: &Trait, a: &Taxon, b: &Taxon) -> bool {
    let (a, b) = (a.facts(one.id.as_str()), b.facts(one.id.as_str()));
    if a.is_empty() || b.is_empty() {
        return false;
    }
    if one.measure().is_some() {
        let span = |facts: &[crate::model::Fact]| {
            facts
                .iter()
                .fold((f64::INFINITY, 0.0_f64), |(low, high), fact| {
                    match fact.value {
                        FactValue::Range { low: l, high: h } => (low.min(l), high.max(h)),
                        _ => (low, high),
                    }
                })
        };
        let ((a_low, a_high), (b_low, b_high)) = (span(a), span(b));
        return a_high < b_low || b_high < a_low;
    }
    let states = |facts: &'_ [crate::model::Fact]| -> BTreeSet<String> {
        facts
            .iter()
            .filter_map(|fact| match &fact.value {
                FactValue::State { state, often } if *often > Often::Rarely => {
                    Some(state.to_string())
                }
                _ => None,
            })
            .collect()
    };
    let (a, b) = (states(a), states(b));
    !a.is_empty() && !b.is_empty() && a.is_disjoint(&b)
}

pub(crate) fn note_unseparated(traits: &[Trait], taxa: &[Taxon], findings: &mut Findings) {
    for (one, other) in unseparated(traits, taxa) {
        findings.note(
            &format!("taxa/{one}.yaml"),
            Place::START,
            format!("no deciding trait separates `{one}` from `{other}`"),
            "record a deciding trait in which they differ, if there is one",
        );
    }
}
