//! Stand: has it come up, and how sure is that.

use axum::Router;

use crate::app::Shared;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
}
