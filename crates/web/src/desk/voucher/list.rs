//! The office's list of specimens: which there are, where, and of which photos are missing.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::RecordId;

use super::kept::{Kept, NOT_SAID, Wanted, what};
use crate::app::{App, Shared, run};
use crate::desk::choice::{Choice, choices};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::photos::gallery::Leading;
use crate::words::{date_words, number_of};

/// Rows a page, and labels a page.
pub(super) const PER_PAGE: usize = 40;

/// A row of the list.
struct Row {
    /// The plant's page.
    address: String,
    called: String,
    name: String,
    what: String,
    kept_at: String,
    place: String,
    photos: String,
    photo: Option<Leading>,
    /// The specimen, for its label.
    id: RecordId,
}

#[derive(Template)]
#[template(path = "desk/vouchers.html")]
struct VouchersPage {
    shell: Shell,
    places: Vec<Choice>,
    collectors: Vec<Choice>,
    visits: Vec<Choice>,
    wanted: Wanted,
    rows: Vec<Row>,
    total: String,
    /// Whether the book has any specimen at all.
    any: bool,
    page: usize,
    pages: usize,
    /// Query that keeps the filter; ends with `&` or is empty.
    keep: String,
}

/// `GET /desk/vouchers`.
pub(super) async fn list(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let wanted = Wanted::read(&query);
        let all = Wanted::default().of(app)?;
        let (mut places, mut collectors, mut visits) =
            (BTreeMap::new(), BTreeMap::new(), BTreeMap::new());
        for kept in &all {
            let body = &kept.voucher.body;
            let (value, words) = match body.kept_at.trim() {
                "" => (NOT_SAID, "not said"),
                place => (place, place),
            };
            places.insert(value.to_owned(), words.to_owned());
            let collector = body.collector.trim().to_owned();
            collectors.insert(collector.clone(), collector);
            let place = &kept.subject.place;
            let on = date_words(&place.visit.body.on);
            let words = format!("{}, {on}", place.planting.body.name);
            visits.insert(place.visit.id.to_string(), words);
        }
        let visit = match wanted.visit {
            Some(id) => app.book.visit(id)?.map(|visit| visit.id.to_string()),
            None => None,
        };
        let (page, rows) = (query.get("page").parse().unwrap_or(1), rows(app, &wanted)?);
        let pages = rows.len().div_ceil(PER_PAGE).max(1);
        let page = page.clamp(1, pages);
        html(&VouchersPage {
            shell: Shell::new(app, &here, Tab::Desk, "Specimens"),
            places: choices(places, &wanted.kept_at),
            collectors: choices(collectors, &wanted.collector),
            visits: choices(visits, &visit.unwrap_or_default()),
            any: !all.is_empty(),
            total: number_of(rows.len(), "specimen"),
            rows: rows
                .into_iter()
                .skip((page - 1) * PER_PAGE)
                .take(PER_PAGE)
                .collect(),
            page,
            pages,
            keep: wanted.query(),
            wanted,
        })
    })
    .await
}

fn rows(app: &App, wanted: &Wanted) -> Result<Vec<Row>, Failure> {
    let mut rows = Vec::new();
    for Kept { voucher, subject } in wanted.of(app)? {
        let photos = subject.photos(app)?;
        if !wanted.takes(&photos) {
            continue;
        }
        let place = &subject.place;
        rows.push(Row {
            address: format!("{}#specimens", subject.address()),
            called: format!("{} {}", voucher.body.collector, voucher.body.number),
            name: subject.short(),
            what: what(&voucher.body),
            kept_at: match voucher.body.kept_at.trim() {
                "" => "place not said".to_owned(),
                kept_at => format!("at {kept_at}"),
            },
            place: format!(
                "{}; {}, visit of {}",
                subject.place_words(),
                place.planting.body.name,
                place.visit_words()
            ),
            photos: photos.words(),
            photo: photos.leading,
            id: voucher.id,
        });
    }
    Ok(rows)
}
