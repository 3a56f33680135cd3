//! Sets of a sample book, and answers as the pages of their questions keep them.

use axum::http::StatusCode;
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Entry, Record, RecordId};

use crate::desk_support::{Sample, hidden, record};

pub const BIG: &str = "andropogon_gerardi";
pub const INDIAN: &str = "sorghastrum_nutans";
pub const GIANT: &str = "setaria_faberi";
/// A browser that remembers A. Fenn.
pub const HERS: &str = "scout=A.+Fenn";

/// Opens a form; gives the id that its address names.
pub async fn opened(sample: &Sample, address: &str) -> (String, String) {
    let to = sample.get(address).await;
    assert_eq!(to.status, StatusCode::SEE_OTHER, "{}", to.text());
    let page = sample.get(&to.location).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    let page = page.text();
    (hidden(&page, "id"), page)
}

/// A field test of the sample's planting with so many specimens.
pub async fn tested(
    sample: &Sample,
    without: &str,
    with: &str,
    minutes: &str,
) -> Entry<PracticeSet> {
    let (id, _) = opened(sample, "/desk/practice/tests/new").await;
    let planting = sample.planting.to_string();
    let fields = [
        ("id", id.as_str()),
        ("planting", &planting),
        ("without", without),
        ("with", with),
        ("minutes", minutes),
        ("stage", "few_leaves"),
        ("title", ""),
        ("seed", "4711"),
        ("scout", "T. Alder"),
    ];
    for _ in 0..2 {
        let kept = sample.post("/desk/practice/tests/new", &fields).await;
        assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
        assert_eq!(kept.location, format!("/desk/practice/sets/{id}"));
    }
    let set = sample.app.book.practice_set(id.parse().unwrap()).unwrap();
    set.unwrap()
}

/// What the question of an item is about.
pub fn truth(set: &Entry<PracticeSet>, item: usize) -> String {
    let text = &set.body.questions[item - 1].question;
    text.split('.').nth(1).unwrap().to_owned()
}

/// An answer as the page of the question keeps it: its id is made with the page.
pub fn answer(set: &Entry<PracticeSet>, item: usize, scout: &str, named: Option<&str>) -> Record {
    let question = &set.body.questions[item - 1];
    Record {
        author: scout.to_owned(),
        ..record(Practice {
            scout: scout.to_owned(),
            drill: Drill::NameIt,
            question: question.question.clone(),
            with_book: question.with_book,
            key_id: "tallgrass-first-year".to_owned(),
            table_fingerprint: "ab".repeat(32),
            taxon: Some(truth(set, item)),
            against: None,
            named: named.map(str::to_owned),
            by: None,
            readings: Vec::new(),
            cells: Vec::new(),
            seconds: Some(12.5),
            of_set: Some(SetItem {
                set: set.id,
                item: u32::try_from(item).unwrap(),
            }),
        })
    }
}

pub fn keep(sample: &Sample, answer: Record) -> RecordId {
    sample.keep_record(answer)
}

/// Two taxa sown in the sample that a specimen is not.
pub fn other_sown(is: &str) -> &'static str {
    if is == BIG { INDIAN } else { BIG }
}
