//! Drawing on the blank grid.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;

use crate::desk_support::{Sample, hidden};

#[tokio::test]
async fn presses_on_the_picture_become_corners_and_an_outline() {
    let sample = Sample::empty();
    let draw = format!("/planting/{}/outline/draw", sample.planting);
    let answer = sample
        .get(&format!(
            "{draw}?middle=40.0%2C-96.0&across=500&at.x=320&at.y=0"
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
    // Half of 500 m squared is 12.5 ha.
    page.holds("Save, 3 corners")
        .holds("40.0022")
        .holds("12.5 ha")
        .lacks("style=")
        .lacks("<script>");
    let undone = sample.get(&format!("{more}&undo=1")).await;
    assert!(
        !undone.location.contains("-250%2C-250"),
        "{}",
        undone.location
    );
    let picture = sample.get(&more.replace("/draw?", "/sketch.svg?")).await;
    assert_eq!(picture.status, StatusCode::OK);
    assert_eq!(picture.content_type, "image/svg+xml");
    picture.holds("<svg").lacks("style=").lacks("<script>");
    let page = page.text();
    let fields = [
        ("id", hidden(&page, "id")),
        ("origin", hidden(&page, "origin")),
        ("corners", hidden(&page, "corners")),
        ("of", "field".to_owned()),
        ("scout", "A. Fenn".to_owned()),
    ];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    let to = format!("/planting/{}/outline", sample.planting);
    let answer = sample.post(&to, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = sample.app.book.outlines(sample.planting).unwrap();
    assert_eq!(kept[0].body.origin, "drawn");
    sample.get(&to).await.holds("12.5 ha").holds("3 corners");
}

#[tokio::test]
async fn keys_alone_will_do() {
    let sample = Sample::empty();
    let draw = format!(
        "/planting/{}/outline/draw?middle=40,-96&across=250",
        sample.planting
    );
    // Enter on the picture: browsers send 0, 0, which is no place.
    let page = sample.get(&format!("{draw}&at.x=0&at.y=0")).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("Type the corner in metres").holds("0 so far");
    let answer = sample
        .get(&format!("{draw}&add=1&east=-100+ft&north=50"))
        .await;
    assert!(
        answer.location.ends_with("c=-30.5%2C50"),
        "{}",
        answer.location
    );
    let page = sample.get(&format!("{draw}&add=1&east=two&north=50")).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("value=\"two\"")
        .holds("value=\"50\"")
        .holds("aria-invalid");
}

#[tokio::test]
async fn a_drawing_that_crosses_itself_is_said_while_it_is_drawn() {
    let sample = Sample::empty();
    let draw = format!(
        "/planting/{}/outline/draw?middle=40,-96&across=500",
        sample.planting
    );
    sample
        .get(&format!("{draw}&c=0,0&c=100,100&c=100,0&c=0,100"))
        .await
        .holds("cross")
        .lacks("Closed as it is");
}

#[tokio::test]
async fn a_middle_that_cannot_be_read_comes_back_and_a_fix_is_offered() {
    let sample = Sample::empty();
    let draw = format!("/planting/{}/outline/draw", sample.planting);
    let page = sample
        .get(&format!("{draw}?middle=the+gate&across=250"))
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("value=\"the gate\"");
    let sample = crate::ground::support::with_field().await;
    let draw = format!("/planting/{}/outline/draw", sample.planting);
    sample
        .get(&draw)
        .await
        .holds("the middle of the outlines there are")
        .holds("40.0025");
    assert_eq!(
        sample
            .get(&format!("/planting/{}/outline/draw", RecordId::new()))
            .await
            .status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn an_address_full_of_nonsense_harms_nothing() {
    let sample = Sample::empty();
    let draw = format!("/planting/{}/outline", sample.planting);
    for query in [
        "middle=90,0&across=500&c=1,1&c=2,5&c=9,1",
        "middle=40,-96&across=NaN&c=1e300,1&c=inf,2&c=,&c=x,y",
        "middle=40,-96&across=-5&at.x=1e99&at.y=-1e99",
        "middle=%22%3E%3Cscript%3E&c=%3Cscript%3E",
    ] {
        for page in ["draw", "sketch.svg"] {
            let answer = sample.get(&format!("{draw}/{page}?{query}")).await;
            assert!(!answer.status.is_server_error(), "{page} {query}");
            answer.lacks("<script>").lacks("NaN").lacks("inf,");
        }
    }
}
