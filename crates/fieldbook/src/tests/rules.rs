//! Every rule of the book, broken once: which field is named, and that nothing is written.

use super::*;
use crate::check::limits;
use crate::{BookError, Problem};

#[track_caller]
pub(super) fn problems(sample: &Sample, records: Vec<Record>) -> Vec<Problem> {
    let before = sample.export();
    let found = match sample.book.append(records) {
        Err(BookError::Invalid(found)) => found,
        other => panic!("expected Invalid, got {other:?}"),
    };
    assert_eq!(sample.export(), before, "something was written");
    for problem in &found {
        assert!(
            !problem.problem.is_empty() && problem.mend.ends_with('.'),
            "{problem:?}"
        );
    }
    found
}

/// The record breaks exactly these fields.
#[track_caller]
pub(super) fn breaks(sample: &Sample, record: Record, fields: &[&str]) {
    let found = problems(sample, vec![record]);
    let named: Vec<&str> = found.iter().map(|problem| problem.field.as_str()).collect();
    assert_eq!(named, fields, "{found:#?}");
}

#[test]
fn envelopes() {
    let s = Sample::new();
    let good = || record(a_site());
    breaks(
        &s,
        Record {
            born_at: "2026-07-14".into(),
            ..good()
        },
        &["born_at"],
    );
    breaks(
        &s,
        Record {
            device: " ".into(),
            ..good()
        },
        &["device"],
    );
    breaks(
        &s,
        Record {
            author: "x".repeat(121),
            ..good()
        },
        &["author"],
    );
    let own = good();
    breaks(
        &s,
        Record {
            supersedes: Some(own.id),
            ..own
        },
        &["supersedes"],
    );
    breaks(
        &s,
        Record {
            supersedes: Some(s.plot),
            ..good()
        },
        &["supersedes"],
    );
    breaks(
        &s,
        Record {
            supersedes: Some(RecordId::new()),
            ..good()
        },
        &["supersedes"],
    );
}

#[test]
fn texts() {
    let s = Sample::new();
    breaks(
        &s,
        record(Site {
            name: String::new(),
            ..a_site()
        }),
        &["name"],
    );
    breaks(
        &s,
        record(Site {
            name: "two\nlines".into(),
            ..a_site()
        }),
        &["name"],
    );
    breaks(
        &s,
        record(Site {
            locality: "bell \u{7}".into(),
            ..a_site()
        }),
        &["locality"],
    );
    breaks(
        &s,
        record(Site {
            locality: "carriage\r\nreturn".into(),
            ..a_site()
        }),
        &["locality"],
    );
    breaks(
        &s,
        record(Site {
            permission: "x".repeat(2001),
            ..a_site()
        }),
        &["permission"],
    );
    // Characters are counted, not bytes.
    s.keep(record(Site {
        name: "\u{e9}".repeat(limits::NAME_CHARS),
        permission: "a\nb".into(),
        ..a_site()
    }));
}

#[test]
fn all_problems_of_all_records_at_once() {
    let s = Sample::new();
    let bad_site = record(Site {
        name: String::new(),
        ..a_site()
    });
    // Its site is refused: that is said once, at the site.
    let child = record(a_planting(bad_site.id));
    let grandchild = record(Plot {
        name: String::new(),
        ..a_plot(child.id, "1")
    });
    let stray = record(a_plot(RecordId::new(), "1"));
    let found = problems(
        &s,
        vec![grandchild.clone(), child, stray.clone(), bad_site.clone()],
    );
    let named: Vec<_> = found
        .iter()
        .map(|problem| (problem.record, problem.field.as_str()))
        .collect();
    assert_eq!(
        named,
        [
            (grandchild.id, "name"),
            (stray.id, "planting"),
            (bad_site.id, "name")
        ]
    );
}

#[test]
fn plantings() {
    let s = Sample::new();
    let good = || a_planting(s.site);
    let mix = |taxon: &str, rate| MixItem {
        taxon: taxon.into(),
        pls_lb_per_acre: rate,
        planned_pls_lb_per_acre: None,
    };
    breaks(
        &s,
        record(Planting {
            seeded_on: "2026-02-30".into(),
            ..good()
        }),
        &["seeded_on"],
    );
    breaks(
        &s,
        record(Planting {
            seeded_on: "1826-05-12".into(),
            ..good()
        }),
        &["seeded_on"],
    );
    for row_spacing_cm in [0.0, -1.0, f64::NAN, f64::INFINITY, 501.0] {
        let method = SeedingMethod::Drilled { row_spacing_cm };
        breaks(
            &s,
            record(Planting { method, ..good() }),
            &["method.row_spacing_cm"],
        );
    }
    breaks(
        &s,
        record(Planting {
            mix: vec![],
            ..good()
        }),
        &["mix"],
    );
    breaks(
        &s,
        record(Planting {
            mix: vec![mix("a", None), mix("a", None)],
            ..good()
        }),
        &["mix[1].taxon"],
    );
    breaks(
        &s,
        record(Planting {
            mix: vec![mix("Big bluestem", None)],
            ..good()
        }),
        &["mix[0].taxon"],
    );
    breaks(
        &s,
        record(Planting {
            mix: vec![mix(&"a".repeat(81), None)],
            ..good()
        }),
        &["mix[0].taxon"],
    );
    for rate in [0.0, -2.0, f64::NAN, 501.0] {
        breaks(
            &s,
            record(Planting {
                mix: vec![mix("a", Some(rate))],
                ..good()
            }),
            &["mix[0].pls_lb_per_acre"],
        );
    }
    breaks(&s, record(a_planting(s.plot)), &["site"]);
}

#[test]
fn plot_names_are_unique_among_the_current_plots_of_a_planting() {
    let s = Sample::new();
    breaks(&s, record(a_plot(s.planting, "1")), &["name"]);
    breaks(&s, record(a_plot(s.planting, " 1 ")), &["name"]);
    let twice = problems(
        &s,
        vec![
            record(a_plot(s.planting, "2")),
            record(a_plot(s.planting, "2")),
        ],
    );
    assert_eq!(twice.len(), 2);
    // By any version of the planting.
    let corrected = s.keep(correction(s.planting, 1, a_planting(s.site)));
    breaks(&s, record(a_plot(corrected, "1")), &["name"]);
    // A correction may keep its name; a name given up is free; another planting has its own names.
    let renamed = s.keep(correction(
        s.plot,
        1,
        Plot {
            note: String::new(),
            ..a_plot(s.planting, "1")
        },
    ));
    s.keep(correction(renamed, 2, a_plot(s.planting, "first")));
    s.keep(record(a_plot(s.planting, "1")));
    let other = s.keep(record(a_planting(s.site)));
    s.keep(record(a_plot(other, "1")));
}

#[test]
fn visits_before_the_seeding_are_kept_and_told() {
    let s = Sample::new();
    let on = |date: &str| Visit {
        on: date.into(),
        ..a_visit(s.planting)
    };
    s.keep(record(on("2026-05-12")));
    assert_eq!(s.book.visits_before_seeding(s.planting).unwrap(), None);
    // A date or a clock is wrong; the book cannot know which, and loses nothing.
    let early = s.keep(record(on("2026-05-11")));
    let told = s.book.visits_before_seeding(s.planting).unwrap().unwrap();
    assert_eq!(told.seeded_on, "2026-05-12");
    let ids: Vec<_> = told.visits.iter().map(|visit| visit.id).collect();
    assert_eq!(ids, [early]);
    // By the present state of both.
    let sooner = Planting {
        seeded_on: "2026-05-01".into(),
        ..a_planting(s.site)
    };
    let sooner = s.keep(correction(s.planting, 1, sooner));
    assert_eq!(s.book.visits_before_seeding(s.planting).unwrap(), None);
    let moved = Planting {
        seeded_on: "2026-07-15".into(),
        ..a_planting(s.site)
    };
    s.keep(correction(sooner, 2, moved));
    let told = s.book.visits_before_seeding(s.planting).unwrap().unwrap();
    assert_eq!(told.visits.len(), 3);
    assert_eq!(told.visits[0].id, early);
    assert_eq!(s.book.visits_before_seeding(s.site).unwrap(), None);
    breaks(&s, record(on("2026-13-01")), &["on"]);
    breaks(
        &s,
        record(Visit {
            scouts: vec![],
            ..a_visit(s.planting)
        }),
        &["scouts"],
    );
    breaks(
        &s,
        record(Visit {
            scouts: vec![String::new()],
            ..a_visit(s.planting)
        }),
        &["scouts[0]"],
    );
}

#[test]
fn points() {
    let s = Sample::new();
    let at = |latitude, longitude, uncertainty_m| Point {
        position: Some(Position {
            latitude,
            longitude,
            uncertainty_m,
        }),
        ..a_point(s.plot, s.visit, "2")
    };
    breaks(&s, record(at(90.1, 0.0, None)), &["position.latitude"]);
    breaks(&s, record(at(0.0, -180.5, None)), &["position.longitude"]);
    breaks(
        &s,
        record(at(f64::NAN, f64::INFINITY, None)),
        &["position.latitude", "position.longitude"],
    );
    breaks(
        &s,
        record(at(0.0, 0.0, Some(0.0))),
        &["position.uncertainty_m"],
    );
    s.keep(record(at(-90.0, 180.0, None)));
    let other = s.keep(record(a_planting(s.site)));
    let (other_plot, other_visit) = (
        s.keep(record(a_plot(other, "1"))),
        s.keep(record(a_visit(other))),
    );
    breaks(&s, record(a_point(other_plot, s.visit, "3")), &["plot"]);
    breaks(&s, record(a_point(s.plot, other_visit, "3")), &["plot"]);
    // Moving a plot or a visit with points on it to another planting tears them apart.
    breaks(
        &s,
        correction(s.plot, 1, a_plot(other, "moved")),
        &["planting"],
    );
    breaks(&s, correction(s.visit, 1, a_visit(other)), &["planting"]);
    let both = vec![
        correction(s.plot, 1, a_plot(other, "moved")),
        correction(s.visit, 1, a_visit(other)),
    ];
    s.book.append(both).unwrap();
}

#[test]
fn a_circle_of_corrections_is_refused() {
    let s = Sample::new();
    let (mut a, mut b) = (record(a_site()), record(a_site()));
    a.supersedes = Some(b.id);
    b.supersedes = Some(a.id);
    let found = problems(&s, vec![a, b]);
    assert!(
        found.iter().all(|problem| problem.field == "supersedes"),
        "{found:?}"
    );
}
