//! For and Against: which answers speak for a name, against whom, how strongly.
//!
//! In: an assessment and two rows. Out: for every answer the weight of evidence for the first
//! against the second, in decibans. They add up: prior odds plus all weights are the odds of
//! the two names.

use crate::evidence::{Answer, Evidence, Reading};
use crate::information::{Strength, decibans_from_ln};
use crate::outcome::{Assessment, Outcome, Planted, assess};
use crate::table::Table;

/// One answer's say between two names.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// The answer.
    pub answer: Answer,
    /// Whether it is implied by another answer.
    pub implied: bool,
    /// Weight for the name against its rival, decibans; below 0 speaks against.
    pub decibans: f64,
}

impl Reason {
    /// How strongly, in a word.
    pub fn strength(&self) -> Strength {
        Strength::of(self.decibans)
    }
}

/// Every answer's say for `row` against `rival`, strongest first.
pub fn reasons(assessment: &Assessment, row: usize, rival: usize) -> Vec<Reason> {
    let mut reasons: Vec<Reason> = assessment
        .contributions
        .iter()
        .map(|c| Reason {
            answer: c.answer.clone(),
            implied: c.implied,
            decibans: decibans_from_ln(c.log_likelihood[row] - c.log_likelihood[rival]),
        })
        .collect();
    reasons.sort_by(|a, b| b.decibans.abs().total_cmp(&a.decibans.abs()));
    reasons
}

/// What one further look would say: the outcome after each state of a trait.
pub fn if_seen(
    table: &Table,
    evidence: &Evidence,
    trait_index: usize,
    planted: Planted,
) -> Vec<(usize, Outcome)> {
    (0..table.traits[trait_index].states.len())
        .map(|state| {
            let more = evidence.with(Answer {
                trait_index,
                reading: Reading::States(vec![state]),
            });
            (state, assess(table, &more, planted).outcome)
        })
        .collect()
}
