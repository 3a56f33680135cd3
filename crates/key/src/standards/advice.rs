//! What to do next, what to mind, when to mow, and which weeds stay.
//!
//! Advice is chosen by situation: the judge finds which situations hold, and every piece of
//! advice names those it is for. Texts live in the YAML files, never in code.
//! Units: mowing heights in inches, as the sources have them; pages show cm beside.
//! Source: every entry names its own.
//! Not here: any product, any rate of anything sprayed.

use serde::Serialize;

use super::threshold::Purpose;
use crate::ids::{SourceId, TaxonId};

/// One piece of advice.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Advice {
    /// Id.
    pub id: String,
    /// One line.
    pub name: String,
    /// The advice in words.
    pub words: String,
    /// Given where one of these holds; never empty.
    pub when: Vec<Situation>,
    /// Kept back where one of these holds.
    pub unless: Vec<Situation>,
    /// Purposes it is for; empty: all.
    pub purposes: Vec<Purpose>,
    /// Growing seasons it is for, 1 for the first; empty: any.
    pub seasons: Vec<u32>,
    /// What to mind, ids of cautions.
    pub cautions: Vec<String>,
    /// Whether the rules of mowing belong beside it.
    pub shows_mowing: bool,
    /// Who says so.
    pub source: SourceId,
    /// Who else says so.
    pub also: Vec<SourceId>,
}

/// Something to mind where the work can hurt someone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Caution {
    /// Id.
    pub id: String,
    /// In words.
    pub words: String,
    /// Who says so.
    pub source: SourceId,
    /// Who else says so.
    pub also: Vec<SourceId>,
}

/// One source's rule of mowing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Mowing {
    /// Id.
    pub id: String,
    /// When to cut, in words.
    pub trigger: String,
    /// Height of growth at which to cut, inches, lowest and highest; `None`: not a height.
    pub at_in: Option<(f64, f64)>,
    /// Height to leave standing, inches, lowest and highest; `None`: not a height.
    pub cut_in: Option<(f64, f64)>,
    /// Height to leave standing, in words.
    pub cut: String,
    /// How often, until when.
    pub how_often: String,
    /// Growing seasons it is for; empty: any.
    pub seasons: Vec<u32>,
    /// Who says so.
    pub source: SourceId,
}

/// How long a weed lives.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeedSpan {
    /// The weed.
    pub taxon: TaxonId,
    /// How long.
    pub span: LifeSpan,
    /// What laws or programmes say of it, in words; may be empty. Lists differ by state and year.
    pub noxious: String,
    /// Who says so.
    pub source: SourceId,
    /// Who else says so, of its span or of its standing in law.
    pub also: Vec<SourceId>,
}

/// How long a plant lives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LifeSpan {
    /// One year or less, winter annuals too.
    Annual,
    /// Some plants one year, some longer.
    ShortLived,
    /// Stays.
    Perennial,
}

/// What may hold of a stand, and call for advice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Situation {
    /// Established for the purpose.
    Established,
    /// Enough plants, before the day on which a verdict is fair.
    EnoughSoFar,
    /// Below the threshold of the purpose.
    Below,
    /// Neither.
    NotDecided,
    /// The visit was before seedlings can be expected.
    BeforeEmergence,
    /// The visit was before a fair verdict is possible.
    BeforeFairDate,
    /// Nothing planted was found.
    NothingFound,
    /// Few plants in the first growing season.
    FewFirstSeason,
    /// Clearly below the threshold in the second season or later.
    BelowLaterSeason,
    /// Annual weeds were found.
    AnnualWeeds,
    /// Perennial weeds were found.
    PerennialWeeds,
    /// Perennial weeds stand in clearly more cells than what was planted, or are clearly more plants.
    PerennialTakeover,
    /// A weed was found that a law of some state names.
    NoxiousListed,
    /// Weeds of any kind were found.
    Weeds,
    /// Unknowns that are not settled keep the verdict open.
    UnknownsDecide,
    /// More spots would narrow the interval enough to decide.
    MoreSpots,
    /// Thresholds of two sources disagree.
    SourcesDisagree,
    /// Two conversions from frequency to density disagree.
    ConversionsDisagree,
    /// The planted grass has fewer leaves than broadleaf treatments wait for.
    TooFewLeaves,
    /// Nobody wrote down how many leaves the planted grass has.
    LeavesNotKnown,
    /// It was sprayed since seeding.
    Sprayed,
    /// It was mown since seeding, so heads and height say little.
    Mown,
    /// A dry spell was noted since seeding.
    Drought,
    /// It was grazed since seeding.
    Grazed,
    /// Established, and meant for wildlife, which too much grass serves badly.
    DenseForWildlife,
    /// Broadleaf plants were sown too.
    ForbsSown,
    /// First growing season.
    FirstSeason,
    /// Second growing season or later.
    LaterSeason,
    /// Seeded late or dormant.
    LateOrDormant,
    /// Holds always.
    Always,
}

impl Situation {
    /// All, with id.
    pub const ALL: [(&'static str, Situation); 30] = [
        ("established", Situation::Established),
        ("enough_so_far", Situation::EnoughSoFar),
        ("below", Situation::Below),
        ("not_decided", Situation::NotDecided),
        ("before_emergence", Situation::BeforeEmergence),
        ("before_fair_date", Situation::BeforeFairDate),
        ("nothing_found", Situation::NothingFound),
        ("few_first_season", Situation::FewFirstSeason),
        ("below_later_season", Situation::BelowLaterSeason),
        ("annual_weeds", Situation::AnnualWeeds),
        ("perennial_weeds", Situation::PerennialWeeds),
        ("perennial_takeover", Situation::PerennialTakeover),
        ("noxious_listed", Situation::NoxiousListed),
        ("weeds", Situation::Weeds),
        ("unknowns_decide", Situation::UnknownsDecide),
        ("more_spots", Situation::MoreSpots),
        ("sources_disagree", Situation::SourcesDisagree),
        ("conversions_disagree", Situation::ConversionsDisagree),
        ("too_few_leaves", Situation::TooFewLeaves),
        ("leaves_not_known", Situation::LeavesNotKnown),
        ("sprayed", Situation::Sprayed),
        ("mown", Situation::Mown),
        ("drought", Situation::Drought),
        ("grazed", Situation::Grazed),
        ("dense_for_wildlife", Situation::DenseForWildlife),
        ("forbs_sown", Situation::ForbsSown),
        ("first_season", Situation::FirstSeason),
        ("later_season", Situation::LaterSeason),
        ("late_or_dormant", Situation::LateOrDormant),
        ("always", Situation::Always),
    ];

    /// Id.
    pub fn id(self) -> &'static str {
        Situation::ALL[self as usize].0
    }
}
