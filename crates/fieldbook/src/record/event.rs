//! What was done to a planting, or happened to it.
//!
//! Units: heights in cm, rain in mm, intervals in hours and days as the field's name says.
//! Not here: the name of what was sprayed has no field; the note holds it, the label rules.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::id::RecordId;

/// Something done to a planting, or that happened to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// The planting.
    pub planting: RecordId,
    /// Calendar date, ISO 8601: when it happened or began.
    pub on: String,
    /// What.
    pub what: EventKind,
    /// In words; may be empty.
    pub note: String,
}

/// What was done to a planting, or happened to it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum EventKind {
    /// Cut.
    Mowed {
        /// Height left standing, cm, above 0; `None` when not known.
        height_cm: Option<f64>,
    },
    /// Sprayed. What with stands in the note: the label decides everything about it.
    Sprayed {
        /// Hours from spraying until people may go in, as the label says, 0 or more. Several
        /// products: the longest. `None` when not known.
        entry_after_h: Option<f64>,
        /// Days until grazing or haying is allowed, as the label says; `None` when not known.
        graze_after_days: Option<f64>,
    },
    /// Rain worth noting.
    Rain {
        /// Millimetres, above 0; `None` when not measured.
        mm: Option<f64>,
    },
    /// A dry spell began.
    Drought,
    /// Stock were in.
    Grazed,
    /// Burned.
    Burned,
    /// Seeded again.
    Overseeded,
    /// Something else; the note says what.
    Other,
}
