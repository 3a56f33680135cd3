//! Outlines from files that other programs wrote: shapely, simplekml, fastkml, gpxpy, geojson; see
//! `crates/plan/tests/files`.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;

use crate::desk_support::{Answer, Sample};

async fn upload(sample: &Sample, name: &str, shape: &str, bytes: &[u8]) -> Answer {
    let id = RecordId::new().to_string();
    upload_as(sample, &id, name, shape, bytes).await
}

async fn upload_as(sample: &Sample, id: &str, name: &str, shape: &str, bytes: &[u8]) -> Answer {
    let mut body = Vec::new();
    let fields = [
        ("id", id),
        ("of", "field"),
        ("name", ""),
        ("shape", shape),
        ("scout", "A. Fenn"),
    ];
    for (field, value) in fields {
        body.extend(
            format!(
                "--edge\r\ncontent-disposition: form-data; name=\"{field}\"\r\n\r\n{value}\r\n"
            )
            .into_bytes(),
        );
    }
    body.extend(
        format!(
            "--edge\r\ncontent-disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\r\n"
        )
        .into_bytes(),
    );
    body.extend_from_slice(bytes);
    body.extend_from_slice(b"\r\n--edge--\r\n");
    let to = format!("/planting/{}/outline/file", sample.planting);
    sample
        .post_as(&to, "multipart/form-data; boundary=edge", body)
        .await
}

fn bytes_of(name: &str) -> Vec<u8> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../plan/tests/files");
    std::fs::read(folder.join(name)).unwrap()
}

#[tokio::test]
async fn files_of_other_programs_become_outlines() {
    for (name, shape) in [
        ("shapely.geojson", ""),
        ("simplekml.kml", "east of the windmill"),
        ("gpxpy.gpx", "walked round east"),
    ] {
        let sample = Sample::empty();
        let answer = upload(&sample, name, shape, &bytes_of(name)).await;
        assert_eq!(
            answer.status,
            StatusCode::SEE_OTHER,
            "{name}: {}",
            answer.text()
        );
        let kept = sample.app.book.outlines(sample.planting).unwrap();
        assert!(kept.len() == 1 && kept[0].body.origin.starts_with(name));
        sample
            .get(&answer.location)
            .await
            .holds("acres")
            .holds(name);
    }
}

#[tokio::test]
async fn a_file_sent_twice_is_kept_once_even_when_it_replaces() {
    let sample = crate::ground::support::with_field().await;
    let id = RecordId::new().to_string();
    for _ in 0..2 {
        let bytes = bytes_of("shapely.geojson");
        let answer = upload_as(&sample, &id, "shapely.geojson", "", &bytes).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    }
    assert_eq!(sample.app.book.outlines(sample.planting).unwrap().len(), 1);
}

#[tokio::test]
async fn of_several_outlines_none_is_guessed() {
    let sample = Sample::empty();
    let answer = upload(&sample, "simplekml.kml", "", &bytes_of("simplekml.kml")).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer
        .holds("holds several outlines")
        .holds("East of the windmill");
    let answer = upload(&sample, "simplekml.kml", "barn", &bytes_of("simplekml.kml")).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer.holds("value=\"barn\"");
}

#[tokio::test]
async fn a_crossing_file_comes_back_as_corners_to_mend() {
    let sample = Sample::empty();
    let bow = br#"{"type":"Polygon","coordinates":[[[-96.0,40.0],[-95.995,40.005],[-95.995,40.0],[-96.0,40.005],[-96.0,40.0]]]}"#;
    let answer = upload(&sample, "bow.geojson", "", bow).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer
        .holds("cross")
        .holds("40.0050000, -95.9950000")
        .holds("bow.geojson (GeoJSON), mended by hand")
        .holds("<details open><summary>Type or paste its corners");
}

#[tokio::test]
async fn files_that_are_no_outline_are_refused_with_what_to_do() {
    let sample = Sample::empty();
    for (name, bytes, says) in [
        ("x.kml", b"PK\x03\x04zipped".to_vec(), "unzip it"),
        (
            "x.geojson",
            vec![b' '; 6_000_000],
            "more than 5 million bytes",
        ),
        ("x.gpx", Vec::new(), "No file was chosen"),
        (
            "p.geojson",
            br#"{"type":"Point","coordinates":[-96.0,40.0]}"#.to_vec(),
            "no outline that closes",
        ),
    ] {
        let answer = upload(&sample, name, "", &bytes).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
        answer.holds(says).holds("value=\"A. Fenn\"");
    }
    let answer = upload(&sample, "x.geojson", "", &vec![b' '; 17 * 1024 * 1024]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    answer.holds("Nothing was saved");
    assert!(
        sample
            .app
            .book
            .outlines(sample.planting)
            .unwrap()
            .is_empty()
    );
}
