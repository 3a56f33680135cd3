//! A field in parts: what its parts say together, weighed by their areas.
//!
//! In: for every part (stratum) its area and what its spots hold. Out: the estimate over the
//! whole, its standard error and limits, and where further spots are best laid (`allocate`).
//!
//! Units: areas in any one unit (they only weigh); frequencies are shares from 0 to 1, densities
//! plants per m2.
//!
//! Source: mean = sum W ybar, Var = sum W^2 (1 - n/N) s^2 / n, W the part's share of the area
//! (Cochran 1977, Sampling Techniques, chapter 5; memory); degrees of freedom by Satterthwaite,
//! the same, 5.4 (memory). Limits of frequencies and densities: those of the parts, weighed and
//! added as squares (Zou & Donner 2008, `measured`).
//!
//! A part with one spot does not show how much it varies. Then there is no standard error, and
//! [`Stratified::one_spot`] says which parts. A frequency still has limits: such a part can lie
//! anywhere from 0 to 1, and its whole range is added.
//!
//! Not here: which spot lies in which part (the caller knows the outlines).

use serde::Serialize;

use crate::cluster::{self, AreaUnit, CellUnit, ClusterError, Estimate, Limited, Ratio, Unit};
use crate::confidence::{Confidence, Interval};
use crate::measured::square_and_add;
use crate::method::Method;
use crate::quantile;

mod allocate;
#[cfg(test)]
mod tests;

pub use allocate::{Allocation, NEYMAN, Planned, allocate};

/// One part of a field. `U` is [`Unit`], [`CellUnit`] or [`AreaUnit`].
#[derive(Debug, Clone, PartialEq)]
pub struct Part<U> {
    /// Area, in the unit used for all parts; above 0.
    pub area: f64,
    /// How many spots the part could hold, for the finite correction of the standard error; `None`
    /// for a field in which spots are few and small, which is the rule.
    pub whole_units: Option<u64>,
    /// What lies at each spot; at least one.
    pub units: Vec<U>,
}

/// Why parts give no estimate. `part` counts from 1 in the order given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StrataError {
    /// No parts at all.
    #[error("the field has no parts: enter at least one")]
    NoParts,
    /// An area that is 0, negative, infinite or not a number.
    #[error("part {part}: an area of {area} cannot weigh anything: enter an area above 0")]
    BadArea {
        /// Number of the part.
        part: usize,
        /// Area given.
        area: f64,
    },
    /// Nobody has looked there.
    #[error(
        "part {part} has no spot, so nothing is known of it: lay a frame there, or leave the part out and say so"
    )]
    NoSpots {
        /// Number of the part.
        part: usize,
    },
    /// More spots laid than the part can hold.
    #[error("part {part}: {spots} spots do not fit into {whole}: correct one of the two")]
    WholeTooSmall {
        /// Number of the part.
        part: usize,
        /// Spots laid.
        spots: usize,
        /// Spots that the part holds.
        whole: u64,
    },
    /// A spread that is negative, infinite or not a number.
    #[error("part {part}: spots cannot differ by {spread}: enter 0 or more, or leave it out")]
    BadSpread {
        /// Number of the part.
        part: usize,
        /// Spread given.
        spread: f64,
    },
    /// More further spots than anybody lays.
    #[error("{further} further spots are out of reach: enter at most {most}")]
    TooManySpots {
        /// Spots asked for.
        further: usize,
        /// Most that are taken.
        most: usize,
    },
    /// The numbers of one spot are impossible.
    #[error("part {part}, {problem}")]
    Spot {
        /// Number of the part.
        part: usize,
        /// What is wrong.
        problem: ClusterError,
    },
}

/// A mean over parts, from plain numbers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StratifiedMean {
    /// Found over looked at, weighed by area.
    pub value: f64,
    /// Share of the area of each part, in the order given; sums to 1.
    pub weights: Vec<f64>,
    /// How much the spots of each part differ (standard deviation, in the unit of the value, for
    /// a spot of that part's mean size); `None` for a part with one spot.
    pub spreads: Vec<Option<f64>>,
    /// Standard error in the unit of the value; `None` if a part has one spot.
    pub standard_error: Option<f64>,
    /// Degrees of freedom by Satterthwaite; `None` if a part has one spot.
    pub degrees: Option<f64>,
    /// Value plus and minus t standard errors, not cut; `None` if a part has one spot.
    pub by_t: Option<Interval>,
    /// Parts with one spot, counted from 1.
    pub one_spot: Vec<usize>,
}

/// A frequency or density over parts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stratified {
    /// Each part alone, in the order given.
    pub parts: Vec<Estimate>,
    /// The whole in plain numbers.
    pub mean: StratifiedMean,
    /// Limits of the whole, or why there are none.
    pub limits: Result<Limited, NoLimits>,
}

impl Stratified {
    /// Parts with one spot, counted from 1: how much they vary cannot be known.
    pub fn one_spot(&self) -> &[usize] {
        &self.mean.one_spot
    }
}

/// Why a density over parts has no limits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case")]
pub enum NoLimits {
    /// A part shows no spread.
    #[error(
        "part {part} has one spot: how much it varies cannot be known, so there are no limits for the whole; lay a second one there"
    )]
    OneSpot {
        /// Number of the first such part, from 1.
        part: usize,
    },
}

/// Mean over parts: found over looked at in each (ratio estimator; the plain mean where all
/// sizes are alike), weighed by area, with its standard error.
///
/// # Errors
/// [`StrataError`] names the part that is impossible.
pub fn mean(parts: &[Part<Unit>], confidence: Confidence) -> Result<StratifiedMean, StrataError> {
    let weights = weights(parts)?;
    let ratios: Vec<Ratio> = parts
        .iter()
        .zip(1..)
        .map(|(part, number)| cluster::ratio(&part.units).map_err(spot(number)))
        .collect::<Result<_, _>>()?;
    let value = weights.iter().zip(&ratios).map(|(w, r)| w * r.ratio).sum();
    let one_spot: Vec<usize> = ratios
        .iter()
        .zip(1..)
        .filter_map(|(ratio, number)| ratio.variance.is_none().then_some(number))
        .collect();
    // W^2 (1 - n/N) s^2 / n of each part.
    let doubts: Option<Vec<f64>> = parts
        .iter()
        .zip(weights.iter().zip(&ratios))
        .map(|(part, (w, ratio))| {
            let left_out = part
                .whole_units
                .map_or(1.0, |whole| 1.0 - ratio.units as f64 / whole as f64);
            Some(w * w * left_out * ratio.variance?)
        })
        .collect();
    let variance: Option<f64> = doubts.as_ref().map(|doubts| doubts.iter().sum());
    let degrees = doubts
        .as_deref()
        .map(|doubts| satterthwaite(doubts, &ratios));
    let standard_error = variance.map(f64::sqrt);
    let by_t = standard_error.zip(degrees).map(|(error, degrees)| {
        let half = error * quantile::t_two_sided(confidence.level(), degrees);
        Interval {
            lower: value - half,
            upper: value + half,
        }
    });
    Ok(StratifiedMean {
        value,
        spreads: ratios
            .iter()
            .map(|ratio| Some((ratio.variance? * ratio.units as f64).sqrt()))
            .collect(),
        weights,
        standard_error,
        degrees,
        by_t,
        one_spot,
    })
}

/// Frequency of occupied cells over parts, as a share.
///
/// # Errors
/// As [`mean`].
pub fn frequency(
    parts: &[Part<CellUnit>],
    confidence: Confidence,
) -> Result<Stratified, StrataError> {
    let alone = each(parts, |units| cluster::frequency(units, confidence))?;
    let plain = |unit: &CellUnit| Unit {
        found: unit.occupied as f64,
        size: unit.cells as f64,
    };
    let mean = mean(&plainly(parts, plain), confidence)?;
    let limits = limits(&mean, &alone, Some(1.0)).map(|interval| Limited {
        interval: Interval {
            lower: interval.lower.max(0.0),
            upper: interval.upper.min(1.0),
        },
        method: Method::WeighedParts,
    });
    Ok(Stratified {
        parts: alone,
        mean,
        limits,
    })
}

/// Density of counted plants over parts, in plants per m2. No limits if a part has one spot: how
/// dense it may be is not known.
///
/// # Errors
/// As [`mean`].
pub fn density(
    parts: &[Part<AreaUnit>],
    confidence: Confidence,
) -> Result<Stratified, StrataError> {
    let alone = each(parts, |units| cluster::density(units, confidence))?;
    let plain = |unit: &AreaUnit| Unit {
        found: unit.plants as f64,
        size: unit.area_m2,
    };
    let mean = mean(&plainly(parts, plain), confidence)?;
    let limits = limits(&mean, &alone, None).map(|interval| Limited {
        interval: Interval {
            lower: interval.lower.max(0.0),
            upper: interval.upper,
        },
        method: Method::WeighedParts,
    });
    Ok(Stratified {
        parts: alone,
        mean,
        limits,
    })
}

/// Limits of the parts, weighed and added as squares; the whole range (0 to `most`) of parts
/// with one spot is added as it is, for nothing says that such parts err to different sides.
fn limits(
    mean: &StratifiedMean,
    alone: &[Estimate],
    most: Option<f64>,
) -> Result<Interval, NoLimits> {
    let (mut down, mut up, mut spans) = (0.0, 0.0, Vec::new());
    for ((weight, one), part) in mean.weights.iter().zip(alone).zip(1..) {
        match (one.limits, most) {
            (Ok(limited), _) => {
                // As if every other part were known: the whole with this one at its limits.
                let at = |limit: f64| mean.value + weight * (limit - one.value);
                spans.push((at(limited.interval.lower), at(limited.interval.upper)));
            }
            (Err(_), Some(most)) => {
                down += weight * one.value;
                up += weight * (most - one.value);
            }
            (Err(_), None) => return Err(NoLimits::OneSpot { part }),
        }
    }
    let sampled = square_and_add(mean.value, &spans);
    Ok(Interval {
        lower: sampled.lower - down,
        upper: sampled.upper + up,
    })
}

/// (sum a)^2 / sum (a^2 / (n - 1)); where nothing varies, spots less parts.
fn satterthwaite(doubts: &[f64], ratios: &[Ratio]) -> f64 {
    let degrees = |ratio: &Ratio| ratio.units as f64 - 1.0;
    let sum: f64 = doubts.iter().sum();
    let squares: f64 = doubts
        .iter()
        .zip(ratios)
        .map(|(a, ratio)| a * a / degrees(ratio))
        .sum();
    if squares > 0.0 {
        sum * sum / squares
    } else {
        ratios.iter().map(degrees).sum::<f64>().max(1.0)
    }
}

/// Shares of the area, after checking every part.
fn weights<U>(parts: &[Part<U>]) -> Result<Vec<f64>, StrataError> {
    if parts.is_empty() {
        return Err(StrataError::NoParts);
    }
    for (part, number) in parts.iter().zip(1..) {
        if part.units.is_empty() {
            return Err(StrataError::NoSpots { part: number });
        }
        if let Some(whole) = part.whole_units
            && whole < part.units.len() as u64
        {
            return Err(StrataError::WholeTooSmall {
                part: number,
                spots: part.units.len(),
                whole,
            });
        }
    }
    shares(parts.iter().map(|part| part.area))
}

/// Areas as shares of their sum.
fn shares(areas: impl Iterator<Item = f64> + Clone) -> Result<Vec<f64>, StrataError> {
    let greatest = areas.clone().fold(0.0, f64::max);
    for (area, part) in areas.clone().zip(1..) {
        if !(area.is_finite() && area > 0.0) {
            return Err(StrataError::BadArea { part, area });
        }
    }
    // Over the greatest first, so that no sum overflows.
    let sum: f64 = areas.clone().map(|area| area / greatest).sum();
    Ok(areas.map(|area| area / greatest / sum).collect())
}

fn each<U>(
    parts: &[Part<U>],
    of: impl Fn(&[U]) -> Result<Estimate, ClusterError>,
) -> Result<Vec<Estimate>, StrataError> {
    weights(parts)?;
    let numbered = parts.iter().zip(1..);
    numbered
        .map(|(part, number)| of(&part.units).map_err(spot(number)))
        .collect()
}

fn plainly<U>(parts: &[Part<U>], plain: impl Fn(&U) -> Unit) -> Vec<Part<Unit>> {
    let part = |part: &Part<U>| Part {
        area: part.area,
        whole_units: part.whole_units,
        units: part.units.iter().map(&plain).collect(),
    };
    parts.iter().map(part).collect()
}

fn spot(part: usize) -> impl Fn(ClusterError) -> StrataError {
    move |problem| StrataError::Spot { part, problem }
}
