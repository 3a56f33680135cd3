//! What a stand is measured against: thresholds, times, advice, cautions and seed figures,
//! each with its source.
//!
//! In: folders of YAML files, the program's own first, a user's after it; any file may hold
//! any part. Out: [`Standards`] with every reference checked, and a [`Report`] of everything
//! that is wrong, each finding with file, line, column and how to mend it.
//!
//! Units: each figure names the unit of its source; [`ThresholdUnit`] turns it into a share or
//! plants per m2.
//! Source: every entry names one, listed in the `sources` part of its own file.
//! Not here: comparing anything with anything (crate `judge`).

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::fault::Report;
use crate::ids::{SourceId, TaxonId};

mod advice;
mod files;
mod read;
mod read_advice;
mod read_seed;
mod read_thresholds;
mod read_timing;
mod seed;
mod settle;
mod threshold;
mod timing;

pub use advice::{Advice, Caution, LifeSpan, Mowing, Situation, WeedSpan};
pub use files::{StandardFiles, StandardsFolderError};
pub use read::load;
pub use seed::{EmergenceShare, SeedCount, SeedRate, SeedRateUnit};
pub use threshold::{
    ForMixes, Holds, Level, Measure, OfWhat, Part, PlantsCounted, Purpose, Threshold, ThresholdUnit,
};
pub use timing::{LookAgain, LookAgainWhen, MonthDay, Timing, TimingRule, TimingValue};

/// Standards as far as they could be read.
#[derive(Debug, Clone)]
pub struct LoadedStandards {
    /// The standards; `None` when the report holds a fault.
    pub standards: Option<Standards>,
    /// Everything found. File names begin with the folder's name, such as `standards/`.
    pub report: Report,
}

/// Everything a stand is measured against.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Standards {
    /// Every source an entry may name.
    pub sources: BTreeMap<SourceId, StandardSource>,
    /// Thresholds, in the order of files and lines, the program's own first.
    pub thresholds: Vec<Threshold>,
    /// When a stand may fairly be judged; every rule has an entry.
    pub timing: BTreeMap<TimingRule, Timing>,
    /// When to look again.
    pub look_again: Vec<LookAgain>,
    /// What to do next, most pressing first.
    pub advice: Vec<Advice>,
    /// When and how high to mow; the sources disagree.
    pub mowing: Vec<Mowing>,
    /// What to mind.
    pub cautions: Vec<Caution>,
    /// Weeds that live one year, and those that stay.
    pub weed_spans: Vec<WeedSpan>,
    /// Seeds in a pound.
    pub seeds_per_lb: Vec<SeedCount>,
    /// How much of the seed sown becomes plants.
    pub emergence: Vec<EmergenceShare>,
    /// Published rates and targets of seeding.
    pub seed_rates: Vec<SeedRate>,
}

impl Standards {
    /// The source with this id.
    pub fn source(&self, id: &str) -> Option<&StandardSource> {
        self.sources.get(id)
    }

    /// The threshold with this id.
    pub fn threshold(&self, id: &str) -> Option<&Threshold> {
        self.thresholds.iter().find(|t| t.id == id)
    }

    /// The timing rule; always there in standards that were loaded whole.
    pub fn timing(&self, rule: TimingRule) -> Option<&Timing> {
        self.timing.get(&rule)
    }

    /// The caution with this id.
    pub fn caution(&self, id: &str) -> Option<&Caution> {
        self.cautions.iter().find(|c| c.id == id)
    }

    /// Seeds per pound of a taxon, every source, in file order. Sources differ by a third;
    /// the seed tag or a counted sample comes first.
    pub fn seeds_per_lb<'a>(&'a self, taxon: &'a str) -> impl Iterator<Item = &'a SeedCount> {
        self.seeds_per_lb.iter().filter(move |s| s.taxon == *taxon)
    }

    /// How long a weed lives, where a source says.
    pub fn weed_span(&self, taxon: &str) -> Option<&WeedSpan> {
        self.weed_spans.iter().find(|s| s.taxon == *taxon)
    }
}

/// Where an entry comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StandardSource {
    /// Author, year, title, publisher; says what was read of it.
    pub citation: String,
    /// Where it was read; may be none.
    pub url: Option<String>,
    /// What kind of work it is.
    pub kind: SourceKind,
}

/// What kind of work a source is, which a page shows beside what it says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceKind {
    /// A paper, a book, a protocol of a research station.
    Published,
    /// An agency, a university's extension, a law.
    Agency,
    /// A seller of seed or plants.
    Supplier,
    /// Somebody repeating somebody else.
    Secondary,
    /// Worked out here from cited figures.
    Derived,
    /// What the trade does; no source was found.
    CommonPractice,
    /// The local programme or office of whoever wrote a file of their own.
    Local,
}

impl SourceKind {
    /// All, with id and name for people.
    pub const ALL: [(&'static str, SourceKind, &'static str); 7] = [
        ("published", SourceKind::Published, "published research"),
        ("agency", SourceKind::Agency, "agency or extension"),
        ("supplier", SourceKind::Supplier, "seed supplier"),
        ("secondary", SourceKind::Secondary, "second hand"),
        (
            "derived",
            SourceKind::Derived,
            "worked out from cited figures",
        ),
        (
            "common_practice",
            SourceKind::CommonPractice,
            "common practice",
        ),
        ("local", SourceKind::Local, "local rule"),
    ];

    /// Name for people.
    pub fn name(self) -> &'static str {
        SourceKind::ALL[self as usize].2
    }
}

/// The taxa and groups that entries may name.
#[derive(Debug, Clone, Default)]
pub(crate) struct Known {
    pub taxa: BTreeSet<TaxonId>,
    pub groups: BTreeSet<String>,
}
