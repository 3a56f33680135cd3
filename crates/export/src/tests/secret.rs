//! What was to stay here is in no byte of any format.

use rusqlite::Connection;
use rusqlite::types::Value;

use super::sample::{PEOPLE, PLACES, Sample, TRAINEE};
use crate::{Format, Request, Scope, take_out};

/// Everything in a file that can be read, zips unpacked, numbers of SQLite as text.
fn text(sample: &Sample, request: &Request) -> String {
    let bytes: Vec<u8> = match request.format {
        Format::DarwinCore | Format::Csv => {
            let entries = sample.entries(request);
            entries.into_values().flatten().collect()
        }
        Format::Sqlite => {
            let out = sample.folder.path().join("out.sqlite");
            take_out(&sample.book, sample.given(), request, &out).unwrap();
            let said = cells(&Connection::open(&out).unwrap());
            // As bytes too: what is in no table may be in the file all the same.
            [std::fs::read(&out).unwrap(), said.into_bytes()].concat()
        }
        _ => sample.bytes(request),
    };
    String::from_utf8_lossy(&bytes).into_owned()
}

fn cells(conn: &Connection) -> String {
    let sql = "SELECT name FROM sqlite_schema WHERE type = 'table'";
    let mut tables = conn.prepare(sql).unwrap();
    let names = tables.query_map([], |row| row.get::<_, String>(0)).unwrap();
    let mut said = String::new();
    for name in names.map(Result::unwrap) {
        let mut table = conn.prepare(&format!("SELECT * FROM \"{name}\"")).unwrap();
        let columns = table.column_count();
        let mut rows = table.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            for column in 0..columns {
                let value: Value = row.get(column).unwrap();
                said += &format!("{value:?} ");
            }
        }
    }
    said
}

fn held<'a>(text: &str, words: &[&'a str]) -> Vec<&'a str> {
    words
        .iter()
        .copied()
        .filter(|word| text.contains(word))
        .collect()
}

#[test]
fn a_blurred_book_holds_no_place_in_any_format() {
    let sample = Sample::new();
    for (id, format, ..) in Format::ALL {
        let open = Request::new(format);
        let blurred = Request {
            blur_m: Some(1_000.0),
            notes: false,
            ..open.clone()
        };
        // Without this the test would pass for words that never leave.
        let there = held(&text(&sample, &open), &PLACES);
        assert!(there.contains(&"541234"), "{id}: {there:?}");
        assert_eq!(held(&text(&sample, &blurred), &PLACES), [""; 0], "{id}");
        assert!(
            !text(&sample, &blurred).contains("38.251"),
            "{id}: an outline or a drawn point"
        );
    }
    // All of them stand in one format at least.
    let csv = text(&sample, &Request::new(Format::Csv));
    assert_eq!(held(&csv, &PLACES), PLACES);
    assert_eq!(held(&csv, &PEOPLE), PEOPLE);
}

#[test]
fn a_book_without_names_holds_nobody() {
    let sample = Sample::new();
    for (id, format, ..) in Format::ALL {
        let request = Request {
            names: false,
            ..Request::new(format)
        };
        let text = text(&sample, &request);
        assert_eq!(held(&text, &PEOPLE), [""; 0], "{id}");
        if !matches!(format, Format::Gpx) {
            // By the order of coming: Ada entered the site, Bo the mowing, Cy an opinion.
            assert!(text.contains("scout 3"), "{id}");
        }
        if matches!(format, Format::Csv | Format::Sqlite) {
            // Who collected a specimen may stand on no other record.
            assert!(text.contains("scout 4"), "{id}");
        }
    }
}

#[test]
fn words_go_along_with_blurred_places_where_asked_for_and_are_warned_of() {
    let sample = Sample::new();
    let request = Request {
        blur_m: Some(100.0),
        locality: true,
        ..Request::new(Format::Csv)
    };
    let held = held(&text(&sample, &request), &PLACES);
    assert_eq!(
        held,
        [
            "Quill Farm",
            "Crane Road",
            "R. Teal",
            "gate code",
            "9931",
            "northwest gate"
        ]
    );
    let taken = crate::write(&sample.book, sample.given(), &request, Vec::new()).unwrap();
    assert!(
        taken
            .warnings
            .iter()
            .any(|words| words.starts_with("Notes")),
        "{taken:?}"
    );
    let points = sample.rows(&request, "points.csv");
    let point = points.iter().find(|row| row["label"] == "1").unwrap();
    // Half a diagonal of 100 m, 4 m of the fix, and rounding.
    let radius: f64 = point["uncertainty_m"].parse().unwrap();
    assert!((70.0..=78.0).contains(&radius), "{point:?}");
}

#[test]
fn a_picture_that_can_not_be_cleaned_stays_and_is_said() {
    let sample = Sample::new();
    sample.photo(b"\xFF\xD8\xFFbroken");
    let png = {
        let mut out = std::io::Cursor::new(Vec::new());
        let image = image::DynamicImage::new_rgb8(2, 2);
        image.write_to(&mut out, image::ImageFormat::Png).unwrap();
        out.into_inner()
    };
    sample.photo(&png);
    let request = Request {
        photos: true,
        ..Request::new(Format::DarwinCore)
    };
    let entries = sample.entries(&request);
    let photos: Vec<&String> = entries
        .keys()
        .filter(|name| name.starts_with("photos/"))
        .collect();
    assert_eq!(photos.len(), 1);
    let media: Vec<String> = sample
        .rows(&request, "occurrence.txt")
        .into_iter()
        .map(|mut row| row.remove("associatedMedia").unwrap())
        .filter(|media| !media.is_empty())
        .collect();
    assert_eq!(media, [photos[0].clone()]);
    let taken = crate::write(&sample.book, sample.given(), &request, Vec::new()).unwrap();
    let said = taken.warnings.join(" ");
    assert!(
        said.contains("1 picture(s) in HEIC") && said.contains("can't be read"),
        "{said}"
    );
}

#[test]
fn practice_leaves_only_where_it_was_asked_for() {
    let sample = Sample::new();
    for (id, format, ..) in Format::ALL {
        let request = Request::new(format);
        let said = text(&sample, &request);
        assert_eq!(
            held(&said, &[TRAINEE, "First week", "practice_"]),
            [""; 0],
            "{id}"
        );
        let request = Request {
            practice: true,
            ..request
        };
        if !matches!(format, Format::Csv | Format::Sqlite) {
            let refused = crate::write(&sample.book, sample.given(), &request, Vec::new());
            let said = refused.unwrap_err().to_string();
            assert!(
                said.contains("practice can't travel inside"),
                "{id}: {said}"
            );
            continue;
        }
        assert!(text(&sample, &request).contains(TRAINEE), "{id}");
        // By number, as everybody else.
        let request = Request {
            names: false,
            ..request
        };
        let said = text(&sample, &request);
        assert!(!said.contains(TRAINEE), "{id}");
    }
    // With one visit only what was made for it; a set of the planting is none of the visit.
    let request = Request {
        practice: true,
        scope: Scope::Visit {
            planting: sample.planting,
            visit: sample.visit,
        },
        ..Request::new(Format::Csv)
    };
    assert_eq!(sample.rows(&request, "practice.csv").len(), 0);
    let request = Request {
        scope: Scope::Planting(sample.planting),
        ..request
    };
    assert_eq!(sample.rows(&request, "practice.csv").len(), 1);
}
