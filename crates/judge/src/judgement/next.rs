//! Weeds, what to do next, and when to look again, each with its sources.

use jiff::civil::Date;
use serde::Serialize;
use standbook_key::standards::{Caution, LifeSpan, Mowing, Situation};

use super::{Cited, Range};
use crate::label::Label;

/// Weeds, the serious ones first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Weeds {
    /// Weeds that stay, most frequent first.
    pub perennial: Vec<WeedFound>,
    /// Weeds that live one year, or mostly so, most frequent first.
    pub annual: Vec<WeedFound>,
    /// Weeds whose span no source gave.
    pub other: Vec<WeedFound>,
    /// Whether the weeds that stay stand in clearly more cells, or are clearly more plants, than
    /// everything planted.
    pub takeover: bool,
}

/// A weed that was found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeedFound {
    /// The label.
    pub label: Label,
    /// Its group in the key; may be empty.
    pub group: String,
    /// How long it lives, where a source says.
    pub span: Option<LifeSpan>,
    /// What laws or programmes say of it; may be empty.
    pub noxious: String,
    /// Share of cells, for the grid most used.
    pub frequency: Option<Range>,
    /// Plants per m2 counted.
    pub density: Option<Range>,
    /// Who says how long it lives.
    pub sources: Vec<Cited>,
}

/// A piece of advice and why it is given here.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Advised {
    /// Id.
    pub id: String,
    /// One line.
    pub name: String,
    /// The advice.
    pub words: String,
    /// What here calls for it.
    pub why: Vec<Situation>,
    /// What to mind.
    pub cautions: Vec<CautionCited>,
    /// What the sources say of mowing, for advice on mowing.
    pub mowing: Vec<MowingCited>,
    /// Who says so.
    pub sources: Vec<Cited>,
}

/// A caution with its source.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CautionCited {
    /// The caution.
    pub caution: Caution,
    /// Who says so.
    pub sources: Vec<Cited>,
}

/// A rule of mowing with its source.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MowingCited {
    /// The rule.
    pub mowing: Mowing,
    /// Who says so.
    pub source: Cited,
}

/// When to look again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LookAgainOn {
    /// Id.
    pub id: String,
    /// The date.
    pub on: Date,
    /// What to look for.
    pub words: String,
    /// Who says so.
    pub sources: Vec<Cited>,
}
