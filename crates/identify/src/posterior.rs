//! From answers to how likely each taxon is: adding columns.
//!
//! In: a table and evidence. Out: a probability for every row, summing to 1. The order of
//! answers changes nothing; a trait that was not answered, or could not be told, adds nothing.
//!
//! Four refinements, each simple enough to be said to a scout:
//! * several states in one answer: half the mean of their chances (one of them is right), half
//!   their geometric mean (both are), so that a taxon which shows both is slightly preferred;
//! * answers to traits that say partly the same count less ([`Table::weight`]);
//! * all answers together count a little more than they are ([`crate::Modelling::earned`]), so
//!   that what is said comes as often true as it says;
//! * who describes a ligule's edge has seen a ligule: where the other trait was not answered,
//!   its possible states are implied.

use crate::evidence::{Answer, Evidence, Reading};
use crate::table::Table;

/// One answer's contribution.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// The answer; for an implied one, made from it.
    pub answer: Answer,
    /// Whether it is implied by another answer rather than given.
    pub implied: bool,
    /// For every row, tempered natural log-likelihood.
    pub log_likelihood: Vec<f64>,
}

/// What every answer adds, implied ones last. Answers that say nothing are left out.
pub fn contributions(table: &Table, evidence: &Evidence) -> Vec<Contribution> {
    let mut all: Vec<(Answer, bool)> = evidence
        .answers()
        .iter()
        .filter(|a| a.reading != Reading::CannotTell)
        .map(|a| (a.clone(), false))
        .collect();
    let implied: Vec<Answer> = implied(table, evidence);
    all.extend(implied.into_iter().map(|a| (a, true)));
    let weights: Vec<f64> = all
        .iter()
        .map(|(answer, _)| {
            let at = answer.trait_index;
            let m = table.set_of(at).map_or(1, |(traits, _)| {
                all.iter()
                    .filter(|(a, _)| traits.contains(&a.trait_index))
                    .count()
            });
            table.weight(at, m)
        })
        .collect();
    all.into_iter()
        .zip(weights)
        .map(|((answer, implied), weight)| {
            let mut log_likelihood = reading_column(table, &answer);
            log_likelihood.iter_mut().for_each(|ll| *ll *= weight);
            Contribution {
                answer,
                implied,
                log_likelihood,
            }
        })
        .collect()
}

/// Probabilities of the rows given contributions, each taken by itself as the table has it; those
/// that `keep` refuses are left out. It says less than [`stated`]: what settles is held to it.
pub fn posterior_of(
    table: &Table,
    contributions: &[Contribution],
    keep: impl Fn(&Contribution) -> bool,
) -> Vec<f64> {
    let kept = contributions.iter().filter(|c| keep(c));
    times(table, kept, 1.0)
}

/// Probabilities of the rows given all contributions, as they are stated: what is said comes true
/// about as often as it says.
pub fn stated(table: &Table, contributions: &[Contribution]) -> Vec<f64> {
    let earned = table.modelling.earned(contributions.len());
    times(table, contributions.iter(), earned)
}

/// Probabilities of the rows given evidence, as they are stated.
pub fn posterior(table: &Table, evidence: &Evidence) -> Vec<f64> {
    stated(table, &contributions(table, evidence))
}

fn times<'c>(
    table: &Table,
    contributions: impl Iterator<Item = &'c Contribution>,
    times: f64,
) -> Vec<f64> {
    let mut log = table.log_prior.clone();
    for contribution in contributions {
        for (total, ll) in log.iter_mut().zip(&contribution.log_likelihood) {
            *total += times * ll;
        }
    }
    normalise(&mut log);
    log
}

/// Turns logs into probabilities in place. If every row is impossible (only in tables from
/// counts without smoothing) all are alike, since nothing was learnt.
fn normalise(log: &mut [f64]) {
    let top = log.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if top == f64::NEG_INFINITY {
        let even = 1.0 / log.len() as f64;
        log.iter_mut().for_each(|p| *p = even);
        return;
    }
    log.iter_mut().for_each(|p| *p = (*p - top).exp());
    let total: f64 = log.iter().sum();
    log.iter_mut().for_each(|p| *p /= total);
}

/// The untempered log-likelihood of one reading for every row.
fn reading_column(table: &Table, answer: &Answer) -> Vec<f64> {
    let columns = &table.traits[answer.trait_index];
    match &answer.reading {
        Reading::CannotTell => vec![0.0; table.rows.len()],
        Reading::Measure(value) => match &columns.bins {
            Some(bins) => columns.columns[bins.bin_of(*value)].clone(),
            None => vec![0.0; table.rows.len()],
        },
        Reading::States(states) if states.len() == 1 => columns.columns[states[0]].clone(),
        Reading::States(states) => {
            let n = states.len() as f64;
            let weight = table.modelling.both;
            (0..table.rows.len())
                .map(|row| {
                    let chance = |s: &usize| columns.chances[*s][row];
                    let mean = states.iter().map(chance).sum::<f64>() / n;
                    let both = (states.iter().map(|s| chance(s).ln()).sum::<f64>() / n).exp();
                    ((1.0 - weight) * mean + weight * both).ln()
                })
                .collect()
        }
    }
}

/// Answers that others imply: the other trait of `applies_to` has one of its states.
fn implied(table: &Table, evidence: &Evidence) -> Vec<Answer> {
    let mut implied: Vec<Answer> = Vec::new();
    for answer in evidence.answers() {
        if answer.reading == Reading::CannotTell {
            continue;
        }
        let Some((other, states)) = &table.traits[answer.trait_index].applies_to else {
            continue;
        };
        let told = matches!(
            evidence.reading(*other),
            Some(Reading::States(_) | Reading::Measure(_))
        );
        if told || states.is_empty() {
            continue;
        }
        // Two dependants narrow the same answer down to what both allow.
        match implied.iter_mut().find(|a| a.trait_index == *other) {
            Some(Answer {
                reading: Reading::States(known),
                ..
            }) => {
                let both: Vec<usize> = known
                    .iter()
                    .copied()
                    .filter(|s| states.contains(s))
                    .collect();
                if !both.is_empty() {
                    *known = both;
                }
            }
            _ => implied.push(Answer {
                trait_index: *other,
                reading: Reading::States(states.clone()),
            }),
        }
    }
    implied
}
