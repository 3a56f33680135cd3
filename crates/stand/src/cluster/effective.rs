//! Limits from an effective number of cells or plants.
//!
//! In: what spots hold and their design effect. Out: limits. Exact limits (Clopper-Pearson for
//! cells, Garwood for plants) of as many independent cells or plants as would tell as much as
//! these do: their number over the design effect, and less again for the few spots that the
//! design effect is known from (normal quantile over t, squared).
//!
//! Units: shares from 0 to 1, plants per m2.
//! Source: Korn, E. L. & Graubard, B. I. 1998, Survey Methodology 24: 193-201, in the form of the
//! National Center for Health Statistics' presentation standards for proportions (2017). The
//! same for counts is ours.
//!
//! Ours too: the design effect is never taken below a floor. Where fewer than ten cells are
//! occupied (or empty) the spots cannot show how clumped they are: one plant in ten spots looks
//! scattered whatever it is. Then cells of one spot count as correlated by [`CORRELATION`], and
//! plants as clumped with [`CLUMPING`]; with more than ten the assumption fades as ten over their
//! number. And a design effect rests on no more clumps than there are ([`roughly_known`]). Both
//! were chosen by simulation, beside t, logit t and the method without them: `tests/coverage.txt`.
//!
//! What was found is not absent: its lower limit is above 0, if only by the smallest number there
//! is (with two or three spots the formula's own is smaller than that).
//!
//! Not here: estimates and standard errors (`cluster`).

use super::{CellUnit, Limited};
use crate::confidence::{Confidence, Interval};
use crate::method::Method;
use crate::quantile;

/// Correlation of cells within a spot where the spots cannot show it (assumed; four published
/// frames come to 0.056, see `sequential::Correlation::ASSUMED`).
const CORRELATION: f64 = 0.1;
/// k of the negative binomial where the quadrats cannot show it (assumed).
const CLUMPING: f64 = 1.0;
/// Occupied cells (or plants) from which on the spots speak for themselves.
const ENOUGH_TO_SHOW: f64 = 10.0;

/// Limits of a frequency. `t`: Student's quantile for one less than the number of spots.
pub(super) fn cells(
    units: &[CellUnit],
    design_effect: Option<f64>,
    t: f64,
    confidence: Confidence,
) -> Limited {
    let sum = |of: &dyn Fn(&CellUnit) -> f64| units.iter().map(of).sum::<f64>();
    let all = sum(&|unit| unit.cells as f64);
    let occupied = sum(&|unit| unit.occupied as f64);
    let rarer = occupied.min(all - occupied);
    // Cells a spot, weighed by cells, as the design effect of spots of unequal size has it.
    let a_spot = sum(&|unit| (unit.cells as f64).powi(2)) / all;
    let assumed = 1.0 + (a_spot - 1.0) * CORRELATION * fade(rarer);
    let effect = design_effect.unwrap_or(1.0).max(assumed).max(1.0);
    let effect = effect * roughly_known(design_effect, rarer);
    let n = all / effect * (confidence.z() / t).powi(2);
    let x = occupied / all * n;
    let tail = confidence.tail();
    let lower = match occupied > 0.0 {
        true => quantile::beta(tail, x, n - x + 1.0).max(f64::MIN_POSITIVE),
        false => 0.0,
    };
    let upper = match occupied < all {
        true => quantile::beta(1.0 - tail, x + 1.0, n - x),
        false => 1.0,
    };
    Limited {
        interval: Interval { lower, upper },
        method: Method::EffectiveCells,
    }
}

/// Limits of a density in plants per m2. `t` as for [`cells`].
pub(super) fn plants(
    found: u64,
    area_m2: f64,
    spots: usize,
    design_effect: Option<f64>,
    t: f64,
    confidence: Confidence,
) -> Limited {
    let found = found as f64;
    let assumed = 1.0 + found / spots as f64 / CLUMPING * fade(found);
    let effect = design_effect.unwrap_or(1.0).max(assumed).max(1.0);
    let effect = effect * roughly_known(design_effect, found);
    let told = (confidence.z() / t).powi(2) / effect;
    let (x, z, tail) = (found * told, confidence.z(), confidence.tail());
    let lower = match found > 0.0 {
        true => quantile::gamma(tail, -z, x).max(f64::MIN_POSITIVE),
        false => 0.0,
    };
    let upper = quantile::gamma(1.0 - tail, z, x + 1.0);
    let interval = Interval { lower, upper };
    Limited {
        interval: interval.over(told * area_m2),
        method: Method::EffectivePlants,
    }
}

/// By how much to raise a design effect because it is roughly known itself. `seen` finds come in
/// about `seen / effect` clumps, and where these are few, a lucky draw makes estimate and design
/// effect too small together. It is raised as if there were one clump fewer: 1 + (effect - 1) /
/// seen, which is 1 for independent cells and next to 1 where much was found.
fn roughly_known(design_effect: Option<f64>, seen: f64) -> f64 {
    1.0 + (design_effect.unwrap_or(1.0) - 1.0).max(0.0) / seen.max(1.0)
}

/// How far the assumption holds, 1 to 0.
fn fade(seen: f64) -> f64 {
    (ENOUGH_TO_SHOW / seen.max(ENOUGH_TO_SHOW)).min(1.0)
}
