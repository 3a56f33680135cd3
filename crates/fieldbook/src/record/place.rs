//! What is sown where: sites, plantings with their mix, and plots.
//!
//! Units: row spacing in cm, areas in m2, rates in pounds of pure live seed per acre.
//! Not here: seed tags (`seed`), what happened since (`event`), where it lies on the ground (`outline`).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::id::RecordId;

/// A place with an owner.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// What people call it.
    pub name: String,
    /// County and state, free text.
    pub locality: String,
    /// What was agreed about access, free text; may be empty.
    pub permission: String,
    /// Who owns or manages it; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub owner: String,
    /// County, for forms of programmes; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub county: String,
    /// State or province; may be empty. Thresholds can be held to one.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub state: String,
}

/// What was sown, when and how.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Planting {
    /// The site it is on.
    pub site: RecordId,
    /// What people call it, such as `north forty`.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// Calendar date of sowing, ISO 8601 (`2026-05-12`).
    pub seeded_on: String,
    /// How the seed went in.
    pub method: SeedingMethod,
    /// The species sown, in the order of the seed tag; never empty, no taxon twice.
    pub mix: Vec<MixItem>,
    /// Farm number of the agency's maps; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub farm_number: String,
    /// Tract number; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub tract_number: String,
    /// Field number; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub field_number: String,
    /// Area sown as somebody stated it, m2, above 0. The area of the outline is worked out, not kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stated_area_m2: Option<f64>,
    /// Whether it is watered: an irrigated seeding may be judged earlier. `None`: not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub irrigated: Option<bool>,
    /// Site preparation, cover crop, seeding depth, what else matters; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What a planting is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// Grazing or hay.
    Forage,
    /// Biomass harvest.
    Biomass,
    /// Conservation cover.
    Conservation,
    /// Wildlife habitat.
    Wildlife,
}

/// How seed went into the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum SeedingMethod {
    /// In rows, this far apart.
    Drilled {
        /// Row spacing, cm; above 0.
        row_spacing_cm: f64,
    },
    /// Spread over the surface.
    Broadcast,
}

/// One species of a mix.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MixItem {
    /// Taxon id of the key.
    pub taxon: String,
    /// Pure live seed, pounds per acre, as applied; `None` when not known.
    pub pls_lb_per_acre: Option<f64>,
    /// Pure live seed, pounds per acre, as planned; `None` when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned_pls_lb_per_acre: Option<f64>,
}

/// A part of a planting that is looked at on its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plot {
    /// The planting it is part of.
    pub planting: RecordId,
    /// Its name or number, unique within the planting.
    pub name: String,
    /// What sets it apart (slope, soil, old fence line); may be empty.
    pub note: String,
}
