//! Reading a book: lists page by page, one record with its history, the judgement.

use serde_json::Value;
use standbook_fieldbook::record::{Body, Record};
use standbook_fieldbook::{RecordId, time};

use crate::api::support::*;
use crate::desk_support::{Sample, frame, record};

fn firsts(page: &Value) -> Vec<String> {
    let items = page["items"].as_array().unwrap().iter();
    items
        .map(|item| item["first"].as_str().unwrap().to_owned())
        .collect()
}

#[tokio::test]
async fn pages_lead_through_a_list_once() {
    let sample = Sample::counted(false);
    let all = json_of(&sample.get("/api/frames").await);
    assert_eq!(firsts(&all).len(), 12);
    assert!(all["next"].is_null());
    let (mut found, mut after) = (Vec::new(), String::new());
    for _ in 0..10 {
        let page = json_of(&sample.get(&format!("/api/frames?limit=5{after}")).await);
        found.extend(firsts(&page));
        match page["next"].as_str() {
            Some(next) => after = format!("&after={next}"),
            None => break,
        }
    }
    assert_eq!(found, firsts(&all));
}

async fn many(sample: &Sample, path: String) -> usize {
    firsts(&json_of(&sample.get(&path).await)).len()
}

#[tokio::test]
async fn lists_are_asked_by_what_records_belong_to() {
    let sample = Sample::counted(true);
    let (visit, point) = (sample.visit, sample.points[0]);
    assert_eq!(
        many(&sample, format!("/api/frames?visit={visit}")).await,
        12
    );
    assert_eq!(many(&sample, format!("/api/frames?point={point}")).await, 2);
    assert_eq!(many(&sample, format!("/api/points?visit={visit}")).await, 6);
    assert_eq!(
        many(&sample, format!("/api/determinations?visit={visit}")).await,
        1
    );
    assert_eq!(
        many(&sample, format!("/api/plots?planting={}", sample.planting)).await,
        1
    );
    let document = document(&sample).await;
    for address in [
        format!("/api/frames?visit={}", RecordId::new()),
        // A point is no visit.
        format!("/api/frames?visit={point}"),
    ] {
        problem(
            &document,
            &sample.get(&address).await,
            axum::http::StatusCode::NOT_FOUND,
        );
    }
    let both = sample
        .get(&format!("/api/frames?visit={visit}&point={point}"))
        .await;
    problem(&document, &both, axum::http::StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn a_record_is_given_with_its_history() {
    let sample = Sample::empty();
    let first = sample.keep(frame(sample.points[0], 1, vec![]));
    let second = sample.keep_record(Record {
        supersedes: Some(first),
        born_at: time::later(time::now(), &time::now()),
        ..record(Body::Frame(frame(sample.points[0], 2, vec![])))
    });
    for id in [first, second] {
        let said = json_of(&sample.get(&format!("/api/records/{id}")).await);
        assert_eq!(said["current"]["id"], second.to_string());
        assert_eq!(said["current"]["body"]["frame"]["number"], 2);
        let versions = said["versions"].as_array().unwrap();
        assert_eq!(versions.len(), 2);
        assert_eq!(versions[0]["id"], first.to_string());
    }
}

#[tokio::test]
async fn the_judgement_is_that_of_the_report() {
    let sample = Sample::counted(true);
    let path = format!("/api/plantings/{}/judgement", sample.planting);
    let said = json_of(&sample.get(&path).await);
    let file = json_of(
        &sample
            .get(&format!("/stand/{}.json", sample.planting))
            .await,
    );
    assert_eq!(said, file);
    assert_eq!(said["visit"]["id"], sample.visit.to_string());
    let none = sample
        .get(&format!("{path}?visit={}", RecordId::new()))
        .await;
    problem(
        &document(&sample).await,
        &none,
        axum::http::StatusCode::NOT_FOUND,
    );
}

#[tokio::test]
async fn the_book_says_what_is_in_it() {
    let sample = Sample::counted(false);
    let said = json_of(&sample.get("/api/book").await);
    assert_eq!(said["records"], sample.app.book.count().unwrap());
    assert_eq!(said["by_kind"]["frame"], 12);
    assert_eq!(said["device"], "laptop");
}
