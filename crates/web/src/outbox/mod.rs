//! The outbox: what phones kept while nobody answered, taken in when they are back.
//!
//! In: forms as a phone would have sent them, each with the id of its record and the phone's clock,
//! as JSON or as a file that a phone wrote. Out: for every form whether it is kept (then it is on
//! this machine's disk, and the phone may forget it), refused (then a person must mend it), or
//! waits (then it is sent again). There is no second way into the book: a form of an outbox passes
//! what the same form passes when it is sent from its page.
//!
//! Photos come after the forms, in pieces, so that a link that breaks costs a piece and not a photo:
//! `photo` answers how much of one is here and takes the next piece; it is acknowledged once the
//! whole is on disk, in the book, and what the phone announced. `halves` is what is not whole yet.
//!
//! `take` sends a form its way, `wire` is what is sent and answered, `page` the pages.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};

use crate::app::Shared;

mod clock;
mod halves;
mod page;
mod photo;
mod take;
mod wire;

/// Most bytes of files of unsent records at once: some ten thousand frames, or six of the largest
/// photos (a file has four bytes for three of a photo).
const LARGEST_FILES_BYTES: usize = 200 * 1024 * 1024;

/// The addresses.
pub fn routes() -> Router<Shared> {
    let file = post(page::file).layer(DefaultBodyLimit::max(LARGEST_FILES_BYTES));
    let photo = get(photo::ask)
        .put(photo::piece)
        .layer(DefaultBodyLimit::max(photo::LARGEST_PIECE_BYTES));
    Router::new()
        .route("/outbox", get(page::show).post(page::batch))
        .route("/outbox/photos/{id}", photo)
        .route("/outbox/file", file)
}
