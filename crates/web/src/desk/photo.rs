//! Pictures of a plant: taking one in, and showing it.
//!
//! In: a form with a file. Out: the picture beside the book, and its record. The type is found
//! from the bytes, never from the file's name.
//! Not here: thumbnails.

use axum::extract::multipart::{Multipart, MultipartError, MultipartRejection};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use standbook_fieldbook::{BookError, PHOTO_MAX_BYTES, RecordId};

use super::determination;
use crate::app::{Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::here::Here;
use crate::plot::filled::Filled;
use crate::plot::keep::saved;

/// Largest upload read at all, bytes. Above the book's limit for a picture, so that a picture
/// that is somewhat too large is read to its end and refused with words; a browser whose
/// upload is cut off shows only that the connection was lost.
pub(super) const LARGEST_UPLOAD_BYTES: usize = 64 * 1024 * 1024;

/// Longest text field of the form, bytes; names have 120 characters at most.
const LONGEST_FIELD_BYTES: usize = 4 * 1024;

/// What a picture may show.
pub(super) const SHOWS: [&str; 7] = [
    "whole plant",
    "collar with ligule",
    "base",
    "upper face of a blade",
    "lower face of a blade",
    "roots and seed",
    "other",
];

/// An upload as it arrived.
struct Upload {
    /// Its text fields.
    form: Form,
    /// The picture; empty when it was larger than the book takes.
    bytes: Vec<u8>,
    /// Size of the picture as it was sent, bytes.
    sent: u64,
}

/// `POST /determinations/{id}/photos`.
pub(super) async fn upload(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    multipart: Result<Multipart, MultipartRejection>,
) -> Result<Response, Failure> {
    let multipart = multipart.map_err(|_| {
        Failure::BadRequest("This is not a form with a picture. Nothing was saved. Add the picture on the page of the plant.".to_owned())
    })?;
    let Upload { form, bytes, sent } = read(multipart).await?;
    run(app, move |app| {
        let id = record_id(&id, "determination")?;
        let Some(entry) = app.book.determination(id)? else {
            return Err(Failure::NotFound { what: "determination" });
        };
        let mut filled = Filled {
            form,
            ..Filled::new()
        };
        let photo = filled.id();
        filled.set("id", photo.to_string());
        let scout = filled.read_name("scout", "Your name");
        let shows = filled.get("shows").to_owned();
        if !SHOWS.contains(&shows.as_str()) {
            filled.troubles.add("shows", "Choose what the picture shows.");
        }
        if sent > PHOTO_MAX_BYTES {
            let error = BookError::PhotoTooLarge {
                bytes: sent,
                limit: PHOTO_MAX_BYTES,
            };
            filled.troubles.refused(&error, |_, field| field.to_owned());
        } else if bytes.is_empty() {
            filled.troubles.add("photo", "No picture was chosen. Choose a file.");
        }
        if filled.troubles.none() {
            match app.book.add_photo(&bytes, entry.id, &shows, &scout, &here.device(app), photo) {
                Ok(_) => {
                    let to = format!("/determinations/{}#photos", entry.id);
                    return Ok(saved(&to, &scout, None));
                }
                Err(BookError::Conflict { .. }) => {
                    // The back button, with another picture: that is another record.
                    filled.set("id", RecordId::new().to_string());
                    filled.troubles.conflict(
                        "A picture was saved from this form already. Choose this one again and send it, and it is added beside the first.",
                    );
                }
                Err(error) => filled.troubles.refused(&error, |_, field| field.to_owned()),
            }
        }
        determination::with_photo_trouble(app, &here, entry.id, filled)
    })
    .await
}

/// Reads the form; of a file only so much is held as the book would take.
async fn read(mut multipart: Multipart) -> Result<Upload, Failure> {
    let limit = usize::try_from(PHOTO_MAX_BYTES).unwrap_or(usize::MAX);
    let mut upload = Upload {
        form: Form::default(),
        bytes: Vec::new(),
        sent: 0,
    };
    while let Some(mut field) = multipart.next_field().await.map_err(broken)? {
        let name = field.name().unwrap_or_default().to_owned();
        let is_photo = name == "photo";
        let most = if is_photo { limit } else { LONGEST_FIELD_BYTES };
        let (mut bytes, mut sent) = (Vec::new(), 0_u64);
        while let Some(chunk) = field.chunk().await.map_err(broken)? {
            let room = most.saturating_sub(bytes.len());
            bytes.extend_from_slice(&chunk[..chunk.len().min(room)]);
            sent += u64::try_from(chunk.len()).unwrap_or(u64::MAX);
        }
        if is_photo {
            upload.sent = sent;
            if sent <= PHOTO_MAX_BYTES {
                upload.bytes = bytes;
            }
        } else {
            let text = String::from_utf8(bytes).map_err(|_| {
                Failure::BadRequest("A field holds bytes that are not text (UTF-8). Nothing was saved; go back and type it again.".to_owned())
            })?;
            upload.form.0.push((name, text));
        }
    }
    Ok(upload)
}

fn broken(error: MultipartError) -> Failure {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return Failure::TooLarge(format!(
            "This file is larger than {} million bytes, and a picture may have {}. Nothing was saved. Make a smaller copy and add that.",
            LARGEST_UPLOAD_BYTES / 1_000_000,
            PHOTO_MAX_BYTES / 1_000_000
        ));
    }
    Failure::BadRequest(
        "The upload broke off. Nothing was saved; go back and send it again.".to_owned(),
    )
}

/// `GET /photos/{sha256}`.
pub(super) async fn serve(
    State(app): State<Shared>,
    Path(sha256): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let missing = || Failure::NotFound { what: "photo" };
        let hex = |b: u8| matches!(b, b'0'..=b'9' | b'a'..=b'f');
        // The book checks this too; no path is built from anything else.
        if sha256.len() != 64 || !sha256.bytes().all(hex) {
            return Err(missing());
        }
        let path = app.book.photo_path(&sha256).ok_or_else(missing)?;
        // The ending was given by the book, from the bytes.
        let media_type = match path.extension().and_then(|e| e.to_str()) {
            Some("jpg") => "image/jpeg",
            Some("png") => "image/png",
            Some("webp") => "image/webp",
            _ => return Err(missing()),
        };
        let bytes = std::fs::read(&path).map_err(|_| missing())?;
        let headers = [
            (CONTENT_TYPE, media_type),
            // Named by its bytes: it can never change.
            (CACHE_CONTROL, "private, max-age=31536000, immutable"),
        ];
        Ok((headers, bytes).into_response())
    })
    .await
}
