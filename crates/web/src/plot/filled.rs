//! A form on its way to a person: what is filled in, and what is wrong with it.
//!
//! In: the fields as they were sent, and troubles by field. Out: fields as HTML, each with its
//! label, its value and its trouble, so that nothing typed is ever lost.
//! Not here: which fields a form has; rules of the book (crate `fieldbook`).

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use standbook_fieldbook::{BookError, RecordId, limits};

use crate::failure::{Failure, Troubled};
use crate::form::Form;
use crate::here::Here;
use crate::page;

/// One thing that is wrong with a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Trouble {
    /// The field; empty when it is about the whole form.
    pub field: String,
    /// What is wrong and how to mend it.
    pub message: String,
    /// Whether it is only a question, which a tick answers.
    pub asks: bool,
}

/// All that is wrong with a form.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Troubles {
    /// In the order of the fields.
    pub list: Vec<Trouble>,
    /// Status of the page, when it is not that of a form that has to be mended.
    status: Option<StatusCode>,
}

impl Troubles {
    /// Adds one.
    pub fn add(&mut self, field: &str, message: impl Into<String>) {
        self.list.push(Trouble {
            field: field.to_owned(),
            message: message.into(),
            asks: false,
        });
    }

    /// Whether a field is asked about.
    pub fn asks(&self, field: &str) -> bool {
        let first = self.list.iter().find(|trouble| trouble.field == field);
        first.is_some_and(|trouble| trouble.asks)
    }

    /// Whether nothing is wrong.
    pub fn none(&self) -> bool {
        self.list.is_empty()
    }

    /// What is wrong with a field.
    pub fn at(&self, field: &str) -> Option<&str> {
        self.list
            .iter()
            .find(|trouble| trouble.field == field)
            .map(|trouble| trouble.message.as_str())
    }

    /// All of them, in words.
    pub fn words(&self) -> Troubled {
        Troubled(self.list.iter().map(|one| one.message.clone()).collect())
    }

    /// Status of the page that shows them.
    pub fn status(&self) -> StatusCode {
        match self.status {
            Some(status) => status,
            None if self.none() => StatusCode::OK,
            None => StatusCode::UNPROCESSABLE_ENTITY,
        }
    }

    /// Adds what the book refused. `field_of` turns the name of a record's field into that of
    /// the form's field.
    pub fn refused(&mut self, error: &BookError, field_of: impl Fn(&str, &str) -> String) {
        match error {
            BookError::Invalid(problems) => {
                for problem in problems {
                    let field = field_of(problem.kind, &problem.field);
                    self.add(
                        &field,
                        format!("{}. {}", sentence(&problem.problem), problem.mend),
                    );
                }
            }
            other => {
                self.status = Some(Failure::Book(other.clone()).status());
                self.add("", format!("Not saved. {}.", sentence(&other.to_string())));
            }
        }
    }

    /// Adds that this id is taken by other content.
    pub fn conflict(&mut self, message: impl Into<String>) {
        self.status = Some(StatusCode::CONFLICT);
        self.add("", message);
    }
}

/// A message of the book, beginning like a sentence; names of files stay as they are.
pub(crate) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) if !text.contains(": ") || text.starts_with("it ") => {
            first.to_uppercase().chain(chars).collect()
        }
        _ => text.to_owned(),
    }
}

/// A form with its troubles.
#[derive(Debug, Clone, Default)]
pub(crate) struct Filled {
    /// What is filled in.
    pub form: Form,
    /// What is wrong.
    pub troubles: Troubles,
}

/// A one-line field, rendered with its label.
#[derive(Debug, Template)]
#[template(path = "plot/_input.html")]
pub(crate) struct Input {
    /// Kind of the HTML element: `text`, `date`, `month`, `number` or `note` (several lines).
    kind: &'static str,
    /// Name of the field.
    name: String,
    /// Label; ends with the unit, where there is one.
    label: String,
    /// Remark below the label, may be empty.
    hint: &'static str,
    /// What is filled in.
    value: String,
    /// What is wrong.
    wrong: Option<String>,
    /// Whether a browser should insist on it.
    required: bool,
    /// Longest text, characters.
    longest: usize,
    /// Whether `wrong` is a question.
    asks: bool,
    /// Whether a tick box answers a question about the value, and whether it is ticked.
    right: Option<bool>,
}

impl Input {
    /// The same, where it may stay empty.
    pub fn optional(mut self) -> Input {
        self.required = false;
        self
    }
}

impl Filled {
    /// An empty form.
    pub fn new() -> Filled {
        Filled::default()
    }

    /// A form as it was sent.
    pub fn sent(form: Form) -> Filled {
        Filled {
            form,
            ..Filled::default()
        }
    }

    /// Fills a field, unless it is there already.
    pub fn default_to(&mut self, name: &str, value: impl Into<String>) {
        if !self.form.0.iter().any(|(n, _)| n == name) {
            self.form.0.push((name.to_owned(), value.into()));
        }
    }

    /// Replaces a field.
    pub fn set(&mut self, name: &str, value: impl Into<String>) {
        self.form.0.retain(|(n, _)| n != name);
        self.form.0.push((name.to_owned(), value.into()));
    }

    /// The value of a field; empty when missing.
    pub fn get(&self, name: &str) -> &str {
        self.form.get(name)
    }

    /// Whether a field, which may repeat, has this value among its values.
    pub fn holds(&self, name: &str, value: &str) -> bool {
        self.form.all(name).any(|v| v == value)
    }

    fn input(&self, kind: &'static str, name: &str, label: &str, hint: &'static str) -> Input {
        Input {
            kind,
            name: name.to_owned(),
            label: label.to_owned(),
            hint,
            value: self.form.get(name).to_owned(),
            wrong: self.troubles.at(name).map(str::to_owned),
            required: false,
            longest: limits::NAME_CHARS,
            asks: self.troubles.asks(name),
            right: (self.troubles.asks(name) || self.said_right(name))
                .then(|| self.said_right(name)),
        }
    }

    /// Fills what every form of a record carries: its id, and who enters it as far as known.
    pub fn begin(&mut self, here: &Here) {
        self.default_to("id", RecordId::new().to_string());
        self.default_to("scout", here.scout.clone().unwrap_or_default());
    }

    /// The title of the form's page: `new`, or `correct` when it corrects something.
    pub fn title(&self, new: &'static str, correct: &'static str) -> &'static str {
        match self.supersedes() {
            Some(_) => correct,
            None => new,
        }
    }

    /// Whether a tick says that what stands in a field is right, odd as it looks. The tick holds
    /// the value it was given for: another value is asked about again.
    fn said_right(&self, name: &str) -> bool {
        let value = self.get(name);
        !value.is_empty() && self.holds(&format!("right.{name}"), value)
    }

    /// Asks whether an odd value is right, unless a tick says so already.
    pub fn ask_about(&mut self, name: &str, question: impl Into<String>) {
        if !self.said_right(name) {
            self.troubles.list.push(Trouble {
                field: name.to_owned(),
                message: question.into(),
                asks: true,
            });
        }
    }

    /// A field of one line.
    pub fn text(&self, name: &str, label: &str, hint: &'static str) -> Input {
        self.input("text", name, label, hint)
    }

    /// A field of one line that may not stay empty.
    pub fn must(&self, name: &str, label: &str, hint: &'static str) -> Input {
        let mut input = self.input("text", name, label, hint);
        input.required = true;
        input
    }

    /// A field of several lines.
    pub fn note(&self, name: &str, label: &str, hint: &'static str) -> Input {
        let mut input = self.input("note", name, label, hint);
        input.longest = limits::NOTE_CHARS;
        input
    }

    /// A date.
    pub fn date(&self, name: &str, label: &str, hint: &'static str) -> Input {
        let mut input = self.input("date", name, label, hint);
        input.required = true;
        input
    }

    /// A month of the calendar.
    pub fn month(&self, name: &str, label: &str, hint: &'static str) -> Input {
        self.input("month", name, label, hint)
    }

    /// A number. Negative ones can be typed on any keyboard, so the field is of one line.
    pub fn number(&self, name: &str, label: &str, hint: &'static str) -> Input {
        self.input("number", name, label, hint)
    }

    /// The id under which this form will be kept: the one it carries, or a new one.
    pub fn id(&self) -> RecordId {
        self.id_in("id")
    }

    /// An id carried in another field.
    pub fn id_in(&self, field: &str) -> RecordId {
        self.get(field).parse().unwrap_or_default()
    }

    /// The record this form corrects.
    pub fn supersedes(&self) -> Option<RecordId> {
        self.get("supersedes").parse().ok()
    }
}

/// The page of a form, with the status its troubles ask for.
pub(crate) fn respond(troubles: &Troubles, page: &impl Template) -> Result<Response, Failure> {
    let mut response = (troubles.status(), page::html(page)?).into_response();
    response.extensions_mut().insert(troubles.words());
    Ok(response)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_full_disk_keeps_the_form_and_says_so_with_its_own_status() {
        let mut troubles = Troubles::default();
        let error = BookError::Full {
            path: "season.book".into(),
        };
        troubles.refused(&error, |_, field| field.to_owned());
        assert_eq!(troubles.status(), StatusCode::INSUFFICIENT_STORAGE);
        assert!(troubles.list[0].message.contains("the disk is full"));
    }

    #[test]
    fn a_value_cannot_break_out_of_its_field() {
        let mut filled = Filled::new();
        filled.set("name", "\"><script>alert(1)</script>");
        let html = filled.must("name", "Name", "").render().unwrap();
        assert!(!html.contains("<script>"), "{html}");
    }

    #[test]
    fn a_tick_answers_for_the_value_it_was_given_for_only() {
        let mut filled = Filled::new();
        filled.set("on", "2031-07-14");
        filled.ask_about("on", "In the future?");
        assert!(filled.troubles.asks("on"));
        let html = filled.date("on", "Date", "").render().unwrap();
        assert!(
            html.contains("name=\"right.on\" value=\"2031-07-14\">"),
            "{html}"
        );
        filled.troubles = Troubles::default();
        filled.set("right.on", "2031-07-14");
        filled.ask_about("on", "In the future?");
        assert!(filled.troubles.none());
        filled.set("on", "2032-07-14");
        filled.ask_about("on", "In the future?");
        assert!(filled.troubles.asks("on"));
    }
}
