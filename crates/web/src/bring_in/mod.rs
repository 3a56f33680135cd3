//! Bring it in: what was made elsewhere or on paper comes into the book, at the Desk.
//!
//! In: a file with what is in it, or sheets of paper as somebody types them. Out: what each line
//! would become, before anything is kept; then records, all of a file or none. `choose` is the page
//! for a file, `looked` what was seen in one and the way to keep it, `looks` remembers files between
//! the two, `paper` the page for sheets, `twice` two typings of one sheet.
//! Not here: reading files and lines (crate `import`).

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn;
use axum::routing::{get, post};

use crate::app::Shared;
use crate::phones::office_only;

mod choose;
mod laid;
mod looked;
mod looks;
mod paper;
mod twice;
mod typed;
mod visits;

pub(crate) use looks::Looks;
pub(crate) use typed::typist;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    let look = post(choose::look).layer(DefaultBodyLimit::max(choose::LARGEST_BYTES));
    Router::new()
        .route("/desk/bring-in", get(choose::show).merge(look))
        .route("/desk/bring-in/{look}", get(looked::show))
        .route("/desk/bring-in/{look}/report", get(looked::report))
        .route("/desk/bring-in/{look}/keep", post(looked::keep))
        .route("/desk/paper", get(paper::choose))
        .route("/desk/paper/{visit}", get(paper::show).post(paper::take))
        .route_layer(from_fn(office_only))
}
