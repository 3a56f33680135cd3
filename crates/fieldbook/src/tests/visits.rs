//! What long lists need of visits: the latest, their plants in short, whether anything is new.

use super::pages::plan_of;
use super::*;
use crate::read::VisitStamp;

#[test]
fn the_latest_visits_come_first_and_corrected_ones_once() {
    let s = Sample::new();
    let first = s.book.visit(s.visit).unwrap().unwrap();
    let on = |date: &str| Visit {
        on: date.into(),
        ..first.body.clone()
    };
    let later = s.keep(record(on("2026-09-01")));
    let same_day = s.keep(record(on("2026-09-01")));
    s.keep(record(on("2026-05-20")));
    let corrected = s.keep(correction(s.visit, 1, on("2026-08-01")));
    let ids = |limit| {
        let lines = s.book.latest_visits(limit).unwrap();
        assert!(lines.iter().all(|it| it.planting_name == "north forty"));
        lines.iter().map(|it| it.id).collect::<Vec<_>>()
    };
    assert_eq!(ids(3), [same_day, later, corrected]);
    assert_eq!(ids(10).len(), 4);
    let line = s.book.visit_line(s.visit).unwrap().unwrap();
    assert_eq!((line.id, line.on.as_str()), (corrected, "2026-08-01"));
    assert_eq!(s.book.visit_line(s.point).unwrap(), None);
}

#[test]
fn plants_in_short_say_what_the_whole_ones_do() {
    let s = Sample::new();
    let one = s.keep(record(a_determination(s.point)));
    let two = s.keep(record(a_determination(s.point)));
    s.keep(record(an_opinion(one)));
    let changed = Determination {
        note: "second look".into(),
        ..a_determination(s.point)
    };
    let corrected = s.keep(correction(one, 1, changed));
    let whole = s.book.determinations(s.visit).unwrap();
    let names = ["andropogon_gerardi", "not_in_key"];
    let short = s.book.determinations_in_short(s.visit, &names).unwrap();
    let ids: Vec<RecordId> = short.iter().map(|it| it.plant.id).collect();
    assert_eq!(ids, [corrected, two]);
    assert_eq!(
        short.iter().map(|it| it.reviewed).collect::<Vec<_>>(),
        [true, false]
    );
    for (short, mut whole) in short.into_iter().zip(whole) {
        let evidence = &mut whole.body.evidence;
        let ranking = std::mem::take(&mut evidence.ranking);
        evidence.answers.clear();
        assert_eq!(short.leading, ranking[0].probability);
        let named = ranking
            .iter()
            .filter(|it| names.contains(&it.taxon.as_str()));
        let together: f64 = named.map(|it| it.probability).sum();
        assert!((short.together - together).abs() < 1e-12);
        assert!(together > 0.0);
        assert_eq!(short.plant, whole);
    }
}

/// Every record that bears on a visit changes its stamp; one that does not leaves it.
#[test]
fn a_stamp_tells_what_is_new_of_a_visit() {
    let s = Sample::new();
    let planting = s.book.planting(s.planting).unwrap().unwrap().body;
    let other_planting = s.keep(record(planting.clone()));
    let other_visit = s.keep(record(a_visit(other_planting)));
    let later_visit = s.keep(record(a_visit(s.planting)));
    let last = std::cell::Cell::new(s.book.visit_stamp(s.visit).unwrap());
    let new = |what: &str, expected: bool| {
        let now: VisitStamp = s.book.visit_stamp(s.visit).unwrap();
        assert_eq!(now != last.replace(now), expected, "{what}");
    };
    new("nothing", false);
    let frame = s.keep(record(a_frame(s.point, 1)));
    new("a frame", true);
    s.keep(correction(frame, 1, a_frame(s.point, 1)));
    new("a corrected frame", true);
    let plant = s.keep(record(a_determination(s.point)));
    new("a determination", true);
    let opinion = s.keep(record(an_opinion(plant)));
    new("an opinion", true);
    s.keep(correction(opinion, 2, an_opinion(plant)));
    new("a corrected opinion", true);
    s.keep(record(an_opinion(s.unknown)));
    new("an opinion on an unknown", true);
    let unknown = s.book.unknown(s.unknown).unwrap().unwrap().body;
    let point = s.book.point(s.point).unwrap().unwrap().body;
    let at_later = s.keep(record(Point {
        visit: later_visit,
        ..point.clone()
    }));
    let met_at = s.keep(record(Point {
        visit: later_visit,
        label: "2".into(),
        ..point.clone()
    }));
    new("points of another visit", false);
    let of_later = s.keep(record(Unknown {
        visit: later_visit,
        first_seen: met_at,
        number: 9,
        ..unknown
    }));
    new("an unknown of the planting", true);
    s.keep(record(an_opinion(of_later)));
    new("an opinion on that", true);
    s.keep(record(a_frame(at_later, 1)));
    s.keep(record(a_determination(at_later)));
    s.keep(record(a_seed_lot(s.planting)));
    new("what another visit saw", false);
    s.keep(correction(s.planting, 3, planting));
    new("a corrected planting", true);
    s.keep(correction(
        at_later,
        4,
        Point {
            label: "moved".into(),
            visit: s.visit,
            ..point.clone()
        },
    ));
    new("a point moved here, with what was seen there", true);
    let here = s.keep(record(Point {
        label: "3".into(),
        ..point.clone()
    }));
    new("a point", true);
    s.keep(correction(
        here,
        5,
        Point {
            visit: later_visit,
            label: "away".into(),
            ..point
        },
    ));
    new("a point moved away", true);
    let visit = s.book.visit(other_visit).unwrap().unwrap().body;
    s.keep(correction(other_visit, 6, visit));
    new("a visit of another planting", false);
}

#[test]
fn a_stamp_is_found_from_the_visit_outwards() {
    let s = Sample::new();
    let plan = plan_of(&s, &crate::read::stamp_sql());
    let tables = [
        "record",
        "point",
        "determination",
        "frame",
        "visit",
        "unknown",
        "opinion",
    ];
    let through = |step: &String| {
        let step = step.strip_prefix("SCAN ").unwrap_or_default();
        ["t", "q", "v", "a"].contains(&step.split(' ').next().unwrap_or_default())
            || tables.contains(&step)
    };
    assert!(!plan.iter().any(through), "{plan:#?}");
    assert!(
        plan.iter().any(|step| step.contains("opinion_by_about")),
        "{plan:#?}"
    );
}
