//! Serving the site on a listener that is bound already.

use std::future::Future;
use std::io;
use std::sync::Arc;

use tokio::net::TcpListener;

use crate::app::App;
use crate::phones::Arrived;
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

/// The same for the phones' door.
pub async fn serve_phones(
    listener: TcpListener,
    app: Arc<App>,
    stop: impl Future<Output = ()> + Send + 'static,
) -> io::Result<()> {
    let service = phone_router(app).into_make_service_with_connect_info::<Arrived>();
    axum::serve(listener, service)
        .with_graceful_shutdown(stop)
        .await
}
