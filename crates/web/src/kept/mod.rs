//! What a phone keeps of this program for out of reach: the worker that keeps pages, the page shown
//! instead of one that is not kept, and what a phone wants for an icon on its home screen.
//!
//! In: the sources in `static/worker` and `static/icons`. Out: files that say nothing of the book, so
//! strangers may have them too: a phone that is sent away must still get a newer worker, and browsers
//! ask for the manifest without cookies. Pages say which layer a phone is in by
//! `templates/phones/_layer.html`, which loads `static/pocket/layer.js`; that registers the worker.

use std::sync::LazyLock;

use askama::Template;
use axum::Router;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use serde_json::json;
use sha2::{Digest, Sha256};

use crate::app::Shared;
use crate::failure::Failure;
use crate::page::html;
use crate::{assets, pocket};

/// Address of the worker. What it may answer for is all that lies beside it: everything.
const WORKER: &str = "/worker.js";

/// Address of the page shown out of reach.
const AWAY: &str = "/away";

/// Address of the manifest (W3C, Web Application Manifest).
const MANIFEST: &str = "/manifest.webmanifest";

/// Ground of the icon, and of the phone's bar above the pages: the style sheet's `--act`.
const THEME: &str = "#1d4a2c";

static SOURCE: &str = include_str!("../../static/worker/worker.js");

/// The worker with what it is told. Its first line changes with anything that it could keep, so a
/// browser that compares bytes takes a new one then.
static TEXT: LazyLock<String> = LazyLock::new(|| {
    let first = [AWAY.to_owned(), assets::css_address()];
    let code = pocket::bare(SOURCE);
    let mut digest = Sha256::new();
    for part in [&code, &first[1], &pocket::address(""), AWAY_HTML] {
        digest.update(part);
        digest.update([0]);
    }
    let version = pocket::short(&digest.finalize());
    format!(
        "const VERSION = {}, FIRST = {};\n{code}",
        json!(version),
        json!(first)
    )
});

/// For the checksum: its words are part of what is kept.
static AWAY_HTML: &str = include_str!("../../../../templates/phones/away.html");

#[derive(Template)]
#[template(path = "phones/away.html")]
struct AwayPage {
    css: String,
}

/// The addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(WORKER, get(worker))
        .route(AWAY, get(away))
        .route(MANIFEST, get(manifest))
}

/// Whether strangers may have what is at this address.
pub(crate) fn is_open(path: &str) -> bool {
    [WORKER, AWAY, MANIFEST].contains(&path)
}

async fn worker() -> Response {
    let kind = [(CONTENT_TYPE, "text/javascript; charset=utf-8")];
    (kind, TEXT.as_str()).into_response()
}

async fn away() -> Result<Response, Failure> {
    html(&AwayPage {
        css: assets::css_address(),
    })
}

async fn manifest() -> Response {
    let icon = |name: &str, sizes: &str, kind: &str, purpose: &str| {
        let src = assets::icon_address(name);
        json!({"src": src, "sizes": sizes, "type": kind, "purpose": purpose})
    };
    let manifest = json!({
        "name": "Standbook",
        "short_name": "Standbook",
        "description": "Has it come up? Seedlings, frames and stands, in the field",
        "id": "/",
        "start_url": "/plot",
        "scope": "/",
        "display": "standalone",
        "background_color": "#fbfaf5",
        "theme_color": THEME,
        "icons": [
            icon("icon.svg", "any", "image/svg+xml", "any"),
            icon("icon-192.png", "192x192", "image/png", "any"),
            icon("icon-512.png", "512x512", "image/png", "any"),
            // What is drawn lies within the circle that no phone cuts.
            icon("icon-512.png", "512x512", "image/png", "maskable"),
        ],
    });
    let kind = [(CONTENT_TYPE, "application/manifest+json")];
    (kind, manifest.to_string()).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With the script that registers it; the scripts of pages have 25 KB together beside these.
    #[test]
    fn the_worker_is_small_and_names_what_it_keeps_first() {
        let layer = pocket::bare(include_str!("../../static/pocket/layer.js"));
        let bytes = TEXT.len() + layer.len();
        assert!(bytes <= 5 * 1024, "{bytes} bytes");
        let first = TEXT.lines().next().unwrap_or_default();
        assert!(first.contains(&assets::css_address()), "{first}");
        assert!(!TEXT.contains("//"), "comments are left: {}", *TEXT);
    }
}
