//! The one next step of the first page, and the dates to look again.
//!
//! In: a judgement. Out: the most pressing advice with its cautions, the next date, and who may do
//! it. The texts are those of the standards; only "who" is worked out here, from the cautions that
//! stand beside the advice.
//! Not here: any product to spray.

use standbook_judge::{Advised, Cited, Judgement, Verdict};

use super::cite::short;
use crate::words::date_words;

/// The next step.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Step {
    /// One line.
    pub name: String,
    /// In words.
    pub words: String,
    /// The next date and what it is for.
    pub when: String,
    /// Who may do it.
    pub who: &'static str,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Who says so, short.
    pub source: String,
}

/// Advice that the first page passes over where the same advice stands further down anyway: it
/// asks for a note, not for work on the field.
const ONLY_A_NOTE: &str = "count_leaves";

/// The same advice without words of statistics, for the first page; `None`: it has none.
fn plainer(id: &str) -> Option<&'static str> {
    match id {
        "more_spots" => Some(
            "The count is too close to call. Frames at more spots would help; more frames at the same spots hardly do.",
        ),
        _ => None,
    }
}

/// The step that comes first.
pub(crate) fn next_step(judgement: &Judgement) -> Option<Step> {
    let advice = &judgement.advice;
    let first = advice
        .iter()
        .find(|one| one.id != ONLY_A_NOTE)
        .or(advice.first())?;
    Some(Step {
        name: first.name.clone(),
        words: plainer(&first.id).map_or_else(|| first.words.clone(), str::to_owned),
        when: when(judgement),
        who: who(first),
        cautions: first
            .cautions
            .iter()
            .map(|caution| caution.caution.words.clone())
            .collect(),
        source: sources(&first.sources),
    })
}

/// The next date: the earliest day to look again.
pub(crate) fn when(judgement: &Judgement) -> String {
    match judgement.look_again.first() {
        Some(next) => format!(
            "Look again on {}. {}",
            date_words(&next.on.to_string()),
            next.words
        ),
        None if judgement.verdict.verdict == Verdict::Established => {
            "No further look is due.".to_owned()
        }
        None => "No date is set; ask the office when to look again.".to_owned(),
    }
}

/// Who may do it, by what has to be minded.
fn who(advice: &Advised) -> &'static str {
    let has = |id: &str| advice.cautions.iter().any(|one| one.caution.id == id);
    if has("licensed") {
        "The owner asks; anything sprayed is for a licensed applicator, by the label and the local rules."
    } else if has("noxious_duty") {
        "The owner, with the county's weed office."
    } else if has("mower") {
        "Whoever runs the mower safely; on enrolled ground only once the office has agreed."
    } else if has("contract") {
        "The owner, together with the office."
    } else if has("permission") {
        "A scout, with the owner's permission."
    } else {
        "The owner, or whoever looks after the field."
    }
}

/// The first source, and whether there are more.
fn sources(cited: &[Cited]) -> String {
    let mut all = cited.iter();
    let Some(first) = all.next() else {
        return String::new();
    };
    match all.len() {
        0 => short(&first.citation),
        n => format!("{} and {n} more", short(&first.citation)),
    }
}
