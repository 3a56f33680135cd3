//! A crew on the same frames: do they see the same?
//!
//! In: a set of drawn frames that everybody marks without being told between. Out: how far each two scouts
//! agree, and each with what stands there, cell by cell; where they differ, drawn; tables as CSV.
//!
//! - `form`: the office puts such a set together.
//! - `crew`: who marked what.
//! - `agree`: agreement of two, in numbers and words.
//! - `page`, `files`: what the office sees and takes away.
//!
//! The numbers are `standbook_stand::agreement`'s. Nobody is ranked.

use axum::Router;
use axum::middleware::from_fn;
use axum::routing::get;

use crate::app::Shared;
use crate::phones::office_only;

mod agree;
mod crew;
mod files;
mod form;
mod page;

/// The addresses of this place; all are the office's.
pub(super) fn routes() -> Router<Shared> {
    Router::new()
        .route(
            "/desk/practice/same-frames",
            get(form::blank).post(form::save),
        )
        .route("/desk/practice/sets/{id}/agreement", get(page::show))
        .route("/desk/practice/sets/{id}/agreement.csv", get(files::pairs))
        .route("/desk/practice/sets/{id}/cells.csv", get(files::cells))
        .route_layer(from_fn(office_only))
}
