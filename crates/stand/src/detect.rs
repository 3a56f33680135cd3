//! How much one look overlooks, from frames that two readers read blind.
//!
//! In: for one label, the cells that both saw occupied, that only the first saw, that only the
//! second saw. Out: the probability that one look finds an occupied cell (for each reader),
//! occupied cells corrected for what both overlooked, the share overlooked; with limits.
//!
//! Assumes: the second look was blind to the first; a cell that one reader finds is no easier
//! for the other than any other occupied cell. In the field some seedlings are hard for
//! everybody, so the corrected number is still too low rather than too high, and the share
//! overlooked is a least share. Names are taken as right (`misnaming`).
//!
//! Units: cells; shares from 0 to 1.
//!
//! Source: Lincoln and Petersen's estimate in Chapman's form, with Seber's variance, as in
//! the R package recapr; the double-observer method of Nichols and others 2000; exact limits
//! from the hypergeometric distribution (`detect/limits`). On tallgrass prairie 18.6 % were overlooked (Morrison and others 2020).
//!
//! Not here: more than two readers; models with covariates.

use crate::agreement::CellPairs;
use crate::confidence::{Confidence, Interval};
use crate::measured::{Measured, MeasuredError, clip, square_and_add};
use crate::method::Source;
use crate::proportion;
use serde::Serialize;

mod limits;
#[cfg(test)]
mod tests;

/// Chapman's estimate and its variance.
pub const CHAPMAN: Source = Source {
    id: "chapman_1951",
    citation: "Chapman, D.G. 1951. Some properties of the hypergeometric distribution with applications to zoological censuses. University of California Publications in Statistics 1:131-160, as in the R package recapr (NChapman, vChapman)",
    url: Some("https://search.r-project.org/CRAN/refmans/recapr/html/NChapman.html"),
};

/// Two observers (abstract read; there the second knows what the first saw, here both are blind).
pub const DOUBLE_OBSERVER: Source = Source {
    id: "nichols_2000",
    citation: "Nichols, J.D., Hines, J.E., Sauer, J.R., Fallon, F.W., Fallon, J.E. & Heglund, P.J. 2000. A double-observer approach for estimating detection probability and abundance from point counts. The Auk 117:393-408",
    url: Some("http://pubs.er.usgs.gov/publication/5223914"),
};

/// Cells seen by both below which the estimate is known to lean and its limits are loose
/// (Robson & Regier 1964, memory).
pub const FEW_SEEN_BY_BOTH: u64 = 7;

/// Why nothing can be said about what was overlooked.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case")]
pub enum CannotTell {
    /// Nothing read twice.
    #[error("no frame was read twice: have a second scout read some frames blind")]
    NothingReadTwice,
    /// Neither saw anything.
    #[error(
        "neither reader found any, so nothing shows how well they look: read frames twice where there are plants"
    )]
    NothingSeen,
    /// Both saw some, never in the same cell.
    #[error(
        "the readers found {first} and {second} cells and not one in common: check that the frame lay alike and that both mean the same plant"
    )]
    NothingInCommon {
        /// Cells that the first saw.
        first: u64,
        /// Cells that the second saw.
        second: u64,
        /// Upper limit of the probability that one look finds a cell, if both did read the
        /// same cells for the same plant: the larger of both readers'.
        one_look_at_most: f64,
    },
    /// One of the two saw nothing.
    #[error(
        "one reader found {found} cells and the other none: have both read again, or read more frames twice"
    )]
    OneSawNothing {
        /// Cells that the other saw.
        found: u64,
    },
}

/// A probability with its limits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Chance {
    /// Estimate, share.
    pub value: f64,
    /// Limits (Wilson; cells taken as independent, which makes them somewhat too narrow).
    pub interval: Interval,
}

/// What two blind readings show about looking.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Detection {
    /// Cells as read.
    pub pairs: CellPairs,
    /// Probability that the first reader finds an occupied cell: seen by both / seen by the second.
    pub first: Chance,
    /// Probability that the second reader finds one: seen by both / seen by the first.
    pub second: Chance,
    /// Probability for one look of either reader, 2 both / (first + second): the mean for the
    /// two, weighted by what each found.
    pub one_look: Chance,
    /// Probability that at least one of two looks finds it: 1 - (1 - first) (1 - second).
    pub two_looks: Chance,
    /// Cells that at least one reader saw.
    pub seen: u64,
    /// Lincoln and Petersen's number of occupied cells: first x second / both.
    pub lincoln_petersen: f64,
    /// Chapman's number of occupied cells, which leans less; at most the cells read.
    pub occupied: f64,
    /// Standard error of Chapman's number, in cells.
    pub standard_error: f64,
    /// Limits of the number of occupied cells (exact, hypergeometric), from those seen to
    /// those read.
    pub interval: Interval,
    /// Whether Chapman's number was more than the cells read and had to be cut.
    pub clipped: bool,
    /// Share of occupied cells that one look overlooks: 1 - `one_look`.
    pub overlooked_by_one: Chance,
    /// Share of occupied cells that both overlooked: 1 - seen / `occupied`.
    pub overlooked_by_both: Chance,
    /// Fewer than [`FEW_SEEN_BY_BOTH`] cells seen by both: take it as a hint.
    pub few: bool,
}

/// What two blind readings of the same frames show about looking, for one label.
///
/// # Errors
/// [`CannotTell`] where one or both found nothing, or nothing in common.
pub fn detection(pairs: CellPairs, confidence: Confidence) -> Result<Detection, CannotTell> {
    let CellPairs {
        both,
        first_only,
        second_only,
        ..
    } = pairs;
    let (first, second) = (
        both.saturating_add(first_only),
        both.saturating_add(second_only),
    );
    match (first, second, both) {
        _ if pairs.cells() == 0 => return Err(CannotTell::NothingReadTwice),
        (0, 0, _) => return Err(CannotTell::NothingSeen),
        (0, found, _) | (found, 0, _) => return Err(CannotTell::OneSawNothing { found }),
        (_, _, 0) => {
            let most = |of| chance(0, of, confidence).interval.upper;
            return Err(CannotTell::NothingInCommon {
                first,
                second,
                one_look_at_most: most(first).max(most(second)),
            });
        }
        _ => {}
    }
    let by_first = chance(both, second, confidence);
    let by_second = chance(both, first, confidence);
    let seen = first.saturating_add(second_only);
    let either = |a: f64, b: f64| 1.0 - (1.0 - a) * (1.0 - b);
    let two_looks_value = either(by_first.value, by_second.value);
    let one_look = one_look(both, first_only, second_only, confidence);
    // Readers taken as equal, and each reader's doubt alone: the wider of the two counts. The
    // second would vanish where one reader found all that the other did.
    let equal = Interval {
        lower: either(one_look.interval.lower, one_look.interval.lower),
        upper: either(one_look.interval.upper, one_look.interval.upper),
    };
    let (alone, _) = clip(square_and_add(
        two_looks_value,
        &[
            (
                either(by_first.interval.lower, by_second.value),
                either(by_first.interval.upper, by_second.value),
            ),
            (
                either(by_first.value, by_second.interval.lower),
                either(by_first.value, by_second.interval.upper),
            ),
        ],
    ));
    let two_looks = Chance {
        value: two_looks_value,
        interval: alone.hull(equal),
    };
    let (m, n1, n2) = (both as f64, first as f64, second as f64);
    let chapman = (n1 + 1.0) * (n2 + 1.0) / (m + 1.0) - 1.0;
    let variance = (n1 + 1.0) * (n2 + 1.0) * (n1 - m) * (n2 - m) / ((m + 1.0).powi(2) * (m + 2.0));
    let read = pairs.cells() as f64;
    let occupied = chapman.min(read);
    let exact = limits::occupied(both, first, second, pairs.cells(), confidence);
    let interval = exact.hull(Interval {
        lower: occupied,
        upper: occupied,
    });
    let share_missed = |number: f64| 1.0 - seen as f64 / number;
    Ok(Detection {
        pairs,
        first: by_first,
        second: by_second,
        one_look,
        two_looks,
        seen,
        lincoln_petersen: n1 * n2 / m,
        occupied,
        standard_error: variance.sqrt(),
        interval,
        clipped: chapman > read,
        overlooked_by_one: Chance {
            value: 1.0 - one_look.value,
            interval: Interval {
                lower: 1.0 - one_look.interval.upper,
                upper: 1.0 - one_look.interval.lower,
            },
        },
        overlooked_by_both: Chance {
            value: share_missed(occupied),
            interval: Interval {
                lower: share_missed(interval.lower),
                upper: share_missed(interval.upper),
            },
        },
        few: both < FEW_SEEN_BY_BOTH,
    })
}

/// `x` of `n` with Wilson's limits; `x <= n`, `n >= 1`.
fn chance(x: u64, n: u64, confidence: Confidence) -> Chance {
    Chance {
        value: x as f64 / n as f64,
        interval: proportion::score(x, n, confidence.z()),
    }
}

/// 2 both / (2 both + once). With equal readers a cell that was seen at all was seen twice
/// with probability q = both / seen, and p = 2 q / (1 + q), so q's limits carry over.
fn one_look(both: u64, first_only: u64, second_only: u64, confidence: Confidence) -> Chance {
    let seen = both.saturating_add(first_only).saturating_add(second_only);
    let q = chance(both, seen, confidence);
    let p = |q: f64| 2.0 * q / (1.0 + q);
    Chance {
        value: p(q.value),
        interval: Interval {
            lower: p(q.interval.lower),
            upper: p(q.interval.upper),
        },
    }
}

/// A frequency corrected for what one look overlooks.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SeenThrough {
    /// As found, share.
    pub found: f64,
    /// Found / probability of finding, at most 1.
    pub value: f64,
    /// Limits with the doubt of both, within 0 and 1.
    pub interval: Interval,
    /// Whether the estimate had to be cut to 1.
    pub clipped: bool,
}

/// Corrects a frequency found with one look (or with two, as the chance given).
///
/// # Errors
/// [`MeasuredError`] for a share outside 0 to 1, or a chance of 0 or above 1.
pub fn seen_through(found: Measured, look: Chance) -> Result<SeenThrough, MeasuredError> {
    found.check(0.0, 1.0)?;
    for value in [look.value, look.interval.lower, look.interval.upper] {
        crate::measured::within(value, f64::MIN_POSITIVE, 1.0)?;
    }
    let raw = found.value / look.value;
    let (interval, _) = clip(square_and_add(
        raw,
        &[
            (
                found.interval.lower / look.value,
                found.interval.upper / look.value,
            ),
            (
                found.value / look.interval.upper,
                found.value / look.interval.lower,
            ),
        ],
    ));
    Ok(SeenThrough {
        found: found.value,
        value: raw.min(1.0),
        interval,
        clipped: raw > 1.0,
    })
}
