//! Practice: a scout learns to see, until her counts can be trusted.
//!
//! A question is drawn from the text in its address; her answer is kept as a record before she is told
//! anything, and the page that tells her stays until she goes on. What comes next is worked out from
//! everything she answered (`next`). Nothing here compares one scout with another.

pub(crate) mod after;
mod ask;
pub(crate) mod asked;
pub(crate) mod history;
mod home;
mod next;
mod remembered;
mod remove;
pub(crate) mod sets;
mod what_for;
mod worth;

use axum::Router;
use axum::middleware::from_fn;
use axum::routing::{get, post};

use crate::app::Shared;
use crate::phones::office_only;

pub(crate) use ask::Practised;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    let office = Router::new()
        .route(
            "/desk/practice/remove",
            get(remove::show).post(remove::remove),
        )
        .route_layer(from_fn(office_only));
    Router::new()
        .route("/practice", get(home::home))
        .route("/practice/for", post(what_for::choose))
        .route("/practice/next", get(next::ask))
        .merge(ask::routes())
        .merge(office)
        .merge(sets::routes())
}
