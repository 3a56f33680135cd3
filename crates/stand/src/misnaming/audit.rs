//! Plants whose true name was settled, and what a share taken from them is worth.
//!
//! In: plants checked and right. Out: share, limits, variance. Units: shares from 0 to 1.
//! Source: Jeffreys' interval, half a count added to right and to wrong (Brown, Cai & DasGupta
//! 2001; memory).
//! Not here: what the shares are used for.

use super::{LEAST_AUDITED, Withheld};
use crate::confidence::{Confidence, Interval};
use crate::quantile;
use serde::Serialize;

/// Checked plants of one kind and how many were as hoped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Checked {
    /// As hoped; at most `of`.
    pub right: u64,
    /// Checked.
    pub of: u64,
}

impl Checked {
    /// `right / of`; `of` above 0.
    pub(super) fn share(self) -> f64 {
        self.right as f64 / self.of as f64
    }

    /// Jeffreys' limits: quantiles of Beta(right + 1/2, wrong + 1/2), with 0 and 1 at the ends.
    pub(super) fn limits(self, confidence: Confidence) -> Interval {
        let (a, b) = self.posterior();
        let tail = confidence.tail();
        Interval {
            lower: if self.right == 0 {
                0.0
            } else {
                quantile::beta(tail, a, b)
            },
            upper: if self.right == self.of {
                1.0
            } else {
                quantile::beta(1.0 - tail, a, b)
            },
        }
    }

    /// Variance of the posterior; above 0 even if all were right.
    pub(super) fn variance(self) -> f64 {
        let (a, b) = self.posterior();
        a * b / ((a + b).powi(2) * (a + b + 1.0))
    }

    fn posterior(self) -> (f64, f64) {
        (self.right as f64 + 0.5, (self.of - self.right) as f64 + 0.5)
    }

    pub(super) fn check(self, kind: Kind) -> Result<(), Withheld> {
        let Self { right, of } = self;
        if right > of {
            return Err(Withheld::MoreThanAll { kind, right, of });
        }
        if of < LEAST_AUDITED {
            return Err(Withheld::TooFewAudited {
                kind,
                of,
                least: LEAST_AUDITED,
            });
        }
        Ok(())
    }
}

/// Plants of the field whose true name was settled, sorted by what the scout called them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Audit {
    /// Called planted: `right` = truly planted.
    pub called_planted: Checked,
    /// Called something else: `right` = truly planted after all.
    pub called_other: Checked,
}

/// Which plants an audit is short of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Plants called planted.
    CalledPlanted,
    /// Plants called something else.
    CalledOther,
    /// Plants that are truly planted.
    TrulyPlanted,
    /// Plants that are truly something else.
    TrulyOther,
}

impl std::fmt::Display for Kind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Kind::CalledPlanted => "plants called planted",
            Kind::CalledOther => "plants called something else",
            Kind::TrulyPlanted => "plants that are truly planted",
            Kind::TrulyOther => "plants that are truly something else",
        })
    }
}
