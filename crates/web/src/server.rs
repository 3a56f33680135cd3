//! Serving the site on a listener that is bound already.

use std::future::Future;
use std::io;
use std::sync::Arc;

use tokio::net::TcpListener;

use crate::accept;
use crate::app::App;
use crate::routes::{phone_router, router};

/// Answers requests until `stop` is done; requests under way are finished first.
pub async fn serve(
    listener: TcpListener,
    app: Arc<App>,
    stop: impl Future<Output = ()> + Send + 'static,
) -> io::Result<()> {
    axum::serve(listener, router(app))
        .with_graceful_shutdown(stop)
        .await
}

/// The same for the phones' door on plain http.
pub async fn serve_phones(
    listener: TcpListener,
    app: Arc<App>,
    stop: impl Future<Output = ()> + Send + 'static,
) -> io::Result<()> {
    accept::answer(listener, phone_router(app), None, stop).await
}

/// The same for the phones' door by https; it closes every connection of an app without one.
pub async fn serve_phones_secure(
    listener: TcpListener,
    app: Arc<App>,
    stop: impl Future<Output = ()> + Send + 'static,
) -> io::Result<()> {
    accept::answer(listener, phone_router(app.clone()), Some(app), stop).await
}
