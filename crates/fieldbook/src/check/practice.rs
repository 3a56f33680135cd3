//! Rules of what is practised, of sets, of the rule for counting, and of removals, by themselves.

use std::collections::HashSet;

use super::evidence::fingerprint;
use super::{Faults, is_sha256, limits};
use crate::record::{Drill, Practice, PracticeRemoval, PracticeSet, Record, ScoutRule};

pub(super) fn practice(faults: &mut Faults, practice: &Practice) {
    faults.name("scout", &practice.scout);
    faults.question("question", &practice.question);
    faults.id_of("key_id", &practice.key_id, "-", "a-z, 0-9, - and _");
    fingerprint(faults, "table_fingerprint", &practice.table_fingerprint);
    for (field, id) in [
        ("taxon", &practice.taxon),
        ("against", &practice.against),
        ("named", &practice.named),
        ("by", &practice.by),
    ] {
        if let Some(id) = id {
            faults.id(field, id);
        }
    }
    faults.items(
        "readings",
        practice.readings.len(),
        0,
        limits::ANSWERS,
        "readings",
    );
    for (at, reading) in practice.readings.iter().enumerate() {
        faults.id(format!("readings[{at}].trait_id"), &reading.trait_id);
        faults.id(format!("readings[{at}].shown"), &reading.shown);
        if let Some(state) = &reading.reported {
            faults.id(format!("readings[{at}].reported"), state);
        }
    }
    cells(faults, practice);
    if let Some(seconds) = practice.seconds {
        faults.not_negative("seconds", seconds, limits::PRACTICE_SECONDS, "s");
    }
    if let Some(of) = practice.of_set {
        let most = u32::try_from(limits::SET_QUESTIONS).unwrap_or(u32::MAX);
        faults.whole_number("of_set.item", of.item, most);
    }
}

fn cells(faults: &mut Faults, practice: &Practice) {
    if practice.drill != Drill::CountFrame && !practice.cells.is_empty() {
        faults.add(
            "cells",
            "only a frame has cells",
            "Leave them out, or say that a frame was counted.",
        );
    }
    let mut known = HashSet::new();
    for (at, it) in practice.cells.iter().enumerate() {
        faults.whole_number(format!("cells[{at}].cell"), it.cell, limits::PRACTICE_CELLS);
        if !known.insert(it.cell) {
            faults.add(
                format!("cells[{at}].cell"),
                format!("cell {} is in the list already", it.cell),
                "Enter it once.",
            );
        }
        if !(it.planted || it.other || it.marked_planted || it.marked_other) {
            faults.add(
                format!("cells[{at}]"),
                "nothing stood in it and nothing was marked",
                "Leave such cells out.",
            );
        }
    }
    let ordered = practice
        .cells
        .windows(2)
        .all(|two| two[0].cell < two[1].cell);
    if !ordered && known.len() == practice.cells.len() {
        faults.add(
            "cells",
            "they are not in order",
            "Sort them by the number of the cell.",
        );
    }
}

pub(super) fn set(faults: &mut Faults, set: &PracticeSet) {
    faults.name("title", &set.title);
    if let Some(minutes) = set.minutes {
        faults.above_zero("minutes", minutes, limits::SET_MINUTES, "min");
    }
    faults.items(
        "questions",
        set.questions.len(),
        1,
        limits::SET_QUESTIONS,
        "questions",
    );
    for (at, it) in set.questions.iter().enumerate() {
        faults.question(format!("questions[{at}].question"), &it.question);
    }
}

pub(super) fn rule(faults: &mut Faults, rule: &ScoutRule) {
    for (field, share) in [("at_least", rule.at_least), ("sure", rule.sure)] {
        if !(share > 0.0 && share < 1.0) {
            faults.add(
                field,
                format!("{share} is out of range"),
                "Use a share between 0 and 1, both excluded, such as 0.9.",
            );
        }
    }
}

pub(super) fn removal(faults: &mut Faults, removal: &PracticeRemoval) {
    if !is_sha256(&removal.whose) {
        faults.add(
            "whose",
            "this is not the hash of a name",
            "Use the 64 lower-case hex digits of the SHA-256 of the name, in lower case without spaces around.",
        );
    }
    faults.stamp("until", &removal.until);
    faults.items(
        "also",
        removal.also.len(),
        0,
        limits::REMOVED_ALSO,
        "records",
    );
    let mut known = HashSet::new();
    if !removal.also.iter().all(|id| known.insert(id)) {
        faults.add("also", "a record is there twice", "Name every record once.");
    }
}

/// What was answered, and what was removed, stays as it is.
pub(super) fn no_correction(faults: &mut Faults, record: &Record) {
    if record.supersedes.is_some() {
        faults.add(
            "supersedes",
            "such a record is never corrected",
            "Leave this out: what was answered stays as it was, and so does a removal.",
        );
    }
}

impl Faults<'_> {
    /// A question as text: one line.
    fn question(&mut self, field: impl Into<String>, text: &str) {
        self.text(field, text, 1, limits::NOTE_CHARS, false);
    }
}
