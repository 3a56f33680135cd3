//! A number with its limits, and how doubts from several places add up.
//!
//! In: plain numbers, or an [`Estimate`] of this crate. Out: the same, checked, for the
//! corrections (`misnaming`, `detect`) and `emergence`, which carry the limits on.
//!
//! Units: those of the number; shares run from 0 to 1.
//!
//! Source: limits that add as squares, Newcombe 1998, Statistics in Medicine 17:873-890, and
//! Zou & Donner 2008, Statistics in Medicine 27:1693-1702 (both from memory).
//!
//! Not here: where the limits came from.

use crate::cluster::Estimate;
use crate::confidence::Interval;
use crate::method::Source;
use serde::Serialize;

/// Limits of several inputs, sent through a formula one at a time and added as squares.
pub const SQUARE_AND_ADD: Source = Source {
    id: "memory",
    citation: "Newcombe 1998, Statistics in Medicine 17:873-890 (square-and-add); Zou & Donner 2008, Statistics in Medicine 27:1693-1702 (variance recovered from limits); both from memory",
    url: None,
};

/// A number with its standard error and limits, all in one unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Measured {
    /// The estimate.
    pub value: f64,
    /// Standard error; `None` where it is not known.
    pub standard_error: Option<f64>,
    /// Limits; they hold `value`.
    pub interval: Interval,
}

/// Why a number cannot be carried on.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum MeasuredError {
    /// Not a number, infinite, or outside of what it may be.
    #[error("{value} cannot be: enter a number from {least} to {most}")]
    OutOfRange {
        /// The number given.
        value: f64,
        /// Smallest possible.
        least: f64,
        /// Largest possible.
        most: f64,
    },
    /// Limits that do not hold their estimate.
    #[error(
        "limits {lower} to {upper} do not hold their estimate {value}: correct one of the three"
    )]
    OutsideLimits {
        /// The estimate given.
        value: f64,
        /// Lower limit given.
        lower: f64,
        /// Upper limit given.
        upper: f64,
    },
}

impl Measured {
    /// An estimate of this crate with its limits; `None` with one spot, which has no limits.
    pub fn from_estimate(estimate: &Estimate) -> Option<Self> {
        Some(Self {
            value: estimate.value,
            standard_error: estimate.standard_error,
            interval: estimate.limits.ok()?.interval,
        })
    }

    /// A number known exactly: its limits are itself.
    pub fn exact(value: f64) -> Self {
        Self {
            value,
            standard_error: Some(0.0),
            interval: Interval {
                lower: value,
                upper: value,
            },
        }
    }

    /// Checks that everything lies in `least..=most` and that the limits hold the value.
    pub(crate) fn check(&self, least: f64, most: f64) -> Result<(), MeasuredError> {
        let Interval { lower, upper } = self.interval;
        for value in [self.value, lower, upper] {
            within(value, least, most)?;
        }
        if let Some(error) = self.standard_error {
            within(error, 0.0, f64::MAX)?;
        }
        if !self.interval.contains(self.value) {
            return Err(MeasuredError::OutsideLimits {
                value: self.value,
                lower,
                upper,
            });
        }
        Ok(())
    }
}

/// `value` must be a number from `least` to `most`, both included.
pub(crate) fn within(value: f64, least: f64, most: f64) -> Result<(), MeasuredError> {
    if (least..=most).contains(&value) {
        Ok(())
    } else {
        Err(MeasuredError::OutOfRange { value, least, most })
    }
}

/// Limits around `value`, when each pair is what the formula gives with *one* input at its
/// lower and at its upper limit and all others at their estimates.
pub(crate) fn square_and_add(value: f64, one_at_a_time: &[(f64, f64)]) -> Interval {
    let (mut down, mut up) = (0.0, 0.0);
    for &(a, b) in one_at_a_time {
        down += (value - a.min(b)).max(0.0).powi(2);
        up += (a.max(b) - value).max(0.0).powi(2);
    }
    Interval {
        lower: value - down.sqrt(),
        upper: value + up.sqrt(),
    }
}

/// Limits cut to 0..1, and whether anything was cut.
pub(crate) fn clip(interval: Interval) -> (Interval, bool) {
    let cut = Interval {
        lower: interval.lower.clamp(0.0, 1.0),
        upper: interval.upper.clamp(0.0, 1.0),
    };
    (cut, cut != interval)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::cluster::{self, CellUnit};
    use crate::confidence::Confidence;
    use proptest::prelude::*;

    #[test]
    fn an_estimate_with_one_spot_has_no_limits_to_carry_on() {
        let spot = |occupied| CellUnit {
            occupied,
            cells: 25,
        };
        let one = cluster::frequency(&[spot(5)], Confidence::P95).unwrap();
        assert_eq!(Measured::from_estimate(&one), None);
        let two = cluster::frequency(&[spot(5), spot(9)], Confidence::P95).unwrap();
        assert!(
            Measured::from_estimate(&two)
                .unwrap()
                .check(0.0, 1.0)
                .is_ok()
        );
    }

    #[test]
    fn limits_that_do_not_hold_their_estimate_are_refused() {
        let mut measured = Measured::exact(0.5);
        measured.interval.upper = 0.4;
        measured.interval.lower = 0.3;
        assert!(measured.check(0.0, 1.0).is_err());
        assert!(Measured::exact(1.1).check(0.0, 1.0).is_err());
        assert!(Measured::exact(f64::NAN).check(0.0, 1.0).is_err());
    }

    proptest! {
        /// A sum of two: the half widths add as squares, by Pythagoras.
        #[test]
        fn half_widths_of_a_sum_add_as_squares(a in 0.0..9.0f64, b in 0.0..9.0f64, da in 0.0..3.0f64, db in 0.0..3.0f64) {
            let found = square_and_add(a + b, &[(a - da + b, a + da + b), (a + b - db, a + b + db)]);
            let half = da.hypot(db);
            prop_assert!((found.lower - (a + b - half)).abs() < 1e-12);
            prop_assert!((found.upper - (a + b + half)).abs() < 1e-12);
        }
    }
}
