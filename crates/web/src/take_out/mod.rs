//! Take it out, in the office: a form, and the file as a download.
//!
//! In: a format, what of the book, how much of it may be seen. Out: a file that is made beside the book,
//! sent as it is read, and gone after.
//! Not here: what is written (crate `export`).

use axum::Router;
use axum::middleware::from_fn;
use axum::routing::get;

use crate::app::Shared;
use crate::phones::office_only;

mod page;
mod sent;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/desk/take-out", get(page::show).post(page::take))
        .route_layer(from_fn(office_only))
}
