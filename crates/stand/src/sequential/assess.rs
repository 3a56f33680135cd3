//! What the points read so far say under a rule.
//!
//! In: a rule, readings in any order. Out: [`Assessment`]. Units: cells, points, natural logs.
//! Source: as `sequential`.
//! Not here: how many more are likely (`forecast`).

use super::frames::log_ratio;
use super::{SequentialError, StopRule, correlation_seen};
use serde::Serialize;
use std::collections::BTreeSet;

/// Places beyond this are typing slips.
const LAST_PLACE: u32 = 10_000;
/// As many cells as a grid may have elsewhere in this crate.
pub(super) const MOST_CELLS: u32 = 10_000;

/// One point, read. Frames flipped over at one point are put together first: they are one
/// cluster.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Look {
    /// Place in the pre-set order, from 1.
    pub place: u32,
    /// Occupied cells, at most `cells`.
    pub occupied: u32,
    /// Cells read: 1 to 10 000.
    pub cells: u32,
}

/// Where the rule stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Stop: above the lower frequency.
    Enough,
    /// Stop: below the upper frequency.
    TooFew,
    /// Read the next point.
    GoOn,
    /// Stop: the greatest number of points is read and neither was decided.
    Undecided,
}

/// One point on the way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Step {
    /// Place in the pre-set order.
    pub place: u32,
    /// Natural log of the likelihood ratio after this point.
    pub log_ratio: f64,
}

/// What the points so far say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Assessment {
    /// The rule applied.
    pub rule: StopRule,
    /// Where it stands.
    pub outcome: Outcome,
    /// Number of points after which it was decided; `None` while it is not.
    pub decided_after: Option<u32>,
    /// Points read, all of them.
    pub points: u32,
    /// Occupied cells in all points.
    pub occupied: u64,
    /// Cells in all points.
    pub cells: u64,
    /// `occupied / cells`; `None` before the first point.
    pub share: Option<f64>,
    /// Natural logs of the bounds: too few at or below the first, enough at or above the second.
    pub bounds: (f64, f64),
    /// The way of the log ratio in the pre-set order, up to the greatest number of points.
    pub path: Vec<Step>,
    /// Whether points read after the decision have taken the ratio back between the bounds,
    /// or to the other side. The decision stands; a page has to say so.
    pub later_points_disagree: bool,
    /// Points that may still be read before the maximum.
    pub points_left: u32,
    /// Places before the last one read that were not read.
    pub skipped: Vec<u32>,
    /// Places that arrived after a later one. They are put where they belong; if they were
    /// *chosen* late, after looking, the error rates no longer hold.
    pub out_of_order: Vec<u32>,
    /// Places read beyond the greatest number of points: they play no part in the decision.
    pub beyond_maximum: Vec<u32>,
    /// Correlation within points as these points show it ([`correlation_seen`]).
    pub correlation_seen: Option<f64>,
}

/// Applies a rule to the points read so far, in the order in which they arrived.
///
/// The answer does not depend on the order of arrival; only `out_of_order` does.
///
/// # Errors
/// [`SequentialError`]: the rule makes no sense, a place is impossible or there twice, or
/// cells are impossible.
pub fn assess(rule: &StopRule, looks: &[Look]) -> Result<Assessment, SequentialError> {
    rule.check()?;
    let mut places = BTreeSet::new();
    let mut out_of_order = Vec::new();
    for &Look {
        place,
        occupied,
        cells,
    } in looks
    {
        if !(1..=LAST_PLACE).contains(&place) {
            return Err(SequentialError::BadPlace { place });
        }
        if occupied > cells || !(1..=MOST_CELLS).contains(&cells) {
            return Err(SequentialError::BadCells {
                place,
                occupied,
                cells,
            });
        }
        if places.last().is_some_and(|&last| place < last) {
            out_of_order.push(place);
        }
        if !places.insert(place) {
            return Err(SequentialError::PlaceTwice { place });
        }
    }
    out_of_order.sort_unstable();

    let mut sorted = looks.to_vec();
    sorted.sort_unstable_by_key(|look| look.place);
    let most = rule.most_points as usize;
    let used = &sorted[..sorted.len().min(most)];
    let mut path = Vec::with_capacity(used.len());
    let mut decided: Option<(Outcome, u32)> = None;
    let mut sum = 0.0;
    for (index, look) in used.iter().enumerate() {
        sum += log_ratio(rule, look.occupied, look.cells);
        path.push(Step {
            place: look.place,
            log_ratio: sum,
        });
        let points = index as u32 + 1;
        if decided.is_none() && points >= rule.least_points {
            decided = side(rule, sum).map(|outcome| (outcome, points));
        }
    }
    let outcome = match decided {
        Some((outcome, _)) => outcome,
        None if used.len() == most => Outcome::Undecided,
        None => Outcome::GoOn,
    };
    let last = places.last().copied().unwrap_or(0);
    let occupied: u64 = looks.iter().map(|look| u64::from(look.occupied)).sum();
    let cells: u64 = looks.iter().map(|look| u64::from(look.cells)).sum();
    Ok(Assessment {
        rule: *rule,
        outcome,
        decided_after: decided.map(|(_, points)| points),
        points: looks.len() as u32,
        occupied,
        cells,
        share: (cells > 0).then(|| occupied as f64 / cells as f64),
        bounds: rule.bounds(),
        path,
        later_points_disagree: decided.is_some_and(|(outcome, _)| side(rule, sum) != Some(outcome)),
        points_left: rule.most_points.saturating_sub(used.len() as u32),
        skipped: (1..last).filter(|place| !places.contains(place)).collect(),
        out_of_order,
        beyond_maximum: sorted[used.len()..].iter().map(|look| look.place).collect(),
        correlation_seen: correlation_seen(&sorted),
    })
}

/// The decision that a log ratio would bring, if any.
pub(super) fn side(rule: &StopRule, log_ratio: f64) -> Option<Outcome> {
    let (lower, upper) = rule.bounds();
    if log_ratio >= upper {
        Some(Outcome::Enough)
    } else if log_ratio <= lower {
        Some(Outcome::TooFew)
    } else {
        None
    }
}
