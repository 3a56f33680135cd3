//! Thresholds and what the counts say to them. Units: a share, plants per m2, or plants per m
//! of row, as the measure of the threshold is.

use serde::Serialize;
use standbook_key::standards::Threshold;
use standbook_stand::convert::{Grid, Rule};

use super::{Cited, RestsOn, Verdict};

/// A threshold and what the counts say to it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compared {
    /// The threshold.
    pub threshold: Threshold,
    /// Who says so.
    pub sources: Vec<Cited>,
    /// What to mind.
    pub caveats: Vec<Caveat>,
    /// One for each way of measuring; never empty.
    pub by: Vec<Comparison>,
    /// What all of them say together.
    pub verdict: Verdict,
}

/// What to mind when a threshold is used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Caveat {
    /// It was found in another region than this field's.
    FoundElsewhere,
    /// It speaks of another growing season.
    OtherSeason {
        /// The season it speaks of.
        season: u32,
    },
    /// It was found for pure stands and is borrowed for this mix.
    Borrowed,
    /// It speaks of plants; these are seedlings, some of which will die.
    SeedlingsCounted,
    /// It is a seller's figure or second hand.
    WeakSource,
    /// It is a goal or a comparison; nothing rests on it.
    NotDeciding,
}

/// One way of measuring against a threshold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// The way.
    pub evidence: Evidence,
    /// What kind of ground that is for a verdict.
    pub rests_on: RestsOn,
    /// As if nothing unsettled were planted, in the SI unit of the threshold's measure.
    pub sure: Range,
    /// As if everything unsettled were planted; `None`: nothing is unsettled.
    pub at_most: Option<Range>,
    /// The established level, in the same unit.
    pub established_at: f64,
    /// What `sure` alone would say.
    pub verdict_sure: Verdict,
    /// What `at_most` alone would say.
    pub verdict_at_most: Verdict,
    /// Both together.
    pub verdict: Verdict,
    /// Every level of the threshold and whether it is reached.
    pub levels: Vec<LevelReached>,
    /// The source's word for the estimate; may be empty.
    pub word: String,
    /// The source's words for the lower and the upper limit; equal when the interval lies in one.
    pub words: Option<(String, String)>,
}

/// A level of a threshold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LevelReached {
    /// In the unit of the threshold.
    pub at_least: f64,
    /// In the SI unit of its measure.
    pub at_least_si: f64,
    /// The source's word.
    pub word: String,
    /// Reached for sure, missed for sure, or neither.
    pub verdict: Verdict,
}

/// A way of measuring.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Evidence {
    /// Share of occupied cells.
    Frequency {
        /// The grid.
        grid: Grid,
    },
    /// Density from the share of occupied cells.
    Converted {
        /// The grid.
        grid: Grid,
        /// The rule.
        rule: Rule,
    },
    /// Plants counted in quadrats or rows.
    Counted,
    /// Plants counted along rows of one spacing.
    CountedInRows {
        /// Distance between rows, m.
        spacing_m: f64,
    },
}

impl Evidence {
    /// A short name for a table.
    pub fn name(self) -> &'static str {
        match self {
            Evidence::Frequency { .. } => "frequency",
            Evidence::Converted { rule, .. } => rule.name(),
            Evidence::Counted => "counted",
            Evidence::CountedInRows { .. } => "counted in rows",
        }
    }
}

/// An estimate and how far it may be off.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Range {
    /// The estimate.
    pub estimate: f64,
    /// Whether the estimate is only a lower bound: cells too full to tell.
    pub estimate_is_at_least: bool,
    /// Lower limit; `None` with one spot.
    pub lower: Option<f64>,
    /// Upper limit; `None` with one spot, or where full cells set no upper limit.
    pub upper: Option<f64>,
}

/// A threshold that was not compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NotCompared {
    /// The threshold.
    pub threshold: Threshold,
    /// Who says so.
    pub sources: Vec<Cited>,
    /// Why not.
    pub why: WhyNot,
}

/// Why a threshold was not compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WhyNot {
    /// It is for another purpose.
    OtherPurpose,
    /// It speaks of other plants than were sown.
    OtherPlants,
    /// It holds in another region only.
    OtherRegion,
    /// It is a goal for seedlings soon after emergence; these are plants that survived.
    SeedlingGoal,
    /// It speaks of something that was not measured.
    NotMeasured,
}
