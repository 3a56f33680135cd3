//! What scouts practise: answers, sets that a trainer makes, the rule for counting, removal.
//!
//! Units: seconds, minutes; shares and probabilities from 0 to 1.
//! Ids of traits, states and taxa are text, and so is a question: crate `practice` draws it again.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::id::RecordId;

/// One thing answered in practice. It is never corrected, and goes only by a [`PracticeRemoval`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Practice {
    /// Who answered; the envelope's author may be a trainer who typed it in.
    #[schemars(length(min = 1, max = 120))]
    pub scout: String,
    /// What was practised.
    pub drill: Drill,
    /// The question as text: with the same table it is drawn the same again.
    #[schemars(length(min = 1, max = 2000))]
    pub question: String,
    /// Whether the book was open.
    pub with_book: bool,
    /// Id of the key.
    pub key_id: String,
    /// Fingerprint of its compiled table.
    pub table_fingerprint: String,
    /// What the plant is, id of a taxon; `None`: a frame, or only a trait was asked.
    pub taxon: Option<String>,
    /// The other one of a pair.
    pub against: Option<String>,
    /// What she called it; `None`: nothing, or she could not tell.
    pub named: Option<String>,
    /// The trait that she named as deciding.
    pub by: Option<String>,
    /// Traits that she looked at, in order.
    pub readings: Vec<PracticeReading>,
    /// Cells of a frame in which something stood, or was marked; each once.
    pub cells: Vec<PracticeCell>,
    /// From the question to the answer; `None`: not known.
    pub seconds: Option<f64>,
    /// The set that it belongs to.
    pub of_set: Option<SetItem>,
}

/// What is practised.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Drill {
    /// Which state of a trait is seen.
    SeeTrait,
    /// Two look-alikes side by side: which is which.
    TellPair,
    /// What a plant is.
    NameIt,
    /// In which cells of a drawn frame something stands.
    CountFrame,
}

/// A trait that was looked at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PracticeReading {
    /// The trait.
    pub trait_id: String,
    /// The state that the plant has.
    pub shown: String,
    /// The state that she reported; `None`: she could not tell.
    pub reported: Option<String>,
}

/// A cell of a drawn frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PracticeCell {
    /// 1 to 25, row by row.
    #[schemars(range(min = 1, max = 25))]
    pub cell: u32,
    /// Whether a planted grass stood in it.
    pub planted: bool,
    /// Whether something else did.
    pub other: bool,
    /// Whether she marked it as holding a planted grass.
    pub marked_planted: bool,
    /// Whether she marked it as holding something else.
    pub marked_other: bool,
}

/// A question of a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetItem {
    /// The set, in the version that was answered.
    pub set: RecordId,
    /// From 1.
    #[schemars(range(min = 1))]
    pub item: u32,
}

/// What a trainer puts together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PracticeSet {
    /// What it is called.
    #[schemars(length(min = 1, max = 120))]
    pub title: String,
    /// What it is for.
    pub purpose: SetPurpose,
    /// The planting whose grasses it asks about.
    pub planting: Option<RecordId>,
    /// The visit whose plants it asks about.
    pub visit: Option<RecordId>,
    /// Time allowed, minutes, above 0; `None`: not timed.
    pub minutes: Option<f64>,
    /// The questions, in order; at least one.
    pub questions: Vec<SetQuestion>,
}

/// What a set is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SetPurpose {
    /// Learning: feedback after each answer.
    Drill,
    /// Finding out what a scout can do: feedback at the end.
    FieldTest,
    /// Finding out whether a crew sees the same: everybody counts the same frames, feedback at the end.
    SameFrames,
}

/// A question of a set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetQuestion {
    /// As text, as in [`Practice::question`].
    #[schemars(length(min = 1, max = 2000))]
    pub question: String,
    /// Whether the book may be open.
    pub with_book: bool,
}

/// When a scout's counts of a planting are taken without a second reader.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScoutRule {
    /// The planting.
    pub planting: RecordId,
    /// Hit rate on planted or not that is to be reached, a share strictly between 0 and 1.
    pub at_least: f64,
    /// How sure that has to be, a probability strictly between 0 and 1; 0.8: the lower 80 % limit.
    pub sure: f64,
    /// Whether answers given with the book open count too.
    pub with_book: bool,
    /// Whether counts are also shown as corrected by what the scouts' practice says of wrong names.
    pub own_rates: bool,
    /// Whether it was taken back: then nothing is required, whatever the other fields say.
    pub withdrawn: bool,
}

/// Somebody's practice is to go, from this book and from every book that this record comes into.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PracticeRemoval {
    /// Whose, as [`whose`] gives it: the removal does not keep the name.
    pub whose: String,
    /// Everything born at this instant or before goes; RFC 3339 in UTC with milliseconds.
    pub until: String,
    /// Practice of the same person that a clock gone wrong dates later.
    pub also: Vec<RecordId>,
}

/// What a removal knows a person by: the SHA-256 of the name, apart from capitals and the spaces around,
/// 64 hex digits. Whoever guesses the name finds it again: it is no secret, only no name.
pub fn whose(name: &str) -> String {
    crate::photo::hex(&Sha256::digest(name.trim().to_lowercase().as_bytes()))
}
