//! What the engine has as constants, as the phone's table carries it.
//!
//! In: nothing. Out: the limits from which something is said, the words for strengths, and the
//! ids of stages, tools, classes and roles in their order. A script takes them from the table,
//! so no number of the engine is stated a second time where it could be forgotten.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use standbook_key::{LeafStage, Need};

use crate::information::Strength;
use crate::phone::{CLASSES, DIGITS, ROLES};
use crate::{look_next, modelling, outcome, reasons};

/// The limits of the engine, each the constant of that name.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// [`outcome::SETTLED`], 0 to 1.
    pub settled: f64,
    /// [`outcome::LEANING`], 0 to 1.
    pub leaning: f64,
    /// [`outcome::SPLIT`], 0 to 1.
    pub split: f64,
    /// [`outcome::SPLIT_NAMES`].
    pub split_names: usize,
    /// [`outcome::OUTSIDE`], 0 to 1.
    pub outside: f64,
    /// From which share of the rivals' one of them stands for all, 0 to 1.
    pub stands_for_all: f64,
    /// [`look_next::TAP_S`], seconds.
    pub tap_s: f64,
    /// [`look_next::WORTHLESS_BITS`], bits.
    pub worthless_bits: f64,
    /// [`modelling::FEWEST`], answers.
    pub fewest: f64,
    /// [`Strength::FROM`], decibans.
    pub strength: [f64; 3],
}

impl Limits {
    /// Those of this version.
    pub const OURS: Limits = Limits {
        settled: outcome::SETTLED,
        leaning: outcome::LEANING,
        split: outcome::SPLIT,
        split_names: outcome::SPLIT_NAMES,
        outside: outcome::OUTSIDE,
        stands_for_all: reasons::STANDS_FOR_ALL,
        tap_s: look_next::TAP_S,
        worthless_bits: look_next::WORTHLESS_BITS,
        fewest: modelling::FEWEST,
        strength: Strength::FROM,
    };
}

/// Ids and words, each list in its own order: leaf stages from youngest, strengths from weakest;
/// and the digits of cells.
pub(super) fn words() -> Value {
    json!({
        "class": CLASSES,
        "digits": DIGITS,
        "need": Need::ALL.map(|need| need.1),
        "role": ROLES,
        "stage": LeafStage::ALL.map(|stage| stage.1),
        "strength": Strength::ALL.map(Strength::word),
    })
}
