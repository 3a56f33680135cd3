//! What is judged: one visit to one planting.
//!
//! Units: areas m2, lengths m, rates lb of pure live seed per acre; dates of the calendar.
//! Not here: where any of it is kept.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use serde::Serialize;
use standbook_key::standards::{PlantsCounted, Purpose, Threshold};
use standbook_stand::confidence::Confidence;
use standbook_stand::misnaming::Checked;
use standbook_stand::sequential::StopRule;
use standbook_stand::summary::Reading;

use crate::label::{About, Label};

/// One visit to one planting, with everything a verdict needs.
#[derive(Debug, Clone)]
pub struct Case {
    /// The day on which it is judged: dates after it are noted as wrong.
    pub today: Date,
    /// The day of seeding.
    pub seeded_on: Date,
    /// The day of the visit.
    pub visited_on: Date,
    /// What the planting is for.
    pub purpose: Purpose,
    /// Whether it is watered; `None`: not said, and taken as dryland.
    pub irrigated: Option<bool>,
    /// Two-letter state, or what people wrote; may be empty.
    pub state: String,
    /// What was sown; may be empty when not known.
    pub mix: Vec<Sown>,
    /// Whether broadleaf plants (forbs) were sown too; `None`: not said.
    pub forbs_sown: Option<bool>,
    /// What is known of the labels. A taxon of the mix that is missing here counts as planted, any
    /// other taxon as a weed of no group, an unknown as unsettled.
    pub labels: BTreeMap<Label, About>,
    /// What was laid and seen. Blind repeats do not belong here but in `double_reads`.
    pub readings: Vec<Laid>,
    /// Parts of the field with their own areas; empty: the field is one.
    pub strata: Vec<Stratum>,
    /// Frames read again by another scout who had not seen the first reading.
    pub double_reads: Vec<DoubleRead>,
    /// Plants whose name was checked by a second person.
    pub audits: Vec<Audit>,
    /// Whether they were drawn at random before anybody looked; those picked for their doubt make names
    /// look worse than they are.
    pub audits_drawn: bool,
    /// What those who counted called specimens of known name in practice; `None` where nobody asked for a
    /// correction by it. Drawn plants go before it.
    pub specimens: Option<Specimens>,
    /// What was done or happened since seeding, in any order.
    pub events: Vec<Event>,
    /// Leaves seen on the planted grasses, if somebody wrote it down.
    pub leaves: Option<Leaves>,
    /// What the counts are of.
    pub counted: PlantsCounted,
    /// Thresholds that somebody entered for this book; they go before the shipped ones.
    pub local: Vec<Threshold>,
    /// A rule set before the first frame that says when enough has been seen.
    pub stopping: Option<Stopping>,
    /// How sure the intervals are to be.
    pub confidence: Confidence,
}

/// One species of the mix.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sown {
    /// Taxon id.
    pub taxon: String,
    /// Pure live seed applied, lb per acre, above 0; `None` when not known.
    pub pls_lb_per_acre: Option<f64>,
    /// Seeds in a pound by its own tag or sample, above 0; `None`: the published figures serve.
    pub seeds_per_lb: Option<f64>,
}

/// One laying of a frame, and who read it.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// What was laid where, and what was found. A row comes as a quadrat of length x spacing.
    pub reading: Reading<String, Label>,
    /// Who read it; may be empty.
    pub scout: String,
    /// Whether the scout went over it a second time for overlooked seedlings.
    pub looked_twice: bool,
    /// The row that the quadrat stands for, if it was one.
    pub row: Option<RowLaid>,
}

/// A length of drilled row.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RowLaid {
    /// Length, m, above 0.
    pub length_m: f64,
    /// Distance between rows, m, above 0.
    pub spacing_m: f64,
}

/// A part of the field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stratum {
    /// Its name.
    pub name: String,
    /// Its area, m2, above 0; `None` when not known, and then parts are not weighed.
    pub area_m2: Option<f64>,
    /// The spots in it.
    pub spots: BTreeSet<String>,
}

/// One frame, read by two scouts.
#[derive(Debug, Clone, PartialEq)]
pub struct DoubleRead {
    /// The spot.
    pub spot: String,
    /// The first scout.
    pub first_scout: String,
    /// The second.
    pub second_scout: String,
    /// What the first saw.
    pub first: standbook_stand::summary::Seen<Label>,
    /// What the second saw.
    pub second: standbook_stand::summary::Seen<Label>,
}

/// A plant whose name was checked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Audit {
    /// What the scout called it.
    pub called: Label,
    /// What it turned out to be.
    pub truth: Label,
}

/// Specimens of known name, drawn ones for the most part, as those who counted named them in practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Specimens {
    /// Of what was sown; `right`: called so, whichever of the mix she said.
    pub planted: Checked,
    /// Of everything else; `right`: not called planted.
    pub other: Checked,
    /// Scouts who counted and answered in practice.
    pub scouts: usize,
    /// Scouts who counted.
    pub of_scouts: usize,
}

/// Something done to the planting, or that happened to it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Event {
    /// When.
    pub on: Date,
    /// What.
    pub what: Happened,
}

/// What was done or happened.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Happened {
    /// Cut.
    Mowed {
        /// Height left standing, cm.
        height_cm: Option<f64>,
    },
    /// Sprayed.
    Sprayed {
        /// Hours until people may go in, as the label says; `None` when not known.
        entry_after_h: Option<f64>,
        /// Days until grazing or haying is allowed, as the label says; `None` when not known.
        graze_after_days: Option<f64>,
    },
    /// Rain worth noting.
    Rain {
        /// Millimetres; `None` when not measured.
        mm: Option<f64>,
    },
    /// A dry spell began.
    Drought,
    /// Stock were in.
    Grazed,
    /// Burned.
    Burned,
    /// Seeded again.
    Overseeded,
    /// Something else.
    Other,
}

/// Leaves of the planted grasses.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Leaves {
    /// Fewest leaves seen on a planted seedling.
    pub fewest: u32,
    /// Most leaves seen on one.
    pub most: u32,
}

/// A rule that says when enough has been seen.
#[derive(Debug, Clone)]
pub struct Stopping {
    /// The rule.
    pub rule: StopRule,
    /// The place of every spot in the order set before the walk, from 1.
    pub places: BTreeMap<String, u32>,
}
