//! The archive, counted by hand from the sample (`sample` says what is in it), and its terms beside the
//! standard's.

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::record::{Body, FrameShape, Tally};
use standbook_fieldbook::{Record, RecordId};

use super::sample::{Sample, taxon};
use crate::{Format, Request};

const ARCHIVE: Format = Format::DarwinCore;

type Row = BTreeMap<String, String>;

fn rows(sample: &Sample, file: &str) -> Vec<Row> {
    sample.rows(&Request::new(ARCHIVE), file)
}

#[test]
fn every_term_and_class_is_the_standards() {
    let known: BTreeSet<&str> = include_str!("terms.txt").lines().collect();
    let meta = Sample::new()
        .entries(&Request::new(ARCHIVE))
        .remove("meta.xml")
        .unwrap();
    let meta = String::from_utf8(meta).unwrap();
    let mut terms = 0;
    for attribute in ["term=\"", "rowType=\""] {
        for rest in meta.split(attribute).skip(1) {
            let address = rest.split('"').next().unwrap();
            assert!(
                known.contains(address),
                "{address} is no term of the standard"
            );
            terms += 1;
        }
    }
    assert!(terms > 70, "{terms} terms looked at");
}

#[test]
fn everything_is_there_once_and_hangs_together() {
    let sample = Sample::new();
    let events = rows(&sample, "event.txt");
    let of_type = |kind: &str| events.iter().filter(|row| row["eventType"] == kind).count();
    let counted = ["Seeding", "Visit", "Plot", "Point", "Frame"].map(of_type);
    assert_eq!(counted, [1, 1, 1, 3, 5]);
    assert_eq!(events.len(), 11);
    let ids: BTreeSet<&String> = events.iter().map(|row| &row["eventID"]).collect();
    assert_eq!(ids.len(), events.len());
    for row in &events {
        let parent = &row["parentEventID"];
        assert!(parent.is_empty() || ids.contains(parent), "{row:?}");
        // A size without a unit, or the other way round, says nothing; an uncertainty of 0 is a lie.
        assert_eq!(
            row["sampleSizeValue"].is_empty(),
            row["sampleSizeUnit"].is_empty(),
            "{row:?}"
        );
        assert_ne!(row["coordinateUncertaintyInMeters"], "0");
        assert_eq!(
            row["decimalLatitude"].is_empty(),
            row["geodeticDatum"].is_empty()
        );
    }
    for file in [
        "occurrence.txt",
        "identification.txt",
        "measurementorfact.txt",
    ] {
        for row in rows(&sample, file) {
            assert!(ids.contains(&row["eventID"]), "{file}: {row:?}");
        }
    }
    let occurrences = rows(&sample, "occurrence.txt");
    let ids: BTreeSet<&String> = occurrences.iter().map(|row| &row["occurrenceID"]).collect();
    assert_eq!(ids.len(), occurrences.len());
    let with = |status: &str| {
        occurrences
            .iter()
            .filter(|row| row["occurrenceStatus"] == status)
            .count()
    };
    // Present: 2 in the corrected frame, 1 in its second reading, 2 in the quadrat, 1 unknown, 2 plants.
    // Absent, of 3 sown: 2 where big bluestem was, 3 where nothing was, 2 in the second reading, 2 where
    // the settled unknown was; none in the quadrat, which holds a plant without a name.
    assert_eq!((with("present"), with("absent")), (8, 9));
    let named = rows(&sample, "identification.txt");
    // 6 things in frames and 2 plants; opinions: 2 on the first plant, 1 on the other, 2 on the unknown,
    // which names a thing in a frame and the other plant.
    assert_eq!(named.len(), 8 + 2 + 1 + 2 * 2);
    let unique: BTreeSet<&String> = named.iter().map(|row| &row["identificationID"]).collect();
    assert_eq!(unique.len(), named.len());
    // 3 rates; 2 percentages and a noxious kind; of 2 plants each a stage, 3 looks, outcome, probability.
    assert_eq!(rows(&sample, "measurementorfact.txt").len(), 3 + 3 + 2 * 6);
}

#[test]
fn a_frame_says_how_large_it_was_and_what_certainly_was_not_there() {
    let sample = Sample::new();
    let events = rows(&sample, "event.txt");
    let event = |number: &str| {
        events
            .iter()
            .find(|row| row["fieldNumber"] == number)
            .unwrap()
    };
    // 25 cells of 0.15 m by 0.15 m.
    assert_eq!(event("1/1")["sampleSizeValue"], "0.5625");
    assert_eq!(event("1/1")["sampleSizeUnit"], "square metre");
    assert_eq!(event("1/2")["eventRemarks"], "looked, none");
    assert!(event("1/1 again")["eventRemarks"].contains("do not add"));
    assert!(event("2/1")["eventRemarks"].contains("absence is not stated"));
    assert_eq!(event("1/1")["decimalLatitude"], "38.251234");
    assert_eq!(event("1/1")["coordinateUncertaintyInMeters"], "4");
    assert_eq!(
        event("3")["coordinateUncertaintyInMeters"],
        "",
        "not known is not 0"
    );
    assert!(event("Crown")["footprintWKT"].starts_with("POLYGON ((-96.542 38.251, "));
    let occurrences = rows(&sample, "occurrence.txt");
    let here = |number: &str, status: &str| -> Vec<&str> {
        let id = &event(number)["eventID"];
        let mut taxa: Vec<&str> = occurrences
            .iter()
            .filter(|row| row["eventID"] == *id && row["occurrenceStatus"] == status)
            .map(|row| row["taxonID"].as_str())
            .collect();
        taxa.sort_unstable();
        taxa
    };
    assert_eq!(
        here("1/1", "present"),
        ["andropogon_gerardi", "setaria_faberi"]
    );
    assert_eq!(
        here("1/1", "absent"),
        ["panicum_virgatum", "sorghastrum_nutans"]
    );
    assert_eq!(
        here("1/4", "present"),
        ["sorghastrum_nutans"],
        "as it was settled"
    );
    assert_eq!(
        here("1/4", "absent"),
        ["andropogon_gerardi", "panicum_virgatum"]
    );
    assert_eq!(here("2/1", "absent"), [""; 0]);
    let bluestem = occurrences
        .iter()
        .find(|row| row["occurrenceID"] == format!("{}:andropogon_gerardi", sample.frame))
        .unwrap();
    assert_eq!(bluestem["organismQuantity"], "2");
    assert_eq!(bluestem["organismQuantityType"], "occupied cells");
    assert_eq!(bluestem["degreeOfEstablishment"], "cultivated");
    assert_eq!(bluestem["scientificName"], "Andropogon gerardi");
    let switchgrass = occurrences
        .iter()
        .find(|row| row["individualCount"] == "3")
        .unwrap();
    assert_eq!(switchgrass["organismQuantityType"], "individuals");
}

#[test]
fn doubt_stands_beside_the_name_and_history_beside_both() {
    let sample = Sample::new();
    let occurrences = rows(&sample, "occurrence.txt");
    let plant = occurrences
        .iter()
        .find(|row| row["occurrenceID"] == sample.plant.to_string())
        .unwrap();
    // The last word is Cy Marsh's, who is sure of the genus only.
    assert_eq!(plant["scientificName"], "Setaria");
    assert_eq!(plant["taxonRank"], "genus");
    assert_eq!(plant["identificationQualifier"], "cf. faberi");
    assert_eq!(plant["identifiedBy"], "Cy Marsh");
    assert_eq!(plant["dateIdentified"], "2026-08-01T10:00:02.000Z");
    assert_eq!(plant["lifeStage"], "seedling");
    assert_eq!(
        (
            plant["recordNumber"].as_str(),
            plant["preparations"].as_str()
        ),
        ("DV-17", "pressed")
    );
    // No line end within a cell: there is nothing that could quote it.
    assert!(
        plant["occurrenceRemarks"].ends_with("=SUM(A1) \"quoted\", ü"),
        "{plant:?}"
    );
    let history: Vec<(String, String)> = rows(&sample, "identification.txt")
        .into_iter()
        .filter(|row| row["occurrenceID"] == sample.plant.to_string())
        .map(|mut row| {
            (
                row.remove("identifiedBy").unwrap(),
                row.remove("scientificName").unwrap(),
            )
        })
        .collect();
    let said = |by: &str, name: &str| (by.to_owned(), name.to_owned());
    assert_eq!(
        history,
        [
            said("Ada Fenn", "Setaria faberi"),
            said("Bo Reed", "Setaria faberi"),
            said("Cy Marsh", "Setaria")
        ]
    );
    let facts = rows(&sample, "measurementorfact.txt");
    let fact = |kind: &str| {
        let mut of = facts
            .iter()
            .filter(|row| row["occurrenceID"] == sample.plant.to_string());
        of.find(|row| row["measurementRemarks"].starts_with(kind))
            .unwrap()
    };
    assert_eq!(
        (
            fact("blade_width")["measurementValue"].as_str(),
            fact("blade_width")["measurementUnit"].as_str()
        ),
        ("4.5", "mm")
    );
    assert_eq!(fact("vernation")["measurementValue"], "could not tell");
    assert_eq!(fact("of giant foxtail")["measurementValue"], "0.75");
}

#[test]
fn ids_stay_when_records_are_corrected() {
    let sample = Sample::new();
    let ids = |sample: &Sample| -> BTreeSet<(String, String)> {
        let id = |mut row: Row| {
            (
                row.remove("eventID").unwrap(),
                row.remove("occurrenceID").unwrap(),
            )
        };
        rows(sample, "occurrence.txt").into_iter().map(id).collect()
    };
    let before = ids(&sample);
    // The frame is corrected again: big bluestem was not there, which is then absent under the same id.
    let frame = sample.book.frame(sample.frame).unwrap().unwrap();
    let mut body = frame.body.clone();
    body.tallies
        .retain(|tally: &Tally| tally.what != taxon("andropogon_gerardi"));
    assert!(matches!(body.shape, FrameShape::Grid { .. }));
    let corrected = Record {
        id: RecordId::new(),
        born_at: "2026-09-01T00:00:00.000Z".to_owned(),
        received_at: None,
        device: frame.device.clone(),
        author: frame.author.clone(),
        supersedes: Some(frame.id),
        body: Body::Frame(body),
    };
    sample.book.append(vec![corrected]).unwrap();
    assert_eq!(ids(&sample), before);
    let id = format!("{}:andropogon_gerardi", sample.frame);
    let now = rows(&sample, "occurrence.txt");
    let now = now.iter().find(|row| row["occurrenceID"] == id).unwrap();
    assert_eq!(now["occurrenceStatus"], "absent");
}

#[test]
fn only_what_was_asked_for_leaves() {
    let sample = Sample::new();
    let scope = crate::find(&sample.book, Some("Quill Farm, North Forty"), None).unwrap();
    assert_eq!(scope, crate::Scope::Planting(sample.planting));
    let visit = sample.visit.to_string();
    let scope = crate::find(&sample.book, Some("north forty"), Some(&visit)).unwrap();
    let one = Request {
        scope,
        ..Request::new(ARCHIVE)
    };
    assert_eq!(sample.rows(&one, "event.txt").len(), 11);
    let other = crate::find(&sample.book, Some("south forty"), None)
        .unwrap_err()
        .to_string();
    assert!(other.contains("`Quill Farm, north forty`"), "{other}");
    assert!(crate::find(&sample.book, None, Some("x")).is_err());
    assert!(crate::find(&sample.book, None, Some(&sample.planting.to_string())).is_err());
}
