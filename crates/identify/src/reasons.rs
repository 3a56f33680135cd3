//! For and Against: which answers speak for a name, against whom, how strongly.
//!
//! In: an assessment and two rows. Out: for every answer the weight of evidence for the first
//! against the second, in decibans. They add up: prior odds plus all weights are the odds of
//! the two names.
//!
//! Beside that, what a scout wants to hear: the few answers that spoke most for a name against
//! all its rivals together ([`spoke`]), and the looks that could overturn the outcome
//! ([`would_change`]).

use crate::evidence::{Answer, Evidence, Reading};
use crate::information::{Strength, decibans_from_ln};
use crate::look_next::Look;
use crate::outcome::{Assessment, Outcome, Planted, assess};
use crate::posterior::posterior_of;
use crate::table::Table;
use standbook_key::GroupId;

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

/// Whom a name is held against.
#[derive(Debug, Clone, PartialEq)]
pub enum Rivals {
    /// One name has most of what the others have together.
    One(usize),
    /// One group has it.
    Group(GroupId),
    /// No one stands out.
    Others,
}

/// One answer's say for a name against all its rivals.
#[derive(Debug, Clone, PartialEq)]
pub struct Spoke {
    /// The answer.
    pub answer: Answer,
    /// Whether it is implied by another answer.
    pub implied: bool,
    /// How many times likelier the answer is under the name than under its rivals, weighed by
    /// what each of them has without this answer. Above 1 speaks for the name.
    pub times: f64,
    /// Whom it is held against.
    pub rivals: Rivals,
}

/// From which share of what the rivals have together one of them stands for all.
pub(crate) const STANDS_FOR_ALL: f64 = 0.6;

/// Every answer's say for the name in `row` against its rivals together, loudest first.
pub fn spoke(table: &Table, assessment: &Assessment, row: usize) -> Vec<Spoke> {
    let mut all: Vec<Spoke> = assessment
        .contributions
        .iter()
        .map(|one| {
            let mut without =
                posterior_of(table, &assessment.contributions, |c| c.answer != one.answer);
            without[row] = 0.0;
            let total: f64 = without.iter().sum();
            let among: f64 = without
                .iter()
                .zip(&one.log_likelihood)
                .map(|(p, ll)| p / total * ll.exp())
                .sum();
            Spoke {
                answer: one.answer.clone(),
                implied: one.implied,
                times: one.log_likelihood[row].exp() / among,
                rivals: rivals(table, &without, total),
            }
        })
        .collect();
    all.sort_by(|a, b| b.times.ln().abs().total_cmp(&a.times.ln().abs()));
    all
}

fn rivals(table: &Table, shares: &[f64], total: f64) -> Rivals {
    let most = |p: f64| p >= STANDS_FOR_ALL * total;
    if let Some(one) = shares.iter().position(|p| most(*p)) {
        return Rivals::One(one);
    }
    let groups = table.rows.iter().filter_map(|row| row.group.as_ref());
    for group in groups {
        let of_group = |at: &usize| table.rows[*at].group.as_ref() == Some(group);
        let all = (0..shares.len()).filter(of_group);
        if most(all.map(|at| shares[at]).sum()) {
            return Rivals::Group(group.clone());
        }
    }
    Rivals::Others
}

/// A state that, seen next, would change what is said.
#[derive(Debug, Clone, PartialEq)]
pub struct WouldChange {
    /// The trait.
    pub trait_index: usize,
    /// The state.
    pub state: usize,
    /// The outcome it would lead to.
    pub then: Outcome,
    /// How likely it is to be reported, by what is known now, 0 to 1.
    pub chance: f64,
}

/// Of the looks proposed (best first), the states that would lead to another name, or settle the
/// one that leads; likeliest first, at most one a trait. Measures are left out: they have no
/// states to name.
pub fn would_change(
    table: &Table,
    evidence: &Evidence,
    now: &Assessment,
    looks: &[Look],
    planted: Planted,
) -> Vec<WouldChange> {
    let names = |outcome: &Outcome| match outcome {
        Outcome::Settled(row) => (Some(*row), true),
        Outcome::Leaning(row) => (Some(*row), false),
        _ => (None, false),
    };
    let before = names(&now.outcome);
    let mut all: Vec<WouldChange> = looks
        .iter()
        .filter_map(|look| {
            let columns = &table.traits[look.trait_index];
            if_seen(table, evidence, look.trait_index, planted)
                .into_iter()
                .map(|(state, then)| WouldChange {
                    trait_index: look.trait_index,
                    state,
                    then,
                    chance: now
                        .posterior
                        .iter()
                        .zip(&columns.chances[state])
                        .map(|(p, chance)| p * chance)
                        .sum(),
                })
                .filter(|change| {
                    let after = names(&change.then);
                    after.0.is_some() && after != before
                })
                .max_by(|a, b| a.chance.total_cmp(&b.chance))
        })
        .collect();
    all.sort_by(|a, b| b.chance.total_cmp(&a.chance));
    all
}
