//! The files: originals, thumbnails, and what phones made of pictures that few browsers show.

use axum::extract::{Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use standbook_fieldbook::Made;

use super::small;
use crate::app::{Shared, run};
use crate::failure::Failure;

/// Named by its bytes: it can never change.
const FOR_EVER: &str = "private, max-age=31536000, immutable";

/// In place of a thumbnail that can't be made.
const NO_PICTURE: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="320" height="240" viewBox="0 0 320 240"><rect x="1" y="1" width="318" height="238" fill="#fbfaf5" stroke="#4a5245" stroke-width="2"/><text x="160" y="112" text-anchor="middle" font-family="sans-serif" font-size="18" fill="#161a14">This photo can't be shown here.</text><text x="160" y="140" text-anchor="middle" font-family="sans-serif" font-size="18" fill="#161a14">Its file is kept: open it.</text></svg>"##;

fn missing() -> Failure {
    Failure::NotFound { what: "photo" }
}

fn jpeg(bytes: Vec<u8>) -> Response {
    let headers = [(CONTENT_TYPE, "image/jpeg"), (CACHE_CONTROL, FOR_EVER)];
    (headers, bytes).into_response()
}

/// `GET /photos/{sha256}`.
pub(super) async fn original(
    State(app): State<Shared>,
    Path(sha256): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        // The book builds a path from nothing but a hash.
        let path = app.book.photo_path(&sha256).ok_or_else(missing)?;
        // The ending was given by the book, from the bytes.
        let media_type = match path.extension().and_then(|e| e.to_str()) {
            Some("jpg") => "image/jpeg",
            Some("png") => "image/png",
            Some("webp") => "image/webp",
            Some("heic") => "image/heic",
            Some("heif") => "image/heif",
            _ => return Err(missing()),
        };
        let bytes = std::fs::read(&path).map_err(|_| missing())?;
        let headers = [(CONTENT_TYPE, media_type), (CACHE_CONTROL, FOR_EVER)];
        Ok((headers, bytes).into_response())
    })
    .await
}

/// `GET /photos/{sha256}/small`: its thumbnail, or words in its place.
pub(super) async fn small(
    State(app): State<Shared>,
    Path(sha256): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        app.book.photo_path(&sha256).ok_or_else(missing)?;
        Ok(match small::thumbnail(&app.book, &sha256) {
            Some(bytes) => jpeg(bytes),
            None => ([(CONTENT_TYPE, "image/svg+xml")], NO_PICTURE).into_response(),
        })
    })
    .await
}

/// `GET /photos/{sha256}/view`: the JPEG that a phone made of it.
pub(super) async fn view(
    State(app): State<Shared>,
    Path(sha256): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let path = app.book.made_path(&sha256, Made::View);
        let bytes = std::fs::read(path.ok_or_else(missing)?);
        Ok(jpeg(bytes.map_err(|_| missing())?))
    })
    .await
}
