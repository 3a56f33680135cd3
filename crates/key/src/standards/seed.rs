//! Seeds in a pound, how much seed becomes plants, and published rates of seeding.
//!
//! Units: seeds per pound of pure seed; shares from 0 to 1; rates as [`SeedRateUnit`] says.
//! Source: every entry names its own. Lists differ by 25 to 50 % for the same species: the
//! seed tag or a counted sample comes first.

use serde::Serialize;

use super::threshold::Purpose;
use crate::ids::{SourceId, TaxonId};

/// Seeds in a pound of one species, as one source has it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeedCount {
    /// The species.
    pub taxon: TaxonId,
    /// Fewest and most seeds in a pound; equal where the source gives one number.
    pub seeds_per_lb: (f64, f64),
    /// What is counted where it is not single seeds, such as `burs`; may be empty.
    pub of: String,
    /// How the number was had, where it is not the source's own; may be empty.
    pub note: String,
    /// Who says so.
    pub source: SourceId,
}

/// How much of the live seed sown became plants, as one source has it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EmergenceShare {
    /// Id.
    pub id: String,
    /// In words: what was sown where, counted when.
    pub words: String,
    /// Smallest and largest share, 0 to 1; equal where the source gives one number.
    pub share: (f64, f64),
    /// Who says so.
    pub source: SourceId,
}

/// A rate or target of seeding, as one source has it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeedRate {
    /// Id.
    pub id: String,
    /// In words: what for, where, drilled or broadcast.
    pub words: String,
    /// The species it is for; empty: mixes.
    pub taxa: Vec<TaxonId>,
    /// Purposes it is for; empty: not stated.
    pub purposes: Vec<Purpose>,
    /// Lowest and highest, in `unit`; equal where the source gives one number.
    pub rate: (f64, f64),
    /// The unit.
    pub unit: SeedRateUnit,
    /// Who says so.
    pub source: SourceId,
}

/// Unit of a rate of seeding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SeedRateUnit {
    /// Seeds per square foot.
    SeedsPerFt2,
    /// Pure live seeds per square foot.
    PlsPerFt2,
    /// Seeds per m2.
    SeedsPerM2,
    /// Pounds of pure live seed per acre.
    PlsLbPerAcre,
    /// Pounds per acre, not said whether bulk or pure live seed.
    LbPerAcre,
    /// Kilograms per hectare, not said whether bulk or pure live seed.
    KgPerHa,
}

impl SeedRateUnit {
    /// All, with id and name for people.
    pub const ALL: [(&'static str, SeedRateUnit, &'static str); 6] = [
        ("seeds_per_ft2", SeedRateUnit::SeedsPerFt2, "seeds per ft²"),
        (
            "pls_per_ft2",
            SeedRateUnit::PlsPerFt2,
            "pure live seeds per ft²",
        ),
        ("seeds_per_m2", SeedRateUnit::SeedsPerM2, "seeds per m²"),
        (
            "pls_lb_per_acre",
            SeedRateUnit::PlsLbPerAcre,
            "lb of pure live seed per acre",
        ),
        ("lb_per_acre", SeedRateUnit::LbPerAcre, "lb per acre"),
        ("kg_per_ha", SeedRateUnit::KgPerHa, "kg per ha"),
    ];

    /// Name for people.
    pub fn name(self) -> &'static str {
        SeedRateUnit::ALL[self as usize].2
    }
}
