//! Desk: the office's list, evidence and second opinions.
//!
//! In: what scouts recorded. Out: pages on which a reviewer sees what was seen, why the book said
//! what it said, and adds an opinion. Opinions add; they overwrite nothing.
//! Not here: corrections by the scout (place Plant).

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn;
use axum::routing::{get, post};

use crate::app::Shared;
use crate::phones::office_only;
use crate::photos::form::LARGEST_UPLOAD_BYTES;

mod again;
pub(crate) mod agreement;
mod apart;
mod audits;
pub(crate) mod choice;
pub(crate) mod come_back;
mod determination;
mod drawn;
mod give;
mod list;
pub(crate) mod names;
mod opinion;
mod ranked;
mod replay;
mod rests;
pub(crate) mod settled;
pub(crate) mod subject;
mod unknown;
mod visits;
pub(crate) mod voucher;
mod with_plant;

pub(crate) use again::Again;
pub(crate) use ranked::in_doubt;
pub(crate) use visits::Visits;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    let large = || DefaultBodyLimit::max(LARGEST_UPLOAD_BYTES);
    let office = Router::new()
        .route("/desk", get(list::list))
        .route("/desk/agreement", get(agreement::show))
        .route("/desk/audits", get(audits::list).post(audits::draw))
        .route("/desk/audits/{id}", get(audits::one))
        .route(
            "/determinations/{id}/opinions",
            post(determination::give_opinion),
        )
        .route("/unknowns/{id}/opinions", post(unknown::settle))
        .route(
            "/determinations/{id}/again",
            get(again::of_plant).post(again::save_of_plant),
        )
        .route(
            "/unknowns/{id}/again",
            get(again::of_unknown).post(again::save_of_unknown),
        )
        .route_layer(from_fn(office_only));
    Router::new()
        .route("/determinations/{id}", get(determination::show))
        .route("/determinations/{id}/drawn", get(drawn::show))
        .route(
            "/determinations/{id}/photos",
            post(determination::add_photos).layer(large()),
        )
        .route("/unknowns/{id}", get(unknown::show))
        .route(
            "/unknowns/{id}/photos",
            post(unknown::add_photos).layer(large()),
        )
        .merge(office)
        .merge(voucher::routes())
        .merge(come_back::routes())
}
