//! Two scouts out of reach of the laptop, and of each other: what both saved is in the book.

use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use serde_json::{Value, json};
use standbook_fieldbook::RecordId;

use crate::count::support::*;
use crate::desk_support::Sample;

/// Sends an outbox; all of it must be kept.
async fn sync(sample: &Sample, items: &[(RecordId, String, String)]) {
    let items = items.iter().enumerate().map(|(n, (id, to, fields))| {
        json!({"id": id, "to": to, "fields": fields, "made": format!("2026-07-14T15:02:{n:02}.000Z")})
    });
    let body = json!({"format": "standbook outbox 1", "items": items.collect::<Vec<_>>()});
    let request = Request::post("/outbox")
        .header("host", "127.0.0.1:8420")
        .header("origin", "http://127.0.0.1:8420")
        .header("content-type", "application/json");
    let answer = sample
        .ask(request.body(HttpBody::from(body.to_string())).unwrap())
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    let said: Value = serde_json::from_slice(&answer.bytes).unwrap();
    assert_eq!(said["refused"], json!([]), "{said}");
    assert_eq!(said["waiting"], json!([]), "{said}");
}

fn frame(point: RecordId, scout: &str, cell: u32) -> (RecordId, String, String) {
    let id = RecordId::new();
    let fields = format!(
        "id={id}&device=grid&cells=25&side=15&col=t.andropogon_gerardi&c=0.{cell}&scout={scout}&number=1&do=save"
    );
    (id, format!("/at/{point}/count"), fields)
}

#[tokio::test]
async fn both_arrive_at_one_stop_and_it_is_one_point_with_the_frames_of_both() {
    let sample = Sample::empty();
    let plan = sample.keep(plan(&sample, 4, None));
    let visit = visit_today(&sample);
    let phone = |scout: &str, fix: &str, cell| {
        let id = RecordId::new();
        let fields = format!("id={id}&plan={plan}&number=1&do=here&scout={scout}{fix}");
        let arrival = (id, format!("/visits/{visit}/walk"), fields);
        vec![arrival, frame(id, scout, cell)]
    };
    let first = phone("Thea+Marsh", "&latitude=39.001&longitude=-96.501", 3);
    let second = phone("Ivo+Lund", "", 9);
    sync(&sample, &first).await;
    sync(&sample, &second).await;
    // As often as an answer is lost.
    sync(&sample, &first).await;
    sync(&sample, &second).await;
    let points = sample.app.book.points(visit).unwrap();
    assert_eq!(points.len(), 1, "{points:?}");
    // The fix that one of them took is not lost by the other.
    assert_eq!(points[0].body.position.unwrap().latitude, 39.001);
    for id in [first[0].0, second[0].0, points[0].id] {
        let frames = sample.app.book.frames_at(id).unwrap();
        let mut scouts: Vec<&str> = frames.iter().map(|it| it.body.scout.as_str()).collect();
        scouts.sort_unstable();
        assert_eq!(scouts, ["Ivo Lund", "Thea Marsh"]);
    }
    // Each sees the other's on the next page fetched.
    let walk = sample.get(&format!("/visits/{visit}/walk")).await;
    walk.holds("1 point seen").holds("2 frames");
}

#[tokio::test]
async fn both_call_a_point_the_same_and_neither_is_sent_back() {
    let sample = Sample::empty();
    let phone = |scout: &str| {
        let id = RecordId::new();
        let fields = format!(
            "id={id}&plot={}&visit={}&label=40&scout={scout}",
            sample.plot, sample.visit
        );
        vec![(id, "/points".to_owned(), fields), frame(id, scout, 1)]
    };
    let (first, second, third) = (phone("Thea+Marsh"), phone("Ivo+Lund"), phone("Ivo+Lund"));
    for items in [&first, &second, &third, &second, &first] {
        sync(&sample, items).await;
    }
    let label = |id| sample.app.book.point(id).unwrap().unwrap().body.label;
    assert_eq!(label(first[0].0), "40");
    assert_eq!(label(second[0].0), "40, Ivo Lund");
    assert_eq!(label(third[0].0), "40, Ivo Lund 2");
    for items in [&first, &second, &third] {
        assert_eq!(sample.app.book.frames_at(items[0].0).unwrap().len(), 1);
    }
}
