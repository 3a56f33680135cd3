//! A rule that says, point by point, whether enough has been seen.
//!
//! In: a rule fixed before the first frame (two frequencies, two error rates, a correlation
//! within a frame, a least and a greatest number of points), and the points read so far with
//! their place in the pre-set order. Out: enough, too few, go on, or undecided at the
//! maximum; what led there; how many more points are likely.
//!
//! What the answers mean. *Enough*: a field at `p_low` or below would have given this answer
//! with a probability of at most about `wrong_enough`, so the field is above `p_low`. *Too
//! few*: a field at `p_high` or above would have with at most about `wrong_too_few`, so the
//! field is below `p_high`. Between the two either answer may come, or none. To learn on which
//! side of *one* number a field lies, use a [`ThresholdRule`].
//!
//! How. Wald's likelihood ratio, with every point a beta-binomial draw: cells of one frame
//! are alike, and a rule that took them as independent would stop far too soon.
//!
//! Order. The points are taken in their pre-set order, whatever order they arrive in, so two
//! phones give one answer. A point that is not fed is skipped and listed; nothing is put in
//! its place. The first crossing decides; points after it are kept and shown, and do not
//! change the decision.
//!
//! Units: frequencies and rates are shares from 0 to 1; log ratios are natural.
//!
//! Source: Wald 1945; bounds as in the R package SPRT; a maximum, and simulation in place of
//! Wald's formulas, from Binns, Nyrop & van der Werf; beta-binomial frames with one
//! correlation from Madden & others 1996.
//!
//! Not here: the interval after stopping (`cluster`; after a stop it leans a little towards
//! the decision); choosing frequencies for a purpose; words.

use crate::cluster::{self, CellUnit};
use crate::method::Source;

mod assess;
mod forecast;
mod frames;
mod lines;
mod rule;
mod simulate;
#[cfg(test)]
mod tests;
mod threshold;
mod wald;

pub use assess::{Assessment, Look, Outcome, Step, assess};
pub use forecast::{Forecast, forecast};
pub use lines::{StopLines, binomial_lines, negative_binomial_lines, poisson_lines};
pub use rule::{Correlation, StopRule};
pub use simulate::{Operating, Simulation, Truth, operate};
pub use threshold::{
    Against, AgainstForecast, AgainstOperating, AgainstThreshold, ThresholdRule, assess_against,
    forecast_against, operate_against,
};
pub use wald::{WaldApproximation, wald};

/// The bounds A = (1 - b) / a and B = b / (1 - a).
pub const SPRT_BOUNDS: Source = Source {
    id: "sprt_vignette",
    citation: "Wald 1945, Annals of Mathematical Statistics 16:117-186, bounds as in the R package SPRT, introduction",
    url: Some("https://rdrr.io/cran/SPRT/f/vignettes/SPRT-intro.Rmd"),
};

/// Why there is a maximum, and why the rates are simulated.
pub const BINNS_NYROP: Source = Source {
    id: "binns_nyrop",
    citation: "Binns, M.R., Nyrop, J.P. & van der Werf, W. Sampling and monitoring in crop protection, chapter 5 (online excerpt; authors from memory)",
    url: Some(
        "https://123dok.com/in/article/wald-s-sequential-probability-ratio-test-sprt.10640520",
    ),
};

/// Frames as beta-binomial draws with one correlation (abstract read).
pub const MADDEN: Source = Source {
    id: "madden_1996",
    citation: "Madden, L.V. and others 1996. Plant-disease incidence: inverse sampling, sequential sampling, and confidence intervals when observed mean incidence is zero. Crop Protection 15(7):621-632 (cluster samples as beta-binomial, aggregation by the index rho; abstract read)",
    url: Some("https://acnpsearch.tweb-dev.unibo.it/singlejournalindex/19824775"),
};

/// Lines for counts (formulas from memory).
pub const WATERS: Source = Source {
    id: "memory",
    citation: "Oakland 1950; Waters 1955 (lines for Poisson and negative binomial counts, from memory)",
    url: None,
};

/// Why a rule or a reading cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SequentialError {
    /// Two levels that are not in order or not possible.
    #[error(
        "{low} and {high} cannot be told apart: the lower must be below the upper, both between their limits"
    )]
    BadLevels {
        /// Lower frequency (share) or mean count.
        low: f64,
        /// Upper frequency (share) or mean count.
        high: f64,
    },
    /// An error rate that is not between 0 and one half.
    #[error("an error rate of {rate} cannot be aimed at: enter a share above 0 and below 0.5")]
    BadRate {
        /// The rate given.
        rate: f64,
    },
    /// A correlation below 0 or above 0.9.
    #[error("a correlation of {rho} cannot be used: enter a number from 0 to 0.9")]
    BadCorrelation {
        /// The number given.
        rho: f64,
    },
    /// A clumping that is not above 0.
    #[error("a clumping k of {k} cannot be used: enter a number above 0")]
    BadClumping {
        /// The k given.
        k: f64,
    },
    /// Numbers of points that do not go together.
    #[error(
        "{least} to {most} points cannot be kept: enter a least of 1 or more and a greatest from there to 10000"
    )]
    BadPoints {
        /// Least points.
        least: u32,
        /// Greatest points.
        most: u32,
    },
    /// A place that is 0 or beyond every plan.
    #[error("place {place} is not in the order: places count from 1 to 10000")]
    BadPlace {
        /// The place given.
        place: u32,
    },
    /// The same place twice.
    #[error("place {place} was read twice: put its frames together into one reading, or drop one")]
    PlaceTwice {
        /// The place.
        place: u32,
    },
    /// An impossible number of cells.
    #[error(
        "place {place}: {occupied} of {cells} cells is impossible: correct one of the two (1 to 10000 cells)"
    )]
    BadCells {
        /// The place; 0 where no place is meant.
        place: u32,
        /// Occupied cells.
        occupied: u32,
        /// Cells read.
        cells: u32,
    },
    /// A true share that is none.
    #[error("{share} is no frequency: enter a share from 0 to 1")]
    BadShare {
        /// The share given.
        share: f64,
    },
    /// No walks, or too many.
    #[error("{walks} walks cannot be simulated: enter 1 to 1000000")]
    BadWalks {
        /// Walks asked for.
        walks: u32,
    },
}

/// Correlation of cells within a point as these points show it: (design effect - 1) / (cells
/// per point - 1), cut to 0 and 1. `None` with fewer than two points, with one cell a point,
/// with nothing found or with every cell full. With few points it is rough.
pub fn correlation_seen(looks: &[Look]) -> Option<f64> {
    let units: Vec<CellUnit> = looks
        .iter()
        .map(|look| CellUnit {
            occupied: u64::from(look.occupied),
            cells: u64::from(look.cells),
        })
        .collect();
    // The level of the limits plays no part here.
    let estimate = cluster::frequency(&units, crate::confidence::Confidence::P95).ok()?;
    let cells: u64 = units.iter().map(|unit| unit.cells).sum();
    let per_point = cells as f64 / units.len() as f64;
    let effect = estimate.design_effect?;
    (per_point > 1.0).then(|| ((effect - 1.0) / (per_point - 1.0)).clamp(0.0, 1.0))
}
