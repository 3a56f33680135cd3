//! The drills *See the trait*, *Tell the pair* and *Name it*: the question, the answer, what is to be
//! learned from it.
//!
//! In: the text of a question in an address. Out: a page that asks, a record that keeps the answer, a page
//! that tells. `posed` finds what is asked about, `see`, `pair`, `name` and `photo` the plants, `page` asks,
//! `answer` reads, `decides` says what parts two grasses in a drawing, `told` tells, `sheet` is a question on paper, `veil` keeps addresses
//! from telling. Not here: what comes next (`next`), frames.

mod answer;
mod decides;
mod drawn;
mod name;
mod page;
mod pair;
mod photo;
mod posed;
mod see;
pub(super) mod sheet;
mod told;
mod told_words;
pub(crate) mod veil;
mod walked;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use standbook_fieldbook::record::{Body, Practice};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_practice::Question;

use self::posed::{Posed, Spot, Stop, stopped};
use super::{after, sets};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::plant::Walk;
use crate::plot::filled::Filled;
use crate::plot::keep::{Draft, keep, saved};

pub(crate) use name::SOMETHING_ELSE;
pub(crate) use walked::Practised;

/// The addresses of these drills.
pub(super) fn routes() -> Router<Shared> {
    Router::new()
        .route("/practice/ask", get(ask).post(take))
        .route("/practice/answers/{id}", get(told))
}

/// Whether there is something to be seen of what a question asks.
pub(super) fn can_be_asked(app: &App, question: &Question) -> bool {
    matches!(question, Question::CountFrame { .. }) || Posed::of(app, question).is_ok()
}

/// `GET /practice/ask`.
async fn ask(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        show(app, &here, &query).or_else(|stop| stopped(app, &here, stop))
    })
    .await
}

/// `POST /practice/ask`: keeps the answer.
async fn take(State(app): State<Shared>, here: Here, form: Form) -> Result<Response, Failure> {
    run(app, move |app| {
        kept(app, &here, form).or_else(|stop| stopped(app, &here, stop))
    })
    .await
}

/// `GET /practice/answers/{id}`.
async fn told(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        told::show(app, &here, &id).or_else(|stop| stopped(app, &here, stop))
    })
    .await
}

fn show(app: &App, here: &Here, query: &Form) -> Result<Response, Stop> {
    let spot = Spot::read(app, query)?;
    if let Question::CountFrame { .. } = spot.question {
        let of = spot.of_set.as_ref().map(|(of, _)| *of);
        return Ok(to(&after::ask_address(&spot.text, spot.with_book, of)));
    }
    let scout = here.scout.as_deref().unwrap_or_default();
    if let Some(answer) = answered(app, &spot, scout)? {
        return Ok(to(&after::address(app, &answer)?));
    }
    let id = query.get("id").parse::<RecordId>().ok();
    let Some(id) = id.filter(|_| veil::is_veiled(query.get("q"))) else {
        // An address that anybody can read would answer the question.
        return Ok(to(&spot.address(id.unwrap_or_default())));
    };
    // Gone back to after answering: what was answered.
    if let Some(answer) = app.book.practice(id)? {
        return Ok(to(&after::address(app, &answer)?));
    }
    let posed = Posed::of(app, &spot.question)?;
    let mut filled = Filled::new();
    filled.set("id", id.to_string());
    filled.set("issued", query.get("issued"));
    page(app, here, &spot, &posed, query, filled, None)
}

fn kept(app: &App, here: &Here, form: Form) -> Result<Response, Stop> {
    let spot = Spot::read(app, &form)?;
    let posed = Posed::of(app, &spot.question)?;
    let walked = match &posed {
        Posed::Name(_) if spot.with_book => Walk::read(app, &form),
        _ => Walk::read(app, &Form::default()),
    };
    let mut filled = Filled::sent(form);
    let id = filled.id();
    filled.set("id", id.to_string());
    let scout = filled.read_name("scout", "Your name");
    for fault in walked.faults {
        filled.troubles.add("", fault);
    }
    let said = answer::read(app, &posed, &walked.evidence, &mut filled);
    let (Some(said), true) = (said, filled.troubles.none()) else {
        return again(app, here, &spot, &posed, filled, None);
    };
    // A question of a set is answered once, from whichever page.
    let earlier = answered(app, &spot, &scout)?;
    if let Some(earlier) = earlier.filter(|earlier| earlier.id != id) {
        return Ok(to(&after::address(app, &earlier)?));
    }
    let record = answer::record(app, here, &spot, &posed, said, &filled)?;
    let draft = Draft {
        id,
        supersedes: None,
        body: Body::from(record),
    };
    match keep(app, here, &scout, &[draft]) {
        Ok(()) => {
            let address = match app.book.practice(id)? {
                Some(answer) => after::address(app, &answer)?,
                None => answer_page(id),
            };
            Ok(saved(&address, &scout, None))
        }
        Err(BookError::Conflict { .. }) => {
            filled.troubles.conflict(
                "This question was answered already from this page, and the answer was changed since. \
                 The first answer stays; nothing new was kept.",
            );
            again(app, here, &spot, &posed, filled, Some(answer_page(id)))
        }
        Err(error) => {
            filled.troubles.refused(&error, |_, field| field.to_owned());
            again(app, here, &spot, &posed, filled, None)
        }
    }
}

/// The page of a question; with the book open a plant to be named is walked on it.
fn page(
    app: &App,
    here: &Here,
    spot: &Spot,
    posed: &Posed,
    fields: &Form,
    filled: Filled,
    kept: Option<String>,
) -> Result<Response, Stop> {
    match posed {
        Posed::Name(name) if spot.with_book => {
            walked::page(app, here, spot, name, fields, filled, kept)
        }
        _ => Ok(page::show(app, here, spot, posed, filled, kept)?),
    }
}

/// The page once more, filled in.
fn again(
    app: &App,
    here: &Here,
    spot: &Spot,
    posed: &Posed,
    filled: Filled,
    kept: Option<String>,
) -> Result<Response, Stop> {
    let fields = filled.form.clone();
    page(app, here, spot, posed, &fields, filled, kept)
}

/// The page of an answer.
fn answer_page(id: RecordId) -> String {
    format!("/practice/answers/{id}")
}

/// What a scout answered to this question of a set already, in whatever version of it.
fn answered(app: &App, spot: &Spot, scout: &str) -> Result<Option<Entry<Practice>>, Failure> {
    match &spot.of_set {
        Some((of, set)) => sets::given(app, set, of.item, scout),
        None => Ok(None),
    }
}

fn to(address: &str) -> Response {
    Redirect::to(address).into_response()
}
