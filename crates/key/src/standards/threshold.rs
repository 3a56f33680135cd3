//! What a threshold is: how many plants make a stand, for whom, says who.
//!
//! In: nothing; `read_thresholds` fills it, and a caller may make one of its own.
//! Units: as [`ThresholdUnit`] says; [`ThresholdUnit::si`] gives a share (0 to 1), plants per
//! m2 or plants per m of row.
//! Source: every threshold names its own.

use serde::Serialize;

use crate::ids::{GroupId, SourceId, TaxonId};

/// Square feet in a square metre (1 ft = 0.3048 m exactly).
const FT2_PER_M2: f64 = 1.0 / (0.3048 * 0.3048);

/// A number of plants, or a share of cells, that makes a stand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Threshold {
    /// Id.
    pub id: String,
    /// In words, for a table.
    pub name: String,
    /// What it speaks of.
    pub of: OfWhat,
    /// Whether it may be used for a mix that holds its taxa among others.
    pub for_mixes: ForMixes,
    /// Purposes it holds for; empty: all.
    pub purposes: Vec<Purpose>,
    /// Where it was found or holds, in words; empty: not stated.
    pub region: String,
    /// Two-letter states of that region; empty: not stated.
    pub states: Vec<String>,
    /// Whether it holds in that region only.
    pub holds: Holds,
    /// Growing season it speaks of, 1 for the first; `None`: any.
    pub season: Option<u32>,
    /// What was counted for it.
    pub counts: PlantsCounted,
    /// Unit of its levels, which also says what is measured.
    pub unit: ThresholdUnit,
    /// Levels from lowest to highest; never empty.
    pub levels: Vec<Level>,
    /// Place in `levels` of the level from which on a stand is established.
    pub established: usize,
    /// The source's word for less than the lowest level; may be empty.
    pub below: String,
    /// What part it plays.
    pub part: Part,
    /// What the source adds, for people; may be empty.
    pub note: String,
    /// Who says so.
    pub source: SourceId,
    /// Who else says so.
    pub also: Vec<SourceId>,
    /// Whether it comes from a user's own folder or entry, and so goes before the shipped.
    pub own: bool,
}

impl Threshold {
    /// A threshold of somebody's own with one level, for everything planted together, any purpose,
    /// season and place; set the other fields for less. `source` is the citation itself.
    pub fn of_your_own(
        id: &str,
        name: &str,
        unit: ThresholdUnit,
        at_least: f64,
        source: &str,
    ) -> Self {
        Threshold {
            id: id.to_owned(),
            name: name.to_owned(),
            of: OfWhat::PlantedTogether,
            for_mixes: ForMixes::No,
            purposes: Vec::new(),
            region: String::new(),
            states: Vec::new(),
            holds: Holds::Anywhere,
            season: None,
            counts: PlantsCounted::Plants,
            unit,
            levels: vec![Level {
                at_least,
                word: "established".to_owned(),
            }],
            established: 0,
            below: String::new(),
            part: Part::Decides,
            note: String::new(),
            source: SourceId::new(source),
            also: Vec::new(),
            own: true,
        }
    }

    /// The level from which on a stand is established, in the SI unit of its measure.
    pub fn established_si(&self) -> f64 {
        let level = self.levels.get(self.established).or(self.levels.last());
        level.map_or(f64::INFINITY, |level| self.unit.si(level.at_least))
    }

    /// The word for a value in the SI unit of its measure.
    pub fn word(&self, si: f64) -> &str {
        let reached = |level: &&Level| si >= self.unit.si(level.at_least);
        let level = self.levels.iter().rev().find(reached);
        level.map_or(self.below.as_str(), |level| level.word.as_str())
    }
}

/// One level of a threshold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Level {
    /// Reached at this or more, in the unit of the threshold, above 0.
    pub at_least: f64,
    /// The source's word for it, such as `adequate`.
    pub word: String,
}

/// What a threshold speaks of.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OfWhat {
    /// Stands of these taxa.
    Taxa(Vec<TaxonId>),
    /// Everything planted, together.
    PlantedTogether,
    /// Everything planted that belongs to one group of the key.
    Group(GroupId),
}

/// Whether a threshold for pure stands is used for mixes too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ForMixes {
    /// Only where nothing else was planted.
    No,
    /// Borrowed for everything planted together, and said to be borrowed.
    Borrowed,
}

/// Where a threshold may be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Holds {
    /// Anywhere, for want of a nearer one; elsewhere the page says where it was found.
    Anywhere,
    /// In its region only, as a programme's rule does.
    There,
}

/// What a planting is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
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

impl Purpose {
    /// All, with id and name for people.
    pub const ALL: [(&'static str, Purpose, &'static str); 4] = [
        ("forage", Purpose::Forage, "grazing or hay"),
        ("biomass", Purpose::Biomass, "biomass harvest"),
        ("conservation", Purpose::Conservation, "conservation cover"),
        ("wildlife", Purpose::Wildlife, "wildlife habitat"),
    ];

    /// Id.
    pub fn id(self) -> &'static str {
        Purpose::ALL[self as usize].0
    }

    /// Name for people.
    pub fn name(self) -> &'static str {
        Purpose::ALL[self as usize].2
    }

    /// From an id.
    pub fn from_id(id: &str) -> Option<Purpose> {
        Purpose::ALL.iter().find(|p| p.0 == id).map(|p| p.1)
    }
}

/// What was counted for a threshold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PlantsCounted {
    /// Plants that have survived their first weeks.
    Plants,
    /// Seedlings soon after emergence, many of which die.
    Seedlings,
}

/// What part a threshold plays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// A verdict may rest on it.
    Decides,
    /// A goal for the first weeks; shown, nothing rests on it.
    Goal,
    /// Shown for comparison; nothing rests on it.
    Background,
}

/// What is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Share of occupied cells of the 25-cell frame with 15 cm cells, 0 to 1.
    Frequency,
    /// Plants per m2.
    Density,
    /// Plants per m of drilled row.
    Row,
    /// Share of ground covered, 0 to 1; frames do not measure it.
    Cover,
}

/// Unit of the levels of a threshold, as the source has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ThresholdUnit {
    /// Occupied cells in 100, 25-cell frame of 15 cm cells.
    PercentOfCells,
    /// Plants per m2.
    PlantsPerM2,
    /// Plants per square foot.
    PlantsPerFt2,
    /// Plants per square yard.
    PlantsPerYd2,
    /// Plants per metre of row.
    PlantsPerRowM,
    /// Plants per foot of row.
    PlantsPerRowFt,
    /// Ground covered, percent.
    PercentOfGround,
}

impl ThresholdUnit {
    /// All, with id and name for people.
    pub const ALL: [(&'static str, ThresholdUnit, &'static str); 7] = [
        (
            "percent_of_cells",
            ThresholdUnit::PercentOfCells,
            "% of cells (25-cell frame, 15 cm cells)",
        ),
        ("plants_per_m2", ThresholdUnit::PlantsPerM2, "plants per m²"),
        (
            "plants_per_ft2",
            ThresholdUnit::PlantsPerFt2,
            "plants per ft²",
        ),
        (
            "plants_per_yd2",
            ThresholdUnit::PlantsPerYd2,
            "plants per yd²",
        ),
        (
            "plants_per_row_m",
            ThresholdUnit::PlantsPerRowM,
            "plants per m of row",
        ),
        (
            "plants_per_row_ft",
            ThresholdUnit::PlantsPerRowFt,
            "plants per foot of row",
        ),
        (
            "percent_of_ground",
            ThresholdUnit::PercentOfGround,
            "% of the ground covered",
        ),
    ];

    /// Name for people.
    pub fn name(self) -> &'static str {
        ThresholdUnit::ALL[self as usize].2
    }

    /// What is measured.
    pub fn measure(self) -> Measure {
        match self {
            Self::PercentOfCells => Measure::Frequency,
            Self::PlantsPerM2 | Self::PlantsPerFt2 | Self::PlantsPerYd2 => Measure::Density,
            Self::PlantsPerRowM | Self::PlantsPerRowFt => Measure::Row,
            Self::PercentOfGround => Measure::Cover,
        }
    }

    /// A value of this unit as a share, plants per m2, or plants per m of row.
    pub fn si(self, value: f64) -> f64 {
        match self {
            Self::PercentOfCells | Self::PercentOfGround => value / 100.0,
            Self::PlantsPerM2 | Self::PlantsPerRowM => value,
            Self::PlantsPerFt2 => value * FT2_PER_M2,
            Self::PlantsPerYd2 => value * FT2_PER_M2 / 9.0,
            Self::PlantsPerRowFt => value / 0.3048,
        }
    }

    /// Largest value that is not a slip, in this unit: all cells; more plants than anybody sows.
    pub(crate) fn most(self) -> f64 {
        match self.measure() {
            Measure::Frequency | Measure::Cover => 100.0,
            Measure::Density | Measure::Row => 10_000.0,
        }
    }
}
