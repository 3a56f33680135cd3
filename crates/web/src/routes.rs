//! Every address of the server.

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::response::Redirect;
use axum::routing::get;

use crate::app::App;
use crate::assets;
use crate::failure::Failure;
use crate::form::LARGEST_FORM_BYTES;
use crate::guard::guard;
use crate::{count, desk, ground, plant, plot, pocket, report, stand};

/// The whole site.
pub fn router(app: Arc<App>) -> Router {
    Router::new()
        .route("/", get(|| async { Redirect::to("/plot") }))
        .route("/assets/{name}", get(assets::serve))
        .route("/assets/pocket/{folder}/{name}", get(pocket::module))
        .route(pocket::TABLE, get(pocket::table))
        .merge(plot::routes())
        .merge(plant::routes())
        .merge(ground::routes())
        .merge(count::routes())
        .merge(stand::routes())
        .merge(desk::routes())
        .merge(report::routes())
        .fallback(|| async { Failure::NotFound { what: "page" } })
        .layer(from_fn_with_state(app.clone(), report::by_ending))
        .layer(DefaultBodyLimit::max(LARGEST_FORM_BYTES))
        .layer(from_fn(guard))
        .with_state(app)
}
