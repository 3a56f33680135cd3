//! Pounds of seed to seeds on the ground: pure live seed, rates, shares of a mix, seedlings to expect.
//!
//! In: figures of a seed tag, rates in pounds per acre, seeds per pound. Out: the same seed by
//! other measures, each function named after the unit it gives.
//!
//! Units: percentages from 0 to 100 as on a tag, shares from 0 to 1, pounds and ounces
//! avoirdupois, acres of 43,560 ft2, feet of 0.3048 m; all exact.
//!
//! Source: the definitions are those of [`PLS`], [`BULK`] and [`SEEDS_PER_FT2`]; the published
//! examples that they give back are in the tests, each with its source.
//!
//! Not here: seeds per pound of a species (`keys/standards/seed.yaml`); seedlings that were
//! counted (`emergence`); doubt about the rate that really left the drill.

mod expected;
mod tag;
mod test_age;

pub use expected::{EMERGENCE_SHARES, EmergenceShare, Expected, expected_seedlings};
pub use tag::{Live, Pls, Tag, Weights};
pub use test_age::{Month, STALE_MONTHS, TEST_RULES, TestRule, months_between};

use crate::emergence::{per_ft2_from_per_m2, per_m2_from_per_ft2};
use crate::method::Source;

/// Square feet in an acre, exact by definition.
pub const FT2_PER_ACRE: f64 = 43_560.0;
/// Ounces in a pound, exact by definition.
pub const OZ_PER_LB: f64 = 16.0;
/// Kilograms in a pound, exact by definition (1959 agreement; memory).
pub const KG_PER_LB: f64 = 0.453_592_37;
/// Hectares in an acre, exact: 43,560 square feet of 0.3048 m.
pub const HA_PER_ACRE: f64 = 0.404_685_642_24;

/// Pure live seed as purity times total germination, dormant and hard seed with it.
pub const PLS: Source = Source {
    id: "allamakee_pls",
    citation: "Allamakee Soil and Water Conservation District (Iowa): Calculate seeding rates in pure live seed (definition; its own example of 55 lb is wrong and not used)",
    url: Some("http://allamakeeswcd.org/calculate-seeding-rates-in-pure-live-seed/"),
};

/// Whether dormant seed counts is not settled: the University of Georgia counts it.
pub const DORMANT_COUNTS: Source = Source {
    id: "UGAPLS",
    citation: "University of Georgia: What is pure live seed?",
    url: Some("http://georgiaforages.caes.uga.edu/questions/PureLiveSeed.html"),
};

/// Whether dormant seed counts is not settled: a seed house uses germination alone.
pub const DORMANT_LEFT_OUT: Source = Source {
    id: "CURTIS",
    citation: "Curtis and Curtis Seed: Frequently asked questions (pure live seed)",
    url: Some("http://www.curtisseed.com/index.cfm?show=10&mid=50"),
};

/// Bulk weight is the weight of live seed over its share.
pub const BULK: Source = Source {
    id: "mbs_pls",
    citation: "MBS Seed: What is pure live seed",
    url: Some("https://mbsseed.com/what-is-pure-live-seed-pls/"),
};

/// Seeds per square foot are seeds per pound times pounds per acre over 43,560.
pub const SEEDS_PER_FT2: Source = Source {
    id: "curious_farmer",
    citation: "Forage seeding rates, seeds per square foot (a farmer's page, 2010)",
    url: Some("https://curiousfarmer.com/2010/01/20/forage-seeding-rates-seeds-per-square-foot/"),
};

/// Why a sum can't be made; says how to mend it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SeedingError {
    /// A number that can't be.
    #[error("{what} of {value} {unit} cannot be: use a number {least} to {most}")]
    OutOfRange {
        /// What the number is.
        what: &'static str,
        /// The number given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Smallest that can be, in words such as `from 0` or `above 0`.
        least: &'static str,
        /// Largest that can be.
        most: f64,
    },
    /// Parts of a whole that are more than the whole.
    #[error("{parts} are {sum:.2} % together, more than {most} %: read the tag again")]
    MoreThanAll {
        /// The parts.
        parts: &'static str,
        /// Their sum, percent.
        sum: f64,
        /// The most they can be, percent.
        most: f64,
    },
    /// Lowest above highest.
    #[error("{what}: {low} is above {high}; swap the two")]
    UpsideDown {
        /// What the range is.
        what: &'static str,
        /// Said to be lowest.
        low: f64,
        /// Said to be highest.
        high: f64,
    },
    /// No seed to share out.
    #[error("a mix without seed has no shares: enter at least one species with its rate")]
    EmptyMix,
}

/// Largest number taken for a rate, pounds per acre, and for seeds in a pound; beyond is a slip.
const MOST: f64 = 1e9;

/// A number above 0, or why not.
fn above_zero(what: &'static str, value: f64, unit: &'static str) -> Result<f64, SeedingError> {
    within(what, value, unit, 0.0, MOST, false)
}

/// A number from `least` (which may be taken out) to `most`, or why not.
fn within(
    what: &'static str,
    value: f64,
    unit: &'static str,
    least: f64,
    most: f64,
    with_least: bool,
) -> Result<f64, SeedingError> {
    // NaN fails both comparisons.
    let in_range = value <= most && (value > least || (with_least && value == least));
    if in_range {
        return Ok(value);
    }
    Err(SeedingError::OutOfRange {
        what,
        value,
        unit,
        least: if with_least { "from 0" } else { "above 0, up" },
        most,
    })
}

/// Bulk weight that holds a weight of pure live seed, in the same unit (pounds, or pounds per
/// acre). `pls_share` is the live share of the bulk weight.
///
/// # Errors
/// A weight or share that is not above 0, or a share above 1.
pub fn bulk_from_pls(pls: f64, pls_share: f64) -> Result<f64, SeedingError> {
    let pls = above_zero("pure live seed", pls, "lb")?;
    Ok(pls / share_above_zero("the live share", pls_share)?)
}

/// Pure live seed in a bulk weight, in the same unit. The way back of [`bulk_from_pls`].
///
/// # Errors
/// A weight or share that is not above 0, or a share above 1.
pub fn pls_from_bulk(bulk: f64, pls_share: f64) -> Result<f64, SeedingError> {
    let bulk = above_zero("bulk seed", bulk, "lb")?;
    Ok(bulk * share_above_zero("the live share", pls_share)?)
}

fn share_above_zero(what: &'static str, share: f64) -> Result<f64, SeedingError> {
    within(what, share, "of 1", 0.0, 1.0, false)
}

/// Seeds per square foot. Live seeds, when the rate is one of pure live seed.
///
/// # Errors
/// A rate or number of seeds that is not above 0.
pub fn seeds_per_ft2(lb_per_acre: f64, seeds_per_lb: f64) -> Result<f64, SeedingError> {
    let rate = above_zero("a rate", lb_per_acre, "lb per acre")?;
    let seeds = above_zero("seeds in a pound", seeds_per_lb, "seeds per lb")?;
    Ok(rate * seeds / FT2_PER_ACRE)
}

/// Seeds per square metre; see [`seeds_per_ft2`].
///
/// # Errors
/// As [`seeds_per_ft2`].
pub fn seeds_per_m2(lb_per_acre: f64, seeds_per_lb: f64) -> Result<f64, SeedingError> {
    seeds_per_ft2(lb_per_acre, seeds_per_lb).map(per_m2_from_per_ft2)
}

/// The rate that gives a target of seeds per square foot, pounds per acre. The way back of
/// [`seeds_per_ft2`].
///
/// # Errors
/// A target or number of seeds that is not above 0.
pub fn lb_per_acre_for_ft2(seeds_per_ft2: f64, seeds_per_lb: f64) -> Result<f64, SeedingError> {
    let target = above_zero("a target", seeds_per_ft2, "seeds per ft²")?;
    let seeds = above_zero("seeds in a pound", seeds_per_lb, "seeds per lb")?;
    Ok(target * FT2_PER_ACRE / seeds)
}

/// The rate that gives a target of seeds per square metre, pounds per acre.
///
/// # Errors
/// As [`lb_per_acre_for_ft2`].
pub fn lb_per_acre_for_m2(seeds_per_m2: f64, seeds_per_lb: f64) -> Result<f64, SeedingError> {
    let target = above_zero("a target", seeds_per_m2, "seeds per m²")?;
    lb_per_acre_for_ft2(per_ft2_from_per_m2(target), seeds_per_lb)
}

/// Ounces per acre as pounds per acre; mixes with forbs are written in ounces.
pub fn lb_from_oz(oz: f64) -> f64 {
    oz / OZ_PER_LB
}

/// Pounds per acre as ounces per acre.
pub fn oz_from_lb(lb: f64) -> f64 {
    lb * OZ_PER_LB
}

/// Pounds per acre as kilograms per hectare.
pub fn kg_per_ha_from_lb_per_acre(lb_per_acre: f64) -> f64 {
    lb_per_acre * KG_PER_LB / HA_PER_ACRE
}

/// Share of each species by weight, in the order given; they sum to 1.
///
/// # Errors
/// No species, or a rate that is not above 0.
pub fn shares_by_weight(lb_per_acre: &[f64]) -> Result<Vec<f64>, SeedingError> {
    for rate in lb_per_acre {
        above_zero("a rate", *rate, "lb per acre")?;
    }
    let all: f64 = lb_per_acre.iter().sum();
    match lb_per_acre.is_empty() {
        true => Err(SeedingError::EmptyMix),
        false => Ok(lb_per_acre.iter().map(|rate| rate / all).collect()),
    }
}

/// Lowest and highest share of each species by number of seeds, in the order given.
///
/// In: lowest and highest number of seeds of each on the same area, equal where one number is
/// known. Lowest share: its own lowest among everybody else's highest; and the other way round.
///
/// # Errors
/// No species, a number that is not above 0, a lowest above its highest.
pub fn shares_by_seed(seeds: &[(f64, f64)]) -> Result<Vec<(f64, f64)>, SeedingError> {
    let what = "seeds on an area";
    for (low, high) in seeds {
        above_zero(what, *low, "seeds")?;
        above_zero(what, *high, "seeds")?;
        if low > high {
            return Err(SeedingError::UpsideDown {
                what,
                low: *low,
                high: *high,
            });
        }
    }
    if seeds.is_empty() {
        return Err(SeedingError::EmptyMix);
    }
    let (all_low, all_high) = seeds
        .iter()
        .fold((0.0, 0.0), |(l, h), (low, high)| (l + low, h + high));
    Ok(seeds
        .iter()
        .map(|(low, high)| {
            (
                low / (low + (all_high - high)),
                high / (high + (all_low - low)),
            )
        })
        .collect())
}

#[cfg(test)]
mod tests;
