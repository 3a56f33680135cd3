//! What is said of a stand, as plain values for a page, a report or JSON.
//!
//! Units: shares from 0 to 1, plants per m2, plants per m of row; limits in the unit of their
//! estimate; dates of the calendar.
//! Source: every threshold, time and piece of advice carries its own, whole ([`Cited`]).
//! Not here: rounding, colours, sentences.

use jiff::civil::Date;
use serde::Serialize;
use standbook_key::standards::{Purpose, Situation, SourceKind};
use standbook_stand::summary::Summary;

use crate::case::Sown;
use crate::label::{Label, Role};
use crate::note::Note;

mod compared;
mod day;
mod next;
mod numbers;
mod verdict;

pub use compared::*;
pub use day::*;
pub use next::*;
pub use numbers::*;
pub use verdict::*;

/// Name of the group of everything planted, in [`Judgement::summary`].
pub const PLANTED: &str = "planted";
/// Name of the group of all weeds.
pub const WEEDS: &str = "weeds";
/// Name of the group of weeds that stay.
pub const PERENNIAL_WEEDS: &str = "perennial weeds";
/// Name of the group of weeds that live one year, or mostly so.
pub const ANNUAL_WEEDS: &str = "annual weeds";
/// Name of the group of weeds whose span no source gave.
pub const OTHER_WEEDS: &str = "other weeds";

/// What is said of a stand.
#[derive(Debug, Clone, Serialize)]
pub struct Judgement {
    /// The planting and the visit, as given.
    pub facts: Facts,
    /// Which growing season the visit fell in.
    pub season: Season,
    /// Whether it is fair to judge yet.
    pub fairness: Fairness,
    /// The verdict over all.
    pub verdict: Overall,
    /// Every threshold that was compared, those a verdict may rest on first.
    pub compared: Vec<Compared>,
    /// Thresholds that were not, and why.
    pub not_compared: Vec<NotCompared>,
    /// Estimates of every label and of the groups [`PLANTED`], [`WEEDS`], [`PERENNIAL_WEEDS`],
    /// [`ANNUAL_WEEDS`], [`OTHER_WEEDS`], and `group:<id>` for what was planted of a key's group.
    pub summary: Summary<Label>,
    /// The part that every label sown or found was taken to play.
    pub roles: Vec<(Label, Role)>,
    /// The planted together, weighed by the areas of the parts of the field; `None` without parts.
    pub by_part: Option<ByPart>,
    /// The planted together, corrected for plants that were misnamed, and the verdict from that.
    pub corrected: Option<Corrected>,
    /// The same by what those who counted called specimens in practice; only where somebody asked for
    /// it and no plant of the field was drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub corrected_by_practice: Option<Corrected>,
    /// Unknowns that were found and not settled.
    pub unsettled: Vec<Unsettled>,
    /// Weeds.
    pub weeds: Weeds,
    /// What holds of the stand, and calls for advice.
    pub situations: Vec<Situation>,
    /// What to do next, most pressing first.
    pub advice: Vec<Advised>,
    /// When to look again, earliest first; past dates are left out.
    pub look_again: Vec<LookAgainOn>,
    /// How many more spots.
    pub enough: Enough,
    /// How well two scouts agreed, and how many plants were overlooked.
    pub seen_twice: Option<SeenTwice>,
    /// How much of the live seed sown stands as plants; one line for each way of counting.
    pub emergence: Vec<Emerged>,
    /// What is odd about the input.
    pub notes: Vec<Note>,
}

/// The planting and the visit, as given.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Facts {
    /// What the planting is for.
    pub purpose: Purpose,
    /// State; may be empty.
    pub state: String,
    /// Seeding.
    pub seeded_on: Date,
    /// Visit.
    pub visited_on: Date,
    /// Day of judging.
    pub today: Date,
    /// Whether it is watered.
    pub irrigated: Option<bool>,
    /// What was sown.
    pub mix: Vec<Sown>,
    /// Frames that the estimates rest on.
    pub frames: usize,
    /// Spots they lay at.
    pub spots: usize,
    /// Who counted, each once, in alphabetical order.
    pub scouts: Vec<String>,
}

/// A source, whole.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Cited {
    /// Its id.
    pub id: String,
    /// Author, year, title.
    pub citation: String,
    /// Where it was read.
    pub url: Option<String>,
    /// What kind of work it is; `None`: the entry names a source nobody listed.
    pub kind: Option<SourceKind>,
}
