//! Replays a determination with the key of today, and says what speaks for and against.
//!
//! In: the evidence as kept. Out: what the book said then and what it says now; whether they are
//! the same to 1e-9; the answers that the key of today can't take; For and Against.
//!
//! Same table fingerprint: the same result is promised, and checked here all the same.

use standbook_fieldbook::record::{AnswerGiven, Evidence as Kept, ValueGiven};
use standbook_identify::evidence::Reading;
use standbook_identify::reasons::{Reason, reasons};
use standbook_identify::{Assessment, CANNOT_TELL, Evidence, Outcome, Planted, assess, parse};

use crate::app::App;
use crate::stand::name::taxon_name;
use crate::words::{outcome_words, percent};

/// How far probabilities may differ and still be the same (rounding in the last bits).
const SAME: f64 = 1e-9;

/// Names shown of a ranking.
const SHOWN: usize = 3;

/// What the book said at one time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Said {
    /// Outcome in words.
    pub outcome: String,
    /// The likeliest names with their probability.
    pub names: Vec<(String, String)>,
}

/// One answer's say.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Say {
    /// `tiller base: round`.
    pub seen: String,
    /// `clearly`.
    pub strength: &'static str,
    /// Weight of evidence, decibans, without sign.
    pub decibans: String,
    /// Whether another answer implies it.
    pub implied: bool,
}

/// An answer in words.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Seen {
    /// The question.
    pub question: String,
    /// What was answered.
    pub answer: String,
}

/// A replayed determination.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Replay {
    /// Whether the table is the one used then.
    pub same_table: bool,
    /// Whether the outcome and every probability are the same.
    pub same_result: bool,
    /// What was said then.
    pub then: Said,
    /// What is said now.
    pub now: Said,
    /// Answers that the key of today can't take, with the reason.
    pub lost: Vec<String>,
    /// The leading name.
    pub leading: String,
    /// Its nearest rival.
    pub rival: String,
    /// What speaks for the leading name, strongest first.
    pub pro: Vec<Say>,
    /// What speaks against it.
    pub contra: Vec<Say>,
}

/// A value as [`parse`] reads it.
fn text(value: &ValueGiven) -> String {
    match value {
        ValueGiven::States(states) => states.join("|"),
        ValueGiven::Measure(number) => number.to_string(),
        ValueGiven::CannotTell => CANNOT_TELL.to_owned(),
    }
}

/// Replays the evidence.
pub(super) fn replay(app: &App, kept: &Kept) -> Replay {
    let mut evidence = Evidence::default();
    let mut lost = Vec::new();
    for given in &kept.answers {
        match parse(&app.key, &app.table, &given.r#trait, &text(&given.value)) {
            Ok(Some(answer)) => evidence.add(answer),
            // A remark; never weighed.
            Ok(None) => {}
            Err(fault) => {
                let seen = in_words(app, given);
                lost.push(format!("{}: {} ({fault})", seen.question, seen.answer));
            }
        }
    }
    // Names and outcome do not hang on what is planted; only the count's answer does.
    let said = assess(&app.table, &evidence, Planted::ByRole);
    let same_table =
        kept.key == app.table.key_id && kept.table_fingerprint == app.table.fingerprint;
    let (leading, rival) = leaders(app, &said);
    let (mut pro, mut contra) = (Vec::new(), Vec::new());
    if let (Some(leading), Some(rival)) = (leading, rival) {
        for reason in reasons(&said, leading, rival) {
            // Under a tenth of a deciban there is nothing to say.
            match reason.decibans {
                d if d > 0.1 => pro.push(say(app, &reason)),
                d if d < -0.1 => contra.push(say(app, &reason)),
                _ => {}
            }
        }
    }
    let name = |row: Option<usize>| {
        row.map_or_else(String::new, |row| {
            taxon_name(app, app.table.rows[row].id.as_str()).common
        })
    };
    Replay {
        same_table,
        same_result: lost.is_empty() && is_same(app, kept, &said),
        then: Said {
            outcome: outcome_words(&kept.outcome),
            names: kept
                .ranking
                .iter()
                .take(SHOWN)
                .map(|r| (taxon_name(app, &r.taxon).common, percent(r.probability)))
                .collect(),
        },
        now: Said {
            outcome: outcome_words(said.outcome.id()),
            names: said
                .ranking
                .iter()
                .take(SHOWN)
                .map(|(row, p)| (name(Some(*row)), percent(*p)))
                .collect(),
        },
        lost,
        leading: name(leading),
        rival: name(rival),
        pro,
        contra,
    }
}

/// The best taxon, and the best of the rest (which may be *not in this key*).
fn leaders(app: &App, said: &Assessment) -> (Option<usize>, Option<usize>) {
    let rows = || said.ranking.iter().map(|(row, _)| *row);
    // Where the plant is said to be outside the key, that is what is argued for.
    let leading = match said.outcome {
        Outcome::NotInThisKey => app.table.not_in_key(),
        _ => rows().find(|row| Some(*row) != app.table.not_in_key()),
    };
    (leading, rows().find(|row| Some(*row) != leading))
}

fn is_same(app: &App, kept: &Kept, said: &Assessment) -> bool {
    kept.outcome == said.outcome.id()
        && kept.ranking.len() == said.posterior.len()
        && kept.ranking.iter().all(|ranked| {
            app.table
                .row_index(&ranked.taxon)
                .is_some_and(|row| (said.posterior[row] - ranked.probability).abs() <= SAME)
        })
}

fn say(app: &App, reason: &Reason) -> Say {
    let columns = &app.table.traits[reason.answer.trait_index];
    let known = app.key.trait_by_id(columns.id.as_str());
    let name = known.map_or(columns.id.as_str(), |t| t.name.as_str());
    let seen = match &reason.answer.reading {
        Reading::CannotTell => "can't tell".to_owned(),
        Reading::Measure(number) => {
            format!("{number} {}", columns.unit.as_deref().unwrap_or_default())
        }
        Reading::States(states) => states
            .iter()
            .filter_map(|&state| {
                let id = columns.states.get(state)?.as_str();
                let state = known?.states().iter().find(|s| s.id == *id)?;
                Some(state.name.as_str())
            })
            .collect::<Vec<_>>()
            .join(" or "),
    };
    Say {
        seen: format!("{name}: {seen}"),
        strength: reason.strength().word(),
        decibans: format!("{:.1}", reason.decibans.abs()),
        implied: reason.implied,
    }
}

/// An answer in the trait's words; ids where the key of today has no words for them.
pub(super) fn in_words(app: &App, given: &AnswerGiven) -> Seen {
    let known = app.key.trait_by_id(&given.r#trait);
    let answer = match &given.value {
        ValueGiven::CannotTell => "looked, could not tell".to_owned(),
        ValueGiven::Measure(number) => {
            let unit = known
                .and_then(|t| t.measure())
                .map_or("", |m| m.unit.as_str());
            format!("{number} {unit}").trim().to_owned()
        }
        ValueGiven::States(states) => states
            .iter()
            .map(|id| {
                let state = known.and_then(|t| t.states().iter().find(|s| s.id == *id.as_str()));
                state.map_or(id.as_str(), |s| s.name.as_str())
            })
            .collect::<Vec<_>>()
            .join(" or "),
    };
    Seen {
        question: known.map_or_else(|| given.r#trait.clone(), |t| t.question.clone()),
        answer,
    }
}
