//! What a page says when it can't do what was asked: status, plain words, a way back.
//!
//! A scout never meets a dead end: every failure page has a link to somewhere safe, and says
//! whether what was entered has been kept.

use askama::Template;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use standbook_fieldbook::{BookError, RecordId};

/// Why a page can't do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// There is no such page or record.
    #[error("There is no {what} here.")]
    NotFound {
        /// What was looked for, such as `plot`.
        what: &'static str,
    },
    /// The request can't be understood.
    #[error("{0}")]
    BadRequest(String),
    /// The book refused; the message says what and how to mend it.
    #[error("{0}")]
    Book(BookError),
    /// Too much was sent.
    #[error("{0}")]
    TooLarge(String),
    /// Whoever asks was not let in, or not to this.
    #[error("{0}")]
    NotLetIn(String),
    /// The disk or the system says no; the message says what and how to mend it.
    #[error("{0}")]
    Surroundings(String),
    /// Something broke in this program.
    #[error("Something broke in this program; it is no fault of yours.")]
    Ours,
}

impl From<BookError> for Failure {
    fn from(error: BookError) -> Self {
        Failure::Book(error)
    }
}

impl Failure {
    /// The HTTP status.
    pub fn status(&self) -> StatusCode {
        match self {
            Failure::NotFound { .. } => StatusCode::NOT_FOUND,
            Failure::BadRequest(_) => StatusCode::BAD_REQUEST,
            Failure::TooLarge(_) => StatusCode::PAYLOAD_TOO_LARGE,
            Failure::NotLetIn(_) => StatusCode::FORBIDDEN,
            Failure::Surroundings(_) => StatusCode::INSUFFICIENT_STORAGE,
            Failure::Ours => StatusCode::INTERNAL_SERVER_ERROR,
            Failure::Book(error) => match error {
                BookError::Invalid(_) | BookError::PhotoType { .. } => {
                    StatusCode::UNPROCESSABLE_ENTITY
                }
                BookError::Conflict { .. } => StatusCode::CONFLICT,
                BookError::Full { .. } => StatusCode::INSUFFICIENT_STORAGE,
                BookError::ReadOnly { .. } => StatusCode::FORBIDDEN,
                BookError::PhotoTooLarge { .. } => StatusCode::PAYLOAD_TOO_LARGE,
                BookError::Busy { .. } => StatusCode::SERVICE_UNAVAILABLE,
                _ => StatusCode::INTERNAL_SERVER_ERROR,
            },
        }
    }

    /// The heading of the page.
    fn title(&self) -> &'static str {
        match self.status() {
            _ if matches!(self, Failure::NotLetIn(_)) => "Not let in",
            StatusCode::NOT_FOUND => "Not here",
            StatusCode::BAD_REQUEST => "Not understood",
            StatusCode::INTERNAL_SERVER_ERROR => "Something broke",
            _ => "Not saved",
        }
    }
}

#[derive(Template)]
#[template(path = "failure.html")]
struct FailurePage {
    title: &'static str,
    message: String,
    /// Whether going back in the browser brings the filled-in form again.
    form_is_behind: bool,
}

impl IntoResponse for Failure {
    fn into_response(self) -> Response {
        let status = self.status();
        if status == StatusCode::INTERNAL_SERVER_ERROR {
            // The only log there is: the terminal in which the server was started.
            eprintln!("standbook: {self}");
        }
        let page = FailurePage {
            title: self.title(),
            message: self.to_string(),
            form_is_behind: !matches!(self, Failure::NotFound { .. } | Failure::NotLetIn(_)),
        };
        let html = page
            .render()
            .unwrap_or_else(|_| "Something broke. <a href=\"/\">Back to the start</a>".to_owned());
        let mut response = (status, Html(html)).into_response();
        let words = Troubled(vec![self.to_string()]);
        response.extensions_mut().insert(words);
        response
    }
}

/// What is wrong with a form, in words: rides on the page that shows it, for whoever can't see
/// pages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Troubled(pub Vec<String>);

/// Reads a record id out of an address or a form.
pub fn record_id(text: &str, what: &'static str) -> Result<RecordId, Failure> {
    text.parse().map_err(|_| Failure::NotFound { what })
}
