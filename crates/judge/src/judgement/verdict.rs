//! The verdict over all thresholds, how firm it is, and what it rests on.

use serde::Serialize;

/// One of three.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The whole interval lies at or above the threshold.
    Established,
    /// The whole interval lies below the threshold.
    Below,
    /// Neither.
    NotDecided,
}

impl Verdict {
    /// In plain words.
    pub fn phrase(self) -> &'static str {
        match self {
            Verdict::Established => "established for this purpose",
            Verdict::Below => "below the threshold for this purpose",
            Verdict::NotDecided => "not decided",
        }
    }

    /// What two ends of a range say together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        if self == other {
            self
        } else {
            Self::NotDecided
        }
    }
}

/// The verdict over all thresholds.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Overall {
    /// The verdict.
    pub verdict: Verdict,
    /// What the counts alone would say, whatever the day.
    pub so_far: Verdict,
    /// How firm it is.
    pub firmness: Firmness,
    /// Why it is so.
    pub because: Because,
    /// What kind of comparison it rests on; `None`: nothing could be compared.
    pub rests_on: Option<RestsOn>,
    /// Ids of the thresholds of that kind, all of which had a say.
    pub decided_by: Vec<String>,
    /// Pairs of thresholds, one of which says established and the other below.
    pub disagreements: Vec<Disagreement>,
    /// Whether conversions from frequency to density say different things of one threshold.
    pub conversions_disagree: bool,
}

/// How firm a verdict is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Firmness {
    /// It may be given.
    Fair,
    /// The day is early: to be counted again from the fair date on.
    Provisional,
    /// It is kept back: the day is too early to call anything failed.
    Withheld,
}

/// Why a verdict is as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Because {
    /// All that had a say agree.
    AllAgree,
    /// At least one interval straddles its threshold, or has no limits.
    Straddles,
    /// It would be decided if the unknowns were settled one way.
    Unknowns,
    /// Two thresholds contradict each other.
    SourcesDisagree,
    /// Two conversions contradict each other.
    ConversionsDisagree,
    /// Seedlings cannot be expected yet.
    BeforeEmergence,
    /// Nothing was found, and it is too early for that to say something.
    ZeroTooEarly,
    /// Few were found, and it is too early to call that failed.
    BelowTooEarly,
    /// The visit lies before the seeding.
    DatesWrong,
    /// No threshold for this purpose fits what was measured.
    NoThreshold,
    /// No frame was laid.
    NothingLaid,
}

/// What kind of comparison a verdict rests on. Earlier ones go before later ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RestsOn {
    /// A threshold of one's own, measured as it asks.
    Own,
    /// A published threshold, measured as it asks.
    Measured,
    /// A published threshold for stands of one species, borrowed for a mix, measured as it asks.
    Borrowed,
    /// A threshold of one's own in plants per m2, by conversion from frequency.
    OwnConverted,
    /// A published threshold in plants per m2, by conversion from frequency.
    Converted,
    /// A borrowed threshold in plants per m2, by conversion from frequency.
    BorrowedConverted,
}

/// Two thresholds that contradict each other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Disagreement {
    /// Id of the threshold that says established.
    pub established: String,
    /// By what.
    pub established_by: String,
    /// Id of the threshold that says below.
    pub below: String,
    /// By what.
    pub below_by: String,
}
