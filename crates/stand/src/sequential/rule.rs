//! The rule that is fixed before the first frame.
//!
//! In: two frequencies. Out: a checked rule with its bounds. Units: shares from 0 to 1.
//! Source: bounds as [`super::SPRT_BOUNDS`]; each default names its own.
//! Not here: applying it (`assess`).

use super::SequentialError;
use serde::Serialize;

/// How alike the cells of one point are.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Correlation {
    /// Intracluster correlation rho, no unit: 0 = cells independent; at most 0.9 here.
    pub rho: f64,
    /// Whether it is assumed rather than taken from this field.
    pub assumed: bool,
}

impl Correlation {
    /// 0.1, assumed. Nobody has published it for grass seedlings in a 25-cell frame that we
    /// could find. The four frames that Oklahoma State prints (15, 14, 20, 21 of 25; design
    /// effect 2.349) come to (2.349 - 1) / 24 = 0.056 (derived); 0.1 leans to the safe side.
    pub const ASSUMED: Self = Self {
        rho: 0.1,
        assumed: true,
    };
}

/// A sequential rule. Error rates hold for the answers, not for the field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StopRule {
    /// Lower frequency, share: "enough" says that the field is above it.
    pub p_low: f64,
    /// Upper frequency, share: "too few" says that the field is below it.
    pub p_high: f64,
    /// Probability of "enough" at `p_low`, share (Wald's a).
    pub wrong_enough: f64,
    /// Probability of "too few" at `p_high`, share (Wald's b).
    pub wrong_too_few: f64,
    /// How alike the cells of one point are.
    pub correlation: Correlation,
    /// No decision before so many points.
    pub least_points: u32,
    /// After so many points without a decision: undecided.
    pub most_points: u32,
}

impl StopRule {
    /// Between two frequencies, with the defaults: both error rates 0.10 (common practice);
    /// correlation 0.1 (assumed); at least 4 points (four placements are the least that any
    /// grid protocol reads at a field: Oklahoma State, 4 per acre), at most 24 (twice the 12
    /// sites a field of Schmer and others 2006; ours).
    ///
    /// # Errors
    /// [`SequentialError::BadLevels`] unless 0 < `p_low` < `p_high` < 1.
    pub fn between(p_low: f64, p_high: f64) -> Result<Self, SequentialError> {
        let rule = Self {
            p_low,
            p_high,
            wrong_enough: 0.10,
            wrong_too_few: 0.10,
            correlation: Correlation::ASSUMED,
            least_points: 4,
            most_points: 24,
        };
        rule.check().map(|()| rule)
    }

    /// Whether the rule makes sense.
    ///
    /// # Errors
    /// [`SequentialError`] names the first thing that does not.
    pub fn check(&self) -> Result<(), SequentialError> {
        let Self { p_low, p_high, .. } = *self;
        if !(0.0 < p_low && p_low < p_high && p_high < 1.0) {
            return Err(SequentialError::BadLevels {
                low: p_low,
                high: p_high,
            });
        }
        rates(self.wrong_enough, self.wrong_too_few)?;
        check_rho(self.correlation.rho)?;
        let (least, most) = (self.least_points, self.most_points);
        if !(1 <= least && least <= most && most <= 10_000) {
            return Err(SequentialError::BadPoints { least, most });
        }
        Ok(())
    }

    /// Natural logs of B and A: go on while the log ratio lies between them.
    pub fn bounds(&self) -> (f64, f64) {
        log_bounds(self.wrong_enough, self.wrong_too_few)
    }
}

/// Natural logs of B = b / (1 - a) and A = (1 - b) / a.
pub(super) fn log_bounds(a: f64, b: f64) -> (f64, f64) {
    ((b / (1.0 - a)).ln(), ((1.0 - b) / a).ln())
}

pub(super) fn rates(a: f64, b: f64) -> Result<(), SequentialError> {
    for rate in [a, b] {
        if !(rate > 0.0 && rate < 0.5) {
            return Err(SequentialError::BadRate { rate });
        }
    }
    Ok(())
}

pub(super) fn check_rho(rho: f64) -> Result<(), SequentialError> {
    if (0.0..=0.9).contains(&rho) {
        Ok(())
    } else {
        Err(SequentialError::BadCorrelation { rho })
    }
}
