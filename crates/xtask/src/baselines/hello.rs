//! A server that answers everything with one fixed page, as fast as the same libraries do it.

use std::io::Write;

use axum::Router;
use axum::response::Html;
use axum::routing::get;

/// The page.
const PAGE: &str = "<!doctype html><html lang=\"en\"><title>Hello</title><p>Hello</p></html>";

/// Serves on any free port, says which, and goes on until it is killed.
pub fn serve() -> Result<(), String> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        // As many as the program has.
        .worker_threads(2)
        .enable_all()
        .build();
    let runtime = runtime.map_err(|e| e.to_string())?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await;
        let listener = listener.map_err(|e| e.to_string())?;
        let address = listener.local_addr().map_err(|e| e.to_string())?;
        println!("http://{address}/");
        let _ = std::io::stdout().flush();
        let pages = Router::new().route("/", get(|| async { Html(PAGE) }));
        axum::serve(listener, pages)
            .await
            .map_err(|e| e.to_string())
    })
}
