//! Outlines and plans: typed, drawn, from files of other programs; drawn points kept and taken out.
//!
//! Areas are compared with geographiclib (example S13c: 237033.346 m2, 58.572 acres).
#![allow(clippy::unwrap_used)]

mod desk_support;

use axum::http::StatusCode;
use desk_support::*;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::OutlineOf;

/// A field near 40 N 96 W, about 412 x 555 m.
const CORNERS: &str =
    "40.000%2C+-96.000%0A40.000%2C+-95.995%0A40.005%2C+-95.995%0A40.005%2C+-96.000";

fn outline(id: &RecordId, corners: &str, of: &str) -> String {
    format!("id={id}&of={of}&name=&origin=&corners={corners}&scout=A.+Fenn")
}

async fn with_field() -> Sample {
    let sample = Sample::empty();
    let to = format!("/planting/{}/outline", sample.planting);
    let answer = sample
        .post_text(&to, &outline(&RecordId::new(), CORNERS, "field"))
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    sample
}

#[tokio::test]
async fn typed_corners_become_the_field() {
    let sample = with_field().await;
    let to = format!("/planting/{}/outline", sample.planting);
    sample
        .get(&to)
        .await
        .holds("59 acres (24 ha)")
        .holds("4 corners");
    // Typed again it is corrected, not added.
    let answer = sample
        .post_text(&to, &outline(&RecordId::new(), CORNERS, "field"))
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = sample.app.book.outlines(sample.planting).unwrap();
    assert!(kept.len() == 1 && kept[0].body.of == OutlineOf::Field);
}

#[tokio::test]
async fn a_crossing_outline_is_refused_and_given_back() {
    let sample = Sample::empty();
    let to = format!("/planting/{}/outline", sample.planting);
    let bow = "40.000%2C+-96.000%0A40.005%2C+-95.995%0A40.000%2C+-95.995%0A40.005%2C+-96.000";
    let answer = sample
        .post_text(&to, &outline(&RecordId::new(), bow, "field"))
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer.holds("cross").holds("40.005, -95.995");
    let answer = sample
        .post_text(
            &to,
            &outline(&RecordId::new(), "40.0%2C+-96.0%0Asomewhere", "field"),
        )
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer.holds("somewhere").holds("ine 2");
    assert!(
        sample
            .app
            .book
            .outlines(sample.planting)
            .unwrap()
            .is_empty()
    );
}

async fn upload(sample: &Sample, name: &str, shape: &str, bytes: &[u8]) -> Answer {
    let mut body = Vec::new();
    let fields = [
        ("id", RecordId::new().to_string()),
        ("of", "field".to_owned()),
        ("name", String::new()),
        ("shape", shape.to_owned()),
        ("scout", "A. Fenn".to_owned()),
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

/// Bytes written by shapely, simplekml, fastkml and gpxpy; see `crates/plan/tests/files`.
#[tokio::test]
async fn files_of_other_programs_become_outlines() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../plan/tests/files");
    for (name, shape) in [
        ("shapely.geojson", ""),
        ("simplekml.kml", "east of the windmill"),
        ("gpxpy.gpx", "walked round east"),
    ] {
        let sample = Sample::empty();
        let bytes = std::fs::read(folder.join(name)).unwrap();
        let answer = upload(&sample, name, shape, &bytes).await;
        assert_eq!(
            answer.status,
            StatusCode::SEE_OTHER,
            "{name}: {}",
            answer.text()
        );
        let kept = sample.app.book.outlines(sample.planting).unwrap();
        assert!(kept.len() == 1 && kept[0].body.origin.starts_with(name));
    }
    // Several outlines with names: none is taken for the field by guessing.
    let sample = Sample::empty();
    let bytes = std::fs::read(folder.join("simplekml.kml")).unwrap();
    let answer = upload(&sample, "simplekml.kml", "", &bytes).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer
        .holds("holds several outlines")
        .holds("East of the windmill");
    let sample = Sample::empty();
    let answer = upload(&sample, "x.kml", "", b"PK\x03\x04zipped").await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer.holds("unzip it");
    let answer = upload(&sample, "x.geojson", "", &vec![b' '; 6_000_000]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer.holds("more than 5 million bytes");
}

#[tokio::test]
async fn presses_on_the_picture_become_corners() {
    let sample = Sample::empty();
    let draw = format!("/planting/{}/outline/draw", sample.planting);
    let answer = sample
        .get(&format!(
            "{draw}?middle=40.0%2C-96.0&across=500&at.x=350&at.y=0"
        ))
        .await;
    // The upper right corner of a picture 500 m wide is 250 m east and north of its middle.
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(
        answer.location.ends_with("c=250%2C250"),
        "{}",
        answer.location
    );
    let more = format!("{}&c=-250,250&c=-250,-250", answer.location);
    let page = sample.get(&more).await;
    page.holds("Save, 3 corners").holds("40.0022");
    let answer = sample.get(&format!("{more}&undo=1")).await;
    assert!(
        !answer.location.contains("-250%2C-250"),
        "{}",
        answer.location
    );
    let picture = sample.get(&more.replace("/draw?", "/sketch.svg?")).await;
    assert_eq!(picture.status, StatusCode::OK);
    picture.holds("<svg").lacks("style=").lacks("<script");
}

const PLAN: &str = "design=balanced&points=12&spares=4&edge=5&stop=yes&low=25&high=40&wrong=10&most=24&name=July+walk";

#[tokio::test]
async fn a_plan_keeps_the_points_it_showed() {
    let sample = with_field().await;
    let to = format!("/planting/{}/plan", sample.planting);
    let page = sample.get(&format!("{to}?{PLAN}&seed=7&preview=1")).await;
    page.holds("12 points and 4 spares")
        .holds("name=\"seed\" value=\"7\"");
    assert!(page.bytes.len() < 30_000);
    let id = RecordId::new();
    let answer = sample
        .post_text(&to, &format!("{PLAN}&seed=7&id={id}&scout=A.+Fenn"))
        .await;
    assert_eq!(answer.location, format!("/plan/{id}"), "{}", answer.text());
    let plan = sample.app.book.plan(id).unwrap().unwrap().body;
    assert_eq!(plan.points.iter().filter(|p| p.walk.is_some()).count(), 12);
    assert!(plan.points.iter().all(|p| {
        (40.0..40.005).contains(&p.latitude) && (-96.0..-95.995).contains(&p.longitude)
    }));
    // The same seed in the same field draws the same points.
    let other = RecordId::new();
    sample
        .post_text(&to, &format!("{PLAN}&seed=7&id={other}&scout=A.+Fenn"))
        .await;
    assert_eq!(
        sample.app.book.plan(other).unwrap().unwrap().body.points,
        plan.points
    );
    let page = sample.get(&format!("/plan/{id}")).await;
    page.holds("Drawn from the number 7")
        .holds("S4")
        .holds("Stop early when the rule says so");
    for (ending, says) in [("gpx", "<gpx"), ("geojson", "FeatureCollection")] {
        let file = sample.get(&format!("/plan/{id}/points.{ending}")).await;
        file.holds(says);
        let read = standbook_plan::read(&file.bytes).unwrap();
        assert_eq!(
            read.shapes
                .iter()
                .filter(|s| matches!(s.form, standbook_plan::Form::Point(_)))
                .count(),
            16
        );
    }
}

#[tokio::test]
async fn what_does_not_fit_is_said_with_what_would() {
    let sample = with_field().await;
    let to = format!("/planting/{}/plan", sample.planting);
    let page = sample
        .get(&format!(
            "{to}?{}&preview=1",
            PLAN.replace("edge=5", "edge=900")
        ))
        .await;
    page.holds("from every boundary").holds("value=\"900\"");
    let page = sample
        .get(&format!(
            "{to}?{}&preview=1",
            PLAN.replace("low=25", "low=60")
        ))
        .await;
    page.holds("Enough has to be above too few.");
    let empty = Sample::empty();
    empty
        .get(&format!("/planting/{}/plan", empty.planting))
        .await
        .holds("Give the field an outline");
}
