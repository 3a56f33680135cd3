//! What is odd about the input, said beside the judgement instead of in its place.
//!
//! In: nothing. Out: plain values; `Display` gives one sentence for people.

use std::fmt;

use jiff::civil::Date;
use serde::Serialize;

use crate::label::Label;

/// Something the reader of a judgement has to know.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Note {
    /// The visit lies before the seeding.
    VisitBeforeSeeding {
        /// Seeding.
        seeded_on: Date,
        /// Visit.
        visited_on: Date,
    },
    /// A date after the day of judging.
    InTheFuture {
        /// `seeding`, `visit` or `event`.
        what: &'static str,
        /// The date.
        on: Date,
        /// The day of judging.
        today: Date,
    },
    /// Event dates before the seeding were left aside.
    EventBeforeSeeding {
        /// The date.
        on: Date,
    },
    /// No frame was laid.
    NothingLaid,
    /// A reading that cannot be was left out.
    LeftOut {
        /// Its number in the order given, from 1.
        reading: usize,
        /// Its spot.
        spot: String,
        /// Why.
        why: String,
    },
    /// Grids of several kinds were laid; frequencies of different cells are not put together.
    SeveralGrids {
        /// How many kinds.
        kinds: usize,
    },
    /// A grid that thresholds for the 15 cm cell do not fit.
    OddGrid {
        /// Cells.
        cells: u32,
        /// Side of a cell, cm.
        cell_side_cm: f64,
    },
    /// Frames and counts were made on one visit; both are shown, neither is mixed into the other.
    GridsAndCounts,
    /// One spot shows no spread, so no verdict can rest on it.
    OneSpot,
    /// A label about which nothing was said.
    NothingSaidOf {
        /// The label.
        label: Label,
    },
    /// The mix is empty, so nothing counts as planted.
    NoMix,
    /// Seeding was late or dormant: the first growing season is the next one.
    LateOrDormant {
        /// Year of the first growing season.
        first_season: i16,
    },
    /// It was seeded again; days and seasons count from the first seeding.
    Overseeded {
        /// When.
        on: Date,
    },
    /// Not all frames were gone over twice.
    NotAllLookedTwice {
        /// Frames gone over twice.
        twice: usize,
        /// Frames in all.
        frames: usize,
    },
    /// Spots that belong to no stratum, or to several; the field was then taken as one.
    Strata {
        /// The spots.
        spots: Vec<String>,
    },
    /// A part of the field has no area or too few spots, so parts were not weighed.
    StrataNotWeighed {
        /// Why.
        why: String,
    },
    /// A correction or a test could not be worked out.
    NotWorkedOut {
        /// Which, such as `misnaming`.
        what: &'static str,
        /// Why.
        why: String,
    },
    /// The interval of the label for going in was running at the visit.
    EntryInterval {
        /// When it was sprayed.
        sprayed_on: Date,
        /// Hours until people may go in; `None`: not written down.
        entry_after_h: Option<f64>,
    },
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Note::VisitBeforeSeeding {
                seeded_on,
                visited_on,
            } => write!(
                f,
                "The visit ({visited_on}) lies before the seeding ({seeded_on}): correct one of the two dates."
            ),
            Note::InTheFuture { what, on, today } => write!(
                f,
                "The date of the {what} ({on}) lies after today ({today}): correct it, or the clock."
            ),
            Note::EventBeforeSeeding { on } => write!(
                f,
                "Something dated {on} lies before the seeding and was left aside."
            ),
            Note::NothingLaid => {
                write!(f, "No frame was laid, so nothing can be said of the stand.")
            }
            Note::LeftOut { reading, spot, why } => {
                write!(f, "Frame {reading} at {spot} was left out: {why}.")
            }
            Note::SeveralGrids { kinds } => write!(
                f,
                "Grids of {kinds} kinds were laid; each is shown apart, since frequency depends on the cell."
            ),
            Note::OddGrid {
                cells,
                cell_side_cm,
            } => write!(
                f,
                "A grid of {cells} cells of {cell_side_cm} cm: thresholds for 15 cm cells do not fit it."
            ),
            Note::GridsAndCounts => write!(
                f,
                "Both frames and counts were made; they are shown side by side, not put together."
            ),
            Note::OneSpot => write!(
                f,
                "All frames lay at one spot, which shows no spread: lay frames at two spots or more."
            ),
            Note::NothingSaidOf { label } => write!(
                f,
                "Nothing was said about {}: {}.",
                match label {
                    Label::Taxon(id) | Label::Genus(id) => id.as_str(),
                    Label::NotInKey => "a plant that is not in the key",
                    Label::Unknown(code) => code.as_str(),
                },
                match label {
                    Label::Taxon(_) => "it was not sown, so it counts as a weed",
                    Label::NotInKey => "it counts as not planted",
                    Label::Genus(_) | Label::Unknown(_) => "it might be planted or not",
                }
            ),
            Note::NoMix => write!(
                f,
                "The mix is empty, so nothing counts as planted: enter what was sown."
            ),
            Note::LateOrDormant { first_season } => write!(
                f,
                "A late or dormant seeding: its first growing season is {first_season}."
            ),
            Note::Overseeded { on } => write!(
                f,
                "It was seeded again on {on}; days and seasons count from the first seeding."
            ),
            Note::NotAllLookedTwice { twice, frames } => write!(
                f,
                "{twice} of {frames} frames were gone over twice; small seedlings are easily overlooked."
            ),
            Note::Strata { spots } => write!(
                f,
                "These spots lie in no part of the field, or in several: {}. The field was taken as one.",
                spots.join(", ")
            ),
            Note::StrataNotWeighed { why } => {
                write!(f, "The parts of the field were not weighed by area: {why}.")
            }
            Note::NotWorkedOut { what, why } => write!(f, "No {what}: {why}."),
            Note::EntryInterval {
                sprayed_on,
                entry_after_h,
            } => match entry_after_h {
                Some(hours) => write!(
                    f,
                    "Sprayed on {sprayed_on}: the label allows going in after {hours} hours."
                ),
                None => write!(
                    f,
                    "Sprayed on {sprayed_on}, and nobody wrote down when the label allows going in."
                ),
            },
        }
    }
}
