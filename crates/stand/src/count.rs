//! Intervals for a number of plants that fall at random (Poisson).
//!
//! In: plants counted, area searched in m2. Out: limits in plants or in plants per m2.
//!
//! Source: Garwood 1936, in the chi-squared form explained by GraphPad's help page on the
//! interval of a count; `x = 0` also in the help of the R package epitools.
//!
//! Mind: real plants stand in clumps, and then these limits are too narrow. Counts from
//! several spots go through `cluster`; this one is shown beside it, or where there is no
//! other, and always named as assuming random scatter.
//!
//! Not here: negative binomial counts.

use crate::confidence::{Confidence, Interval};
use crate::quantile;
use serde::Serialize;

/// Why no density can be had from a count.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CountError {
    /// The area is 0, negative, infinite or not a number.
    #[error("an area of {area_m2} m2 cannot be searched: enter an area above 0 m2")]
    BadArea {
        /// The area given, m2.
        area_m2: f64,
    },
}

/// Plants per m2 with its interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CountDensity {
    /// Plants per m2: count divided by area.
    pub estimate_per_m2: f64,
    /// Limits in plants per m2.
    pub interval_per_m2: Interval,
}

/// Garwood's exact interval (1936) for a Poisson count, in plants.
///
/// For `x = 0` the lower limit is 0 and the upper still above 0: at 95 % "none found" allows
/// for up to 3.689 expected plants in the area searched. Above a million plants the
/// Wilson-Hilferty approximation stands in (error below one in a thousand million).
pub fn garwood(x: u64, confidence: Confidence) -> Interval {
    let (tail, z, x_) = (confidence.tail(), confidence.z(), x as f64);
    // A chi-squared quantile with 2x degrees, halved, is a gamma quantile of shape x.
    let lower = if x == 0 {
        0.0
    } else {
        quantile::gamma(tail, -z, x_)
    };
    let upper = if x == 0 {
        -tail.ln()
    } else {
        quantile::gamma(1.0 - tail, z, x_ + 1.0)
    };
    Interval { lower, upper }
}

/// Plants per m2 from a count in an area, with Garwood's interval.
///
/// # Errors
/// [`CountError::BadArea`] unless `area_m2` is finite and above 0.
pub fn density(x: u64, area_m2: f64, confidence: Confidence) -> Result<CountDensity, CountError> {
    if !(area_m2.is_finite() && area_m2 > 0.0) {
        return Err(CountError::BadArea { area_m2 });
    }
    Ok(CountDensity {
        estimate_per_m2: x as f64 / area_m2,
        interval_per_m2: garwood(x, confidence).over(area_m2),
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    /// S2a: GraphPad help page, printed to 4 digits. S2b, S2c: help of R package epitools,
    /// 4 digits. S2d: own, recomputed with SciPy 1.17.1, 5 digits.
    #[test]
    fn s2_published_and_recomputed_counts() {
        use Confidence::{P90, P95, P99};
        let rows = [
            ("S2a", 25, P90, 17.38, 34.92, 0.005),
            ("S2a", 25, P95, 16.18, 36.90, 0.005),
            ("S2a", 25, P99, 14.00, 41.00, 0.005),
            ("S2b", 0, P95, 0.0, 3.689, 0.0005),
            // S2c is one-sided 95 %, which is the upper limit of the two-sided 90 %.
            ("S2c", 0, P90, 0.0, 2.996, 0.0005),
            ("S2d", 3, P90, 0.8177, 7.7537, 0.00005),
            ("S2d", 3, P95, 0.6187, 8.7673, 0.00005),
            ("S2d", 3, P99, 0.3379, 10.9775, 0.00005),
        ];
        for (id, x, level, lower, upper, slack) in rows {
            let found = garwood(x, level);
            assert!(
                (found.lower - lower).abs() <= slack,
                "{id} {found:?}, wanted {lower}"
            );
            assert!(
                (found.upper - upper).abs() <= slack,
                "{id} {found:?}, wanted {upper}"
            );
        }
    }

    #[test]
    fn density_divides_by_the_area() {
        let found = density(3, 0.5, Confidence::P95).unwrap();
        assert_eq!(found.estimate_per_m2, 6.0);
        assert!((found.interval_per_m2.upper - 2.0 * 8.7673).abs() < 1e-4); // S2d
        for area_m2 in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(density(3, area_m2, Confidence::P95).is_err());
        }
    }

    #[test]
    fn a_typing_slip_does_not_hang() {
        let found = garwood(u64::MAX, Confidence::P99);
        assert!(found.lower < u64::MAX as f64 && found.upper.is_finite());
    }

    proptest! {
        #[test]
        fn holds_its_estimate_and_rises_with_x(x in 0u64..20_000, level in 0usize..3) {
            let level = Confidence::ALL[level];
            let (here, next) = (garwood(x, level), garwood(x + 1, level));
            prop_assert!(here.contains(x as f64), "{here:?}");
            prop_assert!(here.lower < next.lower && here.upper < next.upper);
        }
    }
}
