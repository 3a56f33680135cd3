//! Practice: a scout learns to see, until her counts can be trusted.
//!
//! A question is drawn from the text in its address; her answer is kept as a record before she is told
//! anything, and the page that tells her stays until she goes on. What comes next is worked out from
//! everything she answered (`next`). Nothing here compares one scout with another.

pub(crate) mod after;
pub(crate) mod history;
mod home;
pub(crate) mod sets;

use axum::Router;
use axum::routing::get;

use crate::app::Shared;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/practice", get(home::home))
        .merge(sets::routes())
}
