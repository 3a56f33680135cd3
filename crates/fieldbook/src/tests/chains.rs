//! Corrections: which version is current, and what hangs on any version.

use super::*;

#[test]
fn plots_of_a_planting_are_found_by_every_version_of_it() {
    let s = Sample::new();
    let named = |name: &str| Planting {
        name: name.into(),
        ..a_planting(s.site)
    };
    let second = s.keep(correction(s.planting, 1, named("south forty")));
    let plot_of_second = s.keep(record(a_plot(second, "2")));
    let third = s.keep(correction(second, 2, named("east forty")));
    for version in [s.planting, second, third] {
        let plots: Vec<_> = s
            .book
            .plots(version)
            .unwrap()
            .into_iter()
            .map(|plot| plot.id)
            .collect();
        assert_eq!(plots, [s.plot, plot_of_second]);
        let planting = s.book.planting(version).unwrap().unwrap();
        assert_eq!(
            (planting.id, planting.body.name.as_str()),
            (third, "east forty")
        );
        let chain: Vec<_> = s
            .book
            .history(version)
            .unwrap()
            .into_iter()
            .map(|record| record.id)
            .collect();
        assert_eq!(chain, [s.planting, second, third]);
    }
    assert_eq!(s.book.plantings().unwrap().len(), 1);
    assert_eq!(s.book.plantings_of(s.site).unwrap()[0].id, third);
    // `get` gives exactly the version asked for.
    assert!(
        matches!(s.book.get(s.planting).unwrap().unwrap().body, Body::Planting(it) if it.name == "north forty")
    );
}

#[test]
fn of_two_corrections_of_one_record_the_later_born_wins_in_any_order_of_arrival() {
    for late_first in [false, true] {
        let s = Sample::new();
        let early = correction(s.plot, 10, a_plot(s.planting, "early"));
        let late = correction(s.plot, 20, a_plot(s.planting, "late"));
        let (first, then) = if late_first {
            (&late, &early)
        } else {
            (&early, &late)
        };
        s.keep(first.clone());
        s.keep(then.clone());
        assert_eq!(s.book.plot(s.plot).unwrap().unwrap().id, late.id);
        assert_eq!(s.book.plot(early.id).unwrap().unwrap().id, late.id);
        assert_eq!(s.book.plots(s.planting).unwrap().len(), 1);
        assert_eq!(s.book.history(early.id).unwrap().len(), 3);
        // A correction of the losing one, born last, wins the whole chain.
        let last = s.keep(correction(early.id, 30, a_plot(s.planting, "last")));
        assert_eq!(s.book.plot(late.id).unwrap().unwrap().id, last);
    }
}

#[test]
fn born_at_the_same_instant_the_greater_id_wins() {
    let s = Sample::new();
    let a = s.keep(correction(s.plot, 10, a_plot(s.planting, "a")));
    let b = s.keep(correction(s.plot, 10, a_plot(s.planting, "b")));
    assert_eq!(s.book.plot(s.plot).unwrap().unwrap().id, a.max(b));
}

#[test]
fn a_clock_that_is_behind_does_not_undo_a_correction() {
    let s = Sample::new();
    let mut fix = correction(s.plot, 0, a_plot(s.planting, "fixed"));
    fix.born_at = "1999-01-01T00:00:00.000Z".into();
    let fix = s.keep(fix);
    assert_eq!(s.book.plot(s.plot).unwrap().unwrap().id, fix);
    assert_eq!(s.book.history(s.plot).unwrap().last().unwrap().id, fix);
}

#[test]
fn opinions_and_photos_on_an_earlier_version_are_still_found_and_say_so() {
    let s = Sample::new();
    let first = s.keep(record(a_determination(s.point)));
    let opinion = s.keep(record(an_opinion(first)));
    let second = s.keep(correction(
        first,
        1,
        Determination {
            taxon: None,
            ..a_determination(s.point)
        },
    ));
    let fresh = s.keep(record(an_opinion(second)));
    for version in [first, second] {
        let found: Vec<_> = s
            .book
            .opinions(version)
            .unwrap()
            .into_iter()
            .map(|o| (o.id, o.body.about))
            .collect();
        assert_eq!(found, [(opinion, first), (fresh, second)]);
    }
    let picture = s
        .book
        .add_photo(
            b"\xFF\xD8\xFF\xE0rest",
            first,
            "collar",
            "A. Fenn",
            "phone",
            RecordId::new(),
        )
        .unwrap();
    assert_eq!(s.book.photos(second).unwrap()[0].id, picture.id);
    assert_eq!(s.book.determinations(s.visit).unwrap().len(), 1);
    assert_eq!(s.book.determinations_at(s.point).unwrap()[0].id, second);
    assert_eq!(s.book.determinations_all().unwrap()[0].body.taxon, None);
}

#[test]
fn what_hangs_on_a_point_follows_it_to_another_visit() {
    let s = Sample::new();
    // A point and its frame, entered under the wrong visit.
    let other_visit = s.keep(record(Visit {
        on: "2026-08-20".into(),
        ..a_visit(s.planting)
    }));
    let point = s.keep(record(a_point(s.plot, s.visit, "2")));
    let frame = s.keep(record(a_frame(point, 1)));
    let determination = s.keep(record(a_determination(point)));
    assert_eq!(s.book.frames(s.visit).unwrap().len(), 1);
    let moved = s.keep(correction(point, 1, a_point(s.plot, other_visit, "1")));
    assert!(s.book.frames(s.visit).unwrap().is_empty());
    assert_eq!(s.book.frames(other_visit).unwrap()[0].id, frame);
    assert_eq!(
        s.book.determinations(other_visit).unwrap()[0].id,
        determination
    );
    assert_eq!(s.book.frames_at(moved).unwrap()[0].id, frame);
    assert_eq!(s.book.points(other_visit).unwrap()[0].id, moved);
    assert_eq!(s.book.points_in(s.plot, other_visit).unwrap().len(), 1);
}

#[test]
fn the_order_of_entries_survives_a_correction() {
    let s = Sample::new();
    let second = s.keep(record(a_plot(s.planting, "2")));
    let corrected = s.keep(correction(s.plot, 1, a_plot(s.planting, "1b")));
    let ids: Vec<_> = s
        .book
        .plots(s.planting)
        .unwrap()
        .into_iter()
        .map(|plot| plot.id)
        .collect();
    assert_eq!(ids, [corrected, second]);
}

#[test]
fn ids_of_other_kinds_and_of_nothing_give_nothing() {
    let s = Sample::new();
    assert_eq!(s.book.site(s.plot).unwrap(), None);
    assert_eq!(s.book.plot(RecordId::new()).unwrap(), None);
    assert_eq!(s.book.get(RecordId::new()).unwrap(), None);
    assert!(s.book.history(RecordId::new()).unwrap().is_empty());
    assert!(s.book.plots(RecordId::new()).unwrap().is_empty());
}

#[test]
fn next_numbers_count_every_version() {
    let s = Sample::new();
    assert_eq!(s.book.next_unknown_number(s.visit).unwrap(), 2);
    assert_eq!(s.book.next_point_label(s.plot, s.visit).unwrap(), "2");
    assert_eq!(s.book.next_frame_number(s.point).unwrap(), 1);
    let high = s.keep(record(an_unknown(s.visit, 9, s.point)));
    s.keep(correction(high, 1, an_unknown(s.visit, 2, s.point)));
    // 9 was written on a label once: it is not given to another plant.
    assert_eq!(s.book.next_unknown_number(s.visit).unwrap(), 10);
    s.keep(record(a_point(s.plot, s.visit, "by the gate")));
    s.keep(record(a_point(s.plot, s.visit, "12")));
    assert_eq!(s.book.next_point_label(s.plot, s.visit).unwrap(), "13");
    s.keep(record(a_frame(s.point, 4)));
    assert_eq!(s.book.next_frame_number(s.point).unwrap(), 5);
    assert_eq!(s.book.next_frame_number(RecordId::new()).unwrap(), 1);
}
