//! What a book keeps: every kind of record, as plain values.
//!
//! A record is an *envelope* (who, when, on what device, what it corrects) around a
//! *body* of one kind. Bodies hold what a person entered, never what was computed
//! from it. Ids of traits, states and taxa are text here: the book knows no key.
//!
//! Units: lengths in metres (`_m`), centimetres (`_cm`) or millimetres (`_mm`) as the
//! field's name says; rates in pounds of pure live seed per acre; positions in signed
//! decimal degrees (WGS 84).
//!
//! Not here: SQL (`kinds`), estimates (crate `stand`), engines (crate `identify`).

mod event;
mod evidence;
mod field;
mod office;
mod outline;
mod place;
mod plan;
mod practice;
mod review;
mod seed;
mod standard;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use event::{Event, EventKind};
pub use evidence::{AnswerGiven, Determination, Evidence, PriorUsed, Ranked, ValueGiven};
pub use field::{Counted, Frame, FrameShape, PlannedAt, Point, Position, Tally, Unknown, Visit};
pub use office::{Audit, ComeBack, ComeBackReason, Preparation, Voucher};
pub use outline::{Outline, OutlineOf, Polygon};
pub use place::{MixItem, Planting, Plot, Purpose, SeedingMethod, Site};
pub use plan::{Plan, PlanDesign, PlannedPoint, Stopping};
pub use practice::{
    Drill, Practice, PracticeCell, PracticeReading, PracticeRemoval, PracticeSet, ScoutRule,
    SetItem, SetPurpose, SetQuestion, whose,
};
pub use review::{Opinion, Photo, Qualifier};
pub use seed::{NoxiousSeed, SeedLot};
pub use standard::{Standard, StandardMeasure};

use crate::id::RecordId;

/// What the device of a record begins with that came from a file of another program. Such a record
/// was born in the field, on the day of the visit, however much later the file was brought in.
pub const FROM_A_FILE: &str = "file ";

/// What the device of a record begins with that somebody typed in from a sheet of paper, on a later
/// day than that of the visit.
pub const FROM_PAPER: &str = "typed from paper ";

/// Whether a record came from a file or from paper: then no clock says when things were seen.
pub fn is_second_hand(device: &str) -> bool {
    [FROM_A_FILE, FROM_PAPER]
        .iter()
        .any(|begins| device.starts_with(begins))
}

/// A record: an envelope around a body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Made where the record is born (phone, laptop); sorts by birth.
    pub id: RecordId,
    /// UTC instant by the clock of the device where it was born, RFC 3339 with
    /// milliseconds, such as `2026-07-14T15:04:05.123Z`. Clocks can be wrong.
    #[schemars(regex(pattern = r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}Z$"))]
    pub born_at: String,
    /// UTC instant when this book first took it in; set by the store, `None` before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub received_at: Option<String>,
    /// Free name of the device, such as `laptop` or `phone of A. Fenn`.
    #[schemars(length(min = 1, max = 120))]
    pub device: String,
    /// The person who entered it.
    #[schemars(length(min = 1, max = 120))]
    pub author: String,
    /// The record of the same kind which this one corrects.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supersedes: Option<RecordId>,
    /// What was entered.
    pub body: Body,
}

/// The kinds of record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Body {
    /// A place with an owner.
    Site(Site),
    /// What was sown there, when and how.
    Planting(Planting),
    /// Seed of one species that went into a planting, as its tag says.
    SeedLot(SeedLot),
    /// Something done to a planting, or that happened to it.
    Event(Event),
    /// Where a field, a plot or ground to keep out of lies.
    Outline(Outline),
    /// Where to look: points drawn before the walk, and when to stop.
    Plan(Plan),
    /// A threshold that somebody added to those that come with the program.
    Standard(Standard),
    /// A part of a planting that is looked at on its own.
    Plot(Plot),
    /// A day of field work on a planting.
    Visit(Visit),
    /// A spot in a plot where something was looked at during a visit.
    Point(Point),
    /// One laying of a frame or quadrat at a point, with everything counted in it.
    Frame(Frame),
    /// A field code for a plant without a name.
    Unknown(Unknown),
    /// What one plant was taken for, with the whole evidence.
    Determination(Determination),
    /// A second opinion on a determination or an unknown.
    Opinion(Opinion),
    /// A plant that was kept.
    Voucher(Voucher),
    /// A plant to look at again where it stands.
    ComeBack(ComeBack),
    /// Plants drawn to be examined again.
    Audit(Audit),
    /// Questions that a trainer put together.
    PracticeSet(PracticeSet),
    /// One thing answered in practice.
    Practice(Practice),
    /// When a scout's counts need no second reader.
    ScoutRule(ScoutRule),
    /// Somebody's practice is to go.
    PracticeRemoval(PracticeRemoval),
    /// A picture of something recorded.
    Photo(Photo),
}
