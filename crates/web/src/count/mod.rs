//! Count: frames and quadrats at a point.
//!
//! In: which cells hold what, or how many plants stand in an area. Out: frames, and the
//! unknowns met in them. `sheet_page` is the page to mark on, `sheet` what its buttons do, `draft` what travels in its form, `check`
//! the way into the book, `frame` the page of a saved one.
//! Not here: density and frequency (crate `stand`).

use axum::Router;
use axum::routing::get;

use crate::app::Shared;

mod check;
mod choose;
mod draft;
mod drawing;
mod frame;
mod palette;
#[cfg(test)]
pub(crate) mod samples;
mod sheet;
mod sheet_page;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/at/{point}/count", get(sheet::blank).post(sheet::take))
        .route("/at/{point}/count/other", get(choose::choose))
        .route("/frames/{id}", get(frame::show))
        .route("/frames/{id}/correct", get(sheet::correct))
}
