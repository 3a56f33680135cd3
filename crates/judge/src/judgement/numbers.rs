//! Estimates beside the verdict: by part of the field, corrected, seen twice, how many more,
//! how much of the seed. Units: shares from 0 to 1, plants and seeds per m2, areas m2.

use serde::Serialize;
use standbook_stand::agreement::{Agreement, CellPairs};
use standbook_stand::detect::{Detection, SeenThrough};
use standbook_stand::misnaming::Correction;
use standbook_stand::sample_size::Needed;
use standbook_stand::sequential::{Assessment, Forecast};

use super::{Evidence, Range, Verdict};
use crate::case::Specimens;
use crate::label::Label;

/// The planted together, weighed by the areas of the parts of a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ByPart {
    /// Each part: name, area in m2 where known, spots, estimate alone.
    pub parts: Vec<PartOfField>,
    /// Share of cells over the field, for the grid most used; `None` without grids or areas.
    pub frequency: Option<Range>,
    /// Plants per m2 over the field; `None` without counts or areas.
    pub density: Option<Range>,
    /// Whether the verdict rests on these rather than on all spots taken as one.
    pub used: bool,
}

/// A part of a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartOfField {
    /// Its name.
    pub name: String,
    /// Its area, m2.
    pub area_m2: Option<f64>,
    /// Spots in it.
    pub spots: usize,
    /// Share of cells with anything planted.
    pub frequency: Option<Range>,
    /// Plants per m2.
    pub density: Option<Range>,
}

/// The planted together, corrected for misnaming.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Corrected {
    /// Plants or specimens it rests on.
    pub audited: usize,
    /// What they are.
    pub origin: Origin,
    /// What was corrected, by what, and the verdict from it.
    pub by: Vec<CorrectedBy>,
    /// The verdict over all that it would give.
    pub verdict: Verdict,
    /// Whether that differs from the verdict without it.
    pub differs: bool,
}

/// Where it is known from how often names are wrong. Earlier ones go before later ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Plants of the field, drawn at random and looked at again.
    Drawn,
    /// Plants of the field that somebody picked to be looked at again.
    Picked,
    /// Specimens of known name in practice.
    Practice(Specimens),
}

/// One corrected number.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CorrectedBy {
    /// Id of the threshold.
    pub threshold: String,
    /// The way of measuring.
    pub evidence: Evidence,
    /// Before, as if nothing unsettled were planted.
    pub before: Range,
    /// After; its limits hold both ends where something is unsettled.
    pub after: Range,
    /// What the corrected number says to the threshold.
    pub verdict: Verdict,
    /// How it was corrected.
    pub correction: Correction,
}

/// An unknown that was found and not settled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Unsettled {
    /// The label.
    pub label: Label,
    /// Cells it was in, all grids.
    pub cells: u64,
    /// Plants counted of it.
    pub plants: u64,
    /// Whether settling it could change the verdict.
    pub could_decide: bool,
}

/// How many more spots.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Enough {
    /// Spots for the planted together to within 10 points of frequency; `None` without grids.
    pub frequency: Option<Wish>,
    /// Spots for the planted together to within a quarter of the density; `None` without counts.
    pub density: Option<Wish>,
    /// Where the rule set before the walk stands; `None` without one.
    pub sequential: Option<Sequential>,
}

/// What a wish for precision takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Wish {
    /// So many.
    Needs(Needed),
    /// It cannot be said, and why.
    CannotSay(String),
}

/// Where the rule set before the walk stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sequential {
    /// What the points so far say.
    pub assessment: Assessment,
    /// What going on is likely to bring; `None` when it is over.
    pub forecast: Option<Forecast>,
}

/// How well two scouts agreed on the planted together, and how much was overlooked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeenTwice {
    /// Frames read by two scouts.
    pub frames: usize,
    /// Frames that could not be compared: other grids, or counts.
    pub not_compared: usize,
    /// Cells read by both.
    pub pairs: CellPairs,
    /// How well they agreed; `None` without cells.
    pub agreement: Option<Agreement>,
    /// How much one look finds; `None` where it cannot be told, then see the notes.
    pub detection: Option<Detection>,
    /// The frequency of the planted together, as it would be had nothing been overlooked.
    pub seen_through: Option<SeenThrough>,
}

/// How much of the live seed sown stands as plants.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Emerged {
    /// The taxon; `None`: everything planted together.
    pub taxon: Option<String>,
    /// How the plants were counted.
    pub evidence: Evidence,
    /// Plants per m2.
    pub plants_per_m2: Range,
    /// Pure live seeds sown per m2, lowest and highest by what the sources say of seeds per pound.
    pub seeds_per_m2: (f64, f64),
    /// Whether all seed counts come from the lots' own tags.
    pub own_counts: bool,
    /// Share of seeds that stand as plants, lowest and highest over both doubts.
    pub share: Range,
}
