//! Thresholds that somebody added to those that come with the program.
//!
//! Units: a share of cells from 0 to 1, or plants per m2, as `measure` says.
//! Not here: the thresholds that come with the program (`keys/standards`).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Purpose;

/// A threshold that somebody added to those that come with the program.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Standard {
    /// What people call it, such as `county programme, conservation cover`.
    pub name: String,
    /// Purposes it holds for; empty: all.
    pub purposes: Vec<Purpose>,
    /// Taxa it speaks of, by id; empty: everything planted together.
    pub taxa: Vec<String>,
    /// State or region it holds for; empty: anywhere.
    pub region: String,
    /// What is compared.
    pub measure: StandardMeasure,
    /// Established at this or more: a share from 0 to 1, or plants per m2.
    pub at_least: f64,
    /// Growing season it speaks of, 1 for the first; `None`: any.
    pub season: Option<u32>,
    /// Who says so: document, office, date.
    pub source: String,
    /// Whether it is no longer used. A correction sets it; nothing is deleted.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub withdrawn: bool,
}

/// What a standard compares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StandardMeasure {
    /// Share of cells of the 25-cell frame (15 cm cells) with a plant.
    Frequency,
    /// Plants per m2.
    Density,
}
