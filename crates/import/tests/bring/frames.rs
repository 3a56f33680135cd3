//! Frames and counts from CSV.

use standbook_fieldbook::Body;
use standbook_fieldbook::record::{Counted, FrameShape, Tally};
use standbook_import::bring::{What, keep};

use crate::support::*;

fn taxon(id: &str) -> Counted {
    Counted::Taxon(id.to_owned())
}

#[test]
fn cells_become_frames_and_the_same_file_twice_adds_nothing() {
    let sample = Sample::with_points(2);
    let text = "taxon,cell,frame,point,scout,looked_twice,repeats\n\
                Switchgrass,3,1,1,A. Fenn,yes,\n\
                panicum virgatum,7,1,1,A. Fenn,yes,\n\
                andropogon_gerardi,3,1,1,A. Fenn,yes,\n\
                ,,2,1,A. Fenn,,\n\
                switchgrass,3,1,1,B. Rowan,,1\n";
    let looked = sample.brought(What::Frames, text);
    assert_eq!(looked.new, 3);
    assert_eq!(
        looked.items[1].becomes,
        "North strip, point 1, frame 2 by A. Fenn: looked, none"
    );
    let point = sample.book.points(sample.visit).unwrap().remove(0);
    let frames = sample.book.frames_at(point.id).unwrap();
    let first = frames
        .iter()
        .find(|f| f.body.number == 1 && f.body.repeats.is_none())
        .unwrap();
    let cell = |cell, id: &str| Tally {
        cell: Some(cell),
        what: taxon(id),
        plants: None,
    };
    assert_eq!(
        first.body.tallies,
        [
            cell(3, "andropogon_gerardi"),
            cell(3, "panicum_virgatum"),
            cell(7, "panicum_virgatum")
        ]
    );
    assert!(first.body.looked_twice);
    let second = frames.iter().find(|f| f.body.repeats.is_some()).unwrap();
    assert_eq!(
        (second.body.repeats, second.author.as_str()),
        (Some(first.id), "B. Rowan")
    );
    assert!(
        !second.body.looked_twice,
        "a file that does not say so claims no second look"
    );
    assert_eq!(sample.looked(What::Frames, text).new, 0);
}

#[test]
fn a_number_of_cells_does_not_say_which_and_a_count_needs_its_ground() {
    let sample = Sample::with_points(1);
    let wide = "point,frame,switchgrass,big bluestem\n1,1,4,0\n";
    one_fault(
        &sample.faults(What::Frames, wide),
        &["line 1, column 3", "don't say which cells", "area_m2"],
    );
    let mut sized = said(What::Frames);
    sized.usual.area_m2 = Some(0.25);
    let looked = sample.looked_as(&sized, wide.as_bytes());
    assert!(looked.faults.is_empty(), "{:?}", looked.faults);
    keep(&sample.book, &looked).unwrap();
    let frames = sample.book.frames(sample.visit).unwrap();
    assert_eq!(frames[0].body.shape, FrameShape::Quadrat { area_m2: 0.25 });
    assert_eq!(
        frames[0].body.tallies,
        [Tally {
            cell: None,
            what: taxon("panicum_virgatum"),
            plants: Some(4)
        }]
    );
    let bad = "point,frame,area_m2,switchgrass,big bluestem\n1,2,0.25,4,some\n";
    one_fault(
        &sample.faults(What::Frames, bad),
        &["line 2, column 5 (big bluestem)", "no whole number"],
    );
}

#[test]
fn slips_are_told_with_what_was_perhaps_meant() {
    let sample = Sample::with_points(12);
    let head = "point,frame,cell,taxon,date\n";
    for (line, parts) in [
        (
            "1,1,3,swichgrass,",
            &["line 2, column 4 (taxon)", "did you mean `switchgrass`?"][..],
        ),
        (
            "122,1,3,switchgrass,",
            &["column 1 (point)", "did you mean `12`?"],
        ),
        ("1,1,26,switchgrass,", &["cell 26 is not in a grid of 25"]),
        (
            "1,1,3,switchgrass,7/14/2026",
            &["column 5 (date)", "say how the file writes days"],
        ),
        (
            "1,1,3,switchgrass,46217",
            &["column 5 (date)", "count of days"],
        ),
        (
            "1,1,3,switchgrass,2026-07-15",
            &["another day than the visit's, 2026-07-14"],
        ),
        ("1,1,3,unknown 2,", &["no unknown 2", "description"]),
        (
            "1,1,3,not_in_key,",
            &["the key has no `not_in_key`", "unknown 1"],
        ),
        ("1,one,3,switchgrass,", &["column 2 (frame)", "1, 2, 3"]),
    ] {
        one_fault(
            &sample.faults(What::Frames, &format!("{head}{line}\n")),
            parts,
        );
    }
    let mut days = said(What::Frames);
    days.usual.dates = standbook_import::dates::DateForm::MonthFirst;
    let looked = sample.looked_as(
        &days,
        format!("{head}1,1,3,switchgrass,7/14/2026\n").as_bytes(),
    );
    assert!(looked.faults.is_empty(), "{:?}", looked.faults);
}

#[test]
fn unknowns_of_the_visit_are_found_and_described_ones_are_made() {
    let sample = Sample::with_points(1);
    let text = "point,frame,cell,taxon,description\n1,1,3,unknown 1,\"hairy, flat base\"\n1,1,4,Unknown 1,\n1,2,4,unknown 1,\n";
    // One plant under two spellings of the word is still one.
    let looked = sample.brought(What::Frames, text);
    assert_eq!(looked.new, 3);
    let unknown = sample.book.unknowns(sample.visit).unwrap().remove(0);
    assert_eq!(unknown.body.description, "hairy, flat base");
    assert_eq!(sample.looked(What::Frames, text).new, 0);
    let other = "point,frame,cell,taxon,description\n1,3,3,unknown 1,\"smooth, round base\"\n";
    one_fault(
        &sample.faults(What::Frames, other),
        &["unknown 1 already (hairy, flat base)", "next free number"],
    );
    // Described better at the desk, it is the same plant, and the file still adds nothing.
    let mut better = record(Body::Unknown(unknown.body.clone()));
    better.supersedes = Some(unknown.id);
    if let Body::Unknown(body) = &mut better.body {
        body.description = "hairy, flat base, red".to_owned();
    }
    sample.book.append(vec![better]).unwrap();
    let again = sample.looked(What::Frames, text);
    assert_eq!(
        (again.new, again.faults.len()),
        (0, 0),
        "{:?}",
        again.faults
    );
}

#[test]
fn what_the_book_would_refuse_is_told_before_anything_is_kept() {
    let sample = Sample::with_points(1);
    sample.brought(What::Frames, "point,frame,cell,taxon\n1,1,3,switchgrass\n");
    let before = sample.count();
    let other = sample.looked(
        What::Frames,
        "point,frame,cell,taxon\n1,2,3,switchgrass\n1,1,4,switchgrass\n",
    );
    one_fault(
        &told(&other),
        &[
            "line 3",
            "number: A. Fenn has read frame 1 at this point already",
        ],
    );
    assert_eq!(keep(&sample.book, &other).unwrap(), 0);
    assert_eq!(sample.count(), before);
}
