//! What scouts practised, the sets of trainers, and the rules for counting. These tables leave only where
//! they were asked for: whoever gets the counts of a field has no business with how somebody learned.

use standbook_fieldbook::Rooted;
use standbook_fieldbook::record::{Drill, Practice, PracticeSet, ScoutRule, SetPurpose};

use super::Type::{Real, Text, Truth, Whole};
use super::{Source, Table, Value, column};
use crate::error::Done;
use crate::request::Scope;

/// All of them.
pub(super) const TABLES: [&Table; 6] = [&SETS, &QUESTIONS, &PRACTICE, &READINGS, &CELLS, &RULES];

const NOT_ASKED: &str = "not asked";

const SETS: Table = Table {
    name: "practice_sets",
    meaning: "questions that a trainer put together",
    own: &[
        column("title", Text, "what it is called"),
        column("purpose", Text, "what it is for").of("drill, field_test, same_frames"),
        column(
            "planting",
            Text,
            "the planting it asks about, see plantings.id",
        )
        .empty("no planting"),
        column("visit", Text, "the visit it asks about, see visits.id").empty("no visit"),
        column("minutes", Real, "time allowed")
            .unit("min")
            .empty("not timed"),
    ],
    records: true,
    fill: |from, to| {
        each_set(from, |set| {
            let it = &set.entry.body;
            let planting = it.planting.map(|id| from.leaving.root(id)).transpose()?;
            let visit = it.visit.map(|id| from.leaving.root(id)).transpose()?;
            let own: Vec<Value<'_>> = vec![
                from.leaving.words(&it.title).into(),
                match it.purpose {
                    SetPurpose::Drill => "drill",
                    SetPurpose::FieldTest => "field_test",
                    SetPurpose::SameFrames => "same_frames",
                }
                .into(),
                planting.into(),
                visit.into(),
                it.minutes.into(),
            ];
            to.record(from.leaving, &set, own)
        })
    },
};

const QUESTIONS: Table = Table {
    name: "practice_questions",
    meaning: "the questions of a set",
    own: &[
        column("practice_set", Text, "the set, see practice_sets.id"),
        column("number", Whole, "its place in the set"),
        column("question", Text, "the question; draws it again"),
        column("with_book", Truth, "whether the book may be open"),
    ],
    records: false,
    fill: |from, to| {
        each_set(from, |set| {
            for (at, it) in set.entry.body.questions.iter().enumerate() {
                to.row(&[
                    set.root.into(),
                    (at + 1).into(),
                    it.question.as_str().into(),
                    it.with_book.into(),
                ])?;
            }
            Ok(())
        })
    },
};

const PRACTICE: Table = Table {
    name: "practice",
    meaning: "what was answered in practice",
    own: &[
        column("scout", Text, "who answered").empty("a name that was never seen in the book"),
        column("drill", Text, "what was practised")
            .of("see_trait, tell_pair, name_it, count_frame"),
        column("question", Text, "the question; draws it again"),
        column("with_book", Truth, "whether the book was open"),
        column("key", Text, "the key in use"),
        column("table_fingerprint", Text, "its compiled table"),
        column("taxon", Text, "what the plant is, see taxa.id").empty("a frame, or only a trait"),
        column("against", Text, "the other one of a pair, see taxa.id").empty("no pair"),
        column("named", Text, "what she called it, see taxa.id")
            .empty("nothing: she could not tell, or no name was asked"),
        column("by", Text, "the trait named as deciding, see traits.id").empty(NOT_ASKED),
        column("seconds", Real, "from the question to the answer")
            .unit("s")
            .empty("not known"),
        column(
            "practice_set",
            Text,
            "the set it belongs to, see practice_sets.id",
        )
        .empty("no set"),
        column("item", Whole, "which question of that set").empty("no set"),
    ],
    records: true,
    fill: |from, to| {
        each_answer(from, |answer| {
            let it = &answer.entry.body;
            let set = it.of_set.map(|of| from.leaving.root(of.set)).transpose()?;
            let own: Vec<Value<'_>> = vec![
                from.leaving.people.say(&it.scout).into(),
                match it.drill {
                    Drill::SeeTrait => "see_trait",
                    Drill::TellPair => "tell_pair",
                    Drill::NameIt => "name_it",
                    Drill::CountFrame => "count_frame",
                }
                .into(),
                it.question.as_str().into(),
                it.with_book.into(),
                it.key_id.as_str().into(),
                it.table_fingerprint.as_str().into(),
                it.taxon.as_deref().into(),
                it.against.as_deref().into(),
                it.named.as_deref().into(),
                it.by.as_deref().into(),
                it.seconds.into(),
                set.into(),
                it.of_set.map(|of| of.item).into(),
            ];
            to.record(from.leaving, &answer, own)
        })
    },
};

const READINGS: Table = Table {
    name: "practice_readings",
    meaning: "traits looked at in practice",
    own: &[
        column("practice", Text, "the answer, see practice.id"),
        column("number", Whole, "its place in the answer"),
        column("trait", Text, "the trait, see traits.id"),
        column("shown", Text, "the state that the plant had"),
        column("reported", Text, "the state that was reported").empty("could not tell"),
    ],
    records: false,
    fill: |from, to| {
        each_answer(from, |answer| {
            for (at, it) in answer.entry.body.readings.iter().enumerate() {
                to.row(&[
                    answer.root.into(),
                    (at + 1).into(),
                    it.trait_id.as_str().into(),
                    it.shown.as_str().into(),
                    it.reported.as_deref().into(),
                ])?;
            }
            Ok(())
        })
    },
};

const CELLS: Table = Table {
    name: "practice_cells",
    meaning: "cells of drawn frames in which something stood or was marked",
    own: &[
        column("practice", Text, "the answer, see practice.id"),
        column("cell", Whole, "1 to 25, row by row"),
        column("planted", Truth, "whether a planted grass stood in it"),
        column("other", Truth, "whether something else did"),
        column(
            "marked_planted",
            Truth,
            "whether the scout marked a planted grass",
        ),
        column(
            "marked_other",
            Truth,
            "whether the scout marked something else",
        ),
    ],
    records: false,
    fill: |from, to| {
        each_answer(from, |answer| {
            for it in &answer.entry.body.cells {
                to.row(&[
                    answer.root.into(),
                    it.cell.into(),
                    it.planted.into(),
                    it.other.into(),
                    it.marked_planted.into(),
                    it.marked_other.into(),
                ])?;
            }
            Ok(())
        })
    },
};

const RULES: Table = Table {
    name: "scout_rules",
    meaning: "when a scout's counts of a planting need no second reader",
    own: &[
        column("planting", Text, "the planting, see plantings.id"),
        column(
            "at_least",
            Real,
            "hit rate on planted or not that is to be reached",
        )
        .unit("0 to 1"),
        column("sure", Real, "how sure that has to be").unit("0 to 1"),
        column(
            "with_book",
            Truth,
            "whether answers with the book open count",
        ),
        column(
            "withdrawn",
            Truth,
            "whether it was taken back: nothing is required",
        ),
        column(
            "own_rates",
            Truth,
            "whether counts are also shown corrected by practice",
        ),
    ],
    records: true,
    fill: |from, to| {
        from.leaving.moment.each::<ScoutRule, _>(|rule| {
            let it = &rule.entry.body;
            if !from.leaving.leaves(it.planting)? {
                return Ok(());
            }
            let own: Vec<Value<'_>> = vec![
                from.leaving.root(it.planting)?.into(),
                it.at_least.into(),
                it.sure.into(),
                it.with_book.into(),
                it.withdrawn.into(),
                it.own_rates.into(),
            ];
            to.record(from.leaving, &rule, own)
        })
    },
};

/// The sets that leave.
fn each_set(from: &Source, mut take: impl FnMut(Rooted<PracticeSet>) -> Done) -> Done {
    from.leaving
        .moment
        .each::<PracticeSet, _>(|set| match from.leaving.leaves(set.root)? {
            true => take(set),
            false => Ok(()),
        })
}

/// The answers that leave: all with the whole book, else those of the sets that leave.
fn each_answer(from: &Source, mut take: impl FnMut(Rooted<Practice>) -> Done) -> Done {
    let whole = from.leaving.request.scope == Scope::Book;
    from.leaving.moment.each::<Practice, _>(|answer| {
        let leaves = match answer.entry.body.of_set {
            _ if whole => true,
            Some(of) => from.leaving.leaves(of.set)?,
            None => false,
        };
        match leaves {
            true => take(answer),
            false => Ok(()),
        }
    })
}
