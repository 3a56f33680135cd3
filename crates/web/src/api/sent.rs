//! What is sent to an address, read; and what is answered, written.
//!
//! In: the bytes of a request. Out: the value, or the field that is wrong.

use axum::body::Bytes;
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde::de::DeserializeOwned;
use standbook_fieldbook::RecordId;

use super::problem::{Fault, Refused};
use super::value::Plain;
use crate::app::{App, Shared, run};
use crate::form::Form;

/// JSON (RFC 8259).
pub(super) const JSON: &str = "application/json";

/// Most bytes of a request: a thousand frames as scouts fill them have about half of that.
pub(super) const LARGEST_BYTES: usize = 4 * 1024 * 1024;

/// A body and its type of content, without parameters.
pub(super) struct Sent {
    pub kind: String,
    pub bytes: Bytes,
}

impl<S: Send + Sync> FromRequest<S> for Sent {
    type Rejection = Refused;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refused> {
        let kind = request.headers().get(CONTENT_TYPE);
        let kind = kind.and_then(|it| it.to_str().ok()).unwrap_or_default();
        let kind = kind.split(';').next().unwrap_or_default().trim();
        let kind = kind.to_ascii_lowercase();
        let bytes = Bytes::from_request(request, state)
            .await
            .map_err(|rejection| match rejection.into_response().status() {
                StatusCode::PAYLOAD_TOO_LARGE => Refused::new(
                    StatusCode::PAYLOAD_TOO_LARGE,
                    format!("More than {LARGEST_BYTES} bytes were sent. Nothing was kept; send it in parts."),
                ),
                status => Refused::new(status, "The request did not arrive whole. Send it again."),
            })?;
        Ok(Sent { kind, bytes })
    }
}

impl Sent {
    /// Refuses any type of content but one of these.
    pub fn must_be(&self, kinds: &[&str]) -> Result<(), Refused> {
        match kinds.contains(&self.kind.as_str()) {
            true => Ok(()),
            // By this no form of another website's page gets here either: browsers send none of
            // these types without asking first.
            false => Err(Refused::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                format!(
                    "This address takes {}. Say so in the header Content-Type.",
                    kinds.join(" or ")
                ),
            )),
        }
    }

    /// The value that the body holds.
    pub fn json<T: DeserializeOwned>(&self) -> Result<T, Refused> {
        self.must_be(&[JSON])?;
        read(&self.bytes).map_err(|fault| Refused::faulty(StatusCode::BAD_REQUEST, vec![fault]))
    }
}

/// A value in JSON, or where it is none.
pub(super) fn read<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Fault> {
    const MEND: &str = "Compare it with the form in /api/openapi.json.";
    const WHOLE: &str = "the whole";
    let Plain(value) = serde_json::from_slice(bytes)
        .map_err(|error| Fault::new(WHOLE, error.to_string(), MEND))?;
    serde_path_to_error::deserialize(value).map_err(|error| {
        let field = match error.path().to_string() {
            path if path == "." => WHOLE.to_owned(),
            path => path,
        };
        Fault::new(field, error.inner().to_string(), MEND)
    })
}

/// An answer in JSON.
pub(super) fn json(value: &impl Serialize) -> Result<Response, Refused> {
    match serde_json::to_vec(value) {
        Ok(bytes) => Ok(([(CONTENT_TYPE, JSON)], bytes).into_response()),
        Err(error) => Err(Refused::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            format!("An answer could not be written: {error}."),
        )),
    }
}

/// Works an answer out off the async threads, and writes it.
pub(super) async fn answer<T: Serialize>(
    app: Shared,
    work: impl FnOnce(&App) -> Result<T, Refused> + Send + 'static,
) -> Result<Response, Refused> {
    run(app, move |app| Ok(work(app).and_then(|it| json(&it)))).await?
}

/// A record id in an address; any other text there is no record.
pub(super) fn id_in_path(text: &str) -> Result<RecordId, Refused> {
    text.parse().map_err(|_| {
        let text: String = text.chars().take(40).collect();
        Refused::new(
            StatusCode::NOT_FOUND,
            format!("\u{201c}{text}\u{201d} is no record id, so there is no such record."),
        )
    })
}

/// A record id that is asked by.
pub(super) fn id_asked(query: &Form, name: &str) -> Result<Option<RecordId>, Refused> {
    let Some((_, text)) = query.0.iter().find(|(asked, _)| asked == name) else {
        return Ok(None);
    };
    text.parse().map(Some).map_err(|_| {
        Refused::asked(
            name,
            "this is no record id",
            "Write all 36 characters of one, or leave it out.",
        )
    })
}

/// How many records to answer at most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Limit;

impl Limit {
    /// Where nothing is asked.
    pub const USUAL: u32 = 100;
    /// The most.
    pub const MOST: u32 = 1000;

    /// Reads `limit`.
    pub fn asked(query: &Form) -> Result<usize, Refused> {
        let Some((_, text)) = query.0.iter().find(|(asked, _)| asked == "limit") else {
            return Ok(Limit::USUAL as usize);
        };
        let digits = text.bytes().all(|byte| byte.is_ascii_digit());
        match text.parse::<u32>() {
            Ok(limit) if digits && (1..=Limit::MOST).contains(&limit) => Ok(limit as usize),
            _ => Err(Refused::asked(
                "limit",
                "this is no number of records",
                format!("Use a whole number from 1 to {}.", Limit::MOST),
            )),
        }
    }
}
