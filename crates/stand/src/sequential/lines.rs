//! Wald's two straight stop lines, for independent cells and for counts.
//!
//! In: two levels and two error rates. Out: slope and intercepts of the lines.
//! Units: the lines give a running total (occupied cells or plants) against the number of
//! cells or quadrats.
//! Source: Wald 1945 with the bounds of [`super::SPRT_BOUNDS`]; lines for counts as
//! [`super::WATERS`].
//! Not here: frames of correlated cells, for which no straight line exists (`assess`).

use super::SequentialError;
use super::rule::{log_bounds, rates};
use serde::Serialize;

/// Two parallel lines: total = intercept + slope x number looked at.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StopLines {
    /// Rise of both lines for each cell or quadrat.
    pub slope: f64,
    /// At or below this line the lower level is accepted: too few. Below 0.
    pub lower_intercept: f64,
    /// At or above this line the upper level is accepted: enough. Above 0.
    pub upper_intercept: f64,
}

impl StopLines {
    /// What a running total of `total` in `looked_at` cells or quadrats says.
    pub fn outcome(&self, total: f64, looked_at: f64) -> super::Outcome {
        let middle = self.slope * looked_at;
        if total >= middle + self.upper_intercept {
            super::Outcome::Enough
        } else if total <= middle + self.lower_intercept {
            super::Outcome::TooFew
        } else {
            super::Outcome::GoOn
        }
    }
}

/// Independent cells: shares `p_low` < `p_high`.
///
/// # Errors
/// [`SequentialError`] unless 0 < `p_low` < `p_high` < 1 and both rates are within 0 and 0.5.
pub fn binomial_lines(
    p_low: f64,
    p_high: f64,
    wrong_enough: f64,
    wrong_too_few: f64,
) -> Result<StopLines, SequentialError> {
    levels(p_low, p_high, 1.0)?;
    let rise = ((1.0 - p_low) / (1.0 - p_high)).ln();
    let g = (p_high / p_low).ln() + rise;
    lines(rise / g, g, wrong_enough, wrong_too_few)
}

/// Counts in clumps of one strength `k`: means `low` < `high`, plants per quadrat.
///
/// # Errors
/// [`SequentialError`] unless 0 < `low` < `high`, `k` is above 0 and both rates are within 0
/// and 0.5.
pub fn negative_binomial_lines(
    low: f64,
    high: f64,
    k: f64,
    wrong_enough: f64,
    wrong_too_few: f64,
) -> Result<StopLines, SequentialError> {
    levels(low, high, f64::INFINITY)?;
    if !(k.is_finite() && k > 0.0) {
        return Err(SequentialError::BadClumping { k });
    }
    // ln(Q1 / Q0) with Q = 1 + m / k.
    let rise = (high / k).ln_1p() - (low / k).ln_1p();
    let g = (high / low).ln() - rise;
    lines(k * rise / g, g, wrong_enough, wrong_too_few)
}

/// Counts scattered at random: means `low` < `high`, plants per quadrat.
///
/// # Errors
/// [`SequentialError`] unless 0 < `low` < `high` and both rates are within 0 and 0.5.
pub fn poisson_lines(
    low: f64,
    high: f64,
    wrong_enough: f64,
    wrong_too_few: f64,
) -> Result<StopLines, SequentialError> {
    levels(low, high, f64::INFINITY)?;
    let g = (high / low).ln();
    lines((high - low) / g, g, wrong_enough, wrong_too_few)
}

fn levels(low: f64, high: f64, below: f64) -> Result<(), SequentialError> {
    if 0.0 < low && low < high && high < below {
        Ok(())
    } else {
        Err(SequentialError::BadLevels { low, high })
    }
}

fn lines(slope: f64, g: f64, a: f64, b: f64) -> Result<StopLines, SequentialError> {
    rates(a, b)?;
    let (lower, upper) = log_bounds(a, b);
    Ok(StopLines {
        slope,
        lower_intercept: lower / g,
        upper_intercept: upper / g,
    })
}
