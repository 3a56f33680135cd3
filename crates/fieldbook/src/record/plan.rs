//! Sampling plans: points drawn before the walk, and when to stop.
//!
//! Units: distances in m, bearings in degrees clockwise from north, shares from 0 to 1.
//! Not here: drawing the points and finding the walk (crate `plan`); the rule's sums (crate `stand`).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::id::RecordId;

/// Where to look: points drawn before the walk, and when to stop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// The planting.
    pub planting: RecordId,
    /// What people call it, such as `July walk`.
    pub name: String,
    /// How points were chosen.
    pub design: PlanDesign,
    /// What the draw started from: the same start in the same outline gives the same points.
    pub seed: u32,
    /// Distance kept from the edge, m, 0 or more.
    pub edge_m: f64,
    /// Points in the order of their numbers: those to walk, then spares.
    pub points: Vec<PlannedPoint>,
    /// When enough has been seen, set before the first frame; `None`: walk all points.
    pub stopping: Option<Stopping>,
}

/// How the points of a plan were chosen.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum PlanDesign {
    /// Spread evenly by a Halton sequence from a random start.
    Balanced,
    /// A square grid from a random start.
    Grid {
        /// Distance between points, m, above 0.
        spacing_m: f64,
    },
    /// Parallel lines from a random start, points at even steps along each.
    Transects {
        /// Distance between lines, m, above 0.
        apart_m: f64,
        /// Distance between points on a line, m, above 0.
        step_m: f64,
        /// Direction of the lines, degrees clockwise from north, 0 to 180.
        bearing_deg: f64,
    },
}

/// A point of a plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannedPoint {
    /// Degrees north, WGS 84.
    pub latitude: f64,
    /// Degrees east, WGS 84.
    pub longitude: f64,
    /// The plot it lies in, where plots have outlines.
    pub plot: Option<RecordId>,
    /// Whether it only stands in for one that cannot be reached.
    pub spare: bool,
    /// Its place in the walking order, from 1; `None` for a spare.
    pub walk: Option<u32>,
}

/// A rule that says when enough has been seen, set before the first frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stopping {
    /// Share of cells with a planted species that is too few, 0 to 1.
    pub low: f64,
    /// Share that is enough, above `low`, to 1.
    pub high: f64,
    /// How often a stand at `low` may be called enough, 0 to 0.5.
    pub wrongly_enough: f64,
    /// How often a stand at `high` may be called too few, 0 to 0.5.
    pub wrongly_too_few: f64,
    /// Points after which it ends undecided, at least 1.
    pub most_points: u32,
}
