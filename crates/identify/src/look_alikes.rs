//! Telling two taxa apart: which traits do it, how well, and which pairs are hard.
//!
//! In: a table and two rows. Out: every trait with what both show and how much looking at it is
//! expected to say, most telling first; and, over a whole key, the pairs that even every look
//! leaves in doubt.
//!
//! How telling: the mean of the two Kullback-Leibler divergences, that is the weight of evidence
//! one look is expected to give for the right one of the two, in decibans (Good 1950; Jeffreys
//! 1946 for the symmetric form). How hard a pair is: the Bhattacharyya bound on the share of
//! plants that the best rule on all looks names wrongly (Kailath 1967, *IEEE Transactions on
//! Communication Technology* 15). Both take looks as independent.

use standbook_key::LeafStage;

use crate::information::decibans_from_ln;
use crate::table::{Table, TraitColumns};

/// What one trait does to tell two taxa apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Contrast {
    /// The trait, by position in the table.
    pub trait_index: usize,
    /// Expected weight of evidence of one look for the right one of the two, decibans.
    pub decibans: f64,
    /// For every state or bin, the chance that it is reported of the first taxon.
    pub one: Vec<f64>,
    /// The same of the second.
    pub other: Vec<f64>,
}

/// All traits that can be seen at `stage` (all, without one), most telling first.
pub fn contrasts(
    table: &Table,
    one: usize,
    other: usize,
    stage: Option<LeafStage>,
) -> Vec<Contrast> {
    let mut all: Vec<Contrast> = table
        .traits
        .iter()
        .enumerate()
        .filter(|(_, columns)| stage.is_none_or(|stage| columns.visible_at(stage)))
        .map(|(trait_index, columns)| {
            let of = |row: usize| columns.chances.iter().map(|c| c[row]).collect();
            let (one, other): (Vec<f64>, Vec<f64>) = (of(one), of(other));
            Contrast {
                trait_index,
                decibans: decibans_from_ln(divergence(&one, &other)),
                one,
                other,
            }
        })
        .collect();
    all.sort_by(|a, b| {
        b.decibans
            .total_cmp(&a.decibans)
            .then(a.trait_index.cmp(&b.trait_index))
    });
    all
}

/// Mean of the two Kullback-Leibler divergences, nats.
fn divergence(one: &[f64], other: &[f64]) -> f64 {
    let terms = one
        .iter()
        .zip(other)
        .filter(|(p, q)| **p > 0.0 && **q > 0.0);
    0.5 * terms.map(|(p, q)| (p - q) * (p / q).ln()).sum::<f64>()
}

/// At most this share of plants is named wrongly by the best rule on every look that can be made
/// at `stage`, choosing between the two alone (0 to 0.5).
pub fn at_most_confused(table: &Table, one: usize, other: usize, stage: LeafStage) -> f64 {
    let distance: f64 = table
        .traits
        .iter()
        .filter(|columns| columns.visible_at(stage))
        .map(|columns| -overlap(columns, one, other).ln())
        .sum();
    0.5 * (-distance).exp()
}

/// Bhattacharyya coefficient of two rows on one trait, above 0, at most 1.
fn overlap(columns: &TraitColumns, one: usize, other: usize) -> f64 {
    let common = columns.chances.iter().map(|c| (c[one] * c[other]).sqrt());
    common.sum::<f64>().clamp(f64::MIN_POSITIVE, 1.0)
}

/// Two taxa that are hard to tell apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HardPair {
    /// A row.
    pub one: usize,
    /// A later row.
    pub other: usize,
    /// See [`at_most_confused`].
    pub confused: f64,
}

/// Pairs of taxa that may be confused in more than `share` of plants even after every look at
/// `stage`, hardest first.
pub fn hard_pairs(table: &Table, stage: LeafStage, share: f64) -> Vec<HardPair> {
    let taxa = table.not_in_key().unwrap_or(table.rows.len());
    let mut pairs: Vec<HardPair> = (0..taxa)
        .flat_map(|one| (one + 1..taxa).map(move |other| (one, other)))
        .map(|(one, other)| HardPair {
            one,
            other,
            confused: at_most_confused(table, one, other, stage),
        })
        .filter(|pair| pair.confused > share)
        .collect();
    pairs.sort_by(|a, b| {
        b.confused
            .total_cmp(&a.confused)
            .then((a.one, a.other).cmp(&(b.one, b.other)))
    });
    pairs
}
