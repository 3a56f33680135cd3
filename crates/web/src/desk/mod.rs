//! Desk: the office's list, evidence and second opinions.

use axum::Router;

use crate::app::Shared;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
}
