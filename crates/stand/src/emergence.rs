//! Which share of the live seed sown stands as seedlings.
//!
//! In: seedlings per m2 with limits, pure live seeds sown per m2. Out: field emergence as a
//! share with the limits carried over, and how it lies to published shares.
//!
//! Units: per m2; shares from 0 to 1. Conversions are exact by definition (1 ft = 0.3048 m,
//! 1 acre = 43 560 ft2).
//!
//! Source: each stated share names its own.
//!
//! Not here: pounds and seeds per pound (`seeding`); doubt about the seed actually sown.

use crate::confidence::Interval;
use crate::measured::{Measured, MeasuredError};
use crate::method::Source;
use serde::Serialize;

/// Square metres in a square foot, exact: 0.3048 squared.
pub const M2_PER_FT2: f64 = 0.092_903_04;

/// Square metres in an acre, exact: 43 560 square feet.
pub const M2_PER_ACRE: f64 = 4_046.856_422_4;

/// Things per square foot as things per m2.
pub fn per_m2_from_per_ft2(per_ft2: f64) -> f64 {
    per_ft2 / M2_PER_FT2
}

/// Things per m2 as things per square foot.
pub fn per_ft2_from_per_m2(per_m2: f64) -> f64 {
    per_m2 * M2_PER_FT2
}

/// Things per acre as things per m2.
pub fn per_m2_from_per_acre(per_acre: f64) -> f64 {
    per_acre / M2_PER_ACRE
}

/// Field emergence.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Emergence {
    /// Seedlings per pure live seed sown, share. Not cut: see `more_than_sown`.
    pub share: f64,
    /// Limits: those of the density divided by the seed sown.
    pub interval: Interval,
    /// Seedlings per m2 it rests on.
    pub seedlings_per_m2: f64,
    /// Pure live seeds sown per m2.
    pub sown_per_m2: f64,
    /// Share above 1: more seedlings than live seeds. Volunteers, a wrong rate or a wrong name
    /// are likelier than a wonder.
    pub more_than_sown: bool,
}

/// Seedlings per m2 over pure live seeds sown per m2.
///
/// # Errors
/// [`MeasuredError`] for a density below 0, limits that do not hold it, or no seed sown.
pub fn field_emergence(
    seedlings_per_m2: Measured,
    sown_per_m2: f64,
) -> Result<Emergence, MeasuredError> {
    seedlings_per_m2.check(0.0, f64::MAX)?;
    if !(sown_per_m2.is_finite() && sown_per_m2 > 0.0) {
        return Err(MeasuredError::OutOfRange {
            value: sown_per_m2,
            least: f64::MIN_POSITIVE,
            most: f64::MAX,
        });
    }
    let share = seedlings_per_m2.value / sown_per_m2;
    Ok(Emergence {
        share,
        interval: Interval {
            lower: seedlings_per_m2.interval.lower / sown_per_m2,
            upper: seedlings_per_m2.interval.upper / sown_per_m2,
        },
        seedlings_per_m2: seedlings_per_m2.value,
        sown_per_m2,
        more_than_sown: share > 1.0,
    })
}

/// A field emergence that somebody stated.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Stated {
    /// Short id.
    pub id: &'static str,
    /// From this share.
    pub low: f64,
    /// To this share; the same as `low` where one number was given.
    pub high: f64,
    /// Whether it is arithmetic from a source's numbers rather than its own statement.
    pub derived: bool,
    /// Where it is stated.
    pub source: Source,
}

/// The Colorado berm.
pub const COLO_BERM: Source = Source {
    id: "colo_berm",
    citation: "Colorado Division of Reclamation, Mining and Safety records: berm revegetation evaluation, page 3 (110 plants per m2 counted, 15 % of seeds sown; expected to fall to 60 to 70 per m2, about 10 %)",
    url: Some("https://dnrweblink.state.co.us/DRMSSearch/0/doc/821833/Page3.aspx"),
};

/// What may be compared with, lowest first. All are of other fields, mixes and years.
pub const STATED: [Stated; 4] = [
    Stated {
        id: "seeding_targets",
        low: 0.025,
        high: 0.10,
        derived: true,
        source: Source {
            id: "derived",
            citation: "Derived: common targets of 20 to 40 live seeds per ft2 for 1 to 2 plants per ft2",
            url: None,
        },
    },
    Stated {
        id: "prairie_seed",
        low: 0.05,
        high: 0.10,
        derived: false,
        source: Source {
            id: "WILL07",
            citation: "Williams, D. and others 2007, as cited on a seeding-rate page of the Tallgrass Prairie Center, University of Northern Iowa (second-hand)",
            url: None,
        },
    },
    Stated {
        id: "berm_settled",
        low: 0.10,
        high: 0.10,
        derived: false,
        source: COLO_BERM,
    },
    Stated {
        id: "berm_counted",
        low: 0.15,
        high: 0.15,
        derived: false,
        source: COLO_BERM,
    },
];

/// Where an interval lies to a stated share.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Compared {
    /// The whole interval is below.
    Below,
    /// They share at least one value: no difference shown.
    Agrees,
    /// The whole interval is above.
    Above,
}

impl Emergence {
    /// Where this emergence lies to a stated one.
    pub fn compared(&self, stated: &Stated) -> Compared {
        if self.interval.upper < stated.low {
            Compared::Below
        } else if self.interval.lower > stated.high {
            Compared::Above
        } else {
            Compared::Agrees
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn density(value: f64, lower: f64, upper: f64) -> Measured {
        Measured {
            value,
            standard_error: None,
            interval: Interval { lower, upper },
        }
    }

    #[test]
    fn conversions_are_exact_by_definition() {
        assert_eq!(M2_PER_FT2, 0.3048 * 0.3048);
        assert!((M2_PER_ACRE - 43_560.0 * M2_PER_FT2).abs() < 1e-9);
        // 1 plant per ft2 is 10.764 per m2 (printed in extension tables).
        assert!((per_m2_from_per_ft2(1.0) - 10.764).abs() < 0.0005);
    }

    /// The berm: 110 plants per m2 were called 15 % of the seed, so about 733 seeds per m2.
    #[test]
    fn the_published_berm_agrees_with_itself() {
        let found = field_emergence(density(110.0, 90.0, 130.0), 110.0 / 0.15).unwrap();
        assert!((found.share - 0.15).abs() < 1e-12);
        let compared: Vec<_> = STATED.iter().map(|stated| found.compared(stated)).collect();
        use Compared::{Above, Agrees};
        assert_eq!(compared, [Above, Above, Above, Agrees]);
        // 60 to 70 per m2 of the same seed is 8 to 10 %: "about 10 %".
        let settled = field_emergence(density(65.0, 60.0, 70.0), 110.0 / 0.15).unwrap();
        assert!((0.08..0.10).contains(&settled.share));
    }

    #[test]
    fn more_seedlings_than_seeds_is_said() {
        let found = field_emergence(density(50.0, 40.0, 60.0), 45.0).unwrap();
        assert!(found.more_than_sown && found.share > 1.0);
    }

    #[test]
    fn impossible_numbers_are_refused() {
        for sown in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(field_emergence(density(5.0, 4.0, 6.0), sown).is_err());
        }
        assert!(field_emergence(density(-1.0, -2.0, 0.0), 10.0).is_err());
        assert!(field_emergence(density(5.0, 6.0, 7.0), 10.0).is_err());
    }

    proptest! {
        #[test]
        fn units_do_not_matter(value in 0.0..500.0f64, width in 0.0..100.0f64, sown in 1.0..1000.0f64) {
            let metric = field_emergence(density(value, (value - width).max(0.0), value + width), sown).unwrap();
            let back = per_ft2_from_per_m2(value) / per_ft2_from_per_m2(sown);
            prop_assert!((metric.share - back).abs() < 1e-12);
            prop_assert!(metric.interval.contains(metric.share));
        }
    }
}
