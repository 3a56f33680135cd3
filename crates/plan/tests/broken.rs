//! Bad files say what is wrong and where, and no bytes make the reader panic.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use standbook_plan::{Area, Form, MOST_BYTES, ReadError, read};
use std::time::Instant;

#[track_caller]
fn refused(bytes: impl AsRef<[u8]>, expected: &str) {
    assert_eq!(read(bytes.as_ref()).unwrap_err().to_string(), expected);
}

#[test]
fn what_is_no_file_of_ours() {
    refused("", "the file is empty: choose the file again");
    refused(" \n\t", "the file is empty: choose the file again");
    refused(
        b"PK\x03\x04 and so on",
        "the file is zipped (KMZ or ZIP): unzip it and choose the .kml, .gpx or .geojson file inside",
    );
    let not_text = "the file is not text: save the outline as GeoJSON, KML or GPX";
    refused([0u8, 0, 0x27, 0x0a, 0, 0, 0, 0], not_text);
    refused([0x89, b'P', b'N', b'G'], not_text);
    refused(
        "40.1, -96.5",
        "the file is neither GeoJSON, KML nor GPX but plain text (corners one a line can be typed \
         or pasted instead): save the outline as one of these",
    );
    refused(
        "<!DOCTYPE html>\n<html><body>Not found</body></html>",
        "the file is neither GeoJSON, KML nor GPX but a web page: save the outline as one of these",
    );
    refused(
        "<svg/>",
        "the file is neither GeoJSON, KML nor GPX but XML of the kind `svg`: save the outline as \
         one of these",
    );
    refused(
        vec![b' '; MOST_BYTES + 1],
        "the file has 5000001 bytes, more than the 5000000 that are read: save the field alone, \
         without pictures",
    );
}

#[test]
fn broken_json_has_line_and_column() {
    refused(
        "{\"type\": \"Polygon\",\n \"coordinates\": [[[",
        "line 2, column 19: the file is no sound JSON (EOF while parsing a list): it may be cut \
         off. Save it again",
    );
    refused(
        "[1, 2]",
        "the file: it is JSON but no GeoJSON: save the outline as GeoJSON",
    );
    refused(
        "{\"a\": 1}",
        "the file: it is JSON but has no `type`, so it is no GeoJSON: save the outline as GeoJSON",
    );
    let deep = "[".repeat(100_000);
    assert!(matches!(read(deep.as_bytes()), Err(ReadError::Json { .. })));
    let deep = format!(
        "{{\"type\":\"Polygon\",\"coordinates\":{}",
        "[".repeat(200_000)
    );
    assert!(matches!(read(deep.as_bytes()), Err(ReadError::Json { .. })));
}

#[test]
fn a_bad_feature_is_named() {
    let collection = |second: &str| {
        format!(
            r#"{{"type":"FeatureCollection","features":[{{"type":"Feature","properties":null,
            "geometry":{{"type":"Point","coordinates":[-97,41]}}}},{second}]}}"#
        )
    };
    refused(
        collection(r#"{"type":"Feature","geometry":{"type":"Polygon","coordinates":[[[-97]]]}}"#),
        "feature 2: a position has fewer than two numbers: save the file again",
    );
    refused(
        collection("3"),
        "feature 2: it is no feature: save the file again",
    );
    let text = read(collection(r#"{"type":"Feature","geometry":{"type":"Blob"}}"#).as_bytes())
        .unwrap_err()
        .to_string();
    assert!(
        text.starts_with("feature 2: its geometry cannot be read"),
        "{text}"
    );
    refused(
        r#"{"type":"FeatureCollection","features":[]}"#,
        "the GeoJSON file has no polygon, line or point in it: save it again with the field in it",
    );
    refused(
        r#"{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::26914"}},"features":[]}"#,
        "the file: its coordinate system is urn:ogc:def:crs:EPSG::26914: save the outline again as \
         longitude and latitude (WGS 84, EPSG:4326)",
    );
}

#[test]
fn swapped_coordinates_are_told_by_the_check() {
    let swapped = r#"{"type":"Polygon","coordinates":[[[41.2,-97.41],[41.2,-97.40],[41.3,-97.40],[41.2,-97.41]]]}"#;
    let file = read(swapped.as_bytes()).unwrap();
    let faults = Area::new(file.polygons()).unwrap_err().to_string();
    assert!(faults.contains("looks swapped"), "{faults}");
    let grid = r#"{"type":"Polygon","coordinates":[[[670000,4560000],[670400,4560000],[670400,4560400],[670000,4560000]]]}"#;
    let file = read(grid.as_bytes()).unwrap();
    let faults = Area::new(file.polygons()).unwrap_err().to_string();
    assert!(faults.contains("map grid"), "{faults}");
}

#[test]
fn broken_xml_has_a_line() {
    refused(
        "<kml>\n<Placemark>\n<Point><coordinates>-97,41",
        "line 3: the file is no sound XML (`coordinates` begins in line 3 and does not end): it \
         may be cut off. Save it again",
    );
    refused(
        "<kml><Placemark><Polygon><outerBoundaryIs><LinearRing>\n<coordinates>-97,41 \
         -97;41</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>",
        "line 2: `-97;41` is not longitude,latitude: save the file again",
    );
    refused(
        "<gpx>\n<wpt lat=\"41\">\n</wpt></gpx>",
        "line 2: `lon` is missing: every point has lat and lon in degrees. Save the file again",
    );
    refused(
        "<gpx>\n<wpt lat=\"north\" lon=\"-97\"/></gpx>",
        "line 2: `lat` is `north`: every point has lat and lon in degrees. Save the file again",
    );
    refused(
        "<kml><NetworkLink/></kml>",
        "the KML file has no polygon, line or point in it: it may only link to another file. Save \
         the field itself",
    );
    assert!(matches!(
        read(b"<kml><a></b></kml>"),
        Err(ReadError::Xml { line: 1, .. })
    ));
    let deep = format!("<kml>{}", "<Folder>".repeat(100_000));
    assert!(matches!(read(deep.as_bytes()), Err(ReadError::Xml { .. })));
}

/// A billion laughs: each entity ten of the one before. Nothing is expanded.
#[test]
fn entity_bombs_stay_small() {
    let mut bomb = String::from("<?xml version=\"1.0\"?>\n<!DOCTYPE kml [\n<!ENTITY a0 \"ha\">\n");
    for i in 1..12 {
        let ten = format!("&a{};", i - 1).repeat(10);
        bomb.push_str(&format!("<!ENTITY a{i} \"{ten}\">\n"));
    }
    bomb.push_str("<!ENTITY file SYSTEM \"file:///etc/hostname\">\n]>\n<kml><Placemark><name>&a11;&file;</name><Point><coordinates>-97,41</coordinates></Point></Placemark></kml>");
    let begun = Instant::now();
    let file = read(bomb.as_bytes()).unwrap();
    assert_eq!(file.shapes[0].name, "&a11;&file;");
    assert!(begun.elapsed().as_millis() < 500);
    // In numbers it is no number.
    let in_numbers = bomb.replace("-97,41", "-97,&a11;");
    assert!(matches!(
        read(in_numbers.as_bytes()),
        Err(ReadError::Coordinates { .. })
    ));
    let in_attribute =
        "<!DOCTYPE gpx [<!ENTITY a \"41\">]><gpx><wpt lat=\"&a;\" lon=\"-97\"/></gpx>";
    assert!(matches!(
        read(in_attribute.as_bytes()),
        Err(ReadError::Coordinates { .. })
    ));
}

#[test]
fn too_many_corners_are_refused() {
    let points = "<wpt lat=\"41\" lon=\"-97\"/>".repeat(20_001);
    let expected = "the file has more than 20000 corners and points: save the field alone, or with fewer corners";
    refused(format!("<gpx>{points}</gpx>"), expected);
    let pairs = vec!["[-97,41]"; 20_001].join(",");
    refused(
        format!("{{\"type\":\"LineString\",\"coordinates\":[{pairs}]}}"),
        expected,
    );
    let tuples = "-97,41 ".repeat(20_001);
    refused(
        format!(
            "<kml><Placemark><LineString><coordinates>{tuples}</coordinates></LineString></Placemark></kml>"
        ),
        expected,
    );
}

#[test]
fn other_letters_are_read() {
    let kml = "<kml><Placemark><name>Söhne</name><Point><coordinates>-97,41</coordinates></Point></Placemark></kml>";
    let name = |bytes: &[u8]| read(bytes).unwrap().shapes[0].name.clone();
    assert_eq!(name(format!("\u{feff}{kml}").as_bytes()), "Söhne");
    let utf16: Vec<u8> = std::iter::once(0xfeff)
        .chain(kml.encode_utf16())
        .flat_map(u16::to_le_bytes)
        .collect();
    assert_eq!(name(&utf16), "Söhne");
    let mut latin: Vec<u8> = b"<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?>".to_vec();
    latin.extend(kml.chars().map(|c| c as u8));
    assert_eq!(name(&latin), "Söhne");
}

#[test]
fn loose_habits_of_programs_are_read() {
    // Spaces behind commas, a bare `&`, CDATA, a prefix, geometry without a Placemark, a track.
    let kml = "<k:kml xmlns:k=\"x\"><k:Placemark><k:name><![CDATA[A]]> & B</k:name><k:Point>\
               <k:coordinates> -97, 41, 0 </k:coordinates></k:Point></k:Placemark>\
               <k:LineString><k:coordinates>-97,41 -97.1,41</k:coordinates></k:LineString>\
               <k:Placemark><gx:Track><gx:coord>-97 41 0</gx:coord><gx:coord>-97.1 41 0</gx:coord>\
               </gx:Track></k:Placemark></k:kml>";
    let file = read(kml.as_bytes()).unwrap();
    assert_eq!(file.shapes[0].name, "A & B");
    assert_eq!(file.shapes[0].form, Form::Point([41.0, -97.0]));
    for index in [1, 2] {
        assert_eq!(
            file.shapes[index].form,
            Form::Line(vec![[41.0, -97.0], [41.0, -97.1]])
        );
    }
}

fn samples() -> Vec<Vec<u8>> {
    [
        "shapely.geojson",
        "geojson.geojson",
        "simplekml.kml",
        "fastkml.kml",
        "standbook.gpx",
    ]
    .iter()
    .map(|name| {
        std::fs::read(format!("{}/tests/files/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
    })
    .collect()
}

/// Reads, and checks what comes out, as a page would.
fn use_it(bytes: &[u8]) {
    if let Ok(file) = read(bytes) {
        let _ = Area::new(file.polygons());
        for shape in &file.shapes {
            let _ = Area::new(shape.closed());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn mangled_files_never_panic(
        which in 0usize..5,
        edits in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0u8..4), 1..12),
        cut in any::<prop::sample::Index>(),
        cut_it: bool,
    ) {
        let mut bytes = samples().swap_remove(which);
        for (at, byte, what) in edits {
            let at = at.index(bytes.len());
            match what {
                0 => bytes[at] = byte,
                1 => { bytes.remove(at); }
                2 => bytes.insert(at, byte),
                // A digit for whatever stood there: wild numbers that still parse.
                _ => bytes[at] = b'0' + byte % 10,
            }
        }
        if cut_it {
            bytes.truncate(cut.index(bytes.len()));
        }
        use_it(&bytes);
    }

    #[test]
    fn any_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..200), text in "[{<\\[]\\PC{0,100}") {
        use_it(&bytes);
        use_it(text.as_bytes());
    }

    /// Any ring of finite numbers gets an answer.
    #[test]
    fn any_ring_is_checked(
        small in prop::collection::vec((40.0..40.01f64, -96.01..-96.0f64), 0..30),
        wild in prop::collection::vec((-1e3..1e3f64, -1e3..1e3f64), 0..6),
    ) {
        for ring in [&small, &wild] {
            let corners: Vec<[f64; 2]> = ring.iter().map(|&(a, b)| [a, b]).collect();
            let hole = corners.iter().rev().step_by(2).copied().collect();
            let _ = Area::new(vec![standbook_plan::Polygon { outer: corners, holes: vec![hole] }]);
        }
    }
}
