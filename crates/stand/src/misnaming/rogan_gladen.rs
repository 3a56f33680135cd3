//! Rogan and Gladen's correction: from sensitivity and specificity.
//!
//! In: share called planted; how often planted grasses are called so (sensitivity) and others
//! are not (specificity). Out: true share. Units: shares from 0 to 1.
//! Source: [`super::ROGAN_GLADEN`]; worked example of the R package epiR (`epi.prev`).
//! Not here: more than two names (`matrix`).

use super::{Checked, Corrected, Correction, Kind, Parts, Withheld};
use crate::confidence::{Confidence, Interval};
use crate::measured::{Measured, within};

/// The bare formula, *not* cut to 0 and 1: (p + Sp - 1) / (Se + Sp - 1).
///
/// # Errors
/// [`Withheld`] for shares that are none, or names that carry no information.
pub fn rogan_gladen_share(
    called: f64,
    sensitivity: f64,
    specificity: f64,
) -> Result<f64, Withheld> {
    let j = youden(called, sensitivity, specificity)?;
    Ok((called + specificity - 1.0) / j)
}

/// Limits of the called share sent through the formula, *not* cut to 0 and 1. They leave out
/// any doubt about sensitivity and specificity.
///
/// # Errors
/// As [`rogan_gladen_share`].
pub fn rogan_gladen_interval(
    called: Interval,
    sensitivity: f64,
    specificity: f64,
) -> Result<Interval, Withheld> {
    Ok(Interval {
        lower: rogan_gladen_share(called.lower, sensitivity, specificity)?,
        upper: rogan_gladen_share(called.upper, sensitivity, specificity)?,
    })
}

/// Variance with sensitivity and specificity known: p (1 - p) / n / J^2. `n` plants called.
///
/// # Errors
/// As [`rogan_gladen_share`], and for `n` = 0.
pub fn variance_known(
    called: f64,
    n: u64,
    sensitivity: f64,
    specificity: f64,
) -> Result<f64, Withheld> {
    let j = youden(called, sensitivity, specificity)?;
    Ok(binomial(called, n)? / (j * j))
}

/// Variance with sensitivity and specificity taken from `n_sensitivity` and `n_specificity`
/// plants: [p (1 - p) / n + t^2 Se (1 - Se) / n_se + (1 - t)^2 Sp (1 - Sp) / n_sp] / J^2, with
/// t the corrected share (memory).
///
/// # Errors
/// As [`rogan_gladen_share`], and for any `n` of 0.
pub fn variance_estimated(
    called: f64,
    n: u64,
    (sensitivity, n_sensitivity): (f64, u64),
    (specificity, n_specificity): (f64, u64),
) -> Result<f64, Withheld> {
    let j = youden(called, sensitivity, specificity)?;
    let t = rogan_gladen_share(called, sensitivity, specificity)?;
    let doubts = binomial(called, n)?
        + t * t * binomial(sensitivity, n_sensitivity)?
        + (1.0 - t).powi(2) * binomial(specificity, n_specificity)?;
    Ok(doubts / (j * j))
}

/// Corrects the share called planted with audits of plants whose true name was known first:
/// `sensitivity` = truly planted, called so; `specificity` = truly other, not called planted.
///
/// # Errors
/// [`Withheld`]: fewer than [`super::LEAST_AUDITED`] checked of either kind, impossible
/// numbers, or names that within the audit's limits carry no information.
pub fn rogan_gladen(
    called: Measured,
    sensitivity: Checked,
    specificity: Checked,
    confidence: Confidence,
) -> Result<Corrected, Withheld> {
    called.check(0.0, 1.0)?;
    sensitivity.check(Kind::TrulyPlanted)?;
    specificity.check(Kind::TrulyOther)?;
    let (se, sp) = (sensitivity.share(), specificity.share());
    let (se_limits, sp_limits) = (
        sensitivity.limits(confidence),
        specificity.limits(confidence),
    );
    let t = rogan_gladen_share(called.value, se, sp)?;
    let pushed = rogan_gladen_interval(called.interval, se, sp)?;
    let from_audit = [
        (
            rogan_gladen_share(called.value, se_limits.lower, sp)?,
            rogan_gladen_share(called.value, se_limits.upper, sp)?,
        ),
        (
            rogan_gladen_share(called.value, se, sp_limits.lower)?,
            rogan_gladen_share(called.value, se, sp_limits.upper)?,
        ),
    ];
    let j = se + sp - 1.0;
    let inside = t.clamp(0.0, 1.0);
    Ok(Parts {
        called: called.value,
        value: t,
        variance: called.standard_error.map(|error| {
            let doubts = error * error
                + inside.powi(2) * sensitivity.variance()
                + (1.0 - inside).powi(2) * specificity.variance();
            doubts / (j * j)
        }),
        from_called: &[(pushed.lower, pushed.upper)],
        from_audit: &from_audit,
        audited: sensitivity.of + specificity.of,
        correction: Correction::RoganGladen,
    }
    .together())
}

/// Se + Sp - 1, which must be above 0.
fn youden(called: f64, sensitivity: f64, specificity: f64) -> Result<f64, Withheld> {
    for share in [called, sensitivity, specificity] {
        within(share, 0.0, 1.0)?;
    }
    let sum = sensitivity + specificity;
    if sum <= 1.0 + 1e-9 {
        return Err(Withheld::NoInformation { sum });
    }
    Ok(sum - 1.0)
}

fn binomial(share: f64, n: u64) -> Result<f64, Withheld> {
    if n == 0 {
        return Err(Withheld::NoPlants);
    }
    Ok(share * (1.0 - share) / n as f64)
}
