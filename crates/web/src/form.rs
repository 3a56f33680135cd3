//! Forms as they arrive: fields in order, names may repeat.
//!
//! A form is a value even when it is half filled in: nothing is refused here but what can't
//! be read at all. What is wrong with a field is said beside it, on the form, filled in.

use axum::body::Bytes;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::StatusCode;
use axum::http::request::Parts;

use crate::failure::Failure;

/// Largest form taken, bytes; the largest honest one (a full frame) has about 8,000.
pub const LARGEST_FORM_BYTES: usize = 256 * 1024;

/// The fields of a form or of a query, in order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Form(pub Vec<(String, String)>);

impl Form {
    /// Reads `a=1&b=2`.
    pub fn parse(bytes: &[u8]) -> Result<Form, Failure> {
        let fields: Vec<(String, String)> = form_urlencoded::parse(bytes)
            .map(|(name, value)| (name.into_owned(), value.into_owned()))
            .collect();
        for (name, value) in &fields {
            // The parser puts U+FFFD where the bytes are not UTF-8.
            if name.contains('\u{FFFD}') || value.contains('\u{FFFD}') {
                return Err(Failure::BadRequest(format!(
                    "The field \u{201c}{}\u{201d} holds bytes that are not text (UTF-8). Nothing was saved; go back and type it again.",
                    name.chars().take(40).collect::<String>()
                )));
            }
        }
        Ok(Form(fields))
    }

    /// The first value of a field, trimmed; empty when missing.
    pub fn get(&self, name: &str) -> &str {
        self.0
            .iter()
            .find(|(n, _)| n == name)
            .map_or("", |(_, value)| value.trim())
    }

    /// Whether a field is there and not empty.
    pub fn has(&self, name: &str) -> bool {
        !self.get(name).is_empty()
    }

    /// All values of a field, trimmed, empty ones left out.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.0
            .iter()
            .filter(move |(n, _)| n == name)
            .map(|(_, value)| value.trim())
            .filter(|value| !value.is_empty())
    }
}

/// A form with one small file in it.
#[derive(Debug, Default)]
pub struct WithFile {
    /// The text fields.
    pub form: Form,
    /// What the file is called; empty when none was chosen.
    pub file: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl WithFile {
    /// Reads a form whose file has the field `file`. `too_large`: what to tell whose file is larger
    /// than the route takes.
    pub async fn read(
        multipart: Result<Multipart, MultipartRejection>,
        too_large: &str,
    ) -> Result<WithFile, Failure> {
        let broken = |status: StatusCode| match status {
            StatusCode::PAYLOAD_TOO_LARGE => Failure::TooLarge(too_large.to_owned()),
            _ => Failure::BadRequest(
                "The upload broke off. Nothing was saved. Go back and send the file again."
                    .to_owned(),
            ),
        };
        let mut multipart = multipart.map_err(|e| broken(e.status()))?;
        let mut sent = WithFile::default();
        while let Some(field) = multipart
            .next_field()
            .await
            .map_err(|e| broken(e.status()))?
        {
            let name = field.name().unwrap_or_default().to_owned();
            let file_name = field.file_name().unwrap_or_default().to_owned();
            let content = field.bytes().await.map_err(|e| broken(e.status()))?;
            if name == "file" {
                sent.file = file_name;
                sent.bytes = content.to_vec();
            } else {
                let text = String::from_utf8(content.to_vec()).map_err(|_| {
                    Failure::BadRequest("A field holds bytes that are not text (UTF-8). Nothing was saved; go back and type it again.".to_owned())
                })?;
                sent.form.0.push((name, text));
            }
        }
        Ok(sent)
    }
}

impl<S: Send + Sync> FromRequest<S> for Form {
    type Rejection = Failure;

    async fn from_request(request: Request, state: &S) -> Result<Self, Failure> {
        let bytes = Bytes::from_request(request, state).await.map_err(|_| {
            Failure::TooLarge(format!(
                "This form is larger than {LARGEST_FORM_BYTES} bytes. Nothing was saved; go back and shorten it."
            ))
        })?;
        Form::parse(&bytes)
    }
}

/// The query of an address, in order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Query(pub Form);

impl<S: Send + Sync> FromRequestParts<S> for Query {
    type Rejection = Failure;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Failure> {
        Form::parse(parts.uri.query().unwrap_or_default().as_bytes()).map(Query)
    }
}
