//! Where further spots are best laid among the parts of a field.
//!
//! In: each part's area, the spots it has, how much they differ; how many further. Out: how many
//! for each part. Units: areas in any one unit; spreads in the unit of the estimate.
//!
//! Source: Neyman's optimum, n proportional to area x spread, and proportional to area where
//! spreads are taken as alike (Cochran 1977, 5.5; memory). Whole numbers, and spots already laid,
//! by giving one spot at a time to the part where it lowers the variance most, which is exactly
//! optimal: area^2 spread^2 / (n (n + 1)) (Wright 2012, The American Statistician 66:217-224; memory).
//!
//! Ours: every part first gets two spots, for with one its spread cannot be known; a part whose
//! spread is not known is taken to vary as much as the most varied one.
//! Not here: how many in all (`sample_size`), where in a part (a plan's business).

use std::cmp::Ordering;

use serde::Serialize;

use super::{StrataError, shares};
use crate::method::Source;
use crate::sample_size::MOST;

/// Optimum allocation.
pub const NEYMAN: Source = Source {
    id: "memory",
    citation: "Neyman 1934; Cochran 1977, Sampling Techniques, 5.5; in whole numbers: Wright 2012, The American Statistician 66:217-224 (all from memory)",
    url: None,
};

/// Spots below which a part does not show how much it varies.
const SHOWS_SPREAD: usize = 2;

/// A part to lay further spots in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Planned {
    /// Area, in the unit used for all parts; above 0.
    pub area: f64,
    /// Spots it has already.
    pub laid: usize,
    /// How much its spots differ (standard deviation, [`super::StratifiedMean::spreads`]); `None`
    /// if that is not known.
    pub spread: Option<f64>,
}

/// What further spots are to follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Allocation {
    /// Spots in proportion to area: safe, and right for many species at once.
    Proportional,
    /// Spots where they tell most: proportional to area x spread (Neyman).
    Neyman,
}

/// How many of `further` spots each part gets, in the order given; they sum to `further`.
///
/// # Errors
/// [`StrataError`] for no parts, an impossible area or spread, or more than 100 000 spots.
pub fn allocate(
    parts: &[Planned],
    further: usize,
    by: Allocation,
) -> Result<Vec<usize>, StrataError> {
    if parts.is_empty() {
        return Err(StrataError::NoParts);
    }
    let most = usize::try_from(MOST).unwrap_or(usize::MAX);
    if further > most {
        return Err(StrataError::TooManySpots { further, most });
    }
    let weights = shares(parts.iter().map(|part| part.area))?;
    let spreads = spreads(parts, by)?;
    let mut given = vec![0; parts.len()];
    for _ in 0..further {
        // First the parts that still have too few, then by what one more spot is worth.
        let worth = |at: usize| -> (bool, f64, f64) {
            let n = parts[at].laid.saturating_add(given[at]);
            let gain = weights[at] * spreads[at];
            let n_ = n as f64;
            let gain = match n {
                0 => gain,
                _ => gain * gain / (n_ * (n_ + 1.0)),
            };
            (n < SHOWS_SPREAD, gain, weights[at])
        };
        let more = |a: &usize, b: &usize| -> Ordering {
            let (few_a, gain_a, weight_a) = worth(*a);
            let (few_b, gain_b, weight_b) = worth(*b);
            few_a
                .cmp(&few_b)
                .then(gain_a.total_cmp(&gain_b))
                .then(weight_a.total_cmp(&weight_b))
                // Of parts that are alike the first.
                .then(b.cmp(a))
        };
        if let Some(best) = (0..parts.len()).max_by(more) {
            given[best] += 1;
        }
    }
    Ok(given)
}

/// The spread to reckon with in each part.
fn spreads(parts: &[Planned], by: Allocation) -> Result<Vec<f64>, StrataError> {
    for (planned, part) in parts.iter().zip(1..) {
        if let Some(spread) = planned.spread
            && !(spread.is_finite() && spread >= 0.0)
        {
            return Err(StrataError::BadSpread { part, spread });
        }
    }
    let known = || parts.iter().filter_map(|part| part.spread);
    let greatest = known().fold(0.0, f64::max);
    let alike = by == Allocation::Proportional || greatest <= 0.0;
    let reckoned = |part: &Planned| match part.spread {
        _ if alike => 1.0,
        // Over the greatest, so that no square overflows or vanishes.
        known => known.unwrap_or(greatest) / greatest,
    };
    Ok(parts.iter().map(reckoned).collect())
}
