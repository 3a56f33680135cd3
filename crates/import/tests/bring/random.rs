//! Random rows, written by the csv crate, come back from the book equal.

use std::collections::BTreeSet;

use proptest::prelude::*;
use standbook_fieldbook::record::Counted;
use standbook_import::bring::What;
use standbook_import::names::Names;
use standbook_import::sheet::{Sheet, differences, settle};
use standbook_import::typed::{Counted as Numbers, cells, lines};

use crate::support::*;

const TAXA: [&str; 3] = [
    "panicum_virgatum",
    "andropogon_gerardi",
    "sorghastrum_nutans",
];

#[test]
fn random_points_come_back_equal() {
    let label = "[a-zA-Z0-9 ,;\"'é]{0,12}[a-zé0-9]";
    let row = (
        label,
        40.1001..40.1199_f64,
        -96.5199..-96.5001_f64,
        proptest::option::of(0.1..50.0_f64),
        any::<bool>(),
    );
    let mut config = ProptestConfig::with_cases(40);
    config.failure_persistence = None;
    proptest!(config, |(rows in proptest::collection::vec(row, 1..20), delimiter in prop::sample::select(vec![b',', b';', b'\t']))| {
        let sample = Sample::new();
        let mut known = BTreeSet::new();
        let rows: Vec<_> = rows.into_iter().filter(|row| known.insert(row.0.trim().to_lowercase())).collect();
        let mut writer = csv::WriterBuilder::new().delimiter(delimiter).from_writer(Vec::new());
        writer.write_record(["label", "latitude", "longitude", "uncertainty_m", "plot"]).unwrap();
        for (label, lat, lon, radius, north) in &rows {
            let plot = if *north { "North strip" } else { "South strip" };
            let radius = radius.map(|r| r.to_string()).unwrap_or_default();
            writer.write_record([label.trim(), &lat.to_string(), &lon.to_string(), &radius, plot]).unwrap();
        }
        let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
        sample.brought(What::Points, &text);
        let points = sample.book.points(sample.visit).unwrap();
        prop_assert_eq!(points.len(), rows.len());
        for (label, lat, lon, radius, north) in &rows {
            let plot = if *north { sample.north } else { sample.south };
            let found = points.iter().find(|point| point.body.label == label.trim()).unwrap();
            let fix = found.body.position.unwrap();
            prop_assert_eq!((fix.latitude, fix.longitude, fix.uncertainty_m, found.body.plot), (*lat, *lon, *radius, plot));
        }
    });
}

#[test]
fn random_frames_come_back_equal() {
    let frame = proptest::collection::btree_set((0..TAXA.len(), 1..=25_u32), 0..30);
    let mut config = ProptestConfig::with_cases(25);
    config.failure_persistence = None;
    proptest!(config, |(frames in proptest::collection::vec((1..=3_u32, frame), 1..8))| {
        let sample = Sample::with_points(3);
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(["point", "frame", "cell", "taxon"]).unwrap();
        for (number, (point, marks)) in frames.iter().enumerate() {
            let (point, number) = (point.to_string(), (number + 1).to_string());
            if marks.is_empty() {
                writer.write_record([&point, &number, "", ""]).unwrap();
            }
            for (taxon, cell) in marks {
                writer.write_record([&point, &number, &cell.to_string(), TAXA[*taxon]]).unwrap();
            }
        }
        let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
        sample.brought(What::Frames, &text);
        let kept = sample.book.frames(sample.visit).unwrap();
        prop_assert_eq!(kept.len(), frames.len());
        for frame in kept {
            let index = usize::try_from(frame.body.number).unwrap() - 1;
            let (point, marks) = &frames[index];
            let at = sample.book.point(frame.body.point).unwrap().unwrap();
            prop_assert_eq!(&at.body.label, &point.to_string());
            let found: BTreeSet<(usize, u32)> = frame.body.tallies.iter().map(|tally| {
                let Counted::Taxon(id) = &tally.what else { panic!("an unknown") };
                (TAXA.iter().position(|taxon| taxon == id).unwrap(), tally.cell.unwrap())
            }).collect();
            prop_assert_eq!(&found, marks);
        }
    });
}

/// Cells as somebody would type them: runs joined by hyphens.
fn typed(cells: &BTreeSet<u32>) -> String {
    let mut parts: Vec<(u32, u32)> = Vec::new();
    for cell in cells {
        match parts.last_mut() {
            Some((_, last)) if *last + 1 == *cell => *last = *cell,
            _ => parts.push((*cell, *cell)),
        }
    }
    let parts = parts.iter().map(|(a, b)| {
        if a == b {
            a.to_string()
        } else {
            format!("{a}-{b}")
        }
    });
    parts.collect::<Vec<_>>().join(" ")
}

#[test]
fn typed_cells_come_back_equal_and_two_typings_settle_to_either() {
    let key = key();
    let names = Names::of(key);
    let marks = || {
        proptest::collection::btree_map(
            0..TAXA.len(),
            proptest::collection::btree_set(1..=25_u32, 1..12),
            0..3,
        )
    };
    let mut config = ProptestConfig::with_cases(300);
    config.failure_persistence = None;
    proptest!(config, |(one in marks(), other in marks(), numbers in proptest::collection::btree_set(1..=100_u32, 1..40))| {
        prop_assert_eq!(cells(&typed(&numbers), 100).unwrap(), numbers);
        let sheet = |marks: &std::collections::BTreeMap<usize, BTreeSet<u32>>| {
            let text: String = marks.iter().map(|(taxon, cells)| format!("{}: {}\n", typed(cells), TAXA[*taxon])).collect();
            Sheet::default().with(lines(&text, Numbers::Cells(25), &names).unwrap())
        };
        let (first, second) = (sheet(&one), sheet(&other));
        let marked = |sheet: &Sheet| sheet.marks.keys().cloned().collect::<BTreeSet<_>>();
        // Cell by cell: what differs is what one set has and the other lacks.
        let apart = marked(&first).symmetric_difference(&marked(&second)).count();
        prop_assert_eq!(differences(&first, &second).len(), apart);
        prop_assert_eq!(&settle(&first, &second, |_| Some(true)).unwrap(), &first);
        prop_assert_eq!(&settle(&first, &second, |_| Some(false)).unwrap(), &second);
        prop_assert_eq!(settle(&first, &second, |_| None).is_err(), apart > 0);
    });
}

#[test]
fn the_beginning_of_a_name_will_do_unless_it_may_be_two() {
    let key = key();
    let names = Names::of(key);
    let read = |text: &str| lines(text, Numbers::Cells(25), &names);
    assert_eq!(
        read("1 4 7-9: switchg").unwrap(),
        read("Switchgrass: 9 8,7 1 4").unwrap()
    );
    let told = |text: &str| read(text).unwrap_err().remove(0).1;
    // The key has big bluestem and other names that begin with b.
    assert!(told("3: b").contains(" or "), "{}", told("3: b"));
    assert!(told("3: zzz").contains("the key has no `zzz`"));
    assert!(told("3 switchgrass").contains("no colon"));
    assert!(told("26: switchgrass").contains("1 to 25"));
    assert!(told("3: unknown").contains("no number"));
    assert!(
        read("3: switchg\n4: panicum virgatum").unwrap_err()[0]
            .1
            .contains("line 1 already")
    );
}
