//! Plot: where am I; sites, plantings, plots, visits and points.

use axum::Router;

use crate::app::Shared;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
}
