//! How many more points a walk will likely take, if the field is as it looks now.
//!
//! In: an assessment that says "go on". Out: median and 90th percentile of further points.
//! Units: points; shares from 0 to 1.
//! Source: simulation, as `simulate`.
//! Not here: doubt about the present estimate; after few points the forecast is rough, and
//! it is made anew after each point.

use super::frames::Draws;
use super::simulate::{Ends, Simulation};
use super::{Assessment, Look, Outcome, SequentialError, Truth};
use serde::Serialize;

/// What continuing is likely to bring, from where the walk stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Forecast {
    /// The field assumed: the present frequency (kept half a cell away from 0 and 1), the
    /// rule's correlation, as many cells a point as the last one had.
    pub at: Truth,
    /// Half of the walks stop within so many further points.
    pub median_more: u32,
    /// Nine of ten stop within so many further points.
    pub p90_more: u32,
    /// Most further points before the maximum. Equal to `p90_more`: the maximum may well
    /// come first.
    pub most_more: u32,
    /// Share of walks that will end with "enough".
    pub enough: f64,
    /// Share of walks that will end with "too few".
    pub too_few: f64,
    /// Share of walks that will reach the maximum undecided.
    pub undecided: f64,
    /// Walks simulated.
    pub walks: u32,
}

/// Simulates going on from an assessment; `looks` are those that it was made from.
///
/// `None` before the first point (there is no estimate to go by: see [`super::operate`]) and
/// once the walk is over.
///
/// # Errors
/// [`SequentialError`]: rule or number of walks make no sense.
pub fn forecast(
    assessment: &Assessment,
    looks: &[Look],
    simulation: Simulation,
) -> Result<Option<Forecast>, SequentialError> {
    let rule = &assessment.rule;
    rule.check()?;
    simulation.check()?;
    let last = looks.iter().max_by_key(|look| look.place);
    let (Some(last), Outcome::GoOn) = (last, assessment.outcome) else {
        return Ok(None);
    };
    let at = Truth {
        share: (assessment.occupied as f64 + 0.5) / (assessment.cells as f64 + 1.0),
        rho: rule.correlation.rho,
        cells: last.cells,
    };
    at.check()?;
    let reached = assessment.path.last().map_or(0.0, |step| step.log_ratio);
    let read = assessment.path.len() as u32;
    let draws = Draws::new(rule, at.share, at.rho, at.cells);
    let ends = Ends::of(rule, &draws, (reached, read), simulation);
    Ok(Some(Forecast {
        at,
        median_more: ends.quantile(0.5),
        p90_more: ends.quantile(0.9),
        most_more: assessment.points_left,
        enough: ends.share(Outcome::Enough),
        too_few: ends.share(Outcome::TooFew),
        undecided: ends.share(Outcome::Undecided),
        walks: simulation.walks,
    }))
}
