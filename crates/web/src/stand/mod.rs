//! Stand: has it come up, and how sure is that.
//!
//! In: the records of one visit and the standards. Out: the answer first, what to do next,
//! whether enough was counted, then the numbers with their intervals; on a page of its own how
//! all of it was worked out.
//! Not here: reports to print and files to take away (`report`).

use axum::Router;
use axum::routing::get;

use crate::app::Shared;

mod audits;
pub(crate) mod case;
mod choose;
mod figures;
mod how;
mod judged;
pub(crate) mod name;
pub(crate) mod numbers;
pub(crate) mod part;
pub(crate) mod resolve;
pub(crate) mod sentence;
mod show;
mod specimens;
mod spots;
mod standards;
pub(crate) mod whiskers;
mod worked;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/stand", get(choose::choose))
        .route(
            "/stand/standards",
            get(standards::show).post(standards::save),
        )
        .route("/stand/standards/{id}", get(standards::correct))
        .route("/stand/{planting}", get(show::show))
        .route("/stand/{planting}/worked", get(worked::worked))
}
