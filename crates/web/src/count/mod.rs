//! Count: frames and quadrats at a point.

use axum::Router;

use crate::app::Shared;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
}
