//! The engine's evidence as the book keeps it: the one place where the two meet.
//!
//! In: a table, what was seen, the situation, what the engine says of it. Out: the record. And the
//! way back: a record, weighed again by the key of today; what another program sends as a record,
//! held against what the engine says itself.

use standbook_fieldbook::record::{AnswerGiven, Evidence as Kept, PriorUsed, Ranked, ValueGiven};
use standbook_identify::evidence::{Evidence, Reading};
use standbook_identify::{
    Answer, AnswerFault, Assessment, CANNOT_TELL, Planted, Situation, Table, assess, parse,
};
use standbook_key::{Key, LeafStage, Need};

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

/// What is wrong with evidence that another program sends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// The field of the evidence, such as `answers[2].value` (items are counted from 0).
    pub field: String,
    /// What is wrong.
    pub problem: String,
    /// How to mend it.
    pub mend: String,
}

impl Doubt {
    fn new(field: impl Into<String>, problem: impl Into<String>, mend: impl Into<String>) -> Doubt {
        Doubt {
            field: field.into(),
            problem: problem.into(),
            mend: mend.into(),
        }
    }
}

/// Reads answers, leaf stage and tools by their ids.
///
/// # Errors
/// Everything that the key of today can't take.
pub fn read(
    key: &Key,
    table: &Table,
    answers: &[AnswerGiven],
    leaf_stage: &str,
    tools: &[String],
) -> Result<(Evidence, Situation), Vec<Doubt>> {
    let mut doubts = Vec::new();
    let mut evidence = Evidence::default();
    for (at, given) in answers.iter().enumerate() {
        let (field, fault) = match parse(key, table, &given.r#trait, &text(&given.value)) {
            Ok(Some(answer)) => {
                evidence.add(answer);
                continue;
            }
            Ok(None) => (
                "trait",
                format!("`{}` is a remark, which is never weighed", given.r#trait),
            ),
            Err(fault @ AnswerFault::UnknownTrait { .. }) => ("trait", fault.to_string()),
            Err(fault) => ("value", fault.to_string()),
        };
        doubts.push(Doubt::new(
            format!("answers[{at}].{field}"),
            fault,
            "Use the traits and values of /api/key/traits.",
        ));
    }
    let stage = LeafStage::from_id(leaf_stage);
    if stage.is_none() {
        let stages = LeafStage::ALL.map(|(id, ..)| id).join(", ");
        doubts.push(Doubt::new(
            "leaf_stage",
            format!("`{}` is no leaf stage", short(leaf_stage)),
            format!("Use one of {stages}."),
        ));
    }
    let mut situation = Situation {
        leaf_stage: stage.unwrap_or(LeafStage::Tillering),
        tools: std::collections::BTreeSet::new(),
    };
    for (at, tool) in tools.iter().enumerate() {
        match Need::from_id(tool) {
            Some(tool) => {
                situation.tools.insert(tool);
            }
            None => doubts.push(Doubt::new(
                format!("tools[{at}]"),
                format!("`{}` is no tool", short(tool)),
                format!("Use some of {}.", Need::ALL.map(|(id, ..)| id).join(", ")),
            )),
        }
    }
    match doubts.is_empty() {
        true => Ok((evidence, situation)),
        false => Err(doubts),
    }
}

/// Holds what another program sends as evidence against what the engine says of its answers. Out:
/// the engine's own words and numbers, to be kept instead.
///
/// # Errors
/// Answers that can't be taken; another key or table than that of today, by which nothing can be
/// checked; an outcome or a probability that is not the engine's.
pub fn checked(key: &Key, table: &Table, sent: &Kept) -> Result<Kept, Vec<Doubt>> {
    const ASK: &str = "Send the answers to /api/identify, and put its `evidence` here as it is.";
    if sent.key != table.key_id || sent.table_fingerprint != table.fingerprint {
        let other = format!(
            "this was weighed by another table than the one in use ({} of {})",
            table.fingerprint, table.key_id
        );
        return Err(vec![Doubt::new("table_fingerprint", other, ASK)]);
    }
    if sent.answers.is_empty() {
        let nothing = "nothing was looked at";
        return Err(vec![Doubt::new(
            "answers",
            nothing,
            "Send one answer at least.",
        )]);
    }
    let (evidence, situation) = read(key, table, &sent.answers, &sent.leaf_stage, &sent.tools)?;
    let said = assess(table, &evidence, Planted::ByRole);
    if is_same(table, sent, &said) {
        return Ok(record_of(table, &evidence, &situation, &said));
    }
    let (field, found) = match sent.outcome == said.outcome.id() {
        true => (
            "ranking",
            "these are not the probabilities of these answers".to_owned(),
        ),
        false => (
            "outcome",
            format!("by these answers the outcome is `{}`", said.outcome.id()),
        ),
    };
    Err(vec![Doubt::new(field, found, ASK)])
}

/// A text from outside, cut for a message.
fn short(text: &str) -> String {
    text.chars().take(40).collect()
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
