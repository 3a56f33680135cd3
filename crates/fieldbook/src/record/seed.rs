//! Seed lots, as their tags say.
//!
//! Units: percentages from 0 to 100; weights in pounds; counts a pound.
//! Not here: pure live seed and every other sum, which crate `stand` works out.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::id::RecordId;

/// Seed of one species that went into a planting, as its tag says.
///
/// Percentages are by weight of the bag for purity, other crop, inert and weed seed, and by
/// number of pure seeds for germination and dormant seed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeedLot {
    /// The planting it went into.
    pub planting: RecordId,
    /// Taxon id of the key.
    pub taxon: String,
    /// Lot number.
    pub lot: String,
    /// Variety, or `variety not stated`; may be empty.
    pub variety: String,
    /// Where the seed was grown; may be empty.
    pub origin: String,
    /// Pure seed, percent by weight, 0 to 100.
    pub purity_percent: Option<f64>,
    /// Germination without dormant seed, percent, 0 to 100.
    pub germination_percent: Option<f64>,
    /// Dormant, hard or firm ungerminated seed, percent, 0 to 100.
    pub dormant_percent: Option<f64>,
    /// Other crop seed, percent by weight, 0 to 100.
    pub other_crop_percent: Option<f64>,
    /// Inert matter, percent by weight, 0 to 100.
    pub inert_percent: Option<f64>,
    /// Weed seed, percent by weight, 0 to 100.
    pub weed_percent: Option<f64>,
    /// Noxious kinds found.
    pub noxious: Vec<NoxiousSeed>,
    /// Month of the germination test, `2026-02`; `None` when not known.
    pub tested: Option<String>,
    /// Seeds in a pound of pure seed; `None`: not on the tag.
    pub seeds_per_lb: Option<f64>,
    /// Weight of bulk seed bought, pounds, above 0.
    pub bulk_lb: Option<f64>,
    /// Anything else; may be empty.
    pub note: String,
}

/// A noxious kind on a seed tag.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NoxiousSeed {
    /// Its name as the tag has it.
    pub name: String,
    /// Seeds per pound of bulk seed, above 0.
    pub per_lb: f64,
}
