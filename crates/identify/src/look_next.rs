//! *Look next at*: the trait that tells most per second.
//!
//! In: a table, the present probabilities, what was answered, the situation. Out: the traits
//! that can still be looked at, best first.
//!
//! The worth of a look is the information it is expected to give about the name plus that
//! about the question the count asks (planted here or not), in bits, over the seconds it
//! takes. Planted-or-not is part of the name, so it counts twice on purpose: it is what the
//! stand hangs on.
//!
//! Only the next look is weighed. Held against the exact optimum of small keys (`tests/optimum`)
//! it takes one to four hundredths more effort than the best way of asking. Looking one answer
//! further halves that; on the whole key with misreading it saved one second in a hundred, settled
//! no more plants and cost twenty times the time, so it was left out.
//!
//! Cost: for every trait, one pass over its columns; entropies of rows are in the table.

use crate::evidence::{Evidence, Reading, Situation};
use crate::information::plogp;
use crate::outcome::Planted;
use crate::table::Table;

/// Seconds that choosing and answering take, beyond the look itself (memory).
pub const TAP_S: f64 = 3.0;

/// A look worth less than this many bits is not proposed.
pub const WORTHLESS_BITS: f64 = 0.005;

/// A possible next look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// The trait, by position in the table.
    pub trait_index: usize,
    /// Expected information about the name, bits.
    pub bits_name: f64,
    /// Expected information about planted or not, bits.
    pub bits_planted: f64,
    /// (bits_name + bits_planted) per second.
    pub bits_per_second: f64,
}

/// The traits that can be looked at now, best first; deciding traits before those that only
/// support.
pub fn looks(
    table: &Table,
    posterior: &[f64],
    evidence: &Evidence,
    situation: &Situation,
    planted: Planted,
) -> Vec<Look> {
    // Planted, other, not in key: the hypotheses of the count's question.
    let part: Vec<usize> = (0..table.rows.len())
        .map(|row| {
            if Some(row) == table.not_in_key() {
                2
            } else {
                usize::from(!planted.contains(table, row))
            }
        })
        .collect();
    let mut shares = [0.0; 3];
    for (row, p) in posterior.iter().enumerate() {
        shares[part[row]] += p;
    }
    let mut looks: Vec<Look> = (0..table.traits.len())
        .filter(|&at| can_look(table, at, evidence, situation))
        .map(|at| look(table, at, posterior, &part, &shares, evidence))
        .filter(|look| look.bits_name + look.bits_planted > WORTHLESS_BITS)
        .collect();
    looks.sort_by(|a, b| {
        let decides = |l: &Look| table.traits[l.trait_index].decides;
        decides(b)
            .cmp(&decides(a))
            .then(b.bits_per_second.total_cmp(&a.bits_per_second))
            .then(a.trait_index.cmp(&b.trait_index))
    });
    looks
}

/// Whether a trait can be looked at: not answered yet, visible at this stage, tools in hand,
/// and applying to this plant as far as answered.
pub fn can_look(table: &Table, at: usize, evidence: &Evidence, situation: &Situation) -> bool {
    let columns = &table.traits[at];
    evidence.reading(at).is_none()
        && columns.visible_at(situation.leaf_stage)
        && columns
            .needs
            .iter()
            .all(|need| situation.tools.contains(need))
        && applies(table, at, evidence)
}

/// Whether a trait applies to this plant, as far as answered.
pub fn applies(table: &Table, at: usize, evidence: &Evidence) -> bool {
    let Some((other, states)) = &table.traits[at].applies_to else {
        return true;
    };
    match evidence.reading(*other) {
        Some(Reading::States(seen)) => seen.iter().any(|s| states.contains(s)),
        _ => true,
    }
}

fn look(
    table: &Table,
    at: usize,
    posterior: &[f64],
    part: &[usize],
    shares: &[f64; 3],
    evidence: &Evidence,
) -> Look {
    let columns = &table.traits[at];
    let within: f64 = posterior
        .iter()
        .zip(&columns.row_entropy)
        .map(|(p, h)| p * h)
        .sum();
    let mut all = 0.0;
    let mut by_part = [0.0; 3];
    for column in &columns.chances {
        let mut joint = [0.0; 3];
        for ((p, chance), part) in posterior.iter().zip(column).zip(part) {
            joint[*part] += p * chance;
        }
        all -= plogp(joint.iter().sum());
        for ((h, j), share) in by_part.iter_mut().zip(joint).zip(shares) {
            if *share > 0.0 {
                *h -= plogp(j / share);
            }
        }
    }
    let within_parts: f64 = by_part.iter().zip(shares).map(|(h, share)| h * share).sum();
    // A further answer to traits that say partly the same will count less, and so is worth less.
    let known = told_of_set(table, at, evidence);
    let bits = table.weight(at, known + 1) / std::f64::consts::LN_2;
    let bits_name = ((all - within) * bits).max(0.0);
    let bits_planted = ((all - within_parts) * bits).max(0.0);
    Look {
        trait_index: at,
        bits_name,
        bits_planted,
        bits_per_second: (bits_name + bits_planted) / (f64::from(columns.effort_s) + TAP_S),
    }
}

/// How many traits that say partly the same as this one were answered.
pub(crate) fn told_of_set(table: &Table, at: usize, evidence: &Evidence) -> usize {
    table.set_of(at).map_or(0, |(traits, _)| {
        evidence
            .answers()
            .iter()
            .filter(|a| a.reading != Reading::CannotTell)
            .filter(|a| traits.contains(&a.trait_index))
            .count()
    })
}
