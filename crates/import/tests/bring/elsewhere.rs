//! Files that other programs wrote, read by ours and compared row by row.
//!
//! `tests/beside/elsewhere.py` writes them with pandas, gpxpy, shapely and simplekml. A plain test run
//! reads the files kept in `elsewhere.json`; `cargo xtask beside` has them written anew, from a new
//! seed, and names the file in `STANDBOOK_ELSEWHERE`.

use std::collections::BTreeSet;

use serde_json::Value;
use standbook_fieldbook::record::{Counted, FrameShape};
use standbook_import::bring::{What, keep};
use standbook_import::dates::{DateForm, read};

use crate::support::*;

fn cases(kind: &str) -> Vec<(String, Vec<u8>, Value)> {
    let path = std::env::var("STANDBOOK_ELSEWHERE").unwrap_or_else(|_| {
        format!(
            "{}/../../tests/beside/elsewhere.json",
            env!("CARGO_MANIFEST_DIR")
        )
    });
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let all: Value = serde_json::from_str(&text).unwrap();
    println!("{path}: seed {}, {}", all["seed"], all["versions"]);
    let cases = all["cases"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|case| case["kind"] == kind);
    let cases: Vec<_> = cases
        .map(|case| {
            let content = case["content"].as_str().unwrap();
            let bytes = content
                .chars()
                .map(|c| u8::try_from(u32::from(c)).unwrap())
                .collect();
            (
                case["file"].as_str().unwrap().to_owned(),
                bytes,
                case.clone(),
            )
        })
        .collect();
    assert!(!cases.is_empty(), "no case of kind {kind}");
    cases
}

#[test]
fn points_of_other_programs() {
    for (file, bytes, case) in cases("points") {
        let sample = Sample::new();
        let mut asked = said(What::Points);
        asked.file.clone_from(&file);
        let places_only = case["places_only"] == true;
        if places_only {
            asked.plot = Some(sample.south);
        }
        let looked = sample.looked_as(&asked, &bytes);
        assert!(looked.faults.is_empty(), "{file}: {:?}", looked.faults);
        keep(&sample.book, &looked).unwrap();
        let points = sample.book.points(sample.visit).unwrap();
        let rows = case["rows"].as_array().unwrap();
        assert_eq!(points.len(), rows.len(), "{file}");
        for (point, row) in points.iter().zip(rows) {
            let fix = point.body.position.unwrap();
            assert_eq!(point.body.label, row["label"].as_str().unwrap(), "{file}");
            // `exponent.csv` has eleven digits, a millimetre; all others every digit.
            let near = |a: f64, b: &Value| {
                (a - b.as_f64().unwrap()).abs() <= if file == "exponent.csv" { 1e-8 } else { 0.0 }
            };
            assert!(
                near(fix.latitude, &row["latitude"]) && near(fix.longitude, &row["longitude"]),
                "{file}: {fix:?} {row}"
            );
            if places_only {
                continue;
            }
            assert!(
                fix.uncertainty_m
                    .is_some_and(|m| near(m, &row["uncertainty_m"])),
                "{file}: {fix:?} {row}"
            );
            let plot = if row["plot"] == "North strip" {
                sample.north
            } else {
                sample.south
            };
            assert_eq!(
                (point.body.plot, point.author.as_str()),
                (plot, row["scout"].as_str().unwrap()),
                "{file}"
            );
        }
        let told = looked
            .notes
            .iter()
            .any(|note| note.contains("Windows-1252"));
        assert_eq!(told, file == "old.csv", "{file}: {:?}", looked.notes);
    }
}

/// Point, frame, cell or plants, taxon; a frame with nothing has neither.
type Found = (String, u32, Option<u32>, Option<String>);

fn found(sample: &Sample) -> BTreeSet<Found> {
    let mut all = BTreeSet::new();
    for frame in sample.book.frames(sample.visit).unwrap() {
        let point = sample
            .book
            .point(frame.body.point)
            .unwrap()
            .unwrap()
            .body
            .label;
        if frame.body.tallies.is_empty() {
            all.insert((point.clone(), frame.body.number, None, None));
        }
        for tally in frame.body.tallies {
            let Counted::Taxon(id) = tally.what else {
                panic!("an unknown")
            };
            all.insert((
                point.clone(),
                frame.body.number,
                tally.cell.or(tally.plants),
                Some(id),
            ));
        }
    }
    all
}

#[test]
fn frames_and_counts_of_other_programs() {
    for (file, bytes, case) in cases("frames").into_iter().chain(cases("counts")) {
        let sample = Sample::with_points(3);
        let looked = sample.looked_as(&said(What::Frames), &bytes);
        assert!(looked.faults.is_empty(), "{file}: {:?}", looked.faults);
        keep(&sample.book, &looked).unwrap();
        let number = |value: &Value| value.as_u64().map(|n| u32::try_from(n).unwrap());
        let rows = case["rows"].as_array().unwrap().iter();
        let mut expected: BTreeSet<Found> = rows
            .map(|row| {
                let amount = number(&row["cell"]).or(number(&row["count"]));
                let taxon = row["taxon"].as_str().map(str::to_owned);
                (
                    row["point"].as_str().unwrap().to_owned(),
                    number(&row["frame"]).unwrap(),
                    amount,
                    taxon,
                )
            })
            .collect();
        if case["kind"] == "counts" {
            let frames = sample.book.frames(sample.visit).unwrap();
            assert_eq!(frames.len(), 3, "{file}");
            assert!(
                frames
                    .iter()
                    .all(|f| f.body.shape == FrameShape::Quadrat { area_m2: 0.25 }),
                "{file}"
            );
            // A quadrat with nothing in it stands in the file as noughts only.
            for point in ["1", "2", "3"] {
                if !expected.iter().any(|one| one.0 == point) {
                    expected.insert((point.to_owned(), 1, None, None));
                }
            }
        }
        assert_eq!(found(&sample), expected, "{file}");
    }
}

#[test]
fn days_of_other_programs() {
    for (form, bytes, case) in cases("dates") {
        let form = DateForm::from_id(&form).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        let rows = case["rows"].as_array().unwrap();
        assert_eq!(text.lines().count(), rows.len());
        for (line, day) in text.lines().zip(rows) {
            assert_eq!(
                read(line, form).unwrap().to_string(),
                day.as_str().unwrap(),
                "{line}"
            );
        }
    }
}
