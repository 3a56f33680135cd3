//! Photos of a plant: what they should show, the form for them, and how they are shown.
//!
//! In: a form with pictures, or pictures that a phone sends in pieces (`outbox`). Out: pictures
//! beside the book with their records, thumbnails beside the pictures, and the parts of every page
//! that ask for photos or show them. The type is found from the bytes, never from a file's name;
//! an original is never altered.
//!
//! `parts` is what a second opinion from afar needs to see, `form` the form, `gallery` what is
//! there, `small` sizes and thumbnails, `serve` the files.

use axum::Router;
use axum::routing::get;

use crate::app::Shared;

pub(crate) mod form;
pub(crate) mod gallery;
mod look;
pub(crate) mod parts;
mod scale;
mod serve;
pub(crate) mod small;

/// The addresses of the files; those of the forms belong to the pages they are on.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/photos/{sha256}", get(serve::original))
        .route("/photos/{sha256}/small", get(serve::small))
        .route("/photos/{sha256}/view", get(serve::view))
        .route("/photos/{sha256}/look", get(look::look))
}
