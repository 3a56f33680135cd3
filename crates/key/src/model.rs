//! What a key is, once read: plain values, every reference checked.
//!
//! Units: measures in the unit their trait names (mm in our own key); effort in seconds;
//! misreading as a share of 1.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::couplet::Couplets;
use crate::ids::{GroupId, SourceId, StateId, TaxonId, TraitId};

/// A key: traits, and what sources say of each taxon in them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Key {
    /// Id; also the name of its folder in `keys/`.
    pub id: String,
    /// Title for people.
    pub title: String,
    /// Which plants at which age it is for.
    pub scope: String,
    /// When in the year it may be used.
    pub season: String,
    /// Where it was made for.
    pub region: String,
    /// Who answers for it.
    pub authors: Vec<String>,
    /// Cautions to show where people dig and handle plants.
    pub cautions: Vec<String>,
    /// Groups of taxa, in the order of the file.
    pub groups: Vec<Group>,
    /// Every source a cell may name.
    pub sources: BTreeMap<SourceId, Source>,
    /// Traits, in the order in which a scout best looks.
    pub traits: Vec<Trait>,
    /// Sets of traits that say partly the same; each trait stands in one at most.
    pub together: Vec<Together>,
    /// Taxa, by id.
    pub taxa: Vec<Taxon>,
    /// An authored single-access key, where someone wrote one.
    pub couplets: Option<Couplets>,
}

impl Key {
    /// The trait with this id.
    pub fn trait_by_id(&self, id: &str) -> Option<&Trait> {
        self.traits.iter().find(|t| t.id == *id)
    }

    /// The taxon with this id.
    pub fn taxon(&self, id: &str) -> Option<&Taxon> {
        // Sorted by id when read.
        let at = self.taxa.binary_search_by(|t| t.id.as_str().cmp(id)).ok()?;
        self.taxa.get(at)
    }

    /// The id under which a source counts: its own, or that of the source it counts with.
    pub fn voice_of<'a>(&'a self, source: &'a SourceId) -> &'a SourceId {
        self.sources
            .get(source)
            .and_then(|s| s.counts_with.as_ref())
            .unwrap_or(source)
    }

    /// The group with this id.
    pub fn group(&self, id: &str) -> Option<&Group> {
        self.groups.iter().find(|g| g.id == *id)
    }
}

/// A group of taxa that a scout may be sure of before the species.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Group {
    /// Id.
    pub id: GroupId,
    /// Name for people, such as `native warm-season grass`.
    pub name: String,
}

/// Where a fact comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Source {
    /// Author, year, title, publisher; `memory` says so.
    pub citation: String,
    /// Addresses, may be none.
    pub urls: Vec<String>,
    /// What kind of work it is, such as `flora`.
    pub kind: String,
    /// The source it counts with: another page of the same author, or a copy of the same text.
    /// What such sources say of one cell is one statement, and they are left out together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub counts_with: Option<SourceId>,
}

/// Something a scout can look at on a plant.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Trait {
    /// Id.
    pub id: TraitId,
    /// Short name for tables and couplets.
    pub name: String,
    /// Which of the five classes it belongs to, or none.
    pub class: TraitClass,
    /// What its values are.
    pub kind: TraitKind,
    /// The question as asked of a scout.
    pub question: String,
    /// Where on the plant.
    pub where_on_plant: String,
    /// What to do with the plant to see it.
    pub how: String,
    /// Time one look takes, seconds.
    pub effort_s: u32,
    /// What it needs beyond eyes and fingers.
    pub needs: Vec<Need>,
    /// Earliest leaf stage at which it can be seen.
    pub from_stage: LeafStage,
    /// Latest leaf stage at which it can be seen, where it vanishes.
    pub until_stage: Option<LeafStage>,
    /// Whether it may decide, or only supports (colour).
    pub decides: bool,
    /// Where it applies only given another trait (ligule edge: where there is a membrane).
    pub applies_to: Option<AppliesTo>,
    /// How often, and as what, a careful scout misreads it.
    pub misread: Misread,
}

impl Trait {
    /// Its states; none for measures and notes.
    pub fn states(&self) -> &[State] {
        match &self.kind {
            TraitKind::States(states) | TraitKind::Ordered(states) => states,
            TraitKind::Measure(_) | TraitKind::Note => &[],
        }
    }

    /// The position of a state.
    pub fn state_index(&self, id: &str) -> Option<usize> {
        self.states().iter().position(|s| s.id == *id)
    }

    /// The measure, for traits that are one.
    pub fn measure(&self) -> Option<&Measure> {
        match &self.kind {
            TraitKind::Measure(measure) => Some(measure),
            _ => None,
        }
    }

    /// Whether it can be seen on a plant of this stage.
    pub fn visible_at(&self, stage: LeafStage) -> bool {
        self.from_stage <= stage && self.until_stage.is_none_or(|last| stage <= last)
    }
}

/// The five classes on which everything hangs, and the rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TraitClass {
    /// Shape of the tiller's base.
    TillerBase,
    /// Where hairs stand, how many, how coarse.
    Hairs,
    /// How the newest leaf comes out.
    Vernation,
    /// The outgrowth where blade meets sheath.
    Ligule,
    /// How the plant holds itself.
    Habit,
    /// Everything else.
    Other,
}

/// What values a trait can take.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TraitKind {
    /// States without order.
    States(Vec<State>),
    /// States from least to most: neighbours are mixed up more easily.
    Ordered(Vec<State>),
    /// A number.
    Measure(Measure),
    /// A remark; kept and shown, never weighed.
    Note,
}

/// A number with its unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Measure {
    /// Unit, such as `mm`.
    pub unit: String,
    /// Smallest sensible value, above 0; less is a slip.
    pub lowest: f64,
    /// Largest sensible value; more is a slip.
    pub highest: f64,
}

/// One state of a trait.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct State {
    /// Id.
    pub id: StateId,
    /// Name for people.
    pub name: String,
    /// What it looks like, one line.
    pub looks: String,
}

/// What a look needs beyond eyes and fingers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Need {
    /// A hand lens, 10x or so.
    Lens,
    /// A trowel: the plant has to be dug.
    Trowel,
    /// The sun or a lamp behind the blade.
    Backlight,
    /// A shoot that may be torn open.
    TornShoot,
}

impl Need {
    /// All, with id and name for people.
    pub const ALL: [(&'static str, Need, &'static str); 4] = [
        ("lens", Need::Lens, "hand lens"),
        ("trowel", Need::Trowel, "trowel"),
        ("backlight", Need::Backlight, "light behind the blade"),
        ("torn_shoot", Need::TornShoot, "a shoot I may tear"),
    ];

    /// Id.
    pub fn id(self) -> &'static str {
        Need::ALL[self as usize].0
    }

    /// Name for people.
    pub fn name(self) -> &'static str {
        Need::ALL[self as usize].2
    }

    /// From an id.
    pub fn from_id(id: &str) -> Option<Need> {
        Need::ALL.iter().find(|(n, ..)| *n == id).map(|n| n.1)
    }
}

/// How far a plant has grown, by what a scout sees at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LeafStage {
    /// One leaf.
    OneLeaf,
    /// Two to four leaves on one shoot.
    FewLeaves,
    /// More than one shoot from the base.
    Tillering,
    /// A head is out or can be felt.
    Heading,
}

impl LeafStage {
    /// All, from youngest, with id and name for people.
    pub const ALL: [(&'static str, LeafStage, &'static str); 4] = [
        ("one_leaf", LeafStage::OneLeaf, "one leaf"),
        ("few_leaves", LeafStage::FewLeaves, "two to four leaves"),
        ("tillering", LeafStage::Tillering, "tillering"),
        ("heading", LeafStage::Heading, "heading"),
    ];

    /// Id.
    pub fn id(self) -> &'static str {
        LeafStage::ALL[self as usize].0
    }

    /// Name for people.
    pub fn name(self) -> &'static str {
        LeafStage::ALL[self as usize].2
    }

    /// From an id.
    pub fn from_id(id: &str) -> Option<LeafStage> {
        LeafStage::ALL.iter().find(|(n, ..)| *n == id).map(|n| n.1)
    }
}

/// A trait applies only where another has one of these states.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AppliesTo {
    /// The other trait.
    pub trait_id: TraitId,
    /// Its states; never empty.
    pub states: Vec<StateId>,
}

/// How often, and as what, a careful scout misreads a trait.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Misread {
    /// Share of looks that end in another state than the true one, 0 to 0.5.
    pub rate: f64,
    /// Pairs of states most often taken for each other.
    pub mixed_up: Vec<(StateId, StateId)>,
    /// States of which it was counted what they are taken for; these shares take the place of
    /// what the rate alone would give.
    pub taken_for: Vec<TakenFor>,
    /// Where these values come from.
    pub source: SourceId,
}

/// How often one state is reported as another.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TakenFor {
    /// What the plant shows.
    pub shown: StateId,
    /// What is reported instead.
    pub said: StateId,
    /// In what share of looks at plants that show it, above 0; all of one state together at
    /// most 0.5.
    pub share: f64,
}

/// Traits whose answers say partly the same: a plant hairy on its sheaths is likely hairy on
/// its blades, whatever its name.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Together {
    /// The traits, two or more.
    pub traits: Vec<TraitId>,
    /// Which part of a further answer of the set was said already, 0 (none) to 1 (all).
    pub overlap: f64,
    /// Where this comes from.
    pub source: SourceId,
}

/// One taxon and all that is recorded of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Taxon {
    /// Id; also the name of its file.
    pub id: TaxonId,
    /// Scientific name without author.
    pub scientific_name: String,
    /// Common name.
    pub common_name: String,
    /// Sown, come by itself, or a weed.
    pub role: Role,
    /// Its group.
    pub group: GroupId,
    /// Facts by trait, in file order. A trait without facts is unknown, not absent.
    pub profile: BTreeMap<TraitId, Vec<Fact>>,
    /// What sources say it is mistaken for.
    pub look_alikes: Vec<LookAlike>,
}

impl Taxon {
    /// The facts on a trait; none means unknown.
    pub fn facts(&self, trait_id: &str) -> &[Fact] {
        self.profile.get(trait_id).map_or(&[], Vec::as_slice)
    }
}

/// What part a taxon plays in a planting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Sown in native plantings.
    Planted,
    /// Native, comes by itself.
    Volunteer,
    /// A weed.
    Weed,
}

/// One thing one source says of one trait of one taxon.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fact {
    /// What it says.
    pub value: FactValue,
    /// Who says it.
    pub source: SourceId,
    /// The age of the plants meant, where the source says so.
    pub plant: Option<PlantAge>,
    /// Remarks for people.
    pub note: Option<String>,
}

/// What a fact says.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FactValue {
    /// The taxon shows this state this often.
    State {
        /// The state.
        state: StateId,
        /// How often.
        often: Often,
    },
    /// The measure lies in this range, in the trait's unit. A low end of 0 means that the
    /// source gives only the upper bound.
    Range {
        /// Low end.
        low: f64,
        /// High end.
        high: f64,
    },
    /// A remark.
    Mark {
        /// What a trained scout looks for.
        mark: String,
        /// How often.
        often: Often,
    },
}

/// How often a taxon shows a state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Often {
    /// In few plants.
    Rarely,
    /// In a good part of plants.
    Sometimes,
    /// In most plants.
    Usually,
    /// In all plants, as far as the source knows.
    Always,
}

impl Often {
    /// The word as files spell it.
    pub fn word(self) -> &'static str {
        match self {
            Often::Rarely => "rarely",
            Often::Sometimes => "sometimes",
            Often::Usually => "usually",
            Often::Always => "always",
        }
    }
}

/// The age of the plants a fact speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PlantAge {
    /// Plants of the first weeks.
    Seedling,
    /// Grown plants, mostly in flower.
    Grown,
}

/// A taxon that this one is mistaken for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LookAlike {
    /// Which.
    pub other: LookAlikeOf,
    /// What separates the two.
    pub separates: String,
    /// Who says so.
    pub source: SourceId,
}

/// A look-alike inside or outside the key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LookAlikeOf {
    /// A taxon of this key.
    Taxon(TaxonId),
    /// A plant that is not in this key, by name.
    Outside(String),
}
