//! Points from CSV and map files.

use standbook_fieldbook::Body;
use standbook_import::bring::{State, What, keep};

use crate::support::*;

const TWO: &str = "label,latitude,longitude,uncertainty_m,plot,colour\n1,40.105,-96.51,4,North strip,red\n10,40°06'36\"N,96°30'36\"W,,south strip,\n";

#[test]
fn a_file_of_points_becomes_points_of_the_visit() {
    let sample = Sample::new();
    let before = sample.count();
    let looked = sample.looked(What::Points, TWO);
    assert_eq!(sample.count(), before, "looking writes nothing");
    assert_eq!((looked.new, looked.already, looked.faults.len()), (2, 0, 0));
    assert_eq!(looked.items[0].at, "line 2");
    assert_eq!(
        looked.items[0].becomes,
        "North strip, point 1 at 40.105000, -96.510000 within 4 m"
    );
    assert!(
        looked
            .notes
            .iter()
            .any(|note| note.contains("Not used: colour")),
        "{:?}",
        looked.notes
    );
    assert!(
        looked
            .notes
            .iter()
            .any(|note| note.contains("was read as 40.110000, -96.510000")),
        "{:?}",
        looked.notes
    );
    assert_eq!(keep(&sample.book, &looked).unwrap(), 2);
    let points = sample.book.points(sample.visit).unwrap();
    // In the order of labels as numbers, as the pages list them.
    let labels: Vec<&str> = points
        .iter()
        .map(|point| point.body.label.as_str())
        .collect();
    assert_eq!(labels, ["1", "10"]);
    assert_eq!(
        (points[0].body.plot, points[1].body.plot),
        (sample.north, sample.south)
    );
    assert_eq!(points[0].author, "A. Fenn");
    assert_eq!(points[0].device, "file north.csv, brought in by B. Rowan");
    assert_eq!(points[0].born_at, "2026-07-14T12:00:00.001Z");
    let fix = points[1].body.position.unwrap();
    assert!((fix.latitude - 40.11).abs() < 1e-9 && fix.uncertainty_m.is_none());
}

#[test]
fn the_same_file_twice_adds_nothing_whoever_sends_it_and_whatever_it_is_called() {
    let sample = Sample::new();
    sample.brought(What::Points, TWO);
    let before = sample.count();
    let mut other = said(What::Points);
    (other.file, other.by) = ("copy of north.csv".to_owned(), "C. Sedge".to_owned());
    let again = sample.looked_as(&other, TWO.as_bytes());
    assert_eq!((again.new, again.already, again.faults.len()), (0, 2, 0));
    assert!(again.items.iter().all(|item| item.state == State::Already));
    assert_eq!(keep(&sample.book, &again).unwrap(), 0);
    // A line more is a point more, and the others are still known.
    let more = format!("{TWO}11,40.11,-96.51,,North strip,\n");
    let looked = sample.brought(What::Points, &more);
    assert_eq!((looked.new, looked.already), (1, 2));
    assert_eq!(sample.count(), before + 1);
    // What was corrected since is known as well.
    let point = sample.book.points(sample.visit).unwrap().remove(0);
    let mut corrected = record(Body::Point(point.body.clone()));
    corrected.supersedes = Some(point.id);
    if let Body::Point(body) = &mut corrected.body {
        body.label = "one".to_owned();
    }
    sample.book.append(vec![corrected]).unwrap();
    assert_eq!(sample.looked(What::Points, &more).new, 0);
}

#[test]
fn one_bad_line_at_the_end_and_nothing_comes() {
    let sample = Sample::new();
    let before = sample.count();
    let text = format!("{TWO}11,40.11,,,North strip,\n");
    let looked = sample.looked(What::Points, &text);
    one_fault(
        &told(&looked),
        &["line 4, column 3 (longitude)", "give both"],
    );
    assert_eq!(keep(&sample.book, &looked).unwrap(), 0);
    assert_eq!(sample.count(), before);
}

#[test]
fn slips_are_told_with_line_and_column_and_how_to_mend_them() {
    let sample = Sample::with_points(1);
    let head = "label,latitude,longitude,plot\n";
    for (line, parts) in [
        // Latitude beyond 90 degrees can only be swapped.
        (
            "2,-96.51,40.11,North strip",
            &["line 2, column 2 (latitude)", "swapped"][..],
        ),
        (
            "2,40.11,96.51,North strip",
            &[
                "sign were lost",
                "west is negative",
                "40.110000, -96.510000",
            ],
        ),
        ("2,41.11,-96.51,North strip", &["110 km from the outline"]),
        ("2,447000,4440000,North strip", &["map grid"]),
        (
            ",40.11,-96.51,North strip",
            &["column 1 (label)", "give every point a label"],
        ),
        (
            "2,40.11,-96.51,Norht strip",
            &["column 4 (plot)", "did you mean `North strip`?"],
        ),
        (
            "2,40.11,-96.51,",
            &["no plot is named", "choose one for the whole file"],
        ),
        (
            "1,40.115,-96.51,North strip",
            &["another point 1", "another label"],
        ),
        ("2,40.11,-96.51", &["3 column(s), the header 4"]),
        ("2,\"40.11,-96.51,North strip", &["3 column(s)", "quote"]),
        ("2,40x,-96.51,North strip", &["column 2 (latitude)"]),
    ] {
        let faults = sample.faults(What::Points, &format!("{head}{line}\n"));
        if line.contains('"') {
            assert!(!faults.is_empty(), "{line}");
            continue;
        }
        one_fault(&faults, parts);
    }
    let twice = format!("{head}2,40.11,-96.51,North strip\n 2 ,40.12,-96.51,north strip\n");
    one_fault(
        &sample.faults(What::Points, &twice),
        &["line 3", "point 2 in line 2 already"],
    );
    one_fault(
        &sample.faults(What::Points, "label,lat\n1,40.1\n"),
        &["line 1", "no column longitude"],
    );
    one_fault(
        &sample.faults(What::Points, "label,latitude,longitude,lat\n1,1,1,1\n"),
        &["column 4 (lat)", "twice"],
    );
    one_fault(
        &sample.faults(What::Points, "label,latitude,longitude\n"),
        &["no lines below the header"],
    );
}

#[test]
fn plots_are_made_only_where_somebody_says_so() {
    let sample = Sample::new();
    let text = "label,latitude,longitude,plot\n1,40.11,-96.51,West end\n2,40.11,-96.51,west end\n";
    assert_eq!(sample.faults(What::Points, text).len(), 2);
    let mut making = said(What::Points);
    making.make_missing = true;
    let looked = sample.looked_as(&making, text.as_bytes());
    assert!(looked.faults.is_empty(), "{:?}", looked.faults);
    assert!(
        looked
            .notes
            .iter()
            .any(|note| note == "A plot West end is made."),
        "{:?}",
        looked.notes
    );
    keep(&sample.book, &looked).unwrap();
    assert_eq!(sample.book.plots(sample.planting).unwrap().len(), 3);
    let again = sample.looked_as(&making, text.as_bytes());
    assert_eq!(
        (again.new, again.faults.len()),
        (0, 0),
        "{:?}",
        again.faults
    );
}

#[test]
fn spreadsheets_own_first_line_and_decimal_commas_are_read() {
    let sample = Sample::new();
    let text = "sep=;\r\nlabel;latitude;longitude;uncertainty_m;plot\r\n1;40,11;-96,51;2,5;North strip\r\n2;x;-96,51;;North strip\r\n";
    let looked = sample.looked(What::Points, text);
    one_fault(&told(&looked), &["line 4, column 2 (latitude)"]);
    assert_eq!(
        looked.items[0].becomes,
        "North strip, point 1 at 40.110000, -96.510000 within 2.5 m"
    );
}

#[test]
fn what_is_no_point_in_a_map_file_is_told() {
    let sample = Sample::new();
    let text = r#"{"type":"FeatureCollection","features":[
        {"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[-96.51,40.11]}},
        {"type":"Feature","properties":{"name":"edge"},"geometry":{"type":"Polygon","coordinates":[[[-96.5,40.1],[-96.4,40.1],[-96.4,40.2],[-96.5,40.1]]]}}]}"#;
    let mut plot = said(What::Points);
    plot.plot = Some(sample.south);
    let looked = sample.looked_as(&plot, text.as_bytes());
    assert_eq!(looked.items[0].at, "feature 1");
    assert!(
        looked.items[0]
            .becomes
            .starts_with("South strip, point 1 at"),
        "{:?}",
        looked.items
    );
    assert!(
        looked.notes.iter().any(|note| note.contains("1 left out")),
        "{:?}",
        looked.notes
    );
    one_fault(
        &told(&sample.looked_as(&plot, b"{\"type\":\"Feat")),
        &["the file, ", "no sound JSON"],
    );
}
