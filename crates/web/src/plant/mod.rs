//! Plant: walking an unknown plant through its traits.

use axum::Router;

use crate::app::Shared;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
}
