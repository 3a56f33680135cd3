//! Odd and impossible input: said in notes, the rest judged.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::date;
use standbook_judge::*;
use standbook_key::standards::Standards;
use standbook_stand::convert::Grid;
use standbook_stand::summary::{Reading, Seen};

use crate::cases::*;

fn full() -> Case {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[18, 20, 17, 19, 18, 21]);
    case
}

fn grid(spot: &str, grid: Grid, cells: &[u32]) -> Laid {
    let found: BTreeSet<u32> = cells.iter().copied().collect();
    Laid {
        reading: Reading {
            spot: spot.to_owned(),
            seen: Seen::Grid {
                grid,
                occupied: BTreeMap::from([(taxon(SWITCHGRASS), found)]),
            },
        },
        scout: String::new(),
        looked_twice: true,
        row: None,
    }
}

#[test]
fn a_frame_with_26_of_25_cells_is_left_out_and_named() {
    let mut case = full();
    case.readings
        .insert(2, grid("bad", Grid::STANDARD, &[3, 26]));
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    assert_eq!(judgement.facts.frames, 6);
    let note = judgement
        .notes
        .iter()
        .find(|n| matches!(n, Note::LeftOut { .. }))
        .unwrap();
    let said = note.to_string();
    assert!(
        said.contains("Frame 3 at bad") && said.contains("no cell 26"),
        "{said}"
    );
}

#[test]
fn a_visit_before_the_seeding_is_withheld_and_said() {
    let judgement = judged(&on(&full(), date(2026, 5, 1)));
    assert_eq!(judgement.verdict.verdict, Verdict::NotDecided);
    assert_eq!(judgement.verdict.because, Because::DatesWrong);
    assert_eq!(judgement.fairness.days_since_seeding, -11);
    assert!(
        judgement
            .notes
            .iter()
            .any(|n| matches!(n, Note::VisitBeforeSeeding { .. }))
    );
}

#[test]
fn dates_in_the_future_are_said_and_the_rest_is_judged() {
    let mut case = full();
    case.today = date(2026, 7, 1);
    let judgement = judged(&case);
    assert!(
        judgement
            .notes
            .iter()
            .any(|n| matches!(n, Note::InTheFuture { what: "visit", .. }))
    );
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    // A clock that is wrong by centuries leaves nothing to count days by.
    case.visited_on = date(-50, 7, 1);
    assert!(matches!(
        judge(&case, standards()),
        Err(JudgeError::BadDate { .. })
    ));
}

#[test]
fn nothing_laid_is_not_nothing_found() {
    let judgement = judged(&biomass());
    assert_eq!(judgement.verdict.because, Because::NothingLaid);
    assert_eq!(judgement.verdict.verdict, Verdict::NotDecided);
    assert!(judgement.notes.contains(&Note::NothingLaid));
    assert!(judgement.advice.iter().all(|a| a.id != "patience"));
    assert_eq!(judgement.summary.found_nowhere, []);
}

#[test]
fn an_empty_mix_plants_nothing() {
    let mut case = full();
    sow(&mut case, &[]);
    let judgement = judged(&case);
    assert!(judgement.notes.contains(&Note::NoMix));
    assert_eq!(judgement.facts.frames, 6);
    assert_ne!(judgement.verdict.verdict, Verdict::Established);
}

#[test]
fn other_cells_are_not_held_against_thresholds_for_15_cm() {
    let wide = Grid {
        cells: 25,
        cell_side_cm: 30.0,
    };
    let mut case = biomass();
    let filled: Vec<u32> = (1..=24).collect();
    case.readings = (0..8)
        .map(|at| grid(&format!("p{at}"), wide, &filled))
        .collect();
    let judgement = judged(&case);
    assert!(
        judgement
            .compared
            .iter()
            .all(|c| c.threshold.id != "schmer_biomass")
    );
    assert!(
        judgement
            .notes
            .iter()
            .any(|n| matches!(n, Note::OddGrid { .. }))
    );
    // Density by random scatter takes the size of the cell, so it still has a say.
    assert_eq!(judgement.verdict.rests_on, Some(RestsOn::Converted));
    // Mixed with the usual grid, the two stay apart.
    case.readings.extend(full().readings);
    let judgement = judged(&case);
    assert!(judgement.notes.contains(&Note::SeveralGrids { kinds: 2 }));
    assert_eq!(judgement.summary.grids.len(), 2);
}

#[test]
fn a_taxon_nobody_described_counts_as_a_weed_and_is_said() {
    let mut case = full();
    case.labels.clear();
    case.readings
        .push(frame("p9", &[(taxon("setaria_faberi"), 3)]));
    let judgement = judged(&case);
    let said = Note::NothingSaidOf {
        label: taxon("setaria_faberi"),
    };
    assert!(judgement.notes.contains(&said));
    assert_eq!(judgement.weeds.other.len(), 1);
}

#[test]
fn the_entry_interval_is_said_while_it_runs() {
    let mut case = full();
    let spray = |day: i8, hours: Option<f64>| Event {
        on: date(2026, 9, day),
        what: Happened::Sprayed {
            entry_after_h: hours,
            graze_after_days: None,
        },
    };
    let said = |case: &Case| {
        judged(case)
            .notes
            .iter()
            .any(|n| matches!(n, Note::EntryInterval { .. }))
    };
    case.events = vec![spray(19, Some(48.0))];
    assert!(said(&case));
    case.events = vec![spray(10, Some(48.0))];
    assert!(!said(&case));
    case.events = vec![spray(10, None)];
    assert!(said(&case));
}

#[test]
fn spots_in_no_part_of_the_field_are_named() {
    let mut case = full();
    case.strata = vec![Stratum {
        name: "flat".to_owned(),
        area_m2: Some(1000.0),
        spots: BTreeSet::from(["p0".to_owned(), "p1".to_owned()]),
    }];
    let judgement = judged(&case);
    let note = judgement
        .notes
        .iter()
        .find(|n| matches!(n, Note::Strata { .. }))
        .unwrap();
    assert!(note.to_string().contains("p2, p3"), "{note}");
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
}

#[test]
fn standards_without_times_are_refused() {
    let judgement = judge(&full(), &Standards::default());
    assert!(matches!(judgement, Err(JudgeError::NoTiming { .. })));
}

#[test]
fn a_judgement_leaves_as_json_with_dates_and_sources() {
    let mut case = full();
    let found = [
        (taxon(SWITCHGRASS), 18),
        (Label::Unknown("unknown 1".to_owned()), 2),
    ];
    case.readings[0] = frame("p0", &found);
    let json = serde_json::to_value(judged(&case)).unwrap();
    assert_eq!(json["facts"]["seeded_on"], "2026-05-12");
    assert_eq!(json["verdict"]["verdict"], "established");
    assert_eq!(json["compared"][0]["sources"][0]["kind"], "published");
    assert_eq!(json["unsettled"][0]["label"]["unknown"], "unknown 1");
    assert!(json["advice"][0]["words"].is_string());
}
