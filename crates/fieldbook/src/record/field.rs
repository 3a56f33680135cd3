//! What a day in the field leaves: visits, points, frames with their tallies, unknowns.
//!
//! Units: as the field's name says; positions in signed decimal degrees (WGS 84).
//! Not here: frequencies and densities (crate `stand`).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::id::RecordId;

/// A day of field work on a planting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Visit {
    /// The planting visited.
    pub planting: RecordId,
    /// Calendar date, ISO 8601.
    pub on: String,
    /// Who walked; at least one name.
    pub scouts: Vec<String>,
    /// Weather, mowing seen, height of cover; may be empty.
    pub note: String,
}

/// A spot in a plot where something was looked at during a visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// The plot it lies in.
    pub plot: RecordId,
    /// The visit it belongs to.
    pub visit: RecordId,
    /// Its label within the plot and visit, such as `3`.
    pub label: String,
    /// Where, if a fix was taken.
    pub position: Option<Position>,
    /// The point of a plan that it is, if any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned: Option<PlannedAt>,
    /// Why it could not be reached; empty: it was.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub unreachable: String,
}

/// A point of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannedAt {
    /// The plan.
    pub plan: RecordId,
    /// Its number there, from 1.
    pub number: u32,
}

/// A position fix.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// Degrees north, -90 to 90, WGS 84.
    pub latitude: f64,
    /// Degrees east, -180 to 180, WGS 84.
    pub longitude: f64,
    /// Radius in metres that holds the true place, above 0; `None` when not known.
    pub uncertainty_m: Option<f64>,
}

/// One laying of a frame at a point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    /// Where it lay. Frames flipped over at one spot share a point and are one cluster.
    pub point: RecordId,
    /// Its number at that point, from 1; a flip gets the next number.
    pub number: u32,
    /// Who read it.
    pub scout: String,
    /// The device laid.
    pub shape: FrameShape,
    /// What was seen. Empty means: looked, none.
    pub tallies: Vec<Tally>,
    /// Whether the scout went over it a second time for overlooked seedlings.
    pub looked_twice: bool,
    /// The frame that this one reads again, by another scout who had not seen the first reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeats: Option<RecordId>,
}

/// What was laid on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum FrameShape {
    /// A grid whose cells are read as occupied or not.
    Grid {
        /// Number of cells, 1 to 100; the trade's frame has 25.
        cells: u32,
        /// Side of one square cell, cm, above 0; the trade's cell has 15.
        cell_side_cm: f64,
    },
    /// An area in which plants are counted.
    Quadrat {
        /// Area, m2, above 0.
        area_m2: f64,
    },
    /// A length of drilled row along which plants are counted.
    Row {
        /// Length, m, above 0.
        length_m: f64,
        /// Distance between rows, cm, above 0.
        row_spacing_cm: f64,
    },
}

impl FrameShape {
    /// The ground on which plants are counted, m2: the quadrat, or the length of row times the
    /// distance between rows. `None` for a grid, in which nothing is counted.
    pub fn counted_area_m2(self) -> Option<f64> {
        match self {
            FrameShape::Grid { .. } => None,
            FrameShape::Quadrat { area_m2 } => Some(area_m2),
            FrameShape::Row {
                length_m,
                row_spacing_cm,
            } => Some(length_m * row_spacing_cm / 100.0),
        }
    }
}

/// One entry of a frame: something in a cell, or a number of plants in a quadrat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tally {
    /// Cell number from 1, row by row from the upper left, for a grid; `None` for a quadrat or row.
    pub cell: Option<u32>,
    /// What stands there.
    pub what: Counted,
    /// Number of plants, at least 1, for a quadrat or row; `None` for a grid (present is all it says).
    pub plants: Option<u32>,
}

/// What a tally counts.
#[derive(
    Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Counted {
    /// A taxon of the key, by id.
    Taxon(String),
    /// An unknown of this book; settling it settles the tally.
    Unknown(RecordId),
}

/// A field code for a plant without a name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Unknown {
    /// The visit in which it got its number.
    pub visit: RecordId,
    /// `unknown 3`: unique within the visit.
    pub number: u32,
    /// What it looks like, in the scout's words, such as `hairy, flat base`.
    pub description: String,
    /// Where it was first met.
    pub first_seen: RecordId,
}
