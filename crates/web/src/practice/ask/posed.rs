//! A question as an address or a record names it, with everything it takes from key and book.
//!
//! In: the fields `q` (veiled or plain), `book`, `set`, `item`; or a record of practice. Out: the plant that
//! is asked about, or why it can't be asked, in words and with a way on.

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use standbook_fieldbook::record::{Drill, Practice, PracticeSet, SetItem};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_practice::Question;
use standbook_practice::specimen::NoSpecimen;

use super::name::Name;
use super::pair::Pair;
use super::see::See;
use super::veil::{lifted, veiled};
use crate::app::App;
use crate::failure::Failure;
use crate::form::Form;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::practice::sets;

/// Why there is no such page.
#[derive(Debug)]
pub(super) enum Stop {
    /// It can't be asked; the message says why.
    Cannot(String),
    /// The book, or the program.
    Failed(Failure),
}

impl Stop {
    /// It can't be asked.
    pub fn cannot(why: impl Into<String>) -> Stop {
        Stop::Cannot(why.into())
    }
}

impl From<Failure> for Stop {
    fn from(failure: Failure) -> Stop {
        Stop::Failed(failure)
    }
}

impl From<BookError> for Stop {
    fn from(error: BookError) -> Stop {
        Stop::Failed(error.into())
    }
}

impl From<NoSpecimen> for Stop {
    fn from(none: NoSpecimen) -> Stop {
        Stop::cannot(format!("There is no such plant to draw: {none}."))
    }
}

#[derive(Template)]
#[template(path = "practice/cannot.html")]
struct CannotPage {
    shell: Shell,
    why: String,
}

/// The page that says so, or the failure.
pub(super) fn stopped(app: &App, here: &Here, stop: Stop) -> Result<Response, Failure> {
    match stop {
        Stop::Failed(failure) => Err(failure),
        Stop::Cannot(why) => {
            let shell = Shell::new(app, here, Tab::Practice, "No such question");
            let page = html(&CannotPage { shell, why })?;
            Ok((StatusCode::NOT_FOUND, page).into_response())
        }
    }
}

/// Where a question is: its text and how it is asked.
#[derive(Debug, Clone)]
pub(super) struct Spot {
    /// The text, without a veil.
    pub text: String,
    /// What it asks.
    pub question: Question,
    /// Whether the book is open.
    pub with_book: bool,
    /// Its place in a set, with the version of it that the address names: a form sent again after the set was
    /// corrected is then still the same record.
    pub of_set: Option<(SetItem, Entry<PracticeSet>)>,
}

impl Spot {
    /// Reads it from the fields of an address or a form.
    pub fn read(app: &App, form: &Form) -> Result<Spot, Stop> {
        let text = lifted(form.get("q"))
            .ok_or_else(|| Stop::cannot("The address of this question is cut off or altered."))?;
        let question: Question = text.parse().map_err(|none| {
            Stop::cannot(format!(
                "The address of this question can\u{2019}t be read: {none}."
            ))
        })?;
        let of_set = match form.has("set") {
            true => Some(set_of(app, form, &text)?),
            false => None,
        };
        let with_book = match &of_set {
            // A set says for every question whether the book is open, whatever the address says.
            Some((of, set)) => item(of, set).is_some_and(|question| question.with_book),
            None => form.get("book") == "1",
        };
        Ok(Spot {
            text,
            question,
            with_book,
            of_set,
        })
    }

    /// The fields that bring it back.
    pub fn fields(&self, id: RecordId) -> Vec<(&'static str, String)> {
        let mut fields = vec![
            ("q", veiled(&self.text)),
            ("book", if self.with_book { "1" } else { "0" }.to_owned()),
        ];
        if let Some((of, _)) = &self.of_set {
            fields.push(("set", of.set.to_string()));
            fields.push(("item", of.item.to_string()));
        }
        fields.push(("id", id.to_string()));
        fields
    }

    /// Its address, under which the answer will be kept as `id`.
    pub fn address(&self, id: RecordId) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.extend_pairs(self.fields(id));
        format!("/practice/ask?{}", query.finish())
    }

    /// The set that it belongs to.
    pub fn set(&self) -> Option<&PracticeSet> {
        self.of_set.as_ref().map(|(_, set)| &set.body)
    }

    /// The set and number, in words; empty outside a set.
    pub fn set_words(&self) -> String {
        let words = |(of, set): &(SetItem, Entry<PracticeSet>)| set_words(*of, &set.body);
        self.of_set.as_ref().map_or_else(String::new, words)
    }
}

/// `Before the north forty, 3 of 20`.
pub(super) fn set_words(of: SetItem, set: &PracticeSet) -> String {
    format!("{}, {} of {}", set.title, of.item, set.questions.len())
}

fn item<'s>(
    of: &SetItem,
    set: &'s Entry<PracticeSet>,
) -> Option<&'s standbook_fieldbook::record::SetQuestion> {
    let at = usize::try_from(of.item).ok()?.checked_sub(1)?;
    set.body.questions.get(at)
}

fn set_of(app: &App, form: &Form, text: &str) -> Result<(SetItem, Entry<PracticeSet>), Stop> {
    let gone = || Stop::cannot("The set of this question is not in this book.");
    let id: RecordId = form.get("set").parse().map_err(|_| gone())?;
    let set = sets::version(app, id)?.ok_or_else(gone)?;
    let of = SetItem {
        set: id,
        item: form.get("item").parse().unwrap_or_default(),
    };
    match item(&of, &set) {
        Some(question) if question.question == text => Ok((of, set)),
        _ => Err(Stop::cannot(
            "This is not a question of its set, or the set was changed. Begin the set again.",
        )),
    }
}

/// A question with the plant that it is about.
#[derive(Debug)]
pub(super) enum Posed {
    /// See the trait.
    See(See),
    /// Tell the pair.
    Pair(Box<Pair>),
    /// Name it.
    Name(Name),
}

impl Posed {
    /// Draws or finds it.
    pub fn of(app: &App, question: &Question) -> Result<Posed, Stop> {
        Ok(match question {
            Question::SeeTrait {
                trait_id,
                taxon,
                stage,
                seed,
            } => Posed::See(See::drawn(app, trait_id, taxon, *stage, *seed)?),
            Question::SeePhoto {
                trait_id,
                photo,
                plant,
            } => Posed::See(See::photo(app, trait_id, photo, plant)?),
            Question::TellPair {
                one,
                other,
                stage,
                seed,
            } => Posed::Pair(Box::new(Pair::drawn(app, one, other, *stage, *seed)?)),
            Question::NameIt { taxon, stage, seed } => {
                Posed::Name(Name::drawn(app, taxon, *stage, *seed)?)
            }
            Question::NamePhoto { photo, plant } => Posed::Name(Name::photo(app, photo, plant)?),
            Question::CountFrame { .. } => {
                return Err(Stop::cannot("A frame is counted on a page of its own."));
            }
        })
    }

    /// The question of an answer that was kept.
    pub fn again(app: &App, answer: &Practice) -> Result<Posed, Stop> {
        let question: Question = answer.question.parse().map_err(|none| {
            Stop::cannot(format!("What was asked can\u{2019}t be read: {none}."))
        })?;
        Posed::of(app, &question)
    }

    /// Which drill it is.
    pub fn drill(&self) -> Drill {
        match self {
            Posed::See(_) => Drill::SeeTrait,
            Posed::Pair(_) => Drill::TellPair,
            Posed::Name(_) => Drill::NameIt,
        }
    }
}

/// What a drill is called.
pub(super) fn drill_words(drill: Drill) -> &'static str {
    match drill {
        Drill::SeeTrait => "See the trait",
        Drill::TellPair => "Tell the pair",
        Drill::NameIt => "Name it",
        Drill::CountFrame => "Count the frame",
    }
}
