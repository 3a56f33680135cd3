//! The drills in process: tools to ask and to answer, and tests by what they are about.

mod before;
mod book;
mod kept;
mod told;

use std::io::Cursor;

use crate::desk_support::{Answer, Sample, hidden, markup, record, states};
use axum::http::StatusCode;
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Entry, RecordId};
use standbook_identify::NOT_IN_KEY;
use standbook_key::{FactValue, Key, LeafStage, Trait};
use standbook_practice::specimen::{ODD, Specimen, chance};

const SCOUT: &str = "A. Fenn";

/// The page of a question, by way of the address that says nothing.
async fn ask(sample: &Sample, question: &str, more: &str) -> Answer {
    let there = sample
        .get(&format!("/practice/ask?q={question}&{more}"))
        .await;
    assert_eq!(there.status, StatusCode::SEE_OTHER, "{}", there.text());
    let page = sample.get(&there.location).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    page
}

/// Sends the form of a page with these answers.
async fn send(sample: &Sample, page: &Answer, scout: &str, answers: &[(&str, &str)]) -> Answer {
    let text = page.text();
    let carried: Vec<(&str, String)> = ["q", "book", "set", "item", "id", "issued"]
        .into_iter()
        .filter(|name| text.contains(&format!("name=\"{name}\"")))
        .map(|name| (name, hidden(&text, name)))
        .collect();
    let mut fields: Vec<(&str, &str)> = carried.iter().map(|(n, v)| (*n, v.as_str())).collect();
    fields.push(("scout", scout));
    fields.extend_from_slice(answers);
    sample.post("/practice/ask", &fields).await
}

/// What is kept of a page's form.
fn kept(sample: &Sample, page: &Answer) -> Entry<Practice> {
    let id: RecordId = hidden(&page.text(), "id").parse().unwrap();
    sample.app.book.practice(id).unwrap().unwrap()
}

/// Asks, answers, and opens what is told.
async fn through(sample: &Sample, question: &str, answers: &[(&str, &str)]) -> (Practice, Answer) {
    let page = ask(sample, question, "book=0").await;
    let sent = send(sample, &page, SCOUT, answers).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text());
    let told = sample.get(&sent.location).await;
    assert_eq!(told.status, StatusCode::OK, "{}", told.text());
    told.lacks("<script>").lacks("http-equiv");
    markup::ids_are_sound(&told.text());
    (kept(sample, &page).body, told)
}

/// Radio buttons read like hidden fields: the space before `value` is the same.
fn radios(page: &str) -> String {
    page[page.find("By what?").unwrap()..].to_owned()
}
