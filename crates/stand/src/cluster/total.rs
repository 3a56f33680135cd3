//! Totals over a whole of known size, from a simple random sample of its units.
//!
//! In: units, the number of units in the whole, for the ratio estimator also its size.
//! Out: the total and its variance with the finite correction.
//! Units: totals in what was found (cells, plants), sizes in cells or m2.
//! Source: Penn State STAT 506, lesson 7.2.
//! Not here: limits of a total (nobody has asked for them yet).

use super::{ClusterError, Unit, check, ratio, squares};

/// A total over a whole of which the units are a simple random sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Total {
    /// Cells or plants in the whole.
    pub total: f64,
    /// Variance of the total with the finite correction; `None` with one unit.
    pub variance: Option<f64>,
}

impl Total {
    /// Standard error in cells or plants; `None` with one unit.
    pub fn standard_error(&self) -> Option<f64> {
        self.variance.map(f64::sqrt)
    }
}

/// Total by the ratio estimator, `r M`; Var = N (N - n) / (n (n - 1)) sum (y - r M_i)^2.
///
/// `whole_units` is N, the number of units in the whole; `whole_size` is M, its cells or m2.
///
/// # Errors
/// [`ClusterError`], also when the whole is smaller than the sample.
pub fn ratio_total(
    units: &[Unit],
    whole_units: u64,
    whole_size: f64,
) -> Result<Total, ClusterError> {
    let found = ratio(units)?;
    check_whole(whole_units as f64, units.len() as f64)?;
    check_whole(whole_size, found.size)?;
    let variance = finite(units.len(), whole_units).map(|factor| {
        let n = units.len() as f64;
        factor * squares(units, found.ratio) / (n - 1.0)
    });
    Ok(Total {
        total: found.ratio * whole_size,
        variance,
    })
}

/// Total by the unbiased estimator, `N ybar`; Var = N (N - n) s^2 / n. Sizes are not used.
///
/// # Errors
/// [`ClusterError`], also when the whole has fewer units than the sample.
pub fn unbiased_total(units: &[Unit], whole_units: u64) -> Result<Total, ClusterError> {
    check(units)?;
    check_whole(whole_units as f64, units.len() as f64)?;
    let n = units.len() as f64;
    let mean = units.iter().map(|unit| unit.found).sum::<f64>() / n;
    let variance = finite(units.len(), whole_units).map(|factor| {
        factor
            * units
                .iter()
                .map(|unit| (unit.found - mean).powi(2))
                .sum::<f64>()
            / (n - 1.0)
    });
    Ok(Total {
        total: whole_units as f64 * mean,
        variance,
    })
}

fn check_whole(whole: f64, sample: f64) -> Result<(), ClusterError> {
    // Written so that a whole that is not a number fails, too.
    let enough = whole.is_finite() && whole >= sample;
    enough
        .then_some(())
        .ok_or(ClusterError::WholeTooSmall { whole, sample })
}

/// N (N - n) / n; `None` with one unit, which shows no spread.
fn finite(n: usize, whole: u64) -> Option<f64> {
    let (n_, whole) = (n as f64, whole as f64);
    (n > 1).then(|| whole * (whole - n_) / n_)
}
