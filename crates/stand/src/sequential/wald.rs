//! Wald's approximation of how a rule fares, to set beside the simulation.
//!
//! In: a rule, a true field. Out: probabilities of the answers, mean number of points.
//! Units: shares from 0 to 1, points.
//! Source: Wald 1945; the binomial case as in the R package Dodge (`SequentialBinomial`); here
//! for frames of many cells, with his h found by bisection.
//! Not here: least and greatest number of points, and overshoot, which it leaves out.

use super::frames::{log_ratios, probabilities};
use super::{SequentialError, StopRule, Truth};
use serde::Serialize;

/// Wald's formulas: no least, no greatest number of points, no overshoot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WaldApproximation {
    /// Probability of "enough".
    pub enough: f64,
    /// Probability of "too few": the rest.
    pub too_few: f64,
    /// Points, mean.
    pub mean_points: f64,
}

/// Wald's approximation of [`super::operate`], for comparison.
///
/// # Errors
/// [`SequentialError`]: rule or field make no sense.
pub fn wald(rule: &StopRule, truth: Truth) -> Result<WaldApproximation, SequentialError> {
    rule.check()?;
    truth.check()?;
    let step = Step {
        chances: probabilities(truth.share, truth.rho, truth.cells),
        ratios: log_ratios(rule, truth.cells),
    };
    let drift = step.mean(|ratio| ratio);
    let (lower, upper) = rule.bounds();
    // The h other than 0 with E[LR^h] = 1 turns the walk into a fair game.
    let h = step.fair(drift);
    let too_few = match h {
        Some(h) if h.abs() < 1e-9 => upper / (upper - lower),
        Some(h) => (h * upper).exp_m1() / ((h * upper).exp() - (h * lower).exp()),
        // Every point leads the same way.
        None if drift > 0.0 => 0.0,
        None => 1.0,
    };
    let too_few = too_few.clamp(0.0, 1.0);
    let square = step.mean(|ratio| ratio * ratio);
    let mean_points = match h {
        Some(h) if h.abs() < 1e-6 => -lower * upper / square,
        _ => (too_few * lower + (1.0 - too_few) * upper) / drift,
    };
    Ok(WaldApproximation {
        enough: 1.0 - too_few,
        too_few,
        mean_points,
    })
}

/// One point: how likely each log ratio is.
struct Step {
    chances: Vec<f64>,
    ratios: Vec<f64>,
}

impl Step {
    fn mean(&self, of: impl Fn(f64) -> f64) -> f64 {
        self.chances
            .iter()
            .zip(&self.ratios)
            .filter(|(chance, _)| **chance > 0.0)
            .map(|(chance, ratio)| chance * of(*ratio))
            .sum()
    }

    /// The h other than 0 that makes LR^h a fair game; `None` if there is none, since all
    /// points lead the same way.
    fn fair(&self, drift: f64) -> Option<f64> {
        let excess = |h: f64| self.mean(|ratio| (h * ratio).exp_m1());
        if drift == 0.0 {
            return Some(0.0);
        }
        // E[LR^h] is convex in h and 1 at 0, with slope `drift`: the other root lies on the far
        // side of the dip.
        let away = -drift.signum();
        let mut far = away;
        while excess(far) < 0.0 {
            far *= 2.0;
            if far.abs() > 1e6 {
                return None;
            }
        }
        let mut near = far;
        while excess(near) >= 0.0 {
            near /= 2.0;
            if near.abs() < 1e-12 {
                return Some(0.0);
            }
        }
        for _ in 0..200 {
            let middle = (near + far) / 2.0;
            if excess(middle) < 0.0 {
                near = middle;
            } else {
                far = middle;
            }
        }
        Some((near + far) / 2.0)
    }
}
