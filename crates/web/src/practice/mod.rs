//! Practice: a scout learns to see, until her counts can be trusted.
//!
//! A question is drawn from the text in its address; her answer is kept as a record before she is told
//! anything, and the page that tells her stays until she goes on. What comes next is worked out from
//! everything she answered (`next`). Nothing here compares one scout with another.

pub(crate) mod after;
mod ask;
pub(crate) mod asked;
pub(crate) mod eye;
mod field;
mod frame;
pub(crate) mod history;
mod home;
pub(crate) mod marks;
mod next;
mod progress;
mod progress_rows;
mod remembered;
mod remove;
mod rule;
mod same;
mod scouts;
pub(crate) mod sets;
pub(crate) mod standing;
mod what_for;
pub(crate) mod words;
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
        .route("/desk/practice/scouts", get(scouts::list))
        .route("/desk/practice/scouts/{name}", get(progress::of_scout))
        .route(
            "/desk/practice/rule/{planting}",
            get(rule::show).post(rule::save),
        )
        .route_layer(from_fn(office_only));
    Router::new()
        .route("/practice", get(home::home))
        .route("/practice/for", post(what_for::choose))
        .route("/practice/next", get(next::ask))
        .merge(ask::routes())
        .merge(frame::routes())
        .merge(same::routes())
        .route("/practice/progress", get(progress::own))
        .merge(office)
        .merge(sets::routes())
}
