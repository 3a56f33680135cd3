//! Where fields, plots and ground to keep out of lie.
//!
//! Units: corners in signed decimal degrees (WGS 84), latitude first.
//! Not here: areas and crossings, which crate `plan` works out; map files.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::id::RecordId;

/// Where a field, a plot or ground to keep out of lies.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outline {
    /// The planting.
    pub planting: RecordId,
    /// What lies inside.
    pub of: OutlineOf,
    /// What people call it, such as `waterway`; may be empty.
    pub name: String,
    /// Polygons, at least one. They do not cross.
    pub polygons: Vec<Polygon>,
    /// Where it came from, such as `drawn` or `creek-field.kml`.
    pub origin: String,
}

/// What lies inside an outline.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum OutlineOf {
    /// The whole field sown.
    Field,
    /// A plot, which is then a stratum.
    Plot(RecordId),
    /// Ground that is not looked at: waterway, track, old fence line.
    KeepOut,
}

/// One polygon.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Polygon {
    /// Rings: the outer one first, then holes. Each has 3 corners or more, in order; the first is
    /// not said again at the end. A corner is `[degrees north, degrees east]`, WGS 84.
    pub rings: Vec<Vec<[f64; 2]>>,
}
