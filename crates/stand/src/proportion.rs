//! Intervals for a share `x` of `n` independent trials.
//!
//! In: two counts. Out: limits as shares from 0 to 1.
//!
//! Source: Clopper & Pearson 1934 and Wilson 1927, formulas as in the NIST/SEMATECH
//! e-Handbook, section 7.2.4.1; seven methods compared by Newcombe 1998.
//!
//! Mind: cells of one frame are *not* independent trials. Frequency in a field goes
//! through `cluster`; this module serves independent placements and comparison.
//!
//! Not here: the finite correction for a population that is nearly all counted.

use crate::confidence::{Confidence, Interval};
use crate::quantile;

/// Why no share can be had from two counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ProportionError {
    /// `n` is 0.
    #[error("nothing was looked at, so there is no share: enter at least one cell or plant")]
    NothingLookedAt,
    /// `x` is above `n`.
    #[error("{x} found among {n} is impossible: correct one of the two numbers")]
    MoreThanAll {
        /// Found.
        x: u64,
        /// Looked at.
        n: u64,
    },
}

fn check(x: u64, n: u64) -> Result<(), ProportionError> {
    match (x, n) {
        (_, 0) => Err(ProportionError::NothingLookedAt),
        (x, n) if x > n => Err(ProportionError::MoreThanAll { x, n }),
        _ => Ok(()),
    }
}

/// The exact interval of Clopper and Pearson (1934), as shares.
///
/// It holds the truth at least as often as it says, usually more often, so it is wide.
/// For `x = 0` the lower limit is 0, for `x = n` the upper limit is 1.
/// Checked against SciPy up to `n` = 100 000.
///
/// # Errors
/// [`ProportionError`] if `n` is 0 or `x` above `n`.
pub fn clopper_pearson(
    x: u64,
    n: u64,
    confidence: Confidence,
) -> Result<Interval, ProportionError> {
    check(x, n)?;
    let tail = confidence.tail();
    let (found, missed) = (x as f64, (n - x) as f64);
    // At both ends the beta quantile has a closed form, exact for any n.
    let lower = match x {
        0 => 0.0,
        _ if x == n => tail.powf(1.0 / found),
        _ => quantile::beta(tail, found, missed + 1.0),
    };
    let upper = match x {
        _ if x == n => 1.0,
        0 => -(tail.ln() / missed).exp_m1(),
        _ => quantile::beta(1.0 - tail, found + 1.0, missed),
    };
    Ok(Interval { lower, upper })
}

/// The score interval of Wilson (1927), as shares.
///
/// On average over shares it holds the truth as often as it says; recommended for general
/// use by Agresti & Coull 1998 and Brown, Cai & DasGupta 2001 (named in the NIST handbook).
/// For `x = 0` the lower limit is 0, for `x = n` the upper limit is 1.
///
/// # Errors
/// [`ProportionError`] if `n` is 0 or `x` above `n`.
pub fn wilson(x: u64, n: u64, confidence: Confidence) -> Result<Interval, ProportionError> {
    check(x, n)?;
    Ok(score(x, n, confidence.z()))
}

/// Wilson's limits with any multiplier in place of the normal quantile. `0 <= x <= n`, `n >= 1`.
pub(crate) fn score(x: u64, n: u64, multiplier: f64) -> Interval {
    let (p, n_) = (x as f64 / n as f64, n as f64);
    let z2 = multiplier * multiplier;
    let middle = p + z2 / (2.0 * n_);
    let half = multiplier * (p * (1.0 - p) / n_ + z2 / (4.0 * n_ * n_)).sqrt();
    let whole = 1.0 + z2 / n_;
    // The ends are exact by algebra; rounding must not leave 1e-17 in place of none.
    let lower = if x == 0 {
        0.0
    } else {
        ((middle - half) / whole).max(0.0)
    };
    let upper = if x == n {
        1.0
    } else {
        ((middle + half) / whole).min(1.0)
    };
    Interval { lower, upper }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    /// One half of the last of `digits` significant digits.
    #[track_caller]
    fn agrees(found: f64, wanted: f64, digits: i32) {
        let slack = 0.51 * 10f64.powi(wanted.abs().log10().floor() as i32 + 1 - digits);
        assert!(
            (found - wanted).abs() <= slack.max(1e-300),
            "found {found}, wanted {wanted}"
        );
    }

    /// S1a to S1g of the project's checkable numbers, 6 digits.
    /// S1a, S1b: statsmodels 0.15.0 reference values (from R, packages binom and DescTools);
    /// S1c: inputs of the NIST handbook; S1d: Oklahoma State's 70 of 100; S1e to S1g: own,
    /// all recomputed with SciPy 1.17.1.
    #[test]
    fn s1_published_and_recomputed_proportions() {
        use Confidence::{P90, P95};
        let rows = [
            (
                "S1a", 4, 20, P95, 0.0573340, 0.4366140, 0.0806577, 0.4160174,
            ),
            (
                "S1b", 18, 20, P95, 0.6830173, 0.9876515, 0.6989664, 0.9721335,
            ),
            (
                "S1c", 4, 20, P90, 0.0713539, 0.4010281, 0.0931180, 0.3783767,
            ),
            (
                "S1d", 70, 100, P95, 0.6001853, 0.7875936, 0.6041515, 0.7810511,
            ),
            (
                "S1e", 40, 100, P95, 0.3032948, 0.5027908, 0.3094013, 0.4979974,
            ),
            (
                "S1f", 25, 100, P95, 0.1687797, 0.3465525, 0.1754521, 0.3430446,
            ),
            ("S1g", 0, 10, P95, 0.0, 0.3084971, 0.0, 0.2775328),
        ];
        for (id, x, n, level, exact_low, exact_high, score_low, score_high) in rows {
            println!("{id}");
            let exact = clopper_pearson(x, n, level).unwrap();
            let score = wilson(x, n, level).unwrap();
            if x == 0 {
                assert_eq!((exact.lower, score.lower), (0.0, 0.0));
            } else {
                agrees(exact.lower, exact_low, 6);
                agrees(score.lower, score_low, 6);
            }
            agrees(exact.upper, exact_high, 6);
            agrees(score.upper, score_high, 6);
        }
    }

    #[test]
    fn the_ends_mirror_each_other() {
        for level in Confidence::ALL {
            for make in [clopper_pearson, wilson] {
                let (none, all) = (make(0, 25, level).unwrap(), make(25, 25, level).unwrap());
                assert_eq!((none.lower, all.upper), (0.0, 1.0));
                assert!((none.upper - (1.0 - all.lower)).abs() < 1e-15);
            }
        }
    }

    #[test]
    fn impossible_counts_are_refused() {
        assert_eq!(
            wilson(0, 0, Confidence::P95),
            Err(ProportionError::NothingLookedAt)
        );
        assert_eq!(
            clopper_pearson(26, 25, Confidence::P95),
            Err(ProportionError::MoreThanAll { x: 26, n: 25 })
        );
    }

    proptest! {
        #[test]
        fn holds_its_estimate_and_rises_with_x(n in 1u64..5000, share in 0.0..1.0f64, level in 0usize..3) {
            let x = (share * n as f64) as u64;
            let level = Confidence::ALL[level];
            for make in [clopper_pearson, wilson] {
                let (here, next) = (make(x, n, level).unwrap(), make((x + 1).min(n), n, level).unwrap());
                prop_assert!(here.contains(x as f64 / n as f64), "{here:?}");
                prop_assert!(0.0 <= here.lower && here.upper <= 1.0);
                prop_assert!(here.lower <= next.lower && here.upper <= next.upper);
                if x < n {
                    prop_assert!(here.lower < next.lower && here.upper < next.upper + f64::EPSILON);
                }
            }
        }
    }
}
