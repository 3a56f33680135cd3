//! Every rule of the book, broken once: which field is named, and that nothing is written.

use super::*;
use crate::check::limits;
use crate::{BookError, Problem};

#[track_caller]
fn problems(sample: &Sample, records: Vec<Record>) -> Vec<Problem> {
    let before = sample.export();
    let found = match sample.book.append(records) {
        Err(BookError::Invalid(found)) => found,
        other => panic!("expected Invalid, got {other:?}"),
    };
    assert_eq!(sample.export(), before, "something was written");
    for problem in &found {
        assert!(!problem.problem.is_empty() && problem.mend.ends_with('.'), "{problem:?}");
    }
    found
}

/// The record breaks exactly these fields.
#[track_caller]
fn breaks(sample: &Sample, record: Record, fields: &[&str]) {
    let found = problems(sample, vec![record]);
    let named: Vec<&str> = found.iter().map(|problem| problem.field.as_str()).collect();
    assert_eq!(named, fields, "{found:#?}");
}

#[test]
fn envelopes() {
    let s = Sample::new();
    let good = || record(a_site());
    breaks(&s, Record { born_at: "2026-07-14".into(), ..good() }, &["born_at"]);
    breaks(&s, Record { device: " ".into(), ..good() }, &["device"]);
    breaks(&s, Record { author: "x".repeat(121), ..good() }, &["author"]);
    let own = good();
    breaks(&s, Record { supersedes: Some(own.id), ..own }, &["supersedes"]);
    breaks(&s, Record { supersedes: Some(s.plot), ..good() }, &["supersedes"]);
    breaks(&s, Record { supersedes: Some(RecordId::new()), ..good() }, &["supersedes"]);
}

#[test]
fn texts() {
    let s = Sample::new();
    breaks(&s, record(Site { name: String::new(), ..a_site() }), &["name"]);
    breaks(&s, record(Site { name: "two\nlines".into(), ..a_site() }), &["name"]);
    breaks(&s, record(Site { locality: "bell \u{7}".into(), ..a_site() }), &["locality"]);
    breaks(&s, record(Site { locality: "carriage\r\nreturn".into(), ..a_site() }), &["locality"]);
    breaks(&s, record(Site { permission: "x".repeat(2001), ..a_site() }), &["permission"]);
    // Characters are counted, not bytes.
    s.keep(record(Site { name: "\u{e9}".repeat(limits::NAME_CHARS), permission: "a\nb".into(), ..a_site() }));
}

#[test]
fn all_problems_of_all_records_at_once() {
    let s = Sample::new();
    let bad_site = record(Site { name: String::new(), ..a_site() });
    // Its site is refused: that is said once, at the site.
    let child = record(a_planting(bad_site.id));
    let grandchild = record(Plot { name: String::new(), ..a_plot(child.id, "1") });
    let stray = record(a_plot(RecordId::new(), "1"));
    let found = problems(&s, vec![grandchild.clone(), child, stray.clone(), bad_site.clone()]);
    let named: Vec<_> = found.iter().map(|problem| (problem.record, problem.field.as_str())).collect();
    assert_eq!(named, [(grandchild.id, "name"), (stray.id, "planting"), (bad_site.id, "name")]);
}

#[test]
fn plantings() {
    let s = Sample::new();
    let good = || a_planting(s.site);
    let mix = |taxon: &str, rate| MixItem { taxon: taxon.into(), pls_lb_per_acre: rate };
    breaks(&s, record(Planting { seeded_on: "2026-02-30".into(), ..good() }), &["seeded_on"]);
    breaks(&s, record(Planting { seeded_on: "1826-05-12".into(), ..good() }), &["seeded_on"]);
    for row_spacing_cm in [0.0, -1.0, f64::NAN, f64::INFINITY, 501.0] {
        let method = SeedingMethod::Drilled { row_spacing_cm };
        breaks(&s, record(Planting { method, ..good() }), &["method.row_spacing_cm"]);
    }
    breaks(&s, record(Planting { mix: vec![], ..good() }), &["mix"]);
    breaks(&s, record(Planting { mix: vec![mix("a", None), mix("a", None)], ..good() }), &["mix[1].taxon"]);
    breaks(&s, record(Planting { mix: vec![mix("Big bluestem", None)], ..good() }), &["mix[0].taxon"]);
    breaks(&s, record(Planting { mix: vec![mix(&"a".repeat(81), None)], ..good() }), &["mix[0].taxon"]);
    for rate in [0.0, -2.0, f64::NAN, 501.0] {
        breaks(&s, record(Planting { mix: vec![mix("a", Some(rate))], ..good() }), &["mix[0].pls_lb_per_acre"]);
    }
    breaks(&s, record(a_planting(s.plot)), &["site"]);
}

#[test]
fn plot_names_are_unique_among_the_current_plots_of_a_planting() {
    let s = Sample::new();
    breaks(&s, record(a_plot(s.planting, "1")), &["name"]);
    breaks(&s, record(a_plot(s.planting, " 1 ")), &["name"]);
    let twice = problems(&s, vec![record(a_plot(s.planting, "2")), record(a_plot(s.planting, "2"))]);
    assert_eq!(twice.len(), 2);
    // By any version of the planting.
    let corrected = s.keep(correction(s.planting, 1, a_planting(s.site)));
    breaks(&s, record(a_plot(corrected, "1")), &["name"]);
    // A correction may keep its name; a name given up is free; another planting has its own names.
    let renamed = s.keep(correction(s.plot, 1, Plot { note: String::new(), ..a_plot(s.planting, "1") }));
    s.keep(correction(renamed, 2, a_plot(s.planting, "first")));
    s.keep(record(a_plot(s.planting, "1")));
    let other = s.keep(record(a_planting(s.site)));
    s.keep(record(a_plot(other, "1")));
}

#[test]
fn visits_come_after_the_seeding() {
    let s = Sample::new();
    let on = |date: &str| Visit { on: date.into(), ..a_visit(s.planting) };
    let found = problems(&s, vec![record(on("2026-05-11"))]);
    assert!(found[0].problem.contains("2026-05-11") && found[0].problem.contains("2026-05-12"), "{:?}", found[0]);
    s.keep(record(on("2026-05-12")));
    // The other way round: the planting cannot be moved past its visits.
    let moved = Planting { seeded_on: "2026-06-01".into(), ..a_planting(s.site) };
    breaks(&s, correction(s.planting, 1, moved), &["seeded_on"]);
    let sooner = Planting { seeded_on: "2026-05-01".into(), ..a_planting(s.site) };
    s.keep(correction(s.planting, 1, sooner));
    s.keep(record(on("2026-05-11")));
    breaks(&s, record(on("2026-13-01")), &["on"]);
    breaks(&s, record(Visit { scouts: vec![], ..a_visit(s.planting) }), &["scouts"]);
    breaks(&s, record(Visit { scouts: vec![String::new()], ..a_visit(s.planting) }), &["scouts[0]"]);
}

#[test]
fn points() {
    let s = Sample::new();
    let at = |latitude, longitude, uncertainty_m| Point {
        position: Some(Position { latitude, longitude, uncertainty_m }),
        ..a_point(s.plot, s.visit, "2")
    };
    breaks(&s, record(at(90.1, 0.0, None)), &["position.latitude"]);
    breaks(&s, record(at(0.0, -180.5, None)), &["position.longitude"]);
    breaks(&s, record(at(f64::NAN, f64::INFINITY, None)), &["position.latitude", "position.longitude"]);
    breaks(&s, record(at(0.0, 0.0, Some(0.0))), &["position.uncertainty_m"]);
    s.keep(record(at(-90.0, 180.0, None)));
    let other = s.keep(record(a_planting(s.site)));
    let (other_plot, other_visit) = (s.keep(record(a_plot(other, "1"))), s.keep(record(a_visit(other))));
    breaks(&s, record(a_point(other_plot, s.visit, "3")), &["plot"]);
    breaks(&s, record(a_point(s.plot, other_visit, "3")), &["plot"]);
    // Moving a plot or a visit with points on it to another planting tears them apart.
    breaks(&s, correction(s.plot, 1, a_plot(other, "moved")), &["planting"]);
    breaks(&s, correction(s.visit, 1, a_visit(other)), &["planting"]);
    let both = vec![correction(s.plot, 1, a_plot(other, "moved")), correction(s.visit, 1, a_visit(other))];
    s.book.append(both).unwrap();
}

#[test]
fn frames() {
    let s = Sample::new();
    let good = || a_frame(s.point, 1);
    let in_cell = |cell| Tally { cell, what: Counted::Taxon("a".into()), plants: None };
    let counted = |plants| Tally { cell: None, what: Counted::Taxon("a".into()), plants };
    let quadrat = FrameShape::Quadrat { area_m2: 0.25 };
    breaks(&s, record(Frame { number: 0, ..good() }), &["number"]);
    breaks(&s, record(Frame { tallies: vec![in_cell(Some(26))], ..good() }), &["tallies[0].cell"]);
    breaks(&s, record(Frame { tallies: vec![in_cell(Some(0))], ..good() }), &["tallies[0].cell"]);
    breaks(&s, record(Frame { tallies: vec![in_cell(None)], ..good() }), &["tallies[0].cell"]);
    let with_plants = Tally { plants: Some(3), ..in_cell(Some(1)) };
    breaks(&s, record(Frame { tallies: vec![with_plants], ..good() }), &["tallies[0].plants"]);
    breaks(&s, record(Frame { tallies: vec![in_cell(Some(1)), in_cell(Some(1))], ..good() }), &["tallies[1].what"]);
    let q = |tallies: Vec<Tally>, fields: &[&str]| {
        breaks(&s, record(Frame { shape: quadrat, tallies, ..good() }), fields);
    };
    q(vec![in_cell(Some(1))], &["tallies[0].cell", "tallies[0].plants"]);
    q(vec![counted(Some(0))], &["tallies[0].plants"]);
    q(vec![counted(Some(1)), counted(Some(2))], &["tallies[1].what"]);
    for shape in [
        FrameShape::Grid { cells: 0, cell_side_cm: 15.0 },
        FrameShape::Grid { cells: 101, cell_side_cm: 15.0 },
    ] {
        breaks(&s, record(Frame { shape, tallies: vec![], ..good() }), &["shape.cells"]);
    }
    let shape = FrameShape::Grid { cells: 25, cell_side_cm: f64::NAN };
    breaks(&s, record(Frame { shape, ..good() }), &["shape.cell_side_cm"]);
    let shape = FrameShape::Quadrat { area_m2: -0.0 };
    breaks(&s, record(Frame { shape, tallies: vec![], ..good() }), &["shape.area_m2"]);
    let stray = Tally { what: Counted::Unknown(s.point), ..in_cell(Some(1)) };
    breaks(&s, record(Frame { tallies: vec![stray], ..good() }), &["tallies[0].what"]);
    // Looked, none; and one taxon beside an unknown in one cell.
    s.keep(record(Frame { tallies: vec![], ..good() }));
    let unknown = Tally { what: Counted::Unknown(s.unknown), ..in_cell(Some(1)) };
    s.keep(record(Frame { tallies: vec![in_cell(Some(1)), unknown], ..a_frame(s.point, 2) }));
}

#[test]
fn a_scout_reads_a_frame_once() {
    let s = Sample::new();
    let first = s.keep(record(a_frame(s.point, 1)));
    breaks(&s, record(a_frame(s.point, 1)), &["number"]);
    s.keep(record(Frame { scout: "B. Reed".into(), ..a_frame(s.point, 1) }));
    s.keep(correction(first, 1, Frame { looked_twice: false, ..a_frame(s.point, 1) }));
}

#[test]
fn unknowns() {
    let s = Sample::new();
    breaks(&s, record(an_unknown(s.visit, 1, s.point)), &["number"]);
    breaks(&s, record(an_unknown(s.visit, 0, s.point)), &["number"]);
    breaks(&s, record(Unknown { description: String::new(), ..an_unknown(s.visit, 2, s.point) }), &["description"]);
    let later = s.keep(record(Visit { on: "2026-08-20".into(), ..a_visit(s.planting) }));
    breaks(&s, record(an_unknown(later, 1, s.point)), &["first_seen"]);
    // Its point cannot walk off to another visit without it.
    breaks(&s, correction(s.point, 1, a_point(s.plot, later, "1")), &["visit"]);
    s.keep(correction(s.unknown, 1, Unknown { description: "smooth after all".into(), ..an_unknown(s.visit, 1, s.point) }));
}

#[test]
fn determinations() {
    let s = Sample::new();
    let with = |change: &dyn Fn(&mut Determination)| {
        let mut it = a_determination(s.point);
        change(&mut it);
        record(it)
    };
    let ranking = |list: &[(&str, f64)]| -> Vec<Ranked> {
        list.iter().map(|&(taxon, probability)| Ranked { taxon: taxon.into(), probability }).collect()
    };
    breaks(&s, with(&|d| d.point = s.visit), &["point"]);
    breaks(&s, with(&|d| d.cell = Some(0)), &["cell"]);
    breaks(&s, with(&|d| d.unknown = Some(s.point)), &["unknown"]);
    breaks(&s, with(&|d| d.taxon = Some("Big bluestem".into())), &["taxon"]);
    breaks(&s, with(&|d| d.evidence.key = String::new()), &["evidence.key"]);
    breaks(&s, with(&|d| d.evidence.table_fingerprint = "xyz".into()), &["evidence.table_fingerprint"]);
    breaks(&s, with(&|d| d.evidence.leaf_stage = "two leaves".into()), &["evidence.leaf_stage"]);
    breaks(&s, with(&|d| d.evidence.outcome = String::new()), &["evidence.outcome"]);
    breaks(&s, with(&|d| d.evidence.tools = vec!["trowel".into(), "lens".into()]), &["evidence.tools"]);
    breaks(&s, with(&|d| d.evidence.answers[0].r#trait = "Ligule".into()), &["evidence.answers[0].trait"]);
    let value = |d: &mut Determination, value| d.evidence.answers[0].value = value;
    breaks(&s, with(&|d| value(d, ValueGiven::States(vec![]))), &["evidence.answers[0].value"]);
    breaks(&s, with(&|d| value(d, ValueGiven::Measure(f64::NAN))), &["evidence.answers[0].value"]);
    let twice = || ValueGiven::States(vec!["a".into(), "a".into()]);
    breaks(&s, with(&|d| value(d, twice())), &["evidence.answers[0].value[1]"]);
    breaks(&s, with(&|d| d.evidence.ranking = vec![]), &["evidence.ranking"]);
    breaks(&s, with(&|d| d.evidence.ranking = ranking(&[("a", 0.5), ("b", 0.4)])), &["evidence.ranking"]);
    breaks(&s, with(&|d| d.evidence.ranking = ranking(&[("a", 0.4), ("b", 0.6)])), &["evidence.ranking"]);
    breaks(&s, with(&|d| d.evidence.ranking = ranking(&[("a", 0.5), ("a", 0.5)])), &["evidence.ranking[1].taxon"]);
    for bad in [1.5, -0.5, f64::NAN] {
        let list = ranking(&[("a", bad), ("b", 0.5)]);
        breaks(&s, with(&|d| d.evidence.ranking.clone_from(&list)), &["evidence.ranking[0].probability"]);
    }
    // Just inside and just outside 1e-6.
    s.keep(with(&|d| d.evidence.ranking = ranking(&[("a", 0.5), ("b", 0.500_000_9)]).into_iter().rev().collect()));
    breaks(&s, with(&|d| d.evidence.ranking = ranking(&[("a", 0.500_001_1), ("b", 0.5)])), &["evidence.ranking"]);
}

#[test]
fn opinions_and_photos() {
    let s = Sample::new();
    let silent = Opinion { about: s.unknown, taxon: None, name_as_written: String::new(), reasons: " ".into() };
    breaks(&s, record(silent.clone()), &["taxon"]);
    s.keep(record(Opinion { name_as_written: "Setaria sp.".into(), ..silent.clone() }));
    breaks(&s, record(an_opinion(s.point)), &["about"]);
    let good = Photo { of: s.unknown, sha256: "ab".repeat(32), media_type: "image/png".into(), bytes: 9, shows: String::new() };
    breaks(&s, record(Photo { sha256: "AB".repeat(32), ..good.clone() }), &["sha256"]);
    breaks(&s, record(Photo { media_type: "image/heic".into(), ..good.clone() }), &["media_type"]);
    breaks(&s, record(Photo { bytes: 0, ..good.clone() }), &["bytes"]);
    breaks(&s, record(Photo { of: RecordId::new(), ..good.clone() }), &["of"]);
    let photo = s.keep(record(good.clone()));
    breaks(&s, record(Photo { of: photo, ..good }), &["of"]);
}

#[test]
fn a_circle_of_corrections_is_refused() {
    let s = Sample::new();
    let (mut a, mut b) = (record(a_site()), record(a_site()));
    a.supersedes = Some(b.id);
    b.supersedes = Some(a.id);
    let found = problems(&s, vec![a, b]);
    assert!(found.iter().all(|problem| problem.field == "supersedes"), "{found:?}");
}
