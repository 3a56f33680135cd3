//! Take it out, asked in this process on real books.

use crate::desk_support::*;
use axum::http::StatusCode;

#[tokio::test]
async fn the_form_says_what_leaves_and_the_file_comes() {
    let sample = Sample::counted(true);
    sample.get("/desk").await.holds("href=\"/desk/take-out\"");
    sample
        .get("/desk/take-out")
        .await
        .holds("Darwin Core Archive")
        .holds("What leaves, and what does not");
    for (format, kind, ending, start) in [
        ("csv", "application/zip", ".zip", &b"PK\x03\x04"[..]),
        ("darwin-core", "application/zip", ".zip", b"PK\x03\x04"),
        (
            "geojson",
            "application/geo+json",
            ".geojson",
            b"{\"type\":\"FeatureCollection\"",
        ),
        ("gpx", "application/gpx+xml", ".gpx", b"<?xml"),
        (
            "sqlite",
            "application/vnd.sqlite3",
            ".sqlite",
            b"SQLite format 3\0",
        ),
    ] {
        let sent = sample.post("/desk/take-out", &[("as", format)]).await;
        assert_eq!(
            (sent.status, sent.content_type.as_str()),
            (StatusCode::OK, kind)
        );
        assert!(sent.bytes.starts_with(start), "{format}");
        let said = &sent.disposition;
        assert!(
            said.starts_with("attachment; filename=\"standbook-"),
            "{said}"
        );
        assert!(said.ends_with(&format!("{ending}\"")), "{said}");
    }
    // What was made to be sent is not kept.
    let mut names = Vec::new();
    for _ in 0..100 {
        let left = std::fs::read_dir(sample.folder.path()).unwrap();
        names = left
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        if names.iter().all(|name| name.starts_with("season.book")) {
            return;
        }
        // The last piece is sent a moment before the folder goes.
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
    panic!("{names:?}");
}

#[tokio::test]
async fn what_was_asked_for_stays_and_stands_in_no_name() {
    let sample = Sample::counted(false);
    let planting = sample.planting.to_string();
    let open = [("as", "geojson"), ("planting", planting.as_str())];
    let sent = sample.post("/desk/take-out", &open).await;
    sent.holds("north forty");
    assert!(
        sent.disposition.contains("north-forty"),
        "{}",
        sent.disposition
    );
    let blurred = [&open[..], &[("blur", "1000"), ("without_names", "yes")]].concat();
    let sent = sample.post("/desk/take-out", &blurred).await;
    assert!(!sent.disposition.contains("forty"), "{}", sent.disposition);
    sent.holds("grid cell of 1000 m").lacks("A. Fenn");
}

#[tokio::test]
async fn a_wish_that_makes_no_sense_comes_back_filled_in() {
    let sample = Sample::counted(false);
    let asked = [("as", "gpx"), ("photos", "yes"), ("country", "us")];
    let back = sample.post("/desk/take-out", &asked).await;
    assert_eq!(back.status, StatusCode::UNPROCESSABLE_ENTITY);
    back.holds("pictures can&#39;t travel inside gpx")
        .holds("value=\"gpx\" checked")
        .holds("name=\"photos\" value=\"yes\" checked");
    for wrong in [
        &[][..],
        &[("as", "pdf")],
        &[("as", "csv"), ("blur", "far")],
        &[("as", "csv"), ("visit", "7")],
    ] {
        let back = sample.post("/desk/take-out", wrong).await;
        assert_eq!(back.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong:?}");
        back.holds("role=\"alert\"");
    }
}
