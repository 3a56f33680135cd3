//! The outbox: what phones kept while nobody answered, taken in when they are back.
//!
//! In: forms as a phone would have sent them, each with the id of its record and the phone's clock,
//! as JSON or as a file that a phone wrote. Out: for every form whether it is kept (then it is on
//! this machine's disk, and the phone may forget it), refused (then a person must mend it), or
//! waits (then it is sent again). There is no second way into the book: a form of an outbox passes
//! what the same form passes when it is sent from its page.
//!
//! `take` sends a form its way, `wire` is what is sent and answered, `page` the pages.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};

use crate::app::Shared;

mod clock;
mod page;
mod take;
mod wire;

/// Largest file of unsent forms, bytes: some ten thousand frames.
const LARGEST_FILE_BYTES: usize = 32 * 1024 * 1024;

/// The addresses.
pub fn routes() -> Router<Shared> {
    let file = post(page::file).layer(DefaultBodyLimit::max(LARGEST_FILE_BYTES));
    Router::new()
        .route("/outbox", get(page::show).post(page::batch))
        .route("/outbox/file", file)
}
