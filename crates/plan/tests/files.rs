//! Files of other programs' libraries are read, and what is written is read back.
//!
//! The files, what made them and the areas expected: tests/files/README.md.
#![allow(clippy::unwrap_used)]

use standbook_plan::{
    Area, Design, FileFormat, FileShapes, Form, Ground, Points, Polygon, Request, Sheet,
    SheetPoint, draw, read, to_geojson, to_gpx, walk_in_blocks,
};
use std::path::PathBuf;

fn path(name: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), "tests", "files", name]
        .iter()
        .collect()
}

fn read_file(name: &str) -> FileShapes {
    read(&std::fs::read(path(name)).unwrap()).unwrap()
}

#[track_caller]
fn has_area(polygons: Vec<Polygon>, expected_m2: f64, part: f64) {
    let area_m2 = Area::new(polygons).unwrap().measure().area_m2;
    assert!(
        (area_m2 / expected_m2 - 1.0).abs() < part,
        "{area_m2} {expected_m2}"
    );
}

fn names(file: &FileShapes) -> Vec<&str> {
    file.shapes.iter().map(|s| s.name.as_str()).collect()
}

/// m2 by geographiclib 2.1, printed by make_files.py.
const EAST_M2: f64 = 165_346.222;
const WEST_M2: f64 = 104_799.515;

#[test]
fn shapely_geojson() {
    let file = read_file("shapely.geojson");
    assert_eq!(file.format, FileFormat::GeoJson);
    has_area(file.polygons(), EAST_M2 + WEST_M2, 1e-8);
    assert_eq!(file.polygons()[0].holes.len(), 1);
}

#[test]
fn geojson_geojson() {
    let file = read_file("geojson.geojson");
    assert_eq!(
        names(&file),
        [
            "East of the windmill",
            "Dry Fork west",
            "Dry Fork west",
            "7"
        ]
    );
    has_area(file.polygons(), EAST_M2 + WEST_M2, 1e-8);
    assert_eq!(
        file.points().collect::<Vec<_>>(),
        [("Dry Fork west", [41.2045, -97.4175])]
    );
    assert!(matches!(&file.shapes[3].form, Form::Line(line) if line.len() == 2));
    assert_eq!(file.shapes[3].place, "feature 3");
    assert_eq!(
        file.notes,
        ["feature 4: it has no geometry and was left out."]
    );
}

#[test]
fn simplekml_kml() {
    let file = read_file("simplekml.kml");
    assert_eq!(file.format, FileFormat::Kml);
    assert_eq!(
        names(&file),
        [
            "East of the windmill",
            "Both, Smith & Söhne",
            "gate",
            "drawn around"
        ]
    );
    let polygons = |index: usize| file.shapes[index].closed();
    assert_eq!(file.points().next(), Some(("gate", [41.2, -97.41])));
    has_area(polygons(3), WEST_M2, 0.02);
    has_area(polygons(0), EAST_M2, 1e-8);
    has_area(polygons(1), 2.0 * WEST_M2, 1e-8);
    assert!(
        file.notes[0].contains("closed over a gap of 10 m"),
        "{:?}",
        file.notes
    );
}

#[test]
fn fastkml_kml() {
    let file = read_file("fastkml.kml");
    assert_eq!(names(&file), ["Both", "Dry Fork west"]);
    has_area(file.shapes[0].closed(), EAST_M2 + WEST_M2, 1e-8);
    has_area(file.shapes[1].closed(), WEST_M2, 1e-8);
    assert_eq!(file.shapes[1].place, "Placemark in line 30");
}

#[test]
fn gpxpy_gpx() {
    let file = read_file("gpxpy.gpx");
    assert_eq!(file.format, FileFormat::Gpx);
    assert_eq!(
        names(&file),
        ["gate <north>", "corners of west", "walked round east"]
    );
    assert_eq!(file.points().next(), Some(("gate <north>", [41.2, -97.41])));
    // Three corners of a route are no ring; a person may still close it.
    assert!(matches!(&file.shapes[1].form, Form::Line(line) if line.len() == 3));
    has_area(file.shapes[1].closed(), WEST_M2, 1e-8);
    // Walked in two segments, 2 m off to either side, m2 by geographiclib.
    has_area(file.polygons(), 186_305.692, 0.01);
}

/// A plan of the invented farm, as a page would put it together.
fn with_sheet<T>(use_it: impl FnOnce(&Sheet) -> T) -> T {
    let field = Area::new(read_file("shapely.geojson").polygons()).unwrap();
    let ring = |corners: &[[f64; 2]]| {
        Area::new(vec![Polygon {
            outer: corners.to_vec(),
            holes: vec![],
        }])
        .unwrap()
    };
    let track = ring(&[
        [41.2028, -97.411],
        [41.2028, -97.404],
        [41.20285, -97.404],
        [41.20285, -97.411],
    ]);
    let plots = vec![
        (
            "east".to_owned(),
            ring(&[
                [41.199, -97.411],
                [41.199, -97.404],
                [41.205, -97.404],
                [41.205, -97.411],
            ]),
        ),
        (
            "west & rest".to_owned(),
            ring(&[
                [41.199, -97.421],
                [41.199, -97.414],
                [41.205, -97.414],
                [41.205, -97.421],
            ]),
        ),
    ];
    let areas: Vec<Area> = plots.iter().map(|(_, area)| area.clone()).collect();
    let ground = Ground::new(&field, std::slice::from_ref(&track), &areas, 10.0).unwrap();
    let request = Request {
        design: Design::Balanced,
        points: Points::Total(12),
        spares: 4,
        seed: 2026,
    };
    let drawn = draw(&ground, &request).unwrap();
    let corners: Vec<[f64; 2]> = drawn.to_walk().map(|p| p.corner).collect();
    let places = walk_in_blocks(&corners, 4, Some([41.2, -97.41])).places();
    let points: Vec<SheetPoint> = drawn
        .points
        .iter()
        .enumerate()
        .map(|(index, point)| SheetPoint {
            corner: point.corner,
            plot: point.plot.map(|p| plots[p].0.clone()),
            spare: point.spare,
            walk: places.get(index).copied(),
        })
        .collect();
    use_it(&Sheet {
        name: "July walk, \"Hollow Oak\" <east & west>",
        field: &field,
        keep_out: &[("track".to_owned(), track)],
        plots: &plots,
        points: &points,
    })
}

/// The files beside are those that other libraries have read (check_written.py). To write them
/// again after a change: `STANDBOOK_WRITE_FILES=1 cargo test -p standbook-plan`, then read them
/// with those libraries again.
#[test]
fn written_files_are_the_ones_that_others_have_read() {
    with_sheet(|sheet| {
        for (name, text) in [
            ("standbook.gpx", to_gpx(sheet)),
            ("standbook.geojson", to_geojson(sheet)),
        ] {
            if std::env::var_os("STANDBOOK_WRITE_FILES").is_some() {
                std::fs::write(path(name), &text).unwrap();
            }
            assert!(
                std::fs::read_to_string(path(name)).unwrap() == text,
                "{name} has changed"
            );
        }
    });
}

#[test]
fn what_is_written_is_read_back() {
    with_sheet(|sheet| {
        let near =
            |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).abs() < 1e-8 && (a[1] - b[1]).abs() < 1e-8;
        for text in [to_gpx(sheet), to_geojson(sheet)] {
            let back = read(text.as_bytes()).unwrap();
            let points: Vec<(&str, [f64; 2])> = back.points().collect();
            assert_eq!(points.len(), 16);
            for (index, (name, corner)) in points.iter().enumerate() {
                let expected = if index < 12 {
                    format!("{}", index + 1)
                } else {
                    format!("S{}", index - 11)
                };
                assert_eq!(*name, expected);
                assert!(near(*corner, sheet.points[index].corner));
            }
            if back.format == FileFormat::GeoJson {
                assert_eq!(back.shapes[0].name, sheet.name);
                let field = Area::new(back.shapes[0].closed()).unwrap();
                assert!((field.measure().area_m2 - sheet.field.measure().area_m2).abs() < 0.01);
                assert_eq!(back.shapes[1].name, "track");
                assert_eq!(back.shapes[3].name, "west & rest");
            } else {
                let outlines: Vec<&str> = back
                    .shapes
                    .iter()
                    .filter(|s| matches!(s.form, Form::Polygons(_)))
                    .map(|s| s.name.as_str())
                    .collect();
                assert_eq!(outlines[..3], ["field"; 3]);
                assert_eq!(
                    outlines[3..],
                    ["keep out: track", "plot: east", "plot: west & rest"]
                );
            }
        }
    });
}

/// Points out of a receiver carry their number: the route has them in walking order.
#[test]
fn the_route_is_in_walking_order() {
    with_sheet(|sheet| {
        let text = to_gpx(sheet);
        let route = &text[text.find("<rte>").unwrap()..text.find("</rte>").unwrap()];
        let order: Vec<usize> = route
            .split("<name>")
            .skip(2)
            .map(|part| part.split('<').next().unwrap().parse().unwrap())
            .collect();
        assert_eq!(order.len(), 12);
        for (place, number) in order.iter().enumerate() {
            assert_eq!(sheet.points[number - 1].walk, Some(place as u32 + 1));
        }
    });
}
