//! Plot: where am I; sites, plantings, seed lots, what happened since, plots, visits and points.
//!
//! In: what a scout types about places and days. Out: pages that lead to a point in as few taps
//! as can be, and records. Everything can be corrected; a correction is a new record.
//! `filled`, `read` and `keep` serve all forms, `place` finds what a point lies in, `entry` says
//! whether a field may be walked after spraying.

use axum::Router;
use axum::routing::{get, post};

use crate::app::Shared;

pub(crate) use point_form::take_form as take_point;

mod at;
pub(crate) mod dates;
pub(crate) mod entry;
mod event;
mod event_form;
pub(crate) mod filled;
pub(crate) mod fresh;
pub(crate) mod keep;
mod lot;
mod lot_form;
mod mix_fields;
pub(crate) mod place;
mod planting;
mod planting_form;
mod plot_form;
mod point_form;
mod read;
pub(crate) mod recorded;
mod scout;
mod seeding;
mod site_form;
pub(crate) mod standards;
mod start;
pub(crate) mod visit;
mod visit_form;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/plot", get(start::show))
        .route("/scout", get(scout::show).post(scout::remember))
        .route("/sites/new", get(site_form::blank))
        .route("/sites/{id}/correct", get(site_form::correct))
        .route("/sites", post(site_form::save))
        .route("/plantings/new", get(planting_form::blank))
        .route("/plantings/{id}/correct", get(planting_form::correct))
        .route("/plantings", post(planting_form::save))
        .route("/plantings/{id}", get(planting::show))
        .route("/planting/{id}/seeding", get(seeding::show))
        .route("/lots/new", get(lot_form::blank))
        .route("/lots/{id}/correct", get(lot_form::correct))
        .route("/lots", post(lot_form::save))
        .route("/events/new", get(event_form::blank))
        .route("/events/{id}/correct", get(event_form::correct))
        .route("/events", post(event_form::save))
        .route("/plots/new", get(plot_form::blank))
        .route("/plots/{id}/correct", get(plot_form::correct))
        .route("/plots", post(plot_form::save))
        .route("/visits/new", get(visit_form::blank))
        .route("/visits/{id}/correct", get(visit_form::correct))
        .route("/visits", post(visit_form::save))
        .route("/visits/{id}", get(visit::show))
        .route("/points/new", get(point_form::blank))
        .route("/points/{id}/correct", get(point_form::correct))
        .route("/points", post(point_form::save))
        .route("/at/{point}", get(at::show))
}
