//! The numbers of everything planted, and of groups of weeds, with their ranges.
//!
//! In: a judgement. Out: [`Span`]s: lowest and highest estimate (they differ where plants have no
//! name yet, or where several rules turn squares into plants) and the range around both.
//! Units: shares from 0 to 1; plants per m2.
//! Source: estimates and limits are those of the judgement; nothing is worked out anew but the
//! hull over bounds and rules.
//! Not here: rounding, words.

use standbook_judge::{Judgement, Label, PLANTED, Range};
use standbook_stand::cluster::Estimate;
use standbook_stand::confidence::Interval;
use standbook_stand::convert::{Converted, Grid, Rule};
use standbook_stand::summary::{Frequency, GridSummary, GroupOf, HasEstimate};

/// An estimate, or the lowest and the highest of several, and the range around them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    /// Lowest estimate.
    pub low: f64,
    /// Highest estimate.
    pub high: f64,
    /// Whether the highest estimate is only a lower bound: cells too full to tell.
    pub high_is_at_least: bool,
    /// Lower limit; `None` with one spot.
    pub lower: Option<f64>,
    /// Upper limit; `None` with one spot, or where full cells set none.
    pub upper: Option<f64>,
}

impl Span {
    /// From one range.
    pub fn of(range: &Range) -> Span {
        Span {
            low: range.estimate,
            high: range.estimate,
            high_is_at_least: range.estimate_is_at_least,
            lower: range.lower,
            upper: range.upper,
        }
    }

    /// From an estimate.
    pub fn of_estimate(estimate: &Estimate) -> Span {
        let limits = estimate.limits.ok().map(|limited| limited.interval);
        Span {
            low: estimate.value,
            high: estimate.value,
            high_is_at_least: false,
            lower: limits.map(|interval| interval.lower),
            upper: limits.map(|interval| interval.upper),
        }
    }

    /// From a converted density.
    pub fn of_converted(converted: &Converted) -> Span {
        let value = converted.estimate.per_m2();
        Span {
            low: value,
            high: value,
            high_is_at_least: converted.estimate.is_at_least(),
            lower: converted.limits.map(|(lower, _)| lower.per_m2()),
            upper: converted
                .limits
                .filter(|(_, upper)| !upper.is_at_least())
                .map(|(_, upper)| upper.per_m2()),
        }
    }

    /// The smallest span that holds both. A limit that one of them lacks is lacking.
    pub fn hull(self, other: Span) -> Span {
        let top = match self.high >= other.high {
            true => &self,
            false => &other,
        };
        Span {
            low: self.low.min(other.low),
            high: top.high,
            high_is_at_least: self.high_is_at_least || other.high_is_at_least,
            lower: self.lower.zip(other.lower).map(|(a, b)| a.min(b)),
            upper: self.upper.zip(other.upper).map(|(a, b)| a.max(b)),
        }
    }

    /// Every number times `factor`.
    pub fn times(self, factor: f64) -> Span {
        Span {
            low: self.low * factor,
            high: self.high * factor,
            high_is_at_least: self.high_is_at_least,
            lower: self.lower.map(|v| v * factor),
            upper: self.upper.map(|v| v * factor),
        }
    }
}

/// The kind of grid with the most cells read: the one a report speaks of first. As in `judge`.
pub(crate) fn main_grid(judgement: &Judgement) -> Option<&GridSummary<Label>> {
    let grids = judgement.summary.grids.iter();
    grids.max_by_key(|grid| grid.cells)
}

/// A group of the main grid.
pub(crate) fn grid_group<'j>(
    judgement: &'j Judgement,
    name: &str,
) -> Option<(Grid, &'j GroupOf<Frequency>)> {
    let grid = main_grid(judgement)?;
    let group = grid.groups.iter().find(|group| group.name == name)?;
    Some((grid.grid, group))
}

/// A group's span over its bounds.
pub(crate) fn over_bounds<T: HasEstimate>(group: &GroupOf<T>) -> Span {
    let low = Span::of_estimate(group.low.estimate());
    match &group.high {
        Some(high) => low.hull(Span::of_estimate(high.estimate())),
        None => low,
    }
}

/// The share of cells with anything planted: weighed by the parts of the field where the verdict
/// rests on those.
pub(crate) fn planted_share(judgement: &Judgement) -> Option<(Grid, Span)> {
    let (grid, group) = grid_group(judgement, PLANTED)?;
    let plain = over_bounds(group);
    let by_part = judgement.by_part.as_ref().filter(|parts| parts.used);
    let weighed = by_part.and_then(|parts| parts.frequency.as_ref());
    let span = match (weighed, &group.high) {
        (None, _) => plain,
        (Some(range), None) => Span::of(range),
        // The unknowns are not weighed by part: the wider of both is said.
        (Some(range), Some(_)) => Span::of(range).hull(plain),
    };
    Some((grid, span))
}

/// Plants per m2 of everything planted, and how they were found.
pub(crate) fn planted_density(judgement: &Judgement) -> Option<(Span, HowDense)> {
    let by_part = judgement.by_part.as_ref().filter(|parts| parts.used);
    let quadrats = judgement.summary.quadrats.as_ref();
    let counted = quadrats.and_then(|q| q.groups.iter().find(|group| group.name == PLANTED));
    if let Some(counted) = counted {
        let plain = over_bounds(counted);
        let weighed = by_part.and_then(|parts| parts.density.as_ref());
        let span = match (weighed, &counted.high) {
            (None, _) => plain,
            (Some(range), None) => Span::of(range),
            (Some(range), Some(_)) => Span::of(range).hull(plain),
        };
        let area_m2 = counted.low.area_m2;
        return Some((span, HowDense::Counted { area_m2 }));
    }
    let grid = main_grid(judgement)?;
    let (_, share) = planted_share(judgement)?;
    let limits = share.lower.zip(share.upper);
    let limits = limits.map(|(lower, upper)| Interval { lower, upper });
    let by_rule = |share: f64, rule: Rule| {
        let converted = rule.convert(share, limits, grid.grid, grid.cells).ok()?;
        Some(Span::of_converted(&converted))
    };
    let spans: Vec<Span> = Rule::PLAIN
        .into_iter()
        .flat_map(|rule| [by_rule(share.low, rule), by_rule(share.high, rule)])
        .flatten()
        .collect();
    // Two spans a rule.
    let rules = spans.len() / 2;
    let span = spans.into_iter().reduce(Span::hull)?;
    Some((span, HowDense::FromCells { rules }))
}

/// How plants per m2 were found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum HowDense {
    /// Counted on so much ground, m2.
    Counted {
        /// Ground searched, m2.
        area_m2: f64,
    },
    /// Worked out from the share of cells.
    FromCells {
        /// By how many rules.
        rules: usize,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(low: f64, lower: Option<f64>, upper: Option<f64>) -> Span {
        Span {
            low,
            high: low,
            high_is_at_least: false,
            lower,
            upper,
        }
    }

    #[test]
    fn a_missing_limit_is_never_made_up() {
        let both = span(0.3, Some(0.1), Some(0.5)).hull(span(0.4, Some(0.2), None));
        assert_eq!((both.low, both.high), (0.3, 0.4));
        assert_eq!((both.lower, both.upper), (Some(0.1), None));
    }
}
