//! Labels to print: herbarium labels and determination slips, on US Letter or A4.
//!
//! A label is 98 by 66 mm, two beside each other and four below each other: that fits both papers. One that
//! holds more text grows, and its row with it; nothing is cut off.

use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::header::HOST;
use axum::response::Response;

use super::kept::Wanted;
use super::label::{Label, label};
use super::list::PER_PAGE;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::words::number_of;

/// Papers: as addresses spell them, and for people.
const PAPERS: [(&str, &str); 2] = [("letter", "US Letter"), ("a4", "A4")];

/// What to print: as addresses spell it, and for people.
const WHICH: [(&str, &str); 3] = [
    ("both", "labels, and slips for earlier names"),
    ("labels", "labels only"),
    ("slips", "slips only, one for every name given"),
];

#[derive(Template)]
#[template(path = "desk/labels.html")]
struct LabelsPage {
    shell: Shell,
    /// Value, words, whether chosen.
    papers: Vec<(&'static str, &'static str, bool)>,
    paper: &'static str,
    which: Vec<(&'static str, &'static str, bool)>,
    chosen: &'static str,
    labels: Vec<Label>,
    total: String,
    slips: usize,
    /// The address in the pictures, and whether phones and other machines can reach it.
    door: String,
    shared: bool,
    page: usize,
    pages: usize,
    keep: String,
}

impl LabelsPage {
    /// Labels that lack something herbaria ask for: which, and what.
    fn lacking(&self) -> Vec<(String, String)> {
        let lacking = self.labels.iter().filter(|one| !one.lacking.is_empty());
        lacking
            .map(|one| {
                let called = format!("{} {}", one.collector, one.number);
                (called, one.lacking.join(", "))
            })
            .collect()
    }
}

/// The one of a list that an address asks for; the first where it asks for none.
fn one_of(
    list: &'static [(&'static str, &'static str)],
    asked: &str,
    what: &str,
) -> Result<&'static str, Failure> {
    let found = list
        .iter()
        .find(|(value, _)| asked.is_empty() || *value == asked);
    found.map(|(value, _)| *value).ok_or_else(|| {
        let values: Vec<&str> = list.iter().map(|(value, _)| *value).collect();
        Failure::BadRequest(format!(
            "There is no {what} \u{201c}{}\u{201d}. Ask for {}.",
            asked.chars().take(60).collect::<String>(),
            values.join(" or ")
        ))
    })
}

/// The address in the pictures: the one by which phones reach this book, or the one by which this page was
/// asked for where there is no such door.
fn door(app: &App, headers: &HeaderMap) -> (String, bool) {
    let phones = app.phones.as_ref();
    if let Some(first) = phones.and_then(|phones| phones.addresses().into_iter().next()) {
        return (first, true);
    }
    let host = headers.get(HOST).and_then(|host| host.to_str().ok());
    (format!("http://{}/", host.unwrap_or("127.0.0.1")), false)
}

/// `GET /desk/vouchers/labels`.
pub(super) async fn sheet(
    State(app): State<Shared>,
    here: Here,
    headers: HeaderMap,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let paper = one_of(&PAPERS, query.get("paper"), "paper")?;
        let chosen = one_of(&WHICH, query.get("which"), "choice")?;
        let wanted = Wanted::read(&query);
        let (door, shared) = door(app, &headers);
        let mut all = Vec::new();
        for kept in wanted.of(app)? {
            if wanted.photos.is_empty() || wanted.takes(&kept.subject.photos(app)?) {
                all.push(kept);
            }
        }
        let pages = all.len().div_ceil(PER_PAGE).max(1);
        let page = query.get("page").parse().unwrap_or(1_usize).clamp(1, pages);
        let total = number_of(all.len(), "specimen");
        let mut labels = Vec::new();
        for kept in all.iter().skip((page - 1) * PER_PAGE).take(PER_PAGE) {
            let mut one = label(app, kept, &door, chosen == "slips")?;
            if chosen == "labels" {
                one.slips.clear();
            }
            labels.push(one);
        }
        let marked = |list: &[(&'static str, &'static str)], chosen: &str| {
            let list = list.iter();
            list.map(|(value, words)| (*value, *words, *value == chosen))
                .collect()
        };
        html(&LabelsPage {
            shell: Shell::new(app, &here, Tab::Desk, "Labels to print"),
            papers: marked(&PAPERS, paper),
            paper,
            which: marked(&WHICH, chosen),
            chosen,
            slips: labels.iter().map(|one| one.slips.len()).sum(),
            labels,
            total,
            door,
            shared,
            page,
            pages,
            keep: wanted.query(),
        })
    })
    .await
}
