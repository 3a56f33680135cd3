//! What is practised, as people and trainers can give it.

use proptest::prelude::*;

use super::words::*;
use super::*;
use crate::record::{
    Drill, Practice, PracticeCell, PracticeReading, PracticeRemoval, PracticeSet, ScoutRule,
    SetItem, SetPurpose, SetQuestion,
};

pub(super) fn practice(set: RecordId) -> impl Strategy<Value = Body> {
    let drills = vec![
        Drill::SeeTrait,
        Drill::TellPair,
        Drill::NameIt,
        Drill::CountFrame,
    ];
    let maybe = || prop::option::of(id());
    (
        (name(), prop::sample::select(drills), name(), any::<bool>()),
        ("[a-z0-9_-]{1,80}", "[0-9a-f]{1,64}"),
        (maybe(), maybe(), maybe(), maybe()),
        prop::collection::vec((id(), id(), maybe()), 0..4),
        prop::collection::btree_map(1_u32..=25, 1_u8..16, 0..6),
        (
            prop::option::of(0.0..80_000.0_f64),
            prop::option::of(1_u32..=500),
        ),
    )
        .prop_map(
            move |(
                (scout, drill, question, with_book),
                (key_id, table_fingerprint),
                (taxon, against, named, by),
                readings,
                cells,
                (seconds, item),
            )| {
                let cells = cells.into_iter().map(|(cell, bits)| PracticeCell {
                    cell,
                    planted: bits & 1 > 0,
                    other: bits & 2 > 0,
                    marked_planted: bits & 4 > 0,
                    marked_other: bits & 8 > 0,
                });
                let readings =
                    readings
                        .into_iter()
                        .map(|(trait_id, shown, reported)| PracticeReading {
                            trait_id,
                            shown,
                            reported,
                        });
                Practice {
                    scout,
                    drill,
                    question,
                    with_book,
                    key_id,
                    table_fingerprint,
                    taxon,
                    against,
                    named,
                    by,
                    readings: readings.collect(),
                    cells: match drill {
                        Drill::CountFrame => cells.collect(),
                        _ => vec![],
                    },
                    seconds,
                    of_set: item.map(|item| SetItem { set, item }),
                }
                .into()
            },
        )
}

pub(super) fn practice_set(planting: RecordId, visit: RecordId) -> impl Strategy<Value = Body> {
    let purposes = vec![
        SetPurpose::Drill,
        SetPurpose::FieldTest,
        SetPurpose::SameFrames,
    ];
    (
        name(),
        prop::sample::select(purposes),
        prop::option::of(Just(planting)),
        prop::option::of(Just(visit)),
        prop::option::of(positive(1440.0)),
        prop::collection::vec((name(), any::<bool>()), 1..5),
    )
        .prop_map(|(title, purpose, planting, visit, minutes, questions)| {
            let questions = questions
                .into_iter()
                .map(|(question, with_book)| SetQuestion {
                    question,
                    with_book,
                });
            PracticeSet {
                title,
                purpose,
                planting,
                visit,
                minutes,
                questions: questions.collect(),
            }
            .into()
        })
}

pub(super) fn scout_rule(planting: RecordId) -> impl Strategy<Value = Body> {
    let yes = any::<bool>;
    let share = || 0.001..0.999_f64;
    (share(), share(), yes(), yes(), yes()).prop_map(
        move |(at_least, sure, with_book, own_rates, withdrawn)| {
            ScoutRule {
                planting,
                at_least,
                sure,
                with_book,
                own_rates,
                withdrawn,
            }
            .into()
        },
    )
}

pub(super) fn removal() -> impl Strategy<Value = Body> {
    // Nobody's: what it would take must stay to be read again.
    ("[0-9a-f]{64}", date(), 0_usize..3).prop_map(|(whose, day, also)| {
        PracticeRemoval {
            whose,
            until: format!("{day}T00:00:00.000Z"),
            also: (0..also).map(|_| RecordId::new()).collect(),
        }
        .into()
    })
}
