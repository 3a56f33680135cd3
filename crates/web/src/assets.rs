//! The style sheet, inside the program, served under its checksum so that a browser may keep
//! it for ever and still gets a new one with a new program.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

use crate::failure::Failure;

/// One sheet for the reader, a file for each place for the writer.
const CSS: &str = concat!(
    include_str!("../static/base.css"),
    include_str!("../static/plot.css"),
    include_str!("../static/count.css"),
    include_str!("../static/plant.css"),
    include_str!("../static/stand.css"),
    include_str!("../static/desk.css"),
);

static CSS_NAME: LazyLock<String> = LazyLock::new(|| {
    let digest = Sha256::digest(CSS.as_bytes());
    let short: String = digest.iter().take(8).map(|b| format!("{b:02x}")).collect();
    format!("standbook-{short}.css")
});

/// Address of the style sheet.
pub fn css_address() -> String {
    format!("/assets/{}", *CSS_NAME)
}

/// Serves an asset.
pub async fn serve(Path(name): Path<String>) -> Result<Response, Failure> {
    if name == *CSS_NAME {
        let headers = [
            (CONTENT_TYPE, "text/css; charset=utf-8"),
            (CACHE_CONTROL, "public, max-age=31536000, immutable"),
        ];
        return Ok((headers, CSS).into_response());
    }
    Err(Failure::NotFound { what: "file" })
}
