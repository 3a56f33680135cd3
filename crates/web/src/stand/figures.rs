//! Numbers of the stand as people read them: percentages, densities, intervals.
//!
//! In: estimates of crate `stand`. Out: short text. Densities in plants per m2 and per ft2.
//! Rounded to what frames can tell: whole percents, two digits of a density.

use standbook_stand::cluster::Estimate;
use standbook_stand::confidence::Interval;
use standbook_stand::convert::{Converted, Density};

use crate::words::{M2_PER_FT2, digits, percent};

/// A unit of area that densities are given for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Per {
    /// Square metre.
    M2,
    /// Square foot.
    Ft2,
}

impl Per {
    fn of_m2(self, per_m2: f64) -> f64 {
        match self {
            Per::M2 => per_m2,
            Per::Ft2 => per_m2 * M2_PER_FT2,
        }
    }
}

/// What stands where an interval would, if all frames lie at one spot.
const NO_INTERVAL: &str = "no interval";

/// `31 to 61 %`.
pub(crate) fn interval_percent(interval: Interval) -> String {
    // The sign once: `31 to 61 %`.
    let lower = percent(interval.lower);
    format!(
        "{} to {}",
        lower.trim_end_matches(" %"),
        percent(interval.upper)
    )
}

/// The interval of a frequency, or why there is none.
pub(crate) fn limits_percent(estimate: &Estimate) -> String {
    match estimate.limits {
        Ok(limited) => interval_percent(limited.interval),
        Err(_) => NO_INTERVAL.to_owned(),
    }
}

/// An estimate and its interval, each short enough for a line of its own.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Figure {
    /// The estimate, such as `1.7` or `at least 44`.
    pub value: String,
    /// The interval, such as `0.9 to 2.5`; `no interval` with one spot.
    pub limits: String,
}

/// A counted density.
pub(crate) fn counted(estimate: &Estimate, per: Per) -> Figure {
    Figure {
        value: digits(per.of_m2(estimate.value)),
        limits: match estimate.limits {
            Ok(limited) => span(limited.interval, per),
            Err(_) => NO_INTERVAL.to_owned(),
        },
    }
}

/// `0.9 to 2.5`.
pub(crate) fn span(interval: Interval, per: Per) -> String {
    format!(
        "{} to {}",
        digits(per.of_m2(interval.lower)),
        digits(per.of_m2(interval.upper))
    )
}

/// A converted density. Cells too full to tell give `at least` and `no upper limit`.
pub(crate) fn converted(density: &Converted, per: Per) -> Figure {
    let bound = |density: Density| {
        let value = digits(per.of_m2(density.per_m2()));
        if density.is_at_least() {
            format!("at least {value}")
        } else {
            value
        }
    };
    Figure {
        value: bound(density.estimate),
        limits: match density.limits {
            None => NO_INTERVAL.to_owned(),
            Some((lower, upper)) if upper.is_at_least() => {
                format!("{}, no upper limit", bound(lower))
            }
            Some((lower, upper)) => format!("{} to {}", bound(lower), bound(upper)),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn full_cells_have_no_upper_limit() {
        let full = Converted {
            estimate: Density::AtLeast(44.4),
            limits: Some((Density::About(20.0), Density::AtLeast(44.4))),
        };
        let figure = converted(&full, Per::M2);
        assert_eq!(figure.value, "at least 44");
        assert_eq!(figure.limits, "20, no upper limit");
    }

    #[test]
    fn a_plant_a_square_foot_is_about_eleven_a_square_metre() {
        // 10.76 square feet in a square metre (NIST Handbook 44, appendix C; memory).
        let one = Converted {
            estimate: Density::About(10.76),
            limits: None,
        };
        assert_eq!(converted(&one, Per::Ft2).value, "1.0");
        assert_eq!(converted(&one, Per::M2).value, "11");
    }

    #[test]
    fn the_sign_stands_once() {
        let interval = Interval {
            lower: 0.004,
            upper: 0.61,
        };
        assert_eq!(interval_percent(interval), "under 1 to 61 %");
    }
}
