//! Pure live seed of one lot, both ways, from what its tag says.
//!
//! In: percentages as printed. Out: live shares of the bulk weight, each with its label.
//! Source: [`super::PLS`]; sellers and states differ on dormant seed ([`super::DORMANT_COUNTS`],
//! [`super::DORMANT_LEFT_OUT`]), so both are given and neither is called the right one.

use serde::Serialize;

use super::{SeedingError, within};

/// Percent that the weights on a tag may sum to: tags are rounded.
const TAG_SUM_PERCENT: f64 = 100.5;

/// What a tag says of life in the bag, percent.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tag {
    purity: f64,
    germination: f64,
    dormant: Option<f64>,
}

/// Which seed is called live.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Live {
    /// Seed that germinated in the test.
    GerminatedOnly,
    /// Dormant, hard and firm ungerminated seed as well.
    WithDormant,
}

impl Live {
    /// For people; stands beside every number of pure live seed.
    pub fn words(self) -> &'static str {
        match self {
            Live::GerminatedOnly => "without dormant seed",
            Live::WithDormant => "with dormant seed",
        }
    }
}

/// Pure live seed both ways, as shares of the bulk weight from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pls {
    /// Purity times germination: what may come up this spring.
    pub germinated_only: f64,
    /// Purity times germination and dormant seed; `None` where the tag names no dormant seed.
    pub with_dormant: Option<f64>,
}

impl Tag {
    /// Checks what a tag says: percentages from 0 to 100, germination without dormant seed.
    /// `dormant_percent` is `None` where the tag names none; 0 means that the test found none.
    ///
    /// # Errors
    /// A percentage out of range; germination and dormant seed above 100 together.
    pub fn new(
        purity_percent: f64,
        germination_percent: f64,
        dormant_percent: Option<f64>,
    ) -> Result<Tag, SeedingError> {
        let purity = percent("purity", purity_percent)?;
        let germination = percent("germination", germination_percent)?;
        let dormant = dormant_percent
            .map(|dormant| percent("dormant seed", dormant))
            .transpose()?;
        let alive = germination + dormant.unwrap_or(0.0);
        // Tenths as typed can sum to 100.00000000000001.
        if alive > 100.0 + 1e-9 {
            return Err(SeedingError::MoreThanAll {
                parts: "germination and dormant seed",
                sum: alive,
                most: 100.0,
            });
        }
        Ok(Tag {
            purity,
            germination,
            dormant,
        })
    }

    /// Pure live seed both ways.
    pub fn pls(&self) -> Pls {
        let live = |alive: f64| self.purity * alive / 10_000.0;
        Pls {
            germinated_only: live(self.germination),
            with_dormant: self
                .dormant
                .map(|dormant| live((self.germination + dormant).min(100.0))),
        }
    }
}

impl Pls {
    /// Each share with its label, the lower one first.
    pub fn both(&self) -> impl Iterator<Item = (Live, f64)> {
        let with = self.with_dormant.map(|share| (Live::WithDormant, share));
        [(Live::GerminatedOnly, self.germinated_only)]
            .into_iter()
            .chain(with)
    }
}

/// What a tag says is in the bag by weight, percent; `None` where it says nothing.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Weights {
    /// Pure seed.
    pub purity: Option<f64>,
    /// Other crop seed.
    pub other_crop: Option<f64>,
    /// Inert matter.
    pub inert: Option<f64>,
    /// Weed seed.
    pub weed: Option<f64>,
}

impl Weights {
    /// The sum where all four are known, percent; on a tag it is 100 within rounding.
    ///
    /// # Errors
    /// A percentage out of range; a sum above 100.5, all four known or not.
    pub fn check(&self) -> Result<Option<f64>, SeedingError> {
        let parts = [
            ("purity", self.purity),
            ("other crop seed", self.other_crop),
            ("inert matter", self.inert),
            ("weed seed", self.weed),
        ];
        let mut sum = 0.0;
        for (what, part) in parts {
            if let Some(part) = part {
                sum += percent(what, part)?;
            }
        }
        if sum > TAG_SUM_PERCENT {
            return Err(SeedingError::MoreThanAll {
                parts: "pure seed, other crop seed, inert matter and weed seed",
                sum,
                most: TAG_SUM_PERCENT,
            });
        }
        Ok(parts.iter().all(|(_, part)| part.is_some()).then_some(sum))
    }
}

fn percent(what: &'static str, value: f64) -> Result<f64, SeedingError> {
    within(what, value, "%", 0.0, 100.0, true)
}
