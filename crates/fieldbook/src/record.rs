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
//! Not here: SQL (`store`), estimates (crate `stand`), engines (crate `identify`).

use serde::{Deserialize, Serialize};

use crate::id::RecordId;

/// A record: an envelope around a body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Made where the record is born (phone, laptop); sorts by birth.
    pub id: RecordId,
    /// UTC instant by the clock of the device where it was born, RFC 3339 with
    /// milliseconds, such as `2026-07-14T15:04:05.123Z`. Clocks can be wrong.
    pub born_at: String,
    /// UTC instant when this book first took it in; set by the store, `None` before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub received_at: Option<String>,
    /// Free name of the device, such as `laptop` or `phone of A. Fenn`.
    pub device: String,
    /// The person who entered it.
    pub author: String,
    /// The record of the same kind which this one corrects.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supersedes: Option<RecordId>,
    /// What was entered.
    pub body: Body,
}

/// The kinds of record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Body {
    /// A place with an owner.
    Site(Site),
    /// What was sown there, when and how.
    Planting(Planting),
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
    /// A picture of something recorded.
    Photo(Photo),
}

/// A place with an owner.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// What people call it.
    pub name: String,
    /// County and state, free text.
    pub locality: String,
    /// Owner and what was agreed about access, free text; may be empty.
    pub permission: String,
}

/// What was sown, when and how.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Planting {
    /// The site it is on.
    pub site: RecordId,
    /// What people call it, such as `north forty`.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// Calendar date of sowing, ISO 8601 (`2026-05-12`).
    pub seeded_on: String,
    /// How the seed went in.
    pub method: SeedingMethod,
    /// The species sown, in the order of the seed tag; never empty, no taxon twice.
    pub mix: Vec<MixItem>,
}

/// What a planting is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
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

/// How seed went into the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum SeedingMethod {
    /// In rows, this far apart.
    Drilled {
        /// Row spacing, cm; above 0.
        row_spacing_cm: f64,
    },
    /// Spread over the surface.
    Broadcast,
}

/// One species of a mix.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MixItem {
    /// Taxon id of the key.
    pub taxon: String,
    /// Pure live seed, pounds per acre, as applied; `None` when not known.
    pub pls_lb_per_acre: Option<f64>,
}

/// A part of a planting that is looked at on its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plot {
    /// The planting it is part of.
    pub planting: RecordId,
    /// Its name or number, unique within the planting.
    pub name: String,
    /// What sets it apart (slope, soil, old fence line); may be empty.
    pub note: String,
}

/// A day of field work on a planting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Visit {
    /// The planting visited.
    pub planting: RecordId,
    /// Calendar date, ISO 8601.
    pub on: String,
    /// Who walked; at least one name.
    pub scouts: Vec<String>,
    /// Weather, mowing seen, height of cover; may be empty.
    pub note: String,
}

/// A spot in a plot where something was looked at during a visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// The plot it lies in.
    pub plot: RecordId,
    /// The visit it belongs to.
    pub visit: RecordId,
    /// Its label within the plot and visit, such as `3`.
    pub label: String,
    /// Where, if a fix was taken.
    pub position: Option<Position>,
}

/// A position fix.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// Degrees north, -90 to 90, WGS 84.
    pub latitude: f64,
    /// Degrees east, -180 to 180, WGS 84.
    pub longitude: f64,
    /// Radius in metres that holds the true place, above 0; `None` when not known.
    pub uncertainty_m: Option<f64>,
}

/// One laying of a frame at a point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    /// Where it lay. Frames flipped over at one spot share a point and are one cluster.
    pub point: RecordId,
    /// Its number at that point, from 1; a flip gets the next number.
    pub number: u32,
    /// Who read it.
    pub scout: String,
    /// The device laid.
    pub shape: FrameShape,
    /// What was seen. Empty means: looked, none.
    pub tallies: Vec<Tally>,
    /// Whether the scout went over it a second time for overlooked seedlings.
    pub looked_twice: bool,
}

/// What was laid on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum FrameShape {
    /// A grid whose cells are read as occupied or not.
    Grid {
        /// Number of cells, 1 to 100; the trade's frame has 25.
        cells: u32,
        /// Side of one square cell, cm, above 0; the trade's cell has 15.
        cell_side_cm: f64,
    },
    /// An area in which plants are counted.
    Quadrat {
        /// Area, m2, above 0.
        area_m2: f64,
    },
}

/// One entry of a frame: something in a cell, or a number of plants in a quadrat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tally {
    /// Cell number from 1, row by row from the upper left, for a grid; `None` for a quadrat.
    pub cell: Option<u32>,
    /// What stands there.
    pub what: Counted,
    /// Number of plants, at least 1, for a quadrat; `None` for a grid (present is all it says).
    pub plants: Option<u32>,
}

/// What a tally counts.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Counted {
    /// A taxon of the key, by id.
    Taxon(String),
    /// An unknown of this book; settling it settles the tally.
    Unknown(RecordId),
}

/// A field code for a plant without a name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unknown {
    /// The visit in which it got its number.
    pub visit: RecordId,
    /// `unknown 3`: unique within the visit.
    pub number: u32,
    /// What it looks like, in the scout's words, such as `hairy, flat base`.
    pub description: String,
    /// Where it was first met.
    pub first_seen: RecordId,
}

/// What one plant was taken for, with the whole evidence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PriorUsed {
    /// Every taxon alike.
    Even,
}

/// One answer as given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnswerGiven {
    /// Trait id.
    pub r#trait: String,
    /// What the scout said of it.
    pub value: ValueGiven,
}

/// What a scout said of a trait.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ranked {
    /// Taxon id or `not_in_key`.
    pub taxon: String,
    /// 0 to 1.
    pub probability: f64,
}

/// A second opinion. It adds; it overwrites nothing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opinion {
    /// The determination or unknown it is about.
    pub about: RecordId,
    /// The name given: a taxon id of the key, or `None`: no name of the key.
    pub taxon: Option<String>,
    /// The name in the reviewer's words as far as sure (`Setaria sp.`, `cf. ...`); may be empty
    /// when `taxon` says it all.
    pub name_as_written: String,
    /// Why, in the reviewer's words; may be empty.
    pub reasons: String,
}

/// A picture of something recorded; the file lies beside the book under its hash.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// The record it shows.
    pub of: RecordId,
    /// SHA-256 of the file, 64 hex digits.
    pub sha256: String,
    /// `image/jpeg`, `image/png` or `image/webp`, found from the bytes.
    pub media_type: String,
    /// Size of the file, bytes.
    pub bytes: u64,
    /// Which part it shows, such as `collar`; may be empty.
    pub shows: String,
}
