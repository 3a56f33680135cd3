//! What an address is: where, what it is asked, what it takes and answers, who handles it.
//!
//! In: a description. Out: a handler that refuses what the description does not know.
//! Not here: which addresses there are (`all`).

use axum::extract::Request;
use axum::middleware::{Next, from_fn};
use axum::response::IntoResponse;
use axum::routing::MethodRouter;
use schemars::{JsonSchema, Schema, SchemaGenerator};

use super::problem::Refused;
use crate::app::Shared;
use crate::form::Form;

/// Makes the form of a type.
pub(super) type MakesForm = fn(&mut SchemaGenerator) -> Schema;

/// The form of a type, as [`Address`] wants it.
pub(super) fn form_of<T: JsonSchema>(generator: &mut SchemaGenerator) -> Schema {
    generator.subschema_for::<T>()
}

/// How an address is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Method {
    /// Reads.
    Get,
    /// Works something out, or keeps records.
    Post,
}

impl Method {
    /// As an OpenAPI document writes it.
    pub fn id(self) -> &'static str {
        match self {
            Method::Get => "get",
            Method::Post => "post",
        }
    }
}

/// What a question in an address may hold.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Holds {
    /// A record id.
    Id,
    /// A whole number.
    Number { least: u32, most: u32, usual: u32 },
}

/// A question in an address, after `?`.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Asked {
    pub name: &'static str,
    pub holds: Holds,
    /// What it does, a sentence.
    pub words: String,
}

/// What an address takes.
pub(super) struct Takes {
    /// What is sent, a sentence.
    pub words: &'static str,
    /// Types of content, each with the form of the whole; none where it is not JSON.
    pub content: Vec<(&'static str, Option<MakesForm>)>,
}

/// What an address answers.
pub(super) struct Answers {
    /// A sentence.
    pub words: &'static str,
    /// Its type of content.
    pub content: &'static str,
    /// Its form; none where it is not JSON.
    pub form: Option<MakesForm>,
}

/// Another address that an answer leads to.
pub(super) struct Leads {
    /// What is found there.
    pub name: &'static str,
    /// Its address.
    pub path: &'static str,
    /// What stands there in braces.
    pub parameter: &'static str,
    /// Where in the answer that is (JSON Pointer, RFC 6901).
    pub pointer: &'static str,
}

/// Why an address may refuse, a status and a sentence.
pub(super) type Refuses = (u16, &'static str);

/// An address.
pub(super) struct Address {
    pub method: Method,
    /// As axum and OpenAPI both write it, such as `/api/records/{id}`. What stands in braces is a
    /// record id.
    pub path: String,
    /// The part of the page in words.
    pub part: &'static str,
    /// What it does, a sentence.
    pub words: String,
    pub asked: Vec<Asked>,
    pub takes: Option<Takes>,
    pub answers: Answers,
    pub refuses: Vec<Refuses>,
    /// Where its answer leads.
    pub leads: Vec<Leads>,
    /// Whether phones need the Desk for it.
    pub office: bool,
    pub handler: MethodRouter<Shared>,
}

impl Address {
    /// An address that reads, and answers in JSON of the form of `T`.
    pub fn read<T: JsonSchema>(
        part: &'static str,
        path: impl Into<String>,
        words: impl Into<String>,
        answers: &'static str,
        handler: MethodRouter<Shared>,
    ) -> Address {
        let path = path.into();
        let mut refuses = vec![BAD_REQUEST, FOREIGN];
        if path.contains('{') {
            refuses.push((404, "There is no such record."));
        }
        Address {
            method: Method::Get,
            path,
            part,
            words: words.into(),
            asked: Vec::new(),
            takes: None,
            answers: Answers {
                words: answers,
                content: "application/json",
                form: Some(form_of::<T>),
            },
            refuses,
            leads: Vec::new(),
            office: false,
            handler,
        }
    }

    /// The same for one that is sent something.
    pub fn sent<T: JsonSchema>(
        part: &'static str,
        path: &str,
        words: impl Into<String>,
        takes: Takes,
        answers: &'static str,
        handler: MethodRouter<Shared>,
    ) -> Address {
        let mut address = Address::read::<T>(part, path, words, answers, handler);
        address.method = Method::Post;
        address.takes = Some(takes);
        address.refuses.extend([
            (413, "More was sent than is taken at once."),
            (415, "What was sent is of another type of content."),
            (422, "What was sent breaks a rule; `faults` says which."),
        ]);
        address
    }

    /// The same, with a question that it may be asked.
    pub fn asked(mut self, name: &'static str, holds: Holds, words: impl Into<String>) -> Address {
        if holds == Holds::Id && !self.refuses.iter().any(|(status, _)| *status == 404) {
            self.refuses
                .push((404, "There is no record of that id that it could be."));
        }
        self.asked.push(Asked {
            name,
            holds,
            words: words.into(),
        });
        self
    }

    /// The same, with an address that its answer leads to.
    pub fn leading(
        mut self,
        name: &'static str,
        path: &'static str,
        parameter: &'static str,
        pointer: &'static str,
    ) -> Address {
        self.leads.push(Leads {
            name,
            path,
            parameter,
            pointer,
        });
        self
    }

    /// The same, refusing for one more reason.
    pub fn refusing(mut self, refuses: impl IntoIterator<Item = Refuses>) -> Address {
        self.refuses.extend(refuses);
        self
    }

    /// The same, for the office.
    pub fn of_the_office(mut self) -> Address {
        self.office = true;
        self
    }

    /// The handler, which refuses questions that the address does not know: a slip in a name must
    /// not read as if nothing had been asked.
    pub fn into_handler(self) -> MethodRouter<Shared> {
        let known: Vec<&'static str> = self.asked.iter().map(|asked| asked.name).collect();
        let known: &'static [&'static str] = known.leak();
        let check =
            from_fn(
                async move |request: Request, next: Next| match unknown(&request, known) {
                    None => next.run(request).await,
                    Some(refused) => refused.into_response(),
                },
            );
        self.handler.route_layer(check)
    }
}

const BAD_REQUEST: Refuses = (400, "It can't be understood; `faults` says where.");
const FOREIGN: Refuses = (
    403,
    "Whoever asks was not let in, or not to this; or another website's page asks.",
);

/// What is wrong with the names of the questions of a request.
fn unknown(request: &Request, known: &[&str]) -> Option<Refused> {
    let query = Form::parse(request.uri().query().unwrap_or_default().as_bytes());
    let query = match query {
        Ok(query) => query,
        Err(failure) => return Some(failure.into()),
    };
    for (at, (name, _)) in query.0.iter().enumerate() {
        let mend = match known {
            [] => "This address is asked nothing; leave it out.".to_owned(),
            known => format!("Ask by {}.", known.join(", ")),
        };
        if !known.contains(&name.as_str()) {
            return Some(Refused::asked(name, "this is not asked here", mend));
        }
        if query.0[..at].iter().any(|(before, _)| before == name) {
            return Some(Refused::asked(name, "it is there twice", "Ask it once."));
        }
    }
    None
}
