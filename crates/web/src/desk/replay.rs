//! Replays a determination with the key of today, and says what speaks for and against.
//!
//! In: the evidence as kept. Out: what the book said then and what it says now; whether they are
//! the same; the answers that the key of today can't take; For and Against.
//! Not here: the weighing itself (`evidence::again`).

use standbook_fieldbook::record::{AnswerGiven, Evidence as Kept, ValueGiven};
use standbook_identify::evidence::Reading;
use standbook_identify::reasons::{Reason, reasons};
use standbook_identify::{Assessment, Outcome};

use crate::app::App;
use crate::evidence::{Again, again};
use crate::stand::name::taxon_name;
use crate::words::{outcome_words, percent};

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
    /// Where the two stand side by side, if both are taxa.
    pub pair: Option<String>,
    /// What speaks for the leading name, strongest first.
    pub pro: Vec<Say>,
    /// What speaks against it.
    pub contra: Vec<Say>,
}

/// Replays the evidence.
pub(super) fn replay(app: &App, kept: &Kept) -> Replay {
    let Again {
        said,
        lost,
        same_table,
        same_result,
    } = again(&app.key, &app.table, kept);
    let lost = lost.into_iter().map(|(given, fault)| {
        let seen = in_words(app, given);
        format!("{}: {} ({fault})", seen.question, seen.answer)
    });
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
    let id = |row: Option<usize>| {
        let row = row.filter(|row| Some(*row) != app.table.not_in_key())?;
        Some(app.table.rows[row].id.to_string())
    };
    let pair = id(leading).zip(id(rival));
    Replay {
        pair: pair.map(|(one, other)| format!("/key/{one}/or/{other}")),
        same_table,
        same_result,
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
        lost: lost.collect(),
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
