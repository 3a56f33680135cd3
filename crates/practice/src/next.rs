//! What to practise next.
//!
//! In: the things to practise, each with what it concerns, how much it matters now, and what is
//! remembered of it; what was asked just now. Out: the one to ask.
//!
//! The rule: the worth of asking is how much a thing matters times the chance that it is answered wrongly
//! now. Never the same thing twice in a row; and among things of like worth one that shares a name with
//! what was asked just now goes first, so that look-alikes stand one after the other.
//! Source: spacing and retrieval (Kirchoff and others 2014, plant examinations, 8 to 25 % better);
//! look-alike categories are learned better interleaved than in blocks (Carvalho & Goldstone 2014), and
//! worse when something else lies between the contrasted ones (Birnbaum and others 2013); all from
//! memory, as summed up for this project. How much a shared name counts is a choice (`SHARED`).
//!
//! Not here: drawings and questions.

use crate::memory::Memory;

/// A thing that shares a name with what was asked just now counts this much more. No source; a choice.
const SHARED: f64 = 1.5;

/// Chance of a wrong answer to what was never asked.
const NEVER_ASKED: f64 = 0.5;

/// Something to practise: a trait, or a pair of names.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Id of its own.
    pub id: String,
    /// Names or traits that it concerns.
    pub concerns: Vec<String>,
    /// How much it matters now, above 0: confused by this scout, in the next visit's mix, a hard genus.
    pub matters: f64,
    /// What is remembered of it; `None`: never asked.
    pub memory: Option<Memory>,
}

impl Item {
    /// What asking it is worth on a day.
    fn worth(&self, day: f64) -> f64 {
        let wrong = self
            .memory
            .map_or(NEVER_ASKED, |memory| 1.0 - memory.chance(day));
        self.matters * wrong
    }
}

/// The thing to ask; `None` when there is none but the one asked just now.
pub fn next<'i>(items: &'i [Item], just_asked: Option<&str>, day: f64) -> Option<&'i Item> {
    let last = items
        .iter()
        .find(|item| Some(item.id.as_str()) == just_asked);
    let shares = |item: &Item| {
        last.is_some_and(|last| {
            item.concerns
                .iter()
                .any(|name| last.concerns.contains(name))
        })
    };
    let worth = |item: &Item| item.worth(day) * if shares(item) { SHARED } else { 1.0 };
    items
        .iter()
        .filter(|item| Some(item.id.as_str()) != just_asked)
        // Of like worth the first by id, so that the same state gives the same question.
        .max_by(|a, b| worth(a).total_cmp(&worth(b)).then(b.id.cmp(&a.id)))
}
