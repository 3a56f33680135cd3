//! Where to look: outlines of field, plots and ground to keep out of; points and a way to walk.
//!
//! In: a file, typed corners or presses on a blank picture; a design, a number of points, a seed.
//! Out: outlines and plans in the book, pictures, files for other programs, a page to print.
//! Source of geometry and draws: crate `plan`. Not here: walking a plan (`count`).

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};

use crate::app::Shared;

mod advice;
mod land;
pub(crate) mod measures;
mod outline;
mod picture;
mod plan_draw;
mod plan_form;
mod plan_page;
pub(crate) mod rule;
mod sketch;
mod sketch_state;
mod upload;

pub(crate) use plan_form::{fresh_seed, seed_of};

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(
            "/planting/{id}/outline",
            get(outline::show).post(outline::save),
        )
        .route(
            "/planting/{id}/outline/file",
            post(upload::save).layer(DefaultBodyLimit::max(upload::LARGEST_BYTES)),
        )
        .route("/planting/{id}/outline/draw", get(sketch::show))
        .route("/planting/{id}/outline/sketch.svg", get(sketch::svg))
        .route(
            "/planting/{id}/plan",
            get(plan_form::show).post(plan_form::save),
        )
        .route("/plan/{id}", get(plan_page::show))
        .route("/plan/{id}/points.gpx", get(plan_page::gpx))
        .route("/plan/{id}/points.geojson", get(plan_page::geojson))
}
