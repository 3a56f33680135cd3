//! What is to be learned from an answer: shown at once, and stays until she goes on.
//!
//! In: the id of an answer. Out: what is true, what she said, the drawing with the very place marked, the one
//! trait that decides with its source, and the way on. The sentences are `told_words`'.

use askama::Template;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Drill, Practice, PracticeSet, SetItem};

use super::decides::Says;
use super::drawn::Figure;
use super::page::about;
use super::posed::{Posed, Stop, drill_words, set_words};
use super::told_words::{of_name, of_pair, of_trait};
use crate::app::App;
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::practice::after::{item_address, next_item};
use crate::practice::sets;

/// How an answer was.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Was {
    /// Right.
    Right,
    /// Not right.
    Wrong,
    /// She could not tell.
    Open,
}

/// What is told.
#[derive(Debug)]
pub(super) struct Told {
    /// How it was.
    pub was: Was,
    /// What is true, a sentence.
    pub truth: String,
    /// What she said, a sentence; empty where it is what is true.
    pub said: String,
    /// The plant, or both side by side, with the place marked.
    pub figures: Vec<Figure>,
    /// What decides, a sentence; empty where nothing drawn does.
    pub decides: String,
    /// What the key says of it, with sources.
    pub says: Vec<Says>,
    /// What else is to be said, a sentence each.
    pub notes: Vec<String>,
    /// The states side by side as the key draws them.
    pub states: Vec<Figure>,
    /// Where more is: address and words.
    pub links: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "practice/told.html")]
struct ToldPage {
    shell: Shell,
    drill: &'static str,
    set: String,
    told: Told,
    /// The verdict in a word or two.
    verdict: &'static str,
    /// Whether the key says other things now than when it was asked.
    changed: bool,
    next: (String, &'static str),
}

/// The page of an answer.
pub(super) fn show(app: &App, here: &Here, id: &str) -> Result<Response, Stop> {
    let what = "answer";
    let found = app.book.practice(record_id(id, what)?)?;
    let answer = found.ok_or(Failure::NotFound { what })?;
    if answer.body.drill == Drill::CountFrame {
        let page = format!("/practice/frame/answers/{}", answer.id);
        return Ok(Redirect::to(&page).into_response());
    }
    let set = match answer.body.of_set {
        Some(of) => app.book.practice_set(of.set)?,
        None => None,
    };
    let next = way_on(app, &answer, set.as_ref())?;
    let posed = Posed::again(app, &answer.body)?;
    let told = match &posed {
        Posed::See(see) => of_trait(app, see, &answer.body),
        Posed::Pair(pair) => of_pair(app, pair, &answer.body),
        Posed::Name(name) => {
            let about = about(app, here, set.as_ref().map(|set| &set.body))?;
            of_name(app, name, &answer.body, &about)
        }
    };
    let drill = drill_words(answer.body.drill);
    Ok(html(&ToldPage {
        shell: Shell::new(app, here, Tab::Practice, drill),
        drill,
        set: match (answer.body.of_set, &set) {
            (Some(of), Some(set)) => set_words(of, &set.body),
            _ => String::new(),
        },
        verdict: match told.was {
            Was::Right => "Right.",
            Was::Wrong => "Not so.",
            Was::Open => "You could not tell.",
        },
        changed: answer.body.table_fingerprint != app.table.fingerprint,
        told,
        next,
    })?)
}

/// Where *Next* leads. In a test nothing is told before she has answered all of it.
fn way_on(
    app: &App,
    answer: &Entry<Practice>,
    set: Option<&Entry<PracticeSet>>,
) -> Result<(String, &'static str), Stop> {
    let (Some(of), Some(set)) = (answer.body.of_set, set) else {
        return Ok(("/practice/next".to_owned(), "Next"));
    };
    let whole = (format!("/practice/sets/{}", of.set), "Back to the set");
    match next_item(app, set, &answer.body.scout)? {
        Some(_) if !sets::may_be_told(app, set, &answer.body.scout)? => Err(Stop::cannot(
            "What was right is told once every question of this set is answered.",
        )),
        Some(item) => {
            let to = item_address(&set.body, SetItem { set: set.id, item });
            Ok(to.map_or(whole, |address| (address, "Next")))
        }
        None => Ok(whole),
    }
}
