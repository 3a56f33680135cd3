//! Finds the page that shows a record, whatever kind it is of and whatever version.
//!
//! In: a record's id, or its last twelve digits as labels print them. Out: a redirect to the page.
//! Labels carry such an address as a picture (QR code), so it must stay good for as long as paper does: it
//! names the record and nothing of this site's order.

use axum::Router;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use standbook_fieldbook::{Body, BookError, RecordId};

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::plot::keep::current_id;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/r", get(by_field))
        .route("/r/{id}", get(by_path))
}

/// Where a record of any version is shown; `None` when the book does not have it.
pub(crate) fn address_of(app: &App, id: RecordId) -> Result<Option<String>, BookError> {
    let Some(record) = app.book.get(current_id(app, id)?)? else {
        return Ok(None);
    };
    let id = record.id;
    Ok(Some(match record.body {
        // A site is shown on the pages of its plantings; all of it stands on its form only.
        Body::Site(_) => format!("/sites/{id}/correct"),
        Body::Planting(_) => format!("/plantings/{id}"),
        Body::SeedLot(lot) => format!("/plantings/{}#sown", lot.planting),
        Body::Event(event) => format!("/plantings/{}#since", event.planting),
        Body::Outline(outline) => format!("/planting/{}/outline", outline.planting),
        Body::Plan(_) => format!("/plan/{id}"),
        Body::Plot(plot) => format!("/plantings/{}", plot.planting),
        Body::Standard(_) => "/stand/standards".to_owned(),
        Body::Visit(_) => format!("/visits/{id}"),
        Body::Point(_) => format!("/at/{id}"),
        Body::Frame(_) => format!("/frames/{id}"),
        Body::Unknown(_) => format!("/unknowns/{id}"),
        Body::Determination(_) => format!("/determinations/{id}"),
        Body::Audit(_) => format!("/desk/audits/{id}"),
        Body::Opinion(it) => on_plant(app, it.about, "opinions")?,
        Body::Photo(it) => on_plant(app, it.of, "photos")?,
        Body::Voucher(it) => on_plant(app, it.about, "specimens")?,
        Body::ComeBack(it) => on_plant(app, it.about, "come-back")?,
        Body::PracticeSet(_) => format!("/practice/sets/{id}"),
        Body::Practice(_) => format!("/practice/answers/{id}"),
        Body::ScoutRule(it) => format!("/desk/practice/rule/{}", it.planting),
        Body::PracticeRemoval(_) => "/desk/practice/remove".to_owned(),
    }))
}

/// A part of the page of a determination or an unknown.
fn on_plant(app: &App, plant: RecordId, part: &str) -> Result<String, BookError> {
    let id = current_id(app, plant)?;
    let place = match app.book.get(id)?.map(|record| record.body) {
        Some(Body::Unknown(_)) => "unknowns",
        _ => "determinations",
    };
    Ok(format!("/{place}/{id}#{part}"))
}

async fn by_path(State(app): State<Shared>, Path(text): Path<String>) -> Result<Response, Failure> {
    run(app, move |app| find(app, &text)).await
}

/// `GET /r?id=`: the same for a person who types it.
async fn by_field(State(app): State<Shared>, Query(query): Query) -> Result<Response, Failure> {
    run(app, move |app| find(app, query.get("id"))).await
}

fn find(app: &App, text: &str) -> Result<Response, Failure> {
    let typed: String = text.trim().to_lowercase();
    let ids = match typed.parse() {
        Ok(id) => vec![id],
        Err(_) => app.book.ids_by_tail(&typed)?,
    };
    let mut addresses = Vec::new();
    for id in ids {
        addresses.extend(address_of(app, id)?);
    }
    addresses.dedup();
    match addresses.as_slice() {
        [one] => Ok(Redirect::to(one).into_response()),
        [] => Err(Failure::NotFound {
            what: "record of this number in the book that is open now",
        }),
        several => Err(Failure::BadRequest(format!(
            "{} records of this book end with these digits. Type the whole number of the one you mean.",
            several.len()
        ))),
    }
}
