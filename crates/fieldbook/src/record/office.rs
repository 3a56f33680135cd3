//! What the office keeps about plants: specimens, plants to come back to, draws for an audit.
//!
//! Units: positions in degrees, radius in metres; shares from 0 to 1.
//! Not here: opinions (`review`).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Position;
use crate::id::RecordId;

/// A plant that was kept. Collector and number together are what herbaria call it by; the fields are
/// those of a specimen label (common practice of herbaria).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Voucher {
    /// The determination or unknown whose plant it is.
    pub about: RecordId,
    /// Who collected it.
    pub collector: String,
    /// The collector's number, unique for that collector.
    pub number: String,
    /// Calendar date, ISO 8601.
    pub collected_on: String,
    /// How it is kept.
    pub preparation: Preparation,
    /// What was collected, such as `two tillers with roots`; may be empty.
    pub parts: String,
    /// Where it is now; empty: not said.
    pub kept_at: String,
    /// What grows there and on what ground; may be empty.
    pub habitat: String,
    /// What grew beside it; may be empty.
    pub associates: String,
    /// How it held itself; may be empty.
    pub habit: String,
    /// How many there were; may be empty.
    pub abundance: String,
    /// What is lost on drying, such as colours; may be empty.
    pub fading: String,
}

/// How a specimen is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Preparation {
    /// Pressed flat.
    Pressed,
    /// Dried loose, as in a paper bag.
    Dried,
    /// Growing on in a pot.
    Living,
    /// In alcohol.
    InSpirit,
}

/// A plant to look at again where it stands. What it turned out to be is an opinion.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ComeBack {
    /// The determination or unknown whose plant it is.
    pub about: RecordId,
    /// Calendar date from which it is worth going, ISO 8601.
    pub due_on: String,
    /// What is waited for.
    pub reason: ComeBackReason,
    /// How it is marked on the ground; may be empty.
    pub pin: String,
    /// Where it stands; `None`: as its point.
    pub position: Option<Position>,
    /// Calendar date on which somebody went; `None`: still due.
    pub seen_on: Option<String>,
    /// What was found then, or why nothing was; may be empty while it is due.
    pub found: String,
}

/// What is waited for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ComeBackReason {
    /// Until it heads.
    Heading,
    /// Until it comes up again in spring.
    GreenUp,
    /// Something else; the pin's note says what.
    Other,
}

/// Plants of a visit drawn at random to be examined again, before anybody did: what they show holds for
/// all plants of the visit, as what was picked for its doubt does not.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Audit {
    /// The visit.
    pub visit: RecordId,
    /// Share of the plants asked for, above 0, at most 1.
    pub share: f64,
    /// Seed of the draw.
    pub draw_seed: u32,
    /// Determinations that it was drawn from.
    pub plants: u32,
    /// Determinations drawn, in the order drawn.
    pub drawn: Vec<RecordId>,
}
