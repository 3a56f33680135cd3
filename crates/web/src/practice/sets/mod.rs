//! Sets that a trainer puts together: drills of a visit's own plants, and tests.
//!
//! At the Desk: make one (`set_form` from a visit, `test_form` drawn for a planting), read what a group
//! answered (`results`, `table`), put it on paper and type it in again (`paper`, `typed`). On a phone: take
//! one (`take`). `sitting` says which answers count and keeps the clock, `judged` what was right.
//!
//! A set is a record like others: corrected, it gets a new version, and an answer names the one it was
//! given to. Not here: the questions (`practice::ask`, `practice::frame`), agreement of a crew on frames.

mod draw;
mod fields;
mod home;
mod judged;
mod paper;
mod propose;
mod results;
mod set_form;
mod settled;
mod sitting;
mod table;
mod take;
mod test_form;
mod typed;
mod words;

use axum::Router;
use axum::middleware::from_fn;
use axum::routing::get;
use standbook_fieldbook::record::PracticeSet;
use standbook_fieldbook::{Body, BookError, Entry, RecordId};

use crate::app::{App, Shared};
use crate::failure::{Failure, record_id};
use crate::phones::office_only;

pub(crate) use take::{given, may_be_told, next, on, time_left};

/// The addresses of this part of Practice.
pub(super) fn routes() -> Router<Shared> {
    let office = Router::new()
        .route("/desk/practice", get(home::show))
        .route(
            "/desk/practice/sets/new",
            get(set_form::blank).post(set_form::make),
        )
        .route(
            "/desk/practice/tests/new",
            get(test_form::blank).post(test_form::make),
        )
        .route("/desk/practice/sets/{id}", get(results::show))
        .route(
            "/desk/practice/sets/{id}/correct",
            get(set_form::correct).post(set_form::save),
        )
        .route(
            "/desk/practice/sets/{id}/answers.csv",
            get(table::answers_csv),
        )
        .route("/desk/practice/sets/{id}/paper", get(paper::sheet))
        .route(
            "/desk/practice/sets/{id}/paper/answers",
            get(paper::answers),
        )
        .route(
            "/desk/practice/sets/{id}/typed",
            get(typed::blank).post(typed::take),
        )
        .route_layer(from_fn(office_only));
    Router::new()
        .route("/practice/sets", get(take::list))
        .route("/practice/sets/{id}", get(take::show))
        .merge(office)
}

/// A set as it stands now, by the id of any of its versions.
fn set_of(app: &App, id: &str) -> Result<Entry<PracticeSet>, Failure> {
    let what = "set";
    let found = app.book.practice_set(record_id(id, what)?)?;
    found.ok_or(Failure::NotFound { what })
}

/// A set as it was in one version; `None` when the id is not that of one.
pub(crate) fn version(app: &App, id: RecordId) -> Result<Option<Entry<PracticeSet>>, BookError> {
    let record = app.book.get(id)?;
    Ok(record.and_then(|record| match record.body {
        Body::PracticeSet(body) => Some(Entry {
            id: record.id,
            born_at: record.born_at,
            received_at: record.received_at.unwrap_or_default(),
            device: record.device,
            author: record.author,
            supersedes: record.supersedes,
            body,
        }),
        _ => None,
    }))
}
