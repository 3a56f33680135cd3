//! Determinations: what one plant was taken for, with the whole evidence.
//!
//! Ids of traits, states and taxa are those of the key named; measures are in the trait's unit.
//! Not here: what they mean (crate `key`), and how a ranking is made (crate `identify`).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::id::RecordId;

/// What one plant was taken for, with the whole evidence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Determination {
    /// Where the plant stood; the point names plot and visit.
    pub point: RecordId,
    /// Cell of the frame, from 1, if it stood in one.
    pub cell: Option<u32>,
    /// The unknown this walk was made for, if any.
    pub unknown: Option<RecordId>,
    /// The name the scout settled for: a taxon id, or `None` for *no name*.
    pub taxon: Option<String>,
    /// The scout's words; may be empty.
    pub note: String,
    /// What was seen and what the engine said of it.
    pub evidence: Evidence,
}

/// What was seen on a plant and what the engine said of it: enough to say it again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// Id of the key used.
    pub key: String,
    /// Fingerprint of the compiled table, hex.
    pub table_fingerprint: String,
    /// Leaf stage given, as an id of the engine (`seedling`, `tillering` ...).
    pub leaf_stage: String,
    /// Tools in hand, ids of the engine, sorted.
    pub tools: Vec<String>,
    /// Whether the shown names leaned on a prior from the planted mix.
    pub prior: PriorUsed,
    /// Answers in the order given.
    pub answers: Vec<AnswerGiven>,
    /// Outcome id the engine gave (`settled`, `leaning`, `split_between`,
    /// `not_in_this_key`, `too_little_seen`).
    pub outcome: String,
    /// Every taxon and `not_in_key` with its probability, best first; sums to 1.
    pub ranking: Vec<Ranked>,
}

/// The prior behind a ranking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PriorUsed {
    /// Every taxon alike.
    Even,
}

/// One answer as given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AnswerGiven {
    /// Trait id.
    pub r#trait: String,
    /// What the scout said of it.
    pub value: ValueGiven,
}

/// What a scout said of a trait.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ValueGiven {
    /// One state, or several where both were seen or she wavers.
    States(Vec<String>),
    /// A measure in the trait's unit.
    Measure(f64),
    /// Looked, and could not tell.
    CannotTell,
}

/// One line of a ranking.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ranked {
    /// Taxon id or `not_in_key`.
    pub taxon: String,
    /// 0 to 1.
    pub probability: f64,
}
