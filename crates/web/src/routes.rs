//! Every address of the server.

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::response::Redirect;
use axum::routing::get;
use tower_http::compression::CompressionLayer;

use crate::app::App;
use crate::assets;
use crate::failure::Failure;
use crate::form::LARGEST_FORM_BYTES;
use crate::guard::guard;
use crate::{
    api, away, booklet, bring_in, count, desk, found, ground, kept, outbox, phones, photos, plant,
    plot, pocket, practice, report, safe, secure, stand, take_out,
};

/// The whole site, for whoever sits at this machine.
pub fn router(app: Arc<App>) -> Router {
    site(app.clone())
        .layer(from_fn(guard))
        .layer(from_fn(api::as_problems))
        .layer(CompressionLayer::new())
        .with_state(app)
}

/// The site for phones: nothing without having been let in.
pub fn phone_router(app: Arc<App>) -> Router {
    site(app.clone())
        .merge(phones::door_routes())
        .layer(from_fn_with_state(app.clone(), phones::gate))
        .layer(from_fn(guard))
        .layer(from_fn(api::as_problems))
        .layer(CompressionLayer::new())
        .with_state(app)
}

fn site(app: Arc<App>) -> Router<Arc<App>> {
    Router::new()
        .route("/", get(|| async { Redirect::to("/plot") }))
        .route("/assets/{name}", get(assets::serve))
        .route("/assets/pocket/{folder}/{name}", get(pocket::module))
        .route(pocket::TABLE, get(pocket::table))
        .merge(plot::routes())
        .merge(plant::routes())
        .merge(booklet::routes())
        .merge(ground::routes())
        .merge(count::routes())
        .merge(away::routes())
        .merge(stand::routes())
        .merge(practice::routes())
        .merge(desk::routes())
        .merge(bring_in::routes())
        .merge(found::routes())
        .merge(photos::routes())
        .merge(safe::routes())
        .merge(take_out::routes())
        .merge(report::routes())
        .merge(outbox::routes())
        .merge(phones::laptop_routes())
        .merge(kept::routes())
        .merge(secure::routes())
        .merge(api::routes())
        .fallback(|| async { Failure::NotFound { what: "page" } })
        .layer(from_fn_with_state(app, report::by_ending))
        .layer(DefaultBodyLimit::max(LARGEST_FORM_BYTES))
}
