//! What a summary holds, and what can be read off it.
//!
//! In: nothing; [`super::summarise`] fills it. Out: plain values for a page or JSON.
//! Units: cells, cm, m2, plants, plants per m2; frequencies are shares from 0 to 1.
//! Source: every estimate names its method, every density its rule.
//! Not here: rounding and wording.

use crate::cluster::Estimate;
use crate::confidence::{Confidence, Interval};
use crate::convert::{ConvertError, Converted, Grid, Rule};
use serde::Serialize;

/// What the readings say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary<L> {
    /// How sure the intervals are.
    pub confidence: Confidence,
    /// One part for each kind of grid, smallest cell first. More than one: their frequencies
    /// must not be compared or averaged.
    pub grids: Vec<GridSummary<L>>,
    /// All quadrats together; `None` if none was laid.
    pub quadrats: Option<QuadratSummary<L>>,
    /// Labels looked for and found in no reading of any kind. Empty if there are no readings,
    /// since nobody has looked.
    pub found_nowhere: Vec<L>,
}

impl<L> Summary<L> {
    /// Whether grids of several kinds were laid, which the page has to say: frequency depends
    /// on the size of the cell.
    pub fn has_mixed_grids(&self) -> bool {
        self.grids.len() > 1
    }
}

/// All readings of one kind of grid.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GridSummary<L> {
    /// The grid.
    pub grid: Grid,
    /// Layings.
    pub frames: usize,
    /// Spots they lay at.
    pub spots: usize,
    /// Cells read in all.
    pub cells: u64,
    /// Every label looked for or found, in the order of labels.
    pub labels: Vec<(L, Frequency)>,
    /// Every group, in the order asked.
    pub groups: Vec<GroupOf<Frequency>>,
}

/// All quadrats.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QuadratSummary<L> {
    /// Layings.
    pub frames: usize,
    /// Spots they lay at.
    pub spots: usize,
    /// Area searched in all, m2.
    pub area_m2: f64,
    /// Every label looked for or found, in the order of labels.
    pub labels: Vec<(L, Counted)>,
    /// Every group, in the order asked.
    pub groups: Vec<GroupOf<Counted>>,
}

/// A frequency and the densities that follow from it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Frequency {
    /// Occupied cells.
    pub occupied: u64,
    /// Cells read.
    pub cells: u64,
    /// Share from 0 to 1, limits and method.
    pub estimate: Estimate,
    /// Plants per m2 by every rule asked for, in that order, or why a rule does not apply.
    pub densities: Vec<RuleResult>,
}

/// What one rule makes of a frequency.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RuleResult {
    /// The rule.
    pub rule: Rule,
    /// Plants per m2 with limits, or why the rule does not apply.
    pub density: Result<Converted, ConvertError>,
}

/// Counted plants and their density.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Counted {
    /// Plants counted.
    pub plants: u64,
    /// Area searched, m2.
    pub area_m2: f64,
    /// Plants per m2, limits and method.
    pub estimate: Estimate,
}

/// A group's result.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupOf<T> {
    /// The group's name.
    pub name: String,
    /// Members only: as if nothing unsettled belonged to the group.
    pub low: T,
    /// Members and everything unsettled: as if all of it belonged. `None` if the group has
    /// nothing unsettled, and then `low` is the whole answer.
    pub high: Option<T>,
}

/// Anything with an estimate, so that groups can be bounded alike.
pub trait HasEstimate {
    /// Its estimate.
    fn estimate(&self) -> &Estimate;
}

impl HasEstimate for Frequency {
    fn estimate(&self) -> &Estimate {
        &self.estimate
    }
}

impl HasEstimate for Counted {
    fn estimate(&self) -> &Estimate {
        &self.estimate
    }
}

impl<T: HasEstimate> GroupOf<T> {
    /// Lowest and highest estimate, whatever the unsettled labels turn out to be.
    pub fn bounds(&self) -> Interval {
        let lower = self.low.estimate().value;
        let upper = self
            .high
            .as_ref()
            .map_or(lower, |high| high.estimate().value);
        Interval { lower, upper }
    }

    /// The smallest interval that holds both readings' limits: doubt about what the unsettled are
    /// and doubt from sampling together. `None` with one spot.
    pub fn envelope(&self) -> Option<Interval> {
        let low = self.low.estimate().limits.ok()?.interval;
        match &self.high {
            Some(high) => Some(low.hull(high.estimate().limits.ok()?.interval)),
            None => Some(low),
        }
    }
}
