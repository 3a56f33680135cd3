//! The engine's evidence as the book keeps it: the one place where the two meet.
//!
//! In: a table, what was seen, the situation, what the engine says of it. Out: the record. And the
//! way back: a record, weighed again by the key of today.

use standbook_fieldbook::record::{AnswerGiven, Evidence as Kept, PriorUsed, Ranked, ValueGiven};
use standbook_identify::evidence::{Evidence, Reading};
use standbook_identify::{
    Answer, Assessment, CANNOT_TELL, Planted, Situation, Table, assess, parse,
};
use standbook_key::Key;

/// How far probabilities may differ and still be the same (rounding in the last bits).
const SAME: f64 = 1e-9;

/// A record's evidence, weighed again.
pub struct Again<'k> {
    /// What is said now.
    pub said: Assessment,
    /// Answers that the key of today can't take, with the reason.
    pub lost: Vec<(&'k AnswerGiven, String)>,
    /// Whether the table is the one used then.
    pub same_table: bool,
    /// Whether the outcome and every probability are the same.
    pub same_result: bool,
}

/// Weighs a record's evidence again. Same table: the same result is promised, and compared here
/// all the same.
pub fn again<'k>(key: &Key, table: &Table, kept: &'k Kept) -> Again<'k> {
    let mut evidence = Evidence::default();
    let mut lost = Vec::new();
    for given in &kept.answers {
        match parse(key, table, &given.r#trait, &text(&given.value)) {
            Ok(Some(answer)) => evidence.add(answer),
            // A remark; never weighed.
            Ok(None) => {}
            Err(fault) => lost.push((given, fault.to_string())),
        }
    }
    // Names and outcome do not hang on what is planted; only the count's answer does.
    let said = assess(table, &evidence, Planted::ByRole);
    Again {
        same_table: kept.key == table.key_id && kept.table_fingerprint == table.fingerprint,
        same_result: lost.is_empty() && is_same(table, kept, &said),
        lost,
        said,
    }
}

/// A value as [`parse`] reads it.
fn text(value: &ValueGiven) -> String {
    match value {
        ValueGiven::States(states) => states.join("|"),
        ValueGiven::Measure(number) => number.to_string(),
        ValueGiven::CannotTell => CANNOT_TELL.to_owned(),
    }
}

fn is_same(table: &Table, kept: &Kept, said: &Assessment) -> bool {
    kept.outcome == said.outcome.id()
        && kept.ranking.len() == said.posterior.len()
        && kept.ranking.iter().all(|ranked| {
            table
                .row_index(&ranked.taxon)
                .is_some_and(|row| (said.posterior[row] - ranked.probability).abs() <= SAME)
        })
}

/// Weighs what was seen, as the walk does: names and outcome do not hang on what is planted.
pub fn weighed(table: &Table, evidence: &Evidence, situation: &Situation) -> Kept {
    record_of(
        table,
        evidence,
        situation,
        &assess(table, evidence, Planted::ByRole),
    )
}

/// What was seen and what the engine says of it, by ids: enough to say it again.
pub fn record_of(
    table: &Table,
    evidence: &Evidence,
    situation: &Situation,
    said: &Assessment,
) -> Kept {
    let mut tools: Vec<String> = situation
        .tools
        .iter()
        .map(|tool| tool.id().to_owned())
        .collect();
    tools.sort();
    Kept {
        key: table.key_id.clone(),
        table_fingerprint: table.fingerprint.clone(),
        leaf_stage: situation.leaf_stage.id().to_owned(),
        tools,
        prior: PriorUsed::Even,
        answers: evidence
            .answers()
            .iter()
            .map(|answer| given(table, answer))
            .collect(),
        outcome: said.outcome.id().to_owned(),
        ranking: said
            .ranking
            .iter()
            .map(|(row, probability)| Ranked {
                taxon: table.rows[*row].id.to_string(),
                probability: *probability,
            })
            .collect(),
    }
}

fn given(table: &Table, answer: &Answer) -> AnswerGiven {
    let columns = &table.traits[answer.trait_index];
    AnswerGiven {
        r#trait: columns.id.to_string(),
        value: match &answer.reading {
            Reading::CannotTell => ValueGiven::CannotTell,
            Reading::Measure(value) => ValueGiven::Measure(*value),
            Reading::States(states) => ValueGiven::States(
                states
                    .iter()
                    .map(|&state| columns.states[state].to_string())
                    .collect(),
            ),
        },
    }
}
