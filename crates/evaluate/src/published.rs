//! Published descriptions as plants: what one source says of one taxon, walked through a key
//! that has never seen that source.
//!
//! In: a key. Out: for every (source, taxon) its answers, as somebody would give them who holds
//! the page in hand: of each trait the states the source calls usual; where it only says
//! *sometimes*, all of these; of a range its middle on the log scale.
//!
//! Two readings. *Whole*: every trait of the description. *Supported*: only traits of which
//! another source still says something, as it is for a source that comes new to a whole key;
//! this one is the headline.

use std::collections::BTreeMap;

use standbook_identify::{Answer, Evidence, Reading, Table};
use standbook_key::{Fact, FactValue, Key, Often, SourceId, Trait};

use crate::leave_out::without_source;

/// Descriptions of fewer traits name nothing, and say nothing about naming.
pub const FEWEST: usize = 4;

/// Of longer ones so many are drawn: what a scout, or a short description, would have.
pub const MOST: usize = 10;

/// One published description.
#[derive(Debug, Clone, PartialEq)]
pub struct Description {
    /// Its source, or the one that several count with.
    pub source: SourceId,
    /// The taxon it describes, by position in the key.
    pub taxon: usize,
    /// What it says, in the key's order of traits.
    pub evidence: Evidence,
}

/// Which traits of a description are walked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// All that the source describes.
    Whole,
    /// Those of which another source says something too.
    Supported,
}

/// Every description of `key` with at least [`FEWEST`] traits, by source, then taxon; at most
/// [`MOST`] traits of each, drawn by `seed`. The table is of the same key (only the positions
/// of its traits and states are used).
pub fn descriptions(key: &Key, table: &Table, reach: Reach, seed: u64) -> Vec<Description> {
    let mut by_source: BTreeMap<(&SourceId, usize), Vec<Answer>> = BTreeMap::new();
    for one in &key.traits {
        let Some(trait_index) = table.trait_index(one.id.as_str()) else {
            continue;
        };
        for (at, taxon) in key.taxa.iter().enumerate() {
            let facts = taxon.facts(one.id.as_str());
            let mut sources: Vec<&SourceId> =
                facts.iter().map(|f| key.voice_of(&f.source)).collect();
            sources.sort();
            sources.dedup();
            for source in sources.iter().filter(|s| s.as_str() != "memory") {
                if reach == Reach::Supported && sources.len() < 2 {
                    continue;
                }
                let said: Vec<&Fact> = facts
                    .iter()
                    .filter(|f| key.voice_of(&f.source) == *source)
                    .collect();
                if let Some(reading) = reading(one, &said) {
                    by_source.entry((source, at)).or_default().push(Answer {
                        trait_index,
                        reading,
                    });
                }
            }
        }
    }
    let mut rng = fastrand::Rng::with_seed(seed);
    by_source
        .into_iter()
        .filter(|(_, answers)| answers.len() >= FEWEST)
        .map(|((source, taxon), answers)| {
            let mut drawn: Vec<usize> = (0..answers.len()).collect();
            rng.shuffle(&mut drawn);
            drawn.truncate(MOST);
            drawn.sort_unstable();
            let mut evidence = Evidence::default();
            for at in drawn {
                evidence.add(answers[at].clone());
            }
            Description {
                source: source.clone(),
                taxon,
                evidence,
            }
        })
        .collect()
}

/// What somebody would answer who has these facts of one source before her.
fn reading(one: &Trait, facts: &[&Fact]) -> Option<Reading> {
    if one.measure().is_some() {
        let middles: Vec<f64> = facts
            .iter()
            .filter_map(|fact| match fact.value {
                // Only the upper end is given: half of it is as good a guess as any.
                FactValue::Range { low: 0.0, high } => Some((high / 2.0 * high).sqrt()),
                FactValue::Range { low, high } => Some((low * high).sqrt()),
                _ => None,
            })
            .collect();
        let n = middles.len() as f64;
        let mean = middles.iter().map(|m| m.ln()).sum::<f64>() / n;
        return (n > 0.0).then(|| Reading::Measure(mean.exp()));
    }
    let states = |wanted: &dyn Fn(Often) -> bool| -> Vec<usize> {
        let mut states: Vec<usize> = facts
            .iter()
            .filter_map(|fact| match &fact.value {
                FactValue::State { state, often } if wanted(*often) => {
                    one.state_index(state.as_str())
                }
                _ => None,
            })
            .collect();
        states.sort_unstable();
        states.dedup();
        states
    };
    let usual = states(&|often| matches!(often, Often::Always | Often::Usually));
    if !usual.is_empty() {
        return Some(Reading::States(usual));
    }
    // "Sometimes rooting at the nodes" says nothing of the plant in hand; "bare or hairy" does.
    let some = states(&|often| often == Often::Sometimes);
    (some.len() > 1).then_some(Reading::States(some))
}

/// Calls `each` for every description with the table of the key without its source.
pub fn walk_unseen<T>(
    key: &Key,
    descriptions: &[Description],
    compile: impl Fn(&Key) -> Table,
    mut each: impl FnMut(&Table, &Description) -> T,
) -> Vec<T> {
    let mut results = Vec::with_capacity(descriptions.len());
    let mut before: Option<(&SourceId, Table)> = None;
    for description in descriptions {
        if before
            .as_ref()
            .is_none_or(|(source, _)| *source != &description.source)
        {
            let table = compile(&without_source(key, &description.source));
            before = Some((&description.source, table));
        }
        if let Some((_, table)) = &before {
            results.push(each(table, description));
        }
    }
    results
}
