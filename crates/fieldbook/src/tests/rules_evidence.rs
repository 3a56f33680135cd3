//! The rules of frames, unknowns, determinations, opinions and photos, broken once each.

use super::rules::breaks;
use super::*;

#[test]
fn frames() {
    let s = Sample::new();
    let good = || a_frame(s.point, 1);
    let in_cell = |cell| Tally {
        cell,
        what: Counted::Taxon("a".into()),
        plants: None,
    };
    let counted = |plants| Tally {
        cell: None,
        what: Counted::Taxon("a".into()),
        plants,
    };
    let quadrat = FrameShape::Quadrat { area_m2: 0.25 };
    breaks(
        &s,
        record(Frame {
            number: 0,
            ..good()
        }),
        &["number"],
    );
    breaks(
        &s,
        record(Frame {
            tallies: vec![in_cell(Some(26))],
            ..good()
        }),
        &["tallies[0].cell"],
    );
    breaks(
        &s,
        record(Frame {
            tallies: vec![in_cell(Some(0))],
            ..good()
        }),
        &["tallies[0].cell"],
    );
    breaks(
        &s,
        record(Frame {
            tallies: vec![in_cell(None)],
            ..good()
        }),
        &["tallies[0].cell"],
    );
    let with_plants = Tally {
        plants: Some(3),
        ..in_cell(Some(1))
    };
    breaks(
        &s,
        record(Frame {
            tallies: vec![with_plants],
            ..good()
        }),
        &["tallies[0].plants"],
    );
    breaks(
        &s,
        record(Frame {
            tallies: vec![in_cell(Some(1)), in_cell(Some(1))],
            ..good()
        }),
        &["tallies[1].what"],
    );
    let q = |tallies: Vec<Tally>, fields: &[&str]| {
        breaks(
            &s,
            record(Frame {
                shape: quadrat,
                tallies,
                ..good()
            }),
            fields,
        );
    };
    q(
        vec![in_cell(Some(1))],
        &["tallies[0].cell", "tallies[0].plants"],
    );
    q(vec![counted(Some(0))], &["tallies[0].plants"]);
    q(
        vec![counted(Some(1)), counted(Some(2))],
        &["tallies[1].what"],
    );
    for shape in [
        FrameShape::Grid {
            cells: 0,
            cell_side_cm: 15.0,
        },
        FrameShape::Grid {
            cells: 101,
            cell_side_cm: 15.0,
        },
    ] {
        breaks(
            &s,
            record(Frame {
                shape,
                tallies: vec![],
                ..good()
            }),
            &["shape.cells"],
        );
    }
    let shape = FrameShape::Grid {
        cells: 25,
        cell_side_cm: f64::NAN,
    };
    breaks(
        &s,
        record(Frame { shape, ..good() }),
        &["shape.cell_side_cm"],
    );
    let shape = FrameShape::Quadrat { area_m2: -0.0 };
    breaks(
        &s,
        record(Frame {
            shape,
            tallies: vec![],
            ..good()
        }),
        &["shape.area_m2"],
    );
    let stray = Tally {
        what: Counted::Unknown(s.point),
        ..in_cell(Some(1))
    };
    breaks(
        &s,
        record(Frame {
            tallies: vec![stray],
            ..good()
        }),
        &["tallies[0].what"],
    );
    // Looked, none; and one taxon beside an unknown in one cell.
    s.keep(record(Frame {
        tallies: vec![],
        ..good()
    }));
    let unknown = Tally {
        what: Counted::Unknown(s.unknown),
        ..in_cell(Some(1))
    };
    s.keep(record(Frame {
        tallies: vec![in_cell(Some(1)), unknown],
        ..a_frame(s.point, 2)
    }));
}

#[test]
fn a_scout_reads_a_frame_once() {
    let s = Sample::new();
    let first = s.keep(record(a_frame(s.point, 1)));
    breaks(&s, record(a_frame(s.point, 1)), &["number"]);
    s.keep(record(Frame {
        scout: "B. Reed".into(),
        ..a_frame(s.point, 1)
    }));
    s.keep(correction(
        first,
        1,
        Frame {
            looked_twice: false,
            ..a_frame(s.point, 1)
        },
    ));
}

#[test]
fn unknowns() {
    let s = Sample::new();
    breaks(&s, record(an_unknown(s.visit, 1, s.point)), &["number"]);
    breaks(&s, record(an_unknown(s.visit, 0, s.point)), &["number"]);
    breaks(
        &s,
        record(Unknown {
            description: String::new(),
            ..an_unknown(s.visit, 2, s.point)
        }),
        &["description"],
    );
    let later = s.keep(record(Visit {
        on: "2026-08-20".into(),
        ..a_visit(s.planting)
    }));
    breaks(&s, record(an_unknown(later, 1, s.point)), &["first_seen"]);
    // Its point cannot walk off to another visit without it.
    breaks(
        &s,
        correction(s.point, 1, a_point(s.plot, later, "1")),
        &["visit"],
    );
    s.keep(correction(
        s.unknown,
        1,
        Unknown {
            description: "smooth after all".into(),
            ..an_unknown(s.visit, 1, s.point)
        },
    ));
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
        list.iter()
            .map(|&(taxon, probability)| Ranked {
                taxon: taxon.into(),
                probability,
            })
            .collect()
    };
    breaks(&s, with(&|d| d.point = s.visit), &["point"]);
    breaks(&s, with(&|d| d.cell = Some(0)), &["cell"]);
    breaks(&s, with(&|d| d.unknown = Some(s.point)), &["unknown"]);
    breaks(
        &s,
        with(&|d| d.taxon = Some("Big bluestem".into())),
        &["taxon"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.key = String::new()),
        &["evidence.key"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.table_fingerprint = "xyz".into()),
        &["evidence.table_fingerprint"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.leaf_stage = "two leaves".into()),
        &["evidence.leaf_stage"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.outcome = String::new()),
        &["evidence.outcome"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.tools = vec!["trowel".into(), "lens".into()]),
        &["evidence.tools"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.answers[0].r#trait = "Ligule".into()),
        &["evidence.answers[0].trait"],
    );
    let value = |d: &mut Determination, value| d.evidence.answers[0].value = value;
    breaks(
        &s,
        with(&|d| value(d, ValueGiven::States(vec![]))),
        &["evidence.answers[0].value"],
    );
    breaks(
        &s,
        with(&|d| value(d, ValueGiven::Measure(f64::NAN))),
        &["evidence.answers[0].value"],
    );
    let twice = || ValueGiven::States(vec!["a".into(), "a".into()]);
    breaks(
        &s,
        with(&|d| value(d, twice())),
        &["evidence.answers[0].value[1]"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.ranking = vec![]),
        &["evidence.ranking"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.ranking = ranking(&[("a", 0.5), ("b", 0.4)])),
        &["evidence.ranking"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.ranking = ranking(&[("a", 0.4), ("b", 0.6)])),
        &["evidence.ranking"],
    );
    breaks(
        &s,
        with(&|d| d.evidence.ranking = ranking(&[("a", 0.5), ("a", 0.5)])),
        &["evidence.ranking[1].taxon"],
    );
    for bad in [1.5, -0.5, f64::NAN] {
        let list = ranking(&[("a", bad), ("b", 0.5)]);
        breaks(
            &s,
            with(&|d| d.evidence.ranking.clone_from(&list)),
            &["evidence.ranking[0].probability"],
        );
    }
    // Just inside and just outside 1e-6.
    s.keep(with(&|d| {
        d.evidence.ranking = ranking(&[("a", 0.5), ("b", 0.500_000_9)])
            .into_iter()
            .rev()
            .collect()
    }));
    breaks(
        &s,
        with(&|d| d.evidence.ranking = ranking(&[("a", 0.500_001_1), ("b", 0.5)])),
        &["evidence.ranking"],
    );
}

#[test]
fn opinions_and_photos() {
    let s = Sample::new();
    let silent = Opinion {
        taxon: None,
        reasons: " ".into(),
        ..Opinion::on(s.unknown)
    };
    breaks(&s, record(silent.clone()), &["taxon"]);
    s.keep(record(Opinion {
        name_as_written: "Setaria sp.".into(),
        ..silent.clone()
    }));
    breaks(&s, record(an_opinion(s.point)), &["about"]);
    let good = Photo {
        of: s.unknown,
        sha256: "ab".repeat(32),
        media_type: "image/png".into(),
        bytes: 9,
        shows: String::new(),
    };
    breaks(
        &s,
        record(Photo {
            sha256: "AB".repeat(32),
            ..good.clone()
        }),
        &["sha256"],
    );
    breaks(
        &s,
        record(Photo {
            media_type: "image/gif".into(),
            ..good.clone()
        }),
        &["media_type"],
    );
    breaks(
        &s,
        record(Photo {
            bytes: 0,
            ..good.clone()
        }),
        &["bytes"],
    );
    breaks(
        &s,
        record(Photo {
            of: RecordId::new(),
            ..good.clone()
        }),
        &["of"],
    );
    let photo = s.keep(record(good.clone()));
    breaks(&s, record(Photo { of: photo, ..good }), &["of"]);
}
