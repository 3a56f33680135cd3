//! Rules of determinations and their evidence by themselves.
//!
//! Not here: whether the traits, states and taxa are in a key; the book knows none.

use super::{Faults, limits};
use crate::record::{Determination, Evidence, ValueGiven};

pub(super) fn determination(faults: &mut Faults, determination: &Determination) {
    if let Some(cell) = determination.cell {
        faults.whole_number("cell", cell, limits::CELLS);
    }
    if let Some(taxon) = &determination.taxon {
        faults.id("taxon", taxon);
    }
    faults.note("note", &determination.note);
    evidence(faults, &determination.evidence);
}

/// Rules of evidence, whose ever it is; it lies in the field `evidence`.
pub(super) fn evidence(faults: &mut Faults, evidence: &Evidence) {
    // Keys are named after their folder, where words are parted by hyphens.
    faults.id_of("evidence.key", &evidence.key, "-", "a-z, 0-9, _ and -");
    fingerprint(
        faults,
        "evidence.table_fingerprint",
        &evidence.table_fingerprint,
    );
    faults.id("evidence.leaf_stage", &evidence.leaf_stage);
    faults.id("evidence.outcome", &evidence.outcome);
    tools(faults, &evidence.tools);
    answers(faults, evidence);
    ranking(faults, evidence);
}

/// A fingerprint of a table, in this field.
pub(super) fn fingerprint(faults: &mut Faults, field: &str, text: &str) {
    let hex = text.bytes().all(|byte| byte.is_ascii_hexdigit());
    if text.is_empty() || text.len() > limits::FINGERPRINT_DIGITS || !hex {
        let mend = format!("Give 1 to {} hex digits.", limits::FINGERPRINT_DIGITS);
        faults.add(field, "this is not a fingerprint", mend);
    }
}

fn tools(faults: &mut Faults, tools: &[String]) {
    faults.items("evidence.tools", tools.len(), 0, limits::STATES, "tools");
    for (at, tool) in tools.iter().enumerate() {
        faults.id(format!("evidence.tools[{at}]"), tool);
    }
    if !tools.is_sorted_by(|a, b| a < b) {
        faults.add(
            "evidence.tools",
            "the tools are not sorted, or one is there twice",
            "Sort them, each once.",
        );
    }
}

fn answers(faults: &mut Faults, evidence: &Evidence) {
    faults.items(
        "evidence.answers",
        evidence.answers.len(),
        0,
        limits::ANSWERS,
        "answers",
    );
    for (at, answer) in evidence.answers.iter().enumerate() {
        faults.id(format!("evidence.answers[{at}].trait"), &answer.r#trait);
        let field = format!("evidence.answers[{at}].value");
        match &answer.value {
            ValueGiven::States(states) => {
                faults.items(&field, states.len(), 1, limits::STATES, "states");
                for (n, state) in states.iter().enumerate() {
                    faults.id(format!("{field}[{n}]"), state);
                }
                faults.once(&field, "", states.iter().map(String::as_str));
            }
            ValueGiven::Measure(measure) => {
                if !(-limits::MEASURE..=limits::MEASURE).contains(measure) {
                    let mend = format!("Use a number from -{0} to {0}.", limits::MEASURE);
                    faults.add(
                        field,
                        format!("the measure {measure} is out of range"),
                        mend,
                    );
                }
            }
            ValueGiven::CannotTell => {}
        }
    }
}

fn ranking(faults: &mut Faults, evidence: &Evidence) {
    let ranking = &evidence.ranking;
    faults.items(
        "evidence.ranking",
        ranking.len(),
        1,
        limits::RANKING,
        "lines",
    );
    let mut in_range = true;
    for (at, ranked) in ranking.iter().enumerate() {
        faults.id(format!("evidence.ranking[{at}].taxon"), &ranked.taxon);
        if !(0.0..=1.0).contains(&ranked.probability) {
            in_range = false;
            let problem = format!("{} is not a probability", ranked.probability);
            faults.add(
                format!("evidence.ranking[{at}].probability"),
                problem,
                "Use a number from 0 to 1.",
            );
        }
    }
    faults.once(
        "evidence.ranking",
        ".taxon",
        ranking.iter().map(|ranked| ranked.taxon.as_str()),
    );
    if ranking.is_empty() || !in_range {
        return;
    }
    let sum: f64 = ranking.iter().map(|ranked| ranked.probability).sum();
    if (sum - 1.0).abs() > limits::RANKING_SUM {
        let mend = "Give every taxon and `not_in_key`, so that the sum is 1.";
        faults.add(
            "evidence.ranking",
            format!("the probabilities sum to {sum}"),
            mend,
        );
    }
    if !ranking.is_sorted_by(|a, b| a.probability >= b.probability) {
        faults.add(
            "evidence.ranking",
            "the ranking is not in order",
            "Put the most probable first.",
        );
    }
}
