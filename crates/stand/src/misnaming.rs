//! What a count becomes once it is known how often this scout misnames.
//!
//! In: a share as called, with its limits, and an audit: plants called one thing whose true
//! name was then settled. Out: the corrected share with limits wide enough for the doubt of
//! the audit as well, or why it is withheld.
//!
//! The default is the *calibration* form: of what was called planted, which share was
//! planted, taken from audited plants of the same field and season. It needs no division, so
//! it cannot run away. Rogan and Gladen's form and the inverse of a confusion matrix start
//! from the other side (how often a planted grass is called so) and serve where the audit
//! was made elsewhere, on specimens of known name.
//!
//! Limits: each input at its own limits, one at a time, added as squares. The limits of an
//! audited share are Jeffreys' (half a count added to right and to wrong; Beta posterior), so
//! 20 right of 20 is not taken as never wrong. Standard errors: delta method, with the
//! variance of the same posterior.
//!
//! Units: shares from 0 to 1.
//!
//! Source: Rogan & Gladen 1978; Czaplewski & Catts 1992 (calibration was consistently better
//! than the inverse when audits are drawn at random from the same field).
//!
//! Not here: overlooked plants (`detect`), the larger error.

use crate::confidence::{Confidence, Interval};
use crate::measured::{Measured, MeasuredError, clip, square_and_add};
use crate::method::Source;
use serde::Serialize;

mod audit;
mod matrix;
mod rogan_gladen;
#[cfg(test)]
mod tests;

pub use audit::{Audit, Checked, Kind};
pub use matrix::{CalibratedShare, Inverted, MatrixError, calibrated_shares, inverse_corrected};
pub use rogan_gladen::{
    rogan_gladen, rogan_gladen_interval, rogan_gladen_share, variance_estimated, variance_known,
};

/// Calibration against inverse (abstracts read).
pub const CALIBRATION: Source = Source {
    id: "czaplewski_1992",
    citation: "Czaplewski, R.L. & Catts, G.P. 1992. Calibration of remotely sensed proportion or area estimates for misclassification error. Remote Sensing of Environment 39:29-43",
    url: Some("https://studylib.net/doc/13190760"),
};

/// Rogan and Gladen (citation and use seen; paper not read).
pub const ROGAN_GLADEN: Source = Source {
    id: "rogan_gladen",
    citation: "Rogan, W.J. & Gladen, B. 1978. Estimating prevalence from the results of a screening test. American Journal of Epidemiology 107:71-76; variance with estimated sensitivity and specificity from memory",
    url: Some("https://doi.org/10.1093/oxfordjournals.aje.a112510"),
};

/// Fewest audited plants of one kind from which a correction is given. Ours: with 20 right of
/// 20, the lower 95 % limit is 0.88, and below that the correction would say more about the
/// audit than about the field. Far fewer than the 500 to 1000 reference plots advised for
/// maps (Czaplewski & Catts 1992).
pub const LEAST_AUDITED: u64 = 20;

/// How a share was corrected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Correction {
    /// From audited plants of the field: truly planted, given what they were called.
    Calibration,
    /// As `Calibration`, by cell, without cells where only others were called.
    CalibrationCalledOnly,
    /// From specimens of known name: what they are called, given what they are.
    RoganGladen,
}

impl Correction {
    /// The formula in plain signs.
    pub fn formula(self) -> &'static str {
        match self {
            Self::Calibration => {
                "share = called planted x truly planted of those + called other x truly planted of those"
            }
            Self::CalibrationCalledOnly => "share = called planted x truly planted of those",
            Self::RoganGladen => {
                "share = (called + specificity - 1) / (sensitivity + specificity - 1)"
            }
        }
    }

    /// Where it is written down.
    pub fn source(self) -> Source {
        match self {
            Self::Calibration | Self::CalibrationCalledOnly => CALIBRATION,
            Self::RoganGladen => ROGAN_GLADEN,
        }
    }
}

/// Why no corrected share is given.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum Withheld {
    /// Too few audited plants.
    #[error("only {of} {kind} were checked: check at least {least}")]
    TooFewAudited {
        /// Which.
        kind: Kind,
        /// Checked.
        of: u64,
        /// Needed.
        least: u64,
    },
    /// An impossible audit.
    #[error("{right} right of {of} {kind} is impossible: correct one of the two")]
    MoreThanAll {
        /// Which.
        kind: Kind,
        /// Right.
        right: u64,
        /// Checked.
        of: u64,
    },
    /// An impossible share.
    #[error(transparent)]
    Impossible(#[from] MeasuredError),
    /// Shares of one whole that are more than it.
    #[error("shares of {sum} in all are more than the whole: correct one of them")]
    MoreThanWhole {
        /// Their sum.
        sum: f64,
    },
    /// Names no better than a coin.
    #[error(
        "sensitivity and specificity add up to {sum}, within the doubt of the audit no more than 1: such names carry no information, so check more plants or train first"
    )]
    NoInformation {
        /// Sensitivity plus specificity.
        sum: f64,
    },
    /// Sensitivity or specificity known from nothing.
    #[error("a share from 0 plants has no variance: enter at least one")]
    NoPlants,
}

/// A corrected share.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Corrected {
    /// As called, before any correction.
    pub called: f64,
    /// Corrected, within 0 and 1.
    pub value: f64,
    /// Delta method, audit's doubt included; `None` if that of the called share is unknown.
    pub standard_error: Option<f64>,
    /// Limits with the audit's doubt included, within 0 and 1.
    pub interval: Interval,
    /// What the limits would be if the audit were beyond doubt: the difference is the audit's.
    pub interval_if_audit_were_exact: Interval,
    /// Whether the estimate had to be cut to 0 or 1: then the audit does not fit the field.
    pub clipped: bool,
    /// Plants audited, all kinds.
    pub audited: u64,
    /// How it was corrected.
    pub correction: Correction,
}

/// Corrects the share of *plants* called planted (the rest were called something else).
///
/// # Errors
/// [`Withheld`]: fewer than [`LEAST_AUDITED`] checked of either kind, or impossible numbers.
pub fn calibrated(
    called: Measured,
    audit: &Audit,
    confidence: Confidence,
) -> Result<Corrected, Withheld> {
    called.check(0.0, 1.0)?;
    audit.called_planted.check(Kind::CalledPlanted)?;
    audit.called_other.check(Kind::CalledOther)?;
    let (of_planted, of_other) = (audit.called_planted.share(), audit.called_other.share());
    let share = |called: f64, of_planted: f64, of_other: f64| {
        called * of_planted + (1.0 - called) * of_other
    };
    let from_called = (
        share(called.interval.lower, of_planted, of_other),
        share(called.interval.upper, of_planted, of_other),
    );
    let planted = audit.called_planted.limits(confidence);
    let other = audit.called_other.limits(confidence);
    let from_audit = [
        (
            share(called.value, planted.lower, of_other),
            share(called.value, planted.upper, of_other),
        ),
        (
            share(called.value, of_planted, other.lower),
            share(called.value, of_planted, other.upper),
        ),
    ];
    let doubt_of_audit = called.value.powi(2) * audit.called_planted.variance()
        + (1.0 - called.value).powi(2) * audit.called_other.variance();
    Ok(Parts {
        called: called.value,
        value: share(called.value, of_planted, of_other),
        variance: called
            .standard_error
            .map(|error| (of_planted - of_other).powi(2) * error.powi(2) + doubt_of_audit),
        from_called: &[from_called],
        from_audit: &from_audit,
        audited: audit.called_planted.of + audit.called_other.of,
        correction: Correction::Calibration,
    }
    .together())
}

/// Corrects the share of *cells* called occupied by planted grasses.
///
/// `other_only` is the share of cells in which something grew and nothing was called planted:
/// some of it was planted after all. Without it such cells stay uncounted, which the result
/// says (`CalibrationCalledOnly`). Both shares come from the same frames and may move
/// together; their standard errors and limits are added plainly, which is on the wide side.
///
/// A cell called occupied is taken to rest on one plant. Where it holds several called
/// planted, it is right more often than one plant is, so the corrected share is on the low side.
///
/// # Errors
/// [`Withheld`]: fewer than [`LEAST_AUDITED`] checked of a kind that is needed, or
/// impossible numbers.
pub fn calibrated_cells(
    occupied: Measured,
    other_only: Option<Measured>,
    audit: &Audit,
    confidence: Confidence,
) -> Result<Corrected, Withheld> {
    occupied.check(0.0, 1.0)?;
    audit.called_planted.check(Kind::CalledPlanted)?;
    let of_planted = audit.called_planted.share();
    let planted = audit.called_planted.limits(confidence);
    let (other, of_other, other_limits, other_variance) = match other_only {
        Some(other) => {
            other.check(0.0, 1.0)?;
            audit.called_other.check(Kind::CalledOther)?;
            let sum = occupied.value + other.value;
            if sum > 1.0 + 1e-9 {
                return Err(Withheld::MoreThanWhole { sum });
            }
            (
                other,
                audit.called_other.share(),
                audit.called_other.limits(confidence),
                audit.called_other.variance(),
            )
        }
        None => {
            let none = Interval {
                lower: 0.0,
                upper: 0.0,
            };
            (Measured::exact(0.0), 0.0, none, 0.0)
        }
    };
    let share = |occupied: f64, other: f64, of_planted: f64, of_other: f64| {
        occupied * of_planted + other * of_other
    };
    let at = |of_planted, of_other| share(occupied.value, other.value, of_planted, of_other);
    let from_called = (
        share(
            occupied.interval.lower,
            other.interval.lower,
            of_planted,
            of_other,
        ),
        share(
            occupied.interval.upper,
            other.interval.upper,
            of_planted,
            of_other,
        ),
    );
    let from_audit = [
        (at(planted.lower, of_other), at(planted.upper, of_other)),
        (
            at(of_planted, other_limits.lower),
            at(of_planted, other_limits.upper),
        ),
    ];
    let doubt_of_audit = occupied.value.powi(2) * audit.called_planted.variance()
        + other.value.powi(2) * other_variance;
    let errors = occupied.standard_error.zip(other.standard_error);
    let is_whole = other_only.is_some();
    Ok(Parts {
        called: occupied.value,
        value: at(of_planted, of_other),
        variance: errors.map(|(occupied, other)| {
            (of_planted * occupied + of_other * other).powi(2) + doubt_of_audit
        }),
        from_called: &[from_called],
        from_audit: &from_audit,
        audited: audit.called_planted.of + if is_whole { audit.called_other.of } else { 0 },
        correction: if is_whole {
            Correction::Calibration
        } else {
            Correction::CalibrationCalledOnly
        },
    }
    .together())
}

/// What every form of correction ends with.
struct Parts<'a> {
    called: f64,
    value: f64,
    variance: Option<f64>,
    /// The formula at the limits of the called share, one input at a time.
    from_called: &'a [(f64, f64)],
    /// The formula at the limits of the audit, one input at a time.
    from_audit: &'a [(f64, f64)],
    audited: u64,
    correction: Correction,
}

impl Parts<'_> {
    fn together(self) -> Corrected {
        let all: Vec<_> = [self.from_called, self.from_audit].concat();
        let value = self.value.clamp(0.0, 1.0);
        // An estimate beyond 0 or 1 still has its limits around where the formula put it.
        let (interval, _) = clip(square_and_add(self.value, &all));
        let (if_exact, _) = clip(square_and_add(self.value, self.from_called));
        Corrected {
            called: self.called,
            value,
            standard_error: self.variance.map(f64::sqrt),
            interval,
            interval_if_audit_were_exact: if_exact,
            // Rounding alone is no misfit.
            clipped: (self.value - value).abs() > 1e-12,
            audited: self.audited,
            correction: self.correction,
        }
    }
}

/// A corrected share while some unknowns are unsettled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Widened {
    /// Lowest corrected share: as if nothing unsettled belonged.
    pub lowest: f64,
    /// Highest: as if all of it belonged.
    pub highest: f64,
    /// Limits that hold the limits of both.
    pub interval: Interval,
}

/// Holds a corrected share over both bounds: `low` counts members only, `high` members and
/// everything unsettled (`None` if nothing is unsettled). The order does not matter.
pub fn over_both_bounds(low: &Corrected, high: Option<&Corrected>) -> Widened {
    let high = high.unwrap_or(low);
    Widened {
        lowest: low.value.min(high.value),
        highest: low.value.max(high.value),
        interval: low.interval.hull(high.interval),
    }
}
