//! How sure an interval is to be, and the interval itself.
//!
//! In: a choice of three levels. Out: the level as a share, its normal quantile.
//! Units: levels are shares from 0 to 1; an interval has the unit of its estimate.
//! Source: quantiles of the standard normal from SciPy 1.17.1, `norm.ppf`.
//! Not here: how limits are computed (`proportion`, `count`, `cluster`).

use serde::{Deserialize, Serialize};

/// The share of intervals, over many fields, that is to hold the true value.
///
/// All intervals of this crate are two-sided with equal tails.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Confidence {
    /// 90 of 100.
    P90,
    /// 95 of 100, the usual choice.
    #[default]
    P95,
    /// 99 of 100.
    P99,
}

impl Confidence {
    /// Every level, lowest first.
    pub const ALL: [Self; 3] = [Self::P90, Self::P95, Self::P99];

    /// The level as a share: 0.90, 0.95 or 0.99.
    pub fn level(self) -> f64 {
        match self {
            Self::P90 => 0.90,
            Self::P95 => 0.95,
            Self::P99 => 0.99,
        }
    }

    /// What is left out at each end, as a share: 0.05, 0.025 or 0.005.
    pub fn tail(self) -> f64 {
        match self {
            Self::P90 => 0.05,
            Self::P95 => 0.025,
            Self::P99 => 0.005,
        }
    }

    /// Two-sided quantile of the standard normal, no unit (SciPy 1.17.1,
    /// `norm.ppf(1 - tail)`).
    pub fn z(self) -> f64 {
        match self {
            Self::P90 => 1.644_853_626_951_472_2,
            Self::P95 => 1.959_963_984_540_054,
            Self::P99 => 2.575_829_303_548_900_4,
        }
    }
}

/// A lower and an upper limit, in the unit of the estimate they belong to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Interval {
    /// Lower limit; never above `upper`.
    pub lower: f64,
    /// Upper limit; always finite.
    pub upper: f64,
}

impl Interval {
    /// Whether `value` lies within the limits, both included.
    pub fn contains(self, value: f64) -> bool {
        self.lower <= value && value <= self.upper
    }

    /// Upper less lower limit, in the unit of the estimate.
    pub fn width(self) -> f64 {
        self.upper - self.lower
    }

    /// The smallest interval that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self {
            lower: self.lower.min(other.lower),
            upper: self.upper.max(other.upper),
        }
    }

    /// Both limits divided by `divisor`, which must be above 0 (such as an area in m2).
    #[must_use]
    pub(crate) fn over(self, divisor: f64) -> Self {
        Self {
            lower: self.lower / divisor,
            upper: self.upper / divisor,
        }
    }
}
