//! Every rule of rows and of second readings of a frame, broken once.

use super::rules::{breaks, problems};
use super::*;

#[test]
fn rows() {
    let s = Sample::new();
    let row = |length_m, row_spacing_cm, tallies| {
        record(Frame {
            shape: FrameShape::Row {
                length_m,
                row_spacing_cm,
            },
            tallies,
            ..a_frame(s.point, 7)
        })
    };
    let tally = |cell, plants| Tally {
        cell,
        what: Counted::Taxon("andropogon_gerardi".into()),
        plants,
    };
    breaks(&s, row(0.0, 19.0, vec![]), &["shape.length_m"]);
    breaks(&s, row(3.0, f64::NAN, vec![]), &["shape.row_spacing_cm"]);
    breaks(
        &s,
        row(3.0, 19.0, vec![tally(Some(1), None)]),
        &["tallies[0].cell", "tallies[0].plants"],
    );
    breaks(
        &s,
        row(3.0, 19.0, vec![tally(None, Some(4)), tally(None, Some(2))]),
        &["tallies[1].what"],
    );
    let id = s.keep(row(3.0, 19.0, vec![tally(None, Some(4))]));
    let shape = s.book.frame(id).unwrap().unwrap().body.shape;
    assert!((shape.counted_area_m2().unwrap() - 0.57).abs() < 1e-12);
}

#[test]
fn second_readings() {
    let s = Sample::new();
    let first = s.keep(record(a_frame(s.point, 1)));
    let again = |scout: &str, change: &dyn Fn(&mut Frame)| {
        let mut frame = Frame {
            scout: scout.into(),
            repeats: Some(first),
            ..a_frame(s.point, 1)
        };
        change(&mut frame);
        record(frame)
    };
    let own = again("B. Reed", &|_| {});
    let to_itself = Record {
        body: Frame {
            repeats: Some(own.id),
            ..a_frame(s.point, 2)
        }
        .into(),
        ..own.clone()
    };
    let found = problems(&s, vec![to_itself]);
    assert!(
        found.iter().all(|problem| problem.field == "repeats"),
        "{found:?}"
    );
    breaks(
        &s,
        again("B. Reed", &|it| it.repeats = Some(s.point)),
        &["repeats"],
    );
    breaks(&s, again("B. Reed", &|it| it.number = 2), &["number"]);
    breaks(
        &s,
        again("B. Reed", &|it| {
            it.shape = FrameShape::Grid {
                cells: 25,
                cell_side_cm: 10.0,
            }
        }),
        &["shape"],
    );
    breaks(&s, again("a. fenn ", &|_| {}), &["scout"]);
    let other_point = s.keep(record(a_point(s.plot, s.visit, "2")));
    breaks(
        &s,
        again("B. Reed", &|it| it.point = other_point),
        &["point"],
    );
    // A correction that claims to read again what it corrects.
    let claims = Frame {
        repeats: Some(first),
        ..a_frame(s.point, 1)
    };
    breaks(&s, correction(first, 1, claims), &["repeats"]);

    // Both in one call, the second first.
    let twin = record(a_frame(s.point, 5));
    let mut second = again("B. Reed", &|it| it.number = 5);
    if let Body::Frame(frame) = &mut second.body {
        frame.repeats = Some(twin.id);
    }
    // Whatever the order of the ids.
    let mut swapped = [twin.clone(), second.clone()];
    swapped.reverse();
    s.book.append(swapped.to_vec()).unwrap();
    assert_eq!(s.book.repeats_of(twin.id).unwrap()[0].id, second.id);

    let kept = s.keep(own);
    let corrected = s.keep(correction(
        first,
        2,
        Frame {
            looked_twice: false,
            ..a_frame(s.point, 1)
        },
    ));
    for version in [first, corrected] {
        assert_eq!(s.book.repeats_of(version).unwrap()[0].id, kept);
    }
    assert!(s.book.repeats_of(kept).unwrap().is_empty());
    // The first reading cannot become another frame, nor the same scout's, beneath the second.
    breaks(
        &s,
        correction(corrected, 3, a_frame(s.point, 9)),
        &["number"],
    );
    let same_scout = Frame {
        scout: "B. Reed".into(),
        ..a_frame(s.point, 1)
    };
    breaks(
        &s,
        correction(corrected, 3, same_scout),
        &["number", "scout"],
    );
}

#[test]
fn a_second_reading_with_the_smaller_id_comes_after_the_first() {
    let s = Sample::new();
    let mut second = record(Frame {
        scout: "B. Reed".into(),
        ..a_frame(s.point, 3)
    });
    let first = record(a_frame(s.point, 3));
    assert!(second.id < first.id);
    if let Body::Frame(frame) = &mut second.body {
        frame.repeats = Some(first.id);
    }
    s.book.append(vec![second, first]).unwrap();
    // In a circle neither can be first.
    let (mut a, mut b) = (record(a_frame(s.point, 4)), record(a_frame(s.point, 4)));
    let (a_id, b_id) = (a.id, b.id);
    for (one, other, scout) in [(&mut a, b_id, "C. Sorrel"), (&mut b, a_id, "D. Vetch")] {
        if let Body::Frame(frame) = &mut one.body {
            (frame.repeats, frame.scout) = (Some(other), scout.into());
        }
    }
    let found = problems(&s, vec![a, b]);
    assert!(
        found.iter().all(|problem| problem.field == "repeats"),
        "{found:?}"
    );
}
