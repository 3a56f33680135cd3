//! The engine's evidence as the book keeps it: the one place where the two meet.
//!
//! In: a table, what was seen, the situation, what the engine says of it. Out: the record.
//! The way back (replaying a record) is in `desk::replay`.

use standbook_fieldbook::record::{AnswerGiven, Evidence as Kept, PriorUsed, Ranked, ValueGiven};
use standbook_identify::evidence::{Evidence, Reading};
use standbook_identify::{Answer, Assessment, Situation, Table};

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
