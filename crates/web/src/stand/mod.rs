//! Stand: has it come up, and how sure is that.
//!
//! In: the frames of one visit and what second opinions made of its unknowns. Out: one sentence
//! that answers, then frequency and density with their intervals and how they were made.
//! Not here: thresholds by purpose and a verdict (not given yet).

use axum::Router;
use axum::routing::get;

use crate::app::Shared;

mod choose;
mod figures;
pub(crate) mod name;
pub(crate) mod numbers;
pub(crate) mod part;
pub(crate) mod resolve;
pub(crate) mod sentence;
mod show;
mod spots;
mod whiskers;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/stand", get(choose::choose))
        .route("/stand/{planting}", get(show::show))
}
