//! What is wrong, in the one form of RFC 9457 (problem details for HTTP), for programs and the
//! people who write them.
//!
//! `type` is `about:blank`: the status says of what kind a problem is, `faults` where it is.

use axum::extract::Request;
use axum::http::StatusCode;
use axum::http::header::{ALLOW, CONTENT_LENGTH, CONTENT_TYPE, HeaderValue};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use schemars::JsonSchema;
use serde::Serialize;
use standbook_fieldbook::{BookError, Problem as Rule, RecordId};

use super::is_api;
use super::records::Outcome;
use crate::failure::{Failure, Troubled};

/// Content type of a problem (RFC 9457, section 6.1).
pub(super) const PROBLEM: &str = "application/problem+json";

/// Why a request was refused.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub(super) struct Problem {
    /// Always `about:blank`: the status says it all.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The status in words.
    pub title: String,
    /// The HTTP status.
    pub status: u16,
    /// What is wrong and how to mend it, for people.
    pub detail: String,
    /// Each thing that is wrong.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub faults: Vec<Fault>,
    /// Where records were sent: what became of each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub records: Vec<Outcome>,
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub(super) struct Fault {
    /// The field, such as `tallies[2].cell` (items are counted from 0), or the name of a question.
    pub field: String,
    /// What is wrong.
    pub problem: String,
    /// How to mend it.
    pub mend: String,
}

impl Fault {
    /// A fault of a field.
    pub fn new(
        field: impl Into<String>,
        problem: impl Into<String>,
        mend: impl Into<String>,
    ) -> Fault {
        Fault {
            field: field.into(),
            problem: problem.into(),
            mend: mend.into(),
        }
    }

    /// For people.
    pub fn words(&self) -> String {
        let Fault {
            field,
            problem,
            mend,
        } = self;
        format!("{field}: {problem}. {mend}")
    }
}

impl From<Rule> for Fault {
    fn from(rule: Rule) -> Fault {
        Fault::new(rule.field, rule.problem, rule.mend)
    }
}

/// A refusal.
#[derive(Debug, Clone)]
pub(super) struct Refused(Box<Problem>);

impl Refused {
    /// With a status and words.
    pub fn new(status: StatusCode, detail: impl Into<String>) -> Refused {
        Refused(Box::new(Problem {
            kind: "about:blank",
            title: status
                .canonical_reason()
                .unwrap_or("Not understood")
                .to_owned(),
            status: status.as_u16(),
            detail: detail.into(),
            faults: Vec::new(),
            records: Vec::new(),
        }))
    }

    /// For faults; what they say is the detail.
    pub fn faulty(status: StatusCode, faults: Vec<Fault>) -> Refused {
        let words: Vec<String> = faults.iter().map(Fault::words).collect();
        let mut refused = Refused::new(status, words.join(" "));
        refused.0.faults = faults;
        refused
    }

    /// For a question of an address.
    pub fn asked(name: &str, problem: impl Into<String>, mend: impl Into<String>) -> Refused {
        let name: String = name.chars().take(40).collect();
        Refused::faulty(
            StatusCode::BAD_REQUEST,
            vec![Fault::new(name, problem, mend)],
        )
    }

    /// For a record that is not there.
    pub fn not_found(what: &str, id: RecordId) -> Refused {
        Refused::new(
            StatusCode::NOT_FOUND,
            format!("There is no {what} {id} in this book."),
        )
    }

    /// The same, with what became of each record.
    pub fn with_records(mut self, records: Vec<Outcome>) -> Refused {
        self.0.records = records;
        self
    }
}

impl From<Failure> for Refused {
    fn from(failure: Failure) -> Refused {
        match failure {
            Failure::Book(error) => error.into(),
            other => Refused::new(other.status(), other.to_string()),
        }
    }
}

impl From<BookError> for Refused {
    fn from(error: BookError) -> Refused {
        let detail = error.to_string();
        let faults = match &error {
            BookError::Invalid(rules) => rules.iter().cloned().map(Fault::from).collect(),
            BookError::Conflict { .. } => vec![conflict()],
            _ => Vec::new(),
        };
        let mut refused = Refused::new(Failure::Book(error).status(), detail);
        refused.0.faults = faults;
        refused
    }
}

/// What is wrong with a record whose id is taken.
pub(super) fn conflict() -> Fault {
    Fault::new(
        "id",
        "a record of this id is in the book already, with different content",
        "Give a correction an id of its own, and the id of what it corrects in `supersedes`.",
    )
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.0.status).unwrap_or(StatusCode::BAD_REQUEST);
        if status == StatusCode::INTERNAL_SERVER_ERROR {
            // As pages do: the terminal is the only log.
            eprintln!("standbook: {}", self.0.detail);
        }
        let body = serde_json::to_vec(&self.0).unwrap_or_default();
        (status, [(CONTENT_TYPE, PROBLEM)], body).into_response()
    }
}

/// For everything under `/api` that is no address.
pub(super) async fn no_such_address(request: Request) -> Refused {
    let path: String = request.uri().path().chars().take(80).collect();
    Refused::new(
        StatusCode::NOT_FOUND,
        format!("There is no address \u{201c}{path}\u{201d}. /api lists all there are."),
    )
}

/// Gives the refusals of the site (its guard, its door for phones, its router) the form that is
/// used under `/api`. They keep their headers: a method that is not taken says which are.
pub(crate) async fn as_problems(request: Request, next: Next) -> Response {
    let api = is_api(request.uri().path());
    let response = next.run(request).await;
    let status = response.status();
    let refused = status.is_client_error() || status.is_server_error();
    let is_problem = |it: &HeaderValue| it.as_bytes().starts_with(PROBLEM.as_bytes());
    if !api || !refused || response.headers().get(CONTENT_TYPE).is_some_and(is_problem) {
        return response;
    }
    let detail = match (response.extensions().get::<Troubled>(), status) {
        (Some(Troubled(why)), _) => why.join(" "),
        (None, StatusCode::METHOD_NOT_ALLOWED) => {
            let allow = response
                .headers()
                .get(ALLOW)
                .and_then(|it| it.to_str().ok());
            format!(
                "This address is asked by {} only. /api says what each takes.",
                allow.unwrap_or("another method")
            )
        }
        (None, _) => {
            "This request can't be understood. /api says what each address takes.".to_owned()
        }
    };
    let (mut parts, _) = response.into_parts();
    parts.headers.remove(CONTENT_LENGTH);
    let (said, body) = Refused::new(status, detail).into_response().into_parts();
    if let Some(kind) = said.headers.get(CONTENT_TYPE) {
        parts.headers.insert(CONTENT_TYPE, kind.clone());
    }
    Response::from_parts(parts, body)
}
