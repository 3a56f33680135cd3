//! Count: frames, quadrats and rows at a point.
//!
//! In: which cells hold what, or how many plants stand in an area. Out: frames, the unknowns met
//! in them, and the points of a walk by plan. `sheet_page` is the page to mark on, `sheet` what
//! its buttons do, `draft` what travels in its form, `device` what is laid, `check` the way into
//! the book, `frame` the page of a saved one, `walk`, `walk_page`, `next_stop` and `arrive` the
//! way from point to point,
//! `away` all of it for a phone out of reach, `repeat` and `agree` blind second readings, `enough` whether the walk may stop.
//! Not here: density and frequency (crate `stand`).

use axum::Router;
use axum::routing::get;

use crate::app::Shared;

mod agree;
mod arrive;
pub(crate) mod away;
mod check;
mod choose;
mod column_view;
pub(crate) mod device;
mod draft;
pub(crate) mod drawing;
pub(crate) mod enough;
pub(crate) mod fix;
mod frame;
mod next_stop;
mod notices;
mod palette;
mod repeat;
#[cfg(test)]
pub(crate) mod samples;
mod sheet;
mod sheet_page;
pub(crate) mod walk;
mod walk_page;

pub(crate) use agree::cells_of;
pub(crate) use arrive::take_arrival;
pub(crate) use draft::spelled;
pub(crate) use sheet::take_form;
pub(crate) use sheet_page::OVERLOOKED_SOURCE;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/at/{point}/count", get(sheet::blank).post(sheet::take))
        .route("/at/{point}/count/other", get(choose::choose))
        .route("/frames/{id}", get(frame::show))
        .route("/frames/{id}/correct", get(sheet::correct))
        .route("/frames/{id}/repeat", get(repeat::blank))
        .route(
            "/visits/{id}/walk",
            get(walk_page::show).post(arrive::arrive),
        )
        .route("/visits/{id}/cannot", get(arrive::cannot))
}
