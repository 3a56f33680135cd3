//! How many more spots or quadrats a wanted precision takes.
//!
//! In: what has been seen so far (or is expected), the half-width wanted. Out: how many in
//! all and how many further, with the method and its source, or why it cannot be said.
//!
//! Units: frequencies are shares from 0 to 1, densities plants per m2, counts plants per
//! quadrat; a half-width has the unit of its estimate, or is a share of it.
//!
//! Source: n = (t s / d)^2, University of Missouri NR 3110; worked example from Colorado's
//! mining division; count forms from Karandinos 1976 and Ruesink 1980 (memory).
//!
//! Ours: never fewer spots than as many independent cells (or scattered plants) would take:
//! few spots that agree by luck must not call the work done.
//!
//! Not here: the sequential rule (`sequential`), which asks for a decision, not a precision.

use crate::cluster::{self, AreaUnit, CellUnit, ClusterError, Unit};
use crate::confidence::Confidence;
use crate::method::Source;
use crate::quantile;
use serde::Serialize;

/// The general formula.
pub const MU_NR3110: Source = Source {
    id: "mu_nr3110",
    citation: "University of Missouri NR 3110, Sample size determination (cites Krebs 1998, Zar 2007)",
    url: Some("http://oak.snr.missouri.edu/nr3110/topics/samplesize.php"),
};

/// A worked example of the relative form.
pub const COLO_ADEQUACY: Source = Source {
    id: "colo_adequacy",
    citation: "Colorado Division of Reclamation, Mining and Safety records: sample adequacy determination, table 5A",
    url: Some("https://dnrweblink.state.co.us/DRMSSearch/0/doc/1250747/Page52.aspx"),
};

/// Counts.
pub const KARANDINOS: Source = Source {
    id: "memory",
    citation: "Karandinos 1976; Ruesink 1980; Krebs, Ecological Methodology (formulas from memory)",
    url: None,
};

/// Proportions and the design effect of clusters.
pub const COCHRAN: Source = Source {
    id: "memory",
    citation: "Cochran 1977, Sampling Techniques: proportions, and clusters of m units with intracluster correlation rho, whose design effect is 1 + (m - 1) rho (memory)",
    url: None,
};

/// Nobody lays more than this many frames; beyond it the wish is out of reach.
pub const MOST: u64 = 100_000;

/// The precision wanted: half the width of the interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Wanted {
    /// In the unit of the estimate: 0.10 is plus and minus 10 points of frequency.
    HalfWidth(f64),
    /// As a share of the estimate: 0.25 is plus and minus a quarter of it.
    Relative(f64),
}

impl Wanted {
    /// The half-width in the unit of an estimate above 0.
    fn half_width(self, estimate: f64) -> Result<f64, CannotSay> {
        let (Self::HalfWidth(value) | Self::Relative(value)) = self;
        if !(value.is_finite() && value > 0.0) {
            return Err(CannotSay::BadWish { value });
        }
        match self {
            Self::HalfWidth(value) => Ok(value),
            Self::Relative(_) if estimate <= 0.0 => Err(CannotSay::NothingFound),
            Self::Relative(value) => Ok(value * estimate),
        }
    }
}

/// How a number of spots was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// From how much the spots differ, with Student's t for the number they add up to.
    SpreadBetweenSpots,
    /// The spots differ less than independent cells would: those decide.
    IndependentCells,
    /// The spots differ less than scattered plants would: those decide.
    RandomScatter,
    /// From an assumed share and correlation within a frame; nothing was seen yet.
    AssumedCorrelation,
    /// Counts taken as scattered at random (Poisson).
    RandomCounts,
    /// Counts in clumps of known strength (negative binomial).
    ClumpedCounts,
}

impl How {
    /// The formula in plain signs.
    pub fn formula(self) -> &'static str {
        match self {
            Self::SpreadBetweenSpots => "n = (t s / d)^2, t with n - 1 degrees of freedom",
            Self::IndependentCells => "n = t^2 p (1 - p) / (d^2 x cells per spot)",
            Self::RandomScatter => "n = t^2 mean / (d^2 x m2 per spot)",
            Self::AssumedCorrelation => "n = z^2 p (1 - p) (1 + (m - 1) rho) / (d^2 m)",
            Self::RandomCounts => "n = (z / D)^2 / mean",
            Self::ClumpedCounts => "n = (z / D)^2 (1 / mean + 1 / k)",
        }
    }

    /// Where the formula is written down.
    pub fn source(self) -> Source {
        match self {
            Self::SpreadBetweenSpots => MU_NR3110,
            Self::IndependentCells | Self::RandomScatter | Self::AssumedCorrelation => COCHRAN,
            Self::RandomCounts | Self::ClumpedCounts => KARANDINOS,
        }
    }
}

/// How many are needed. Spots where frames were laid, quadrats where plants were counted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Needed {
    /// In all, rounded up.
    pub total: u64,
    /// Seen so far.
    pub seen: u64,
    /// Still to lay: 0 if the wish is met already.
    pub further: u64,
    /// What the formula gave before rounding up.
    pub unrounded: f64,
    /// Half-width wanted, in the unit of the estimate.
    pub half_width: f64,
    /// How it was found.
    pub how: How,
}

/// Why no number can be given.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CannotSay {
    /// One spot shows no spread.
    #[error("one spot shows nothing about how much spots differ: lay frames at two or more")]
    OneSpot,
    /// Nothing found.
    #[error("nothing was found, so nothing shows how much spots differ: lay the planned frames")]
    NothingFound,
    /// Every cell full.
    #[error(
        "every cell was occupied, so nothing shows how much spots differ: lay the planned frames"
    )]
    AllFull,
    /// A wish that is 0, negative, infinite or not a number.
    #[error("a half-width of {value} cannot be aimed at: enter a number above 0")]
    BadWish {
        /// The wish.
        value: f64,
    },
    /// An assumption out of its range.
    #[error("{value} is no {what}: enter a number in its range")]
    BadAssumption {
        /// What was assumed.
        what: &'static str,
        /// The number given.
        value: f64,
    },
    /// Impossible numbers seen.
    #[error(transparent)]
    Impossible(#[from] ClusterError),
    /// More than [`MOST`].
    #[error("that precision would take more than {MOST} frames: wish for a wider interval")]
    OutOfReach,
}

/// Spots for a wanted half-width of the frequency, from the spots seen so far.
///
/// The spread between spots decides, with t iterated to the number of spots it leads to;
/// but never fewer than independent cells would take.
///
/// # Errors
/// [`CannotSay`]: one spot, nothing found, every cell full, an impossible number, or a wish
/// out of reach.
pub fn for_frequency(
    seen: &[CellUnit],
    wanted: Wanted,
    confidence: Confidence,
) -> Result<Needed, CannotSay> {
    let estimate = cluster::frequency(seen, confidence)?;
    if seen.len() < 2 {
        return Err(CannotSay::OneSpot);
    }
    if estimate.value <= 0.0 {
        return Err(CannotSay::NothingFound);
    }
    if estimate.value >= 1.0 {
        return Err(CannotSay::AllFull);
    }
    let cells: f64 = seen.iter().map(|unit| unit.cells as f64).sum();
    let floor = estimate.value * (1.0 - estimate.value) * seen.len() as f64 / cells;
    from_spread(
        seen.len() as u64,
        estimate.standard_error,
        floor,
        How::IndependentCells,
        wanted.half_width(estimate.value)?,
        confidence,
    )
}

/// Spots for a wanted half-width of the density (plants per m2), from the spots so far.
///
/// As [`for_frequency`]; never fewer than plants scattered at random would take.
///
/// # Errors
/// [`CannotSay`]: one spot, nothing found, an impossible number, or a wish out of reach.
pub fn for_density(
    seen: &[AreaUnit],
    wanted: Wanted,
    confidence: Confidence,
) -> Result<Needed, CannotSay> {
    let plain: Vec<Unit> = seen
        .iter()
        .map(|unit| Unit {
            found: unit.plants as f64,
            size: unit.area_m2,
        })
        .collect();
    let ratio = cluster::ratio(&plain)?;
    if seen.len() < 2 {
        return Err(CannotSay::OneSpot);
    }
    if ratio.ratio <= 0.0 {
        return Err(CannotSay::NothingFound);
    }
    from_spread(
        seen.len() as u64,
        ratio.standard_error(),
        ratio.ratio * seen.len() as f64 / ratio.size,
        How::RandomScatter,
        wanted.half_width(ratio.ratio)?,
        confidence,
    )
}

/// `least_variance` per spot is what independence alone would give.
fn from_spread(
    seen: u64,
    standard_error: Option<f64>,
    least_variance: f64,
    floor: How,
    half_width: f64,
    confidence: Confidence,
) -> Result<Needed, CannotSay> {
    // The variance of a mean of n spots is that of one spot over n.
    let variance = standard_error.ok_or(CannotSay::OneSpot)?.powi(2) * seen as f64;
    let (variance, how) = if variance >= least_variance {
        (variance, How::SpreadBetweenSpots)
    } else {
        (least_variance, floor)
    };
    let (total, unrounded) = iterate(variance.sqrt(), half_width, confidence)?;
    Ok(needed(total, unrounded, seen, half_width, how))
}

/// The least n of 2 or more with t(n - 1) s / sqrt(n) within the half-width.
fn iterate(spread: f64, half_width: f64, confidence: Confidence) -> Result<(u64, f64), CannotSay> {
    // t is never below z, so the search starts where z would end, and ends soon after.
    let start = spots(spread, half_width, confidence.z())?;
    let mut n = (start.ceil() as u64).max(2);
    loop {
        if n > MOST {
            return Err(CannotSay::OutOfReach);
        }
        let t = quantile::t_two_sided(confidence.level(), (n - 1) as f64);
        let unrounded = spots(spread, half_width, t)?;
        if unrounded <= n as f64 {
            return Ok((n, unrounded));
        }
        n += 1;
    }
}

fn needed(total: u64, unrounded: f64, seen: u64, half_width: f64, how: How) -> Needed {
    Needed {
        total,
        seen,
        further: total.saturating_sub(seen),
        unrounded,
        half_width,
        how,
    }
}

/// Spots for a plan, before anything is seen: an expected share, cells per spot, and the
/// correlation `rho` of cells within a spot (0 = independent).
///
/// # Errors
/// [`CannotSay::BadAssumption`] unless 0 < share < 1, `rho` from 0 to 1, cells 1 or more.
pub fn for_plan(
    share: f64,
    cells_per_spot: u32,
    rho: f64,
    wanted: Wanted,
    confidence: Confidence,
) -> Result<Needed, CannotSay> {
    let half_width = wanted.half_width(share)?;
    inside("correlation from 0 to 1", rho, (0.0..=1.0).contains(&rho))?;
    let m = f64::from(cells_per_spot);
    inside("number of cells, 1 or more", m, m >= 1.0)?;
    let unrounded = cells(share, half_width, 1.0 + (m - 1.0) * rho, confidence)? / m;
    let total = in_reach(unrounded)?;
    Ok(needed(
        total,
        unrounded,
        0,
        half_width,
        How::AssumedCorrelation,
    ))
}

/// Quadrats for a wanted half-width of the mean count, with `quadrats_seen` laid already.
/// `mean` in plants per quadrat; `clumping` is the k of the negative binomial, `None` for
/// plants scattered at random.
///
/// # Errors
/// [`CannotSay`]: a mean of 0, a `k` or wish that is not above 0, or a wish out of reach.
pub fn for_counts(
    mean: f64,
    clumping: Option<f64>,
    quadrats_seen: u64,
    wanted: Wanted,
    confidence: Confidence,
) -> Result<Needed, CannotSay> {
    if mean == 0.0 {
        return Err(CannotSay::NothingFound);
    }
    let half_width = wanted.half_width(mean)?;
    let (unrounded, how) = match clumping {
        None => (
            random_counts(mean, half_width / mean, confidence)?,
            How::RandomCounts,
        ),
        Some(k) => (
            clumped_counts(mean, k, half_width / mean, confidence)?,
            How::ClumpedCounts,
        ),
    };
    let total = in_reach(unrounded)?;
    Ok(needed(total, unrounded, quadrats_seen, half_width, how))
}

/// The bare formula (t s / d)^2, not rounded. `spread` is the standard deviation between
/// spots and `half_width` the wish, both in the unit of the estimate.
///
/// # Errors
/// [`CannotSay`] for a spread or t that is negative or no number, or a wish not above 0.
pub fn spots(spread: f64, half_width: f64, t: f64) -> Result<f64, CannotSay> {
    if !(half_width.is_finite() && half_width > 0.0) {
        return Err(CannotSay::BadWish { value: half_width });
    }
    inside("spread, 0 or more", spread, spread >= 0.0)?;
    inside("quantile, 0 or more", t, t >= 0.0)?;
    Ok((t * spread / half_width).powi(2))
}

/// Quadrats of scattered plants, (z / D)^2 / mean, not rounded.
///
/// # Errors
/// [`CannotSay`] unless the mean and the relative half-width are above 0.
pub fn random_counts(mean: f64, relative: f64, confidence: Confidence) -> Result<f64, CannotSay> {
    inside("mean count above 0", mean, mean > 0.0)?;
    spots(mean.recip().sqrt(), relative, confidence.z())
}

/// Quadrats of clumped plants, (z / D)^2 (1 / mean + 1 / k), not rounded.
///
/// # Errors
/// [`CannotSay`] unless the mean, `k` and the relative half-width are above 0.
pub fn clumped_counts(
    mean: f64,
    k: f64,
    relative: f64,
    confidence: Confidence,
) -> Result<f64, CannotSay> {
    inside("mean count above 0", mean, mean > 0.0)?;
    inside("clumping k above 0", k, k > 0.0)?;
    spots((mean.recip() + k.recip()).sqrt(), relative, confidence.z())
}

/// Cells for a share, z^2 p (1 - p) / d^2 times the design effect (1 = independent cells),
/// not rounded.
///
/// # Errors
/// [`CannotSay`] unless 0 < share < 1, and the half-width and design effect are above 0.
pub fn cells(
    share: f64,
    half_width: f64,
    design_effect: f64,
    confidence: Confidence,
) -> Result<f64, CannotSay> {
    inside("share between 0 and 1", share, share > 0.0 && share < 1.0)?;
    inside("design effect above 0", design_effect, design_effect > 0.0)?;
    let spread = (share * (1.0 - share) * design_effect).sqrt();
    spots(spread, half_width, confidence.z())
}

fn inside(what: &'static str, value: f64, is_inside: bool) -> Result<(), CannotSay> {
    if value.is_finite() && is_inside {
        Ok(())
    } else {
        Err(CannotSay::BadAssumption { what, value })
    }
}

fn in_reach(unrounded: f64) -> Result<u64, CannotSay> {
    if unrounded > MOST as f64 {
        return Err(CannotSay::OutOfReach);
    }
    Ok((unrounded.ceil() as u64).max(1))
}

#[cfg(test)]
mod tests;
