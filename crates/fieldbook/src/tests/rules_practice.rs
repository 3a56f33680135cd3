//! Rules of practice, sets, the rule for counting and removals, each broken once.

use super::rules::breaks;
use super::*;

#[test]
fn practice_keeps_its_rules() {
    let s = Sample::new();
    let sound = a_practice("A. Fenn");
    let broken: [(&[&str], Practice); 8] = [
        (&["scout"], a_practice(" ")),
        (
            &["question", "table_fingerprint"],
            Practice {
                question: String::new(),
                table_fingerprint: "no hash".into(),
                ..sound.clone()
            },
        ),
        (
            &["named", "readings[0].reported"],
            Practice {
                named: Some("Big Bluestem".into()),
                readings: vec![PracticeReading {
                    reported: Some(String::new()),
                    ..sound.readings[0].clone()
                }],
                ..sound.clone()
            },
        ),
        (
            &["cells"],
            Practice {
                cells: vec![a_cell(1)],
                ..sound.clone()
            },
        ),
        (
            &["cells[0].cell", "cells[1]"],
            Practice {
                drill: Drill::CountFrame,
                cells: vec![
                    a_cell(26),
                    PracticeCell {
                        planted: false,
                        marked_planted: false,
                        ..a_cell(27)
                    },
                ],
                ..sound.clone()
            },
        ),
        (
            &["cells[1].cell"],
            Practice {
                drill: Drill::CountFrame,
                cells: vec![a_cell(3), a_cell(3)],
                ..sound.clone()
            },
        ),
        (
            &["cells"],
            Practice {
                drill: Drill::CountFrame,
                cells: vec![a_cell(3), a_cell(2)],
                ..sound.clone()
            },
        ),
        (
            &["seconds", "of_set.item"],
            Practice {
                seconds: Some(f64::NAN),
                of_set: Some(SetItem {
                    set: s.keep(record(a_set())),
                    item: 0,
                }),
                ..sound.clone()
            },
        ),
    ];
    for (fields, practice) in broken {
        // A cell that is out of range is told of every such cell.
        let said: Vec<String> = s
            .book
            .append(vec![record(practice)])
            .map_or_else(problems_of, |_| Vec::new());
        for field in fields {
            assert!(said.iter().any(|it| it == field), "{field}: {said:?}");
        }
    }
    let kept = s.keep(record(sound.clone()));
    breaks(&s, correction(kept, 1, sound.clone()), &["supersedes"]);
    let astray = Practice {
        of_set: Some(SetItem {
            set: s.visit,
            item: 1,
        }),
        ..sound
    };
    breaks(&s, record(astray), &["of_set.set"]);
}

fn problems_of(error: crate::BookError) -> Vec<String> {
    match error {
        crate::BookError::Invalid(problems) => problems.into_iter().map(|it| it.field).collect(),
        other => vec![other.to_string()],
    }
}

#[test]
fn sets_and_rules_keep_theirs() {
    let s = Sample::new();
    let set = s.keep(record(PracticeSet {
        planting: Some(s.planting),
        visit: Some(s.visit),
        ..a_set()
    }));
    for (field, bad) in [
        (
            "title",
            PracticeSet {
                title: String::new(),
                ..a_set()
            },
        ),
        (
            "minutes",
            PracticeSet {
                minutes: Some(0.0),
                ..a_set()
            },
        ),
        (
            "questions",
            PracticeSet {
                questions: vec![],
                ..a_set()
            },
        ),
        (
            "planting",
            PracticeSet {
                planting: Some(s.visit),
                ..a_set()
            },
        ),
    ] {
        breaks(&s, record(bad), &[field]);
    }
    // A set is corrected like anything; what was answered stays with it.
    let answer = s.keep(record(Practice {
        of_set: Some(SetItem { set, item: 1 }),
        ..a_practice("B. Linden")
    }));
    let better = s.keep(correction(set, 3, a_set()));
    let answers = s.book.practice_of_set(better).unwrap();
    assert_eq!(answers.iter().map(|it| it.id).collect::<Vec<_>>(), [answer]);
    assert_eq!(s.book.practice_sets().unwrap().len(), 1);

    let rule = a_rule(s.planting);
    for (field, bad) in [
        (
            "at_least",
            ScoutRule {
                at_least: 1.0,
                ..rule.clone()
            },
        ),
        (
            "sure",
            ScoutRule {
                sure: f64::NAN,
                ..rule.clone()
            },
        ),
    ] {
        breaks(&s, record(bad), &[field]);
    }
    assert_eq!(s.book.scout_rule(s.planting).unwrap(), None);
    s.keep(record(rule.clone()));
    let later = ScoutRule {
        at_least: 0.7,
        ..rule
    };
    s.keep(Record {
        born_at: "2026-08-02T10:00:00.000Z".into(),
        ..record(later.clone())
    });
    let counts = s.book.scout_rule(s.planting).unwrap().unwrap();
    assert_eq!(counts.body, later);
}

#[test]
fn removals_keep_theirs() {
    let s = Sample::new();
    let id = RecordId::new();
    let bad = PracticeRemoval {
        whose: "A. Fenn".into(),
        until: "yesterday".into(),
        also: vec![id, id],
    };
    breaks(&s, record(bad), &["whose", "until", "also"]);
    let kept = s.keep(record(a_removal("A. Fenn")));
    breaks(
        &s,
        correction(kept, 1, a_removal("A. Fenn")),
        &["supersedes"],
    );
}
