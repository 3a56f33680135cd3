//! Frequency and density from spots: what lies at one spot is one unit.
//!
//! In: for every spot what was found (occupied cells, plants) and how much was looked at
//! (cells, m2). Out: the ratio of the sums, its standard error, design effect and limits.
//!
//! Units: frequencies are shares from 0 to 1, densities plants per m2, totals plants or cells.
//!
//! Source: ratio and unbiased estimators as in Penn State STAT 506, lesson 7.2; dropping the
//! finite correction for a large field is Cochran 1977 (memory).
//!
//! Limits are those of an effective number of cells or plants: as many independent ones as
//! would tell as much (`effective`). Plain t limits are given beside them; they hold the truth
//! too seldom where stands are thin or patchy (`tests/coverage.txt`).
//!
//! Not here: frames into spots (`summary`), strata, finite correction for frequencies.

use crate::confidence::{Confidence, Interval};
use crate::method::Method;
use crate::{count, proportion, quantile};
use serde::Serialize;

mod effective;
mod total;

pub use total::{Total, ratio_total, unbiased_total};

/// One unit of a cluster sample in plain numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// What was found: occupied cells or plants; 0 or more.
    pub found: f64,
    /// How much was looked at: cells or m2; above 0.
    pub size: f64,
}

/// The cells of one spot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CellUnit {
    /// Cells with at least one plant; at most `cells`.
    pub occupied: u64,
    /// Cells looked at; at least 1.
    pub cells: u64,
}

/// The quadrats of one spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AreaUnit {
    /// Plants counted.
    pub plants: u64,
    /// Area searched, m2; above 0.
    pub area_m2: f64,
}

/// Why spots give no estimate. `unit` counts from 1 in the order given.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ClusterError {
    /// No units at all.
    #[error("no spot was looked at: lay at least one frame")]
    NoUnits,
    /// A size that is 0, negative, infinite or not a number.
    #[error("unit {unit}: a size of {size} cannot be looked at: enter cells or m2 above 0")]
    BadSize {
        /// Number of the unit.
        unit: usize,
        /// Cells or m2 given.
        size: f64,
    },
    /// A number found that is negative, infinite or not a number.
    #[error("unit {unit}: {found} is no number of things found: enter 0 or more")]
    BadFound {
        /// Number of the unit.
        unit: usize,
        /// Cells or plants given.
        found: f64,
    },
    /// More cells occupied than looked at.
    #[error("unit {unit}: {occupied} of {cells} cells is impossible: correct one of the two")]
    MoreThanAll {
        /// Number of the unit.
        unit: usize,
        /// Occupied cells.
        occupied: u64,
        /// Cells looked at.
        cells: u64,
    },
    /// The whole is smaller than the sample from it.
    #[error("a whole of {whole} cannot hold a sample of {sample}: correct the size of the whole")]
    WholeTooSmall {
        /// Units, cells or m2 of the whole.
        whole: f64,
        /// Units, cells or m2 sampled.
        sample: f64,
    },
}

/// A ratio estimate and its standard error, before any care for edge cases.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ratio {
    /// Number of units.
    pub units: usize,
    /// Sum found, in cells or plants.
    pub found: f64,
    /// Sum looked at, in cells or m2.
    pub size: f64,
    /// `found / size`.
    pub ratio: f64,
    /// Variance of the ratio, its unit squared; `None` with one unit.
    pub variance: Option<f64>,
}

impl Ratio {
    /// Standard error in the unit of the ratio; `None` with one unit.
    pub fn standard_error(&self) -> Option<f64> {
        self.variance.map(f64::sqrt)
    }

    /// Ratio plus and minus t(n - 1) standard errors, not clipped; `None` with one unit.
    pub fn t_interval(&self, confidence: Confidence) -> Option<Interval> {
        self.within(self.t(confidence)?)
    }

    /// Ratio plus and minus so many standard errors.
    fn within(&self, t: f64) -> Option<Interval> {
        let half = t * self.standard_error()?;
        Some(Interval {
            lower: self.ratio - half,
            upper: self.ratio + half,
        })
    }

    fn t(&self, confidence: Confidence) -> Option<f64> {
        let degrees = self.units.checked_sub(1).filter(|&degrees| degrees > 0)?;
        Some(quantile::t_two_sided(confidence.level(), degrees as f64))
    }
}

/// The ratio estimator: sum found over sum looked at; Var = sum (y - r M)^2 /
/// (n (n - 1) Mbar^2), without finite correction.
///
/// # Errors
/// [`ClusterError`] for no units or an impossible number.
pub fn ratio(units: &[Unit]) -> Result<Ratio, ClusterError> {
    check(units)?;
    let found: f64 = units.iter().map(|unit| unit.found).sum();
    let size: f64 = units.iter().map(|unit| unit.size).sum();
    let ratio = found / size;
    let n = units.len() as f64;
    let variance =
        (units.len() > 1).then(|| squares(units, ratio) / (n * (n - 1.0) * (size / n).powi(2)));
    Ok(Ratio {
        units: units.len(),
        found,
        size,
        ratio,
        variance,
    })
}

/// Sum of squared distances of the units from the ratio line.
fn squares(units: &[Unit], ratio: f64) -> f64 {
    units
        .iter()
        .map(|unit| (unit.found - ratio * unit.size).powi(2))
        .sum()
}

fn check(units: &[Unit]) -> Result<(), ClusterError> {
    if units.is_empty() {
        return Err(ClusterError::NoUnits);
    }
    for (index, &Unit { found, size }) in units.iter().enumerate() {
        let unit = index + 1;
        if !(size.is_finite() && size > 0.0) {
            return Err(ClusterError::BadSize { unit, size });
        }
        if !(found.is_finite() && found >= 0.0) {
            return Err(ClusterError::BadFound { unit, found });
        }
    }
    Ok(())
}

/// Limits and how they were made.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limited {
    /// Limits in the unit of the estimate.
    pub interval: Interval,
    /// How they were made.
    pub method: Method,
}

/// Why there are no limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case")]
pub enum NoInterval {
    /// One spot shows no spread.
    #[error("one spot: an interval needs at least two")]
    OneSpot,
}

/// What spots say about a frequency (a share) or a density (plants per m2).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// Number of spots.
    pub spots: usize,
    /// Found over looked at: a share, or plants per m2.
    pub value: f64,
    /// Standard error from the spread between spots; `None` with one spot.
    pub standard_error: Option<f64>,
    /// Variance between spots over that of as many independent cells (binomial) or scattered
    /// plants (Poisson): 1 = as good as independent, 2 = half as much information. `None`
    /// with one spot, with nothing found, or with every cell full.
    pub design_effect: Option<f64>,
    /// Limits that rest on spots, or why there are none.
    pub limits: Result<Limited, NoInterval>,
    /// For comparison: the value plus and minus t(n - 1) standard errors, not cut at 0 or 1;
    /// `None` with one spot.
    pub by_t: Option<Interval>,
    /// For comparison: limits that take cells as independent (Wilson) or plants as scattered at random
    /// (Garwood), usually too narrow.
    pub if_independent: Limited,
}

/// Frequency of occupied cells over spots, as a share.
///
/// Limits lie within 0 and 1. What was found has a lower limit above 0.
///
/// # Errors
/// [`ClusterError`] for no units or impossible numbers.
pub fn frequency(units: &[CellUnit], confidence: Confidence) -> Result<Estimate, ClusterError> {
    for (index, &CellUnit { occupied, cells }) in units.iter().enumerate() {
        if occupied > cells {
            return Err(ClusterError::MoreThanAll {
                unit: index + 1,
                occupied,
                cells,
            });
        }
    }
    let plain: Vec<Unit> = units
        .iter()
        .map(|unit| Unit {
            found: unit.occupied as f64,
            size: unit.cells as f64,
        })
        .collect();
    let ratio = ratio(&plain)?;
    let occupied: u64 = units
        .iter()
        .fold(0, |sum, unit| unit.occupied.saturating_add(sum));
    let cells: u64 = units
        .iter()
        .fold(0, |sum, unit| unit.cells.saturating_add(sum));
    let binomial = ratio.ratio * (1.0 - ratio.ratio) / ratio.size;
    let design_effect = ratio
        .variance
        .filter(|_| binomial > 0.0)
        .map(|known| known / binomial);
    // Found by halving, so only once.
    let t = ratio.t(confidence);
    let limits = match t {
        Some(t) => Ok(effective::cells(units, design_effect, t, confidence)),
        None => Err(NoInterval::OneSpot),
    };
    Ok(Estimate {
        spots: units.len(),
        value: ratio.ratio,
        standard_error: ratio.standard_error(),
        design_effect,
        limits,
        by_t: t.and_then(|t| ratio.within(t)),
        if_independent: Limited {
            interval: proportion::score(occupied, cells, confidence.z()),
            method: Method::Wilson,
        },
    })
}

/// Density of counted plants over spots, in plants per m2.
///
/// One spot: no limits, but Garwood's stand in `if_independent`.
///
/// # Errors
/// [`ClusterError`] for no units or impossible numbers.
pub fn density(units: &[AreaUnit], confidence: Confidence) -> Result<Estimate, ClusterError> {
    let plain: Vec<Unit> = units
        .iter()
        .map(|unit| Unit {
            found: unit.plants as f64,
            size: unit.area_m2,
        })
        .collect();
    let ratio = ratio(&plain)?;
    let plants: u64 = units
        .iter()
        .fold(0, |sum, unit| unit.plants.saturating_add(sum));
    let scattered = Limited {
        interval: count::garwood(plants, confidence).over(ratio.size),
        method: Method::Garwood,
    };
    let poisson = ratio.ratio / ratio.size;
    let design_effect = ratio
        .variance
        .filter(|_| poisson > 0.0)
        .map(|known| known / poisson);
    // Found by halving, so only once.
    let t = ratio.t(confidence);
    let limits = match t {
        Some(t) => Ok(effective::plants(
            plants,
            ratio.size,
            units.len(),
            design_effect,
            t,
            confidence,
        )),
        None => Err(NoInterval::OneSpot),
    };
    Ok(Estimate {
        spots: units.len(),
        value: ratio.ratio,
        standard_error: ratio.standard_error(),
        design_effect,
        limits,
        by_t: t.and_then(|t| ratio.within(t)),
        if_independent: scattered,
    })
}

#[cfg(test)]
mod tests;
