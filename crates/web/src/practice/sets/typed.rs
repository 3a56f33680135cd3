//! A scout's sheet of paper, typed in by whoever has it before them.
//!
//! In: a set, the scout's name, what she wrote. Out: one record of practice for each answer, the scout in
//! it and the typist in its envelope. A question left empty on the sheet is left empty here: nothing is
//! kept of it. All answers of a sheet are kept together or none.
//!
//! Fields: `walked` (the scout), `scout` (who types), `said.N` and `by.N` for question N.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Practice, PracticeSet};
use standbook_fieldbook::{Body, BookError, Entry, Record, RecordId};
use standbook_practice::Question;

use super::paper::asked;
use super::set_of;
use super::sitting::{Sitting, answers};
use crate::app::{App, Shared, run};
use crate::bring_in::typist;
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::saved;
use crate::practice::ask::sheet::{Answers, Sheet, Written, record_of};

/// A question to type.
struct Row {
    number: usize,
    with_book: bool,
    heading: String,
    answers: Vec<Answers>,
    by: Vec<(String, String)>,
    wrong: Option<String>,
    said: String,
    /// The trait that is chosen.
    chosen: String,
}

#[derive(Template)]
#[template(path = "practice/sets/typed.html")]
struct TypedPage {
    shell: Shell,
    id: RecordId,
    title: String,
    rows: Vec<Row>,
    /// Questions that can't be typed: frames, and what is not there any more.
    others: usize,
    /// The sheet that was kept before this one: whose, and how many answers.
    kept: Option<(String, usize)>,
    filled: Filled,
}

fn page(
    app: &App,
    here: &Here,
    set: &Entry<PracticeSet>,
    mut filled: Filled,
    kept: Option<(String, usize)>,
) -> Result<Response, Failure> {
    filled.begin(here);
    let about = asked(app, &set.body)?;
    let (mut rows, mut others) = (Vec::new(), 0);
    for (at, one) in set.body.questions.iter().enumerate() {
        let sheet = match one.question.parse::<Question>() {
            Ok(question) => Sheet::of(app, &question, &about, "")?.ok(),
            Err(_) => None,
        };
        let Some(sheet) = sheet else {
            others += 1;
            continue;
        };
        let number = at + 1;
        rows.push(Row {
            number,
            with_book: one.with_book,
            heading: sheet.heading,
            answers: sheet.answers,
            by: sheet.by,
            wrong: filled
                .troubles
                .at(&format!("said.{number}"))
                .map(str::to_owned),
            said: filled.get(&format!("said.{number}")).to_owned(),
            chosen: filled.get(&format!("by.{number}")).to_owned(),
        });
    }
    let page = TypedPage {
        shell: Shell::new(app, here, Tab::Desk, "Type in a sheet"),
        id: set.id,
        title: set.body.title.clone(),
        rows,
        others,
        kept,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /desk/practice/sets/{id}/typed`.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let set = set_of(app, &id)?;
        let path = format!("/desk/practice/sets/{}/typed", set.id);
        let kept = kept_before(app, &query)?;
        // Of the records of a sheet the first has the id that the form's address names.
        let to = |_| path.clone();
        fresh(app, &path, &query, to, |filled| {
            page(app, &here, &set, filled, kept)
        })
    })
    .await
}

/// The sheet that an address says was kept just now.
fn kept_before(app: &App, query: &Form) -> Result<Option<(String, usize)>, BookError> {
    let Ok(first) = query.get("after").parse::<RecordId>() else {
        return Ok(None);
    };
    let many = query.get("many").parse().unwrap_or(1);
    let found = app.book.practice(first)?;
    Ok(found.map(|answer| (answer.body.scout, many)))
}

/// `POST /desk/practice/sets/{id}/typed`.
pub(super) async fn take(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let set = set_of(app, &id)?;
        let mut filled = Filled::sent(form);
        let id = filled.id();
        filled.set("id", id.to_string());
        let scout = filled.read_name("walked", "The scout on the sheet");
        let by = filled.read_name("scout", "Your name");
        let written = read(app, &here, &set, &scout, &mut filled)?;
        if filled.troubles.none() {
            refuse_what_is_there(app, &set, &scout, &written, id, &mut filled)?;
        }
        if !filled.troubles.none() {
            return page(app, &here, &set, filled, None);
        }
        let ids = std::iter::successors(Some(id), |id| Some(id.following(1)));
        let many = written.len();
        let records = ids.zip(written.into_values()).map(|(own, body)| Record {
            id: own,
            born_at: own.born_at(),
            received_at: None,
            device: typist(&by, id),
            author: by.clone(),
            supersedes: None,
            body: Body::Practice(body),
        });
        match app.book.append(records.collect()) {
            Ok(_) => Ok(saved(
                &format!("/desk/practice/sets/{}/typed?after={id}&many={many}", set.id),
                &by,
                None,
            )),
            Err(BookError::Conflict { .. }) => {
                filled.troubles.conflict("This sheet was kept already, and the form has been changed since. Nothing new was kept: an answer stays as it was first given.");
                page(app, &here, &set, filled, None)
            }
            Err(error) => {
                filled.troubles.refused(&error, |_, _| String::new());
                page(app, &here, &set, filled, None)
            }
        }
    })
    .await
}

/// What was typed, by number of the question.
fn read(
    app: &App,
    here: &Here,
    set: &Entry<PracticeSet>,
    scout: &str,
    filled: &mut Filled,
) -> Result<BTreeMap<u32, Practice>, Failure> {
    let mut written = BTreeMap::new();
    for item in (1..).take(set.body.questions.len()) {
        let said = filled.get(&format!("said.{item}")).to_owned();
        let by = filled.get(&format!("by.{item}")).to_owned();
        if said.is_empty() && by.is_empty() {
            continue;
        }
        let one = Written {
            set,
            item,
            scout,
            said: &said,
            by: &by,
        };
        match record_of(app, here, &one)? {
            Ok(answer) => {
                written.insert(item, answer);
            }
            Err(why) => filled
                .troubles
                .add(&format!("said.{item}"), format!("Question {item}: {why}")),
        }
    }
    if written.is_empty() && filled.troubles.none() {
        filled.troubles.add(
            "",
            "No answer is typed. Choose at least one; what the sheet leaves empty stays empty.",
        );
    }
    Ok(written)
}

/// An answer counts once: one that is there already, other than from this very form, is not typed again.
fn refuse_what_is_there(
    app: &App,
    set: &Entry<PracticeSet>,
    scout: &str,
    written: &BTreeMap<u32, Practice>,
    form: RecordId,
    filled: &mut Filled,
) -> Result<(), BookError> {
    if app.book.practice(form)?.is_some() {
        // Sent again: the book says whether it is the same.
        return Ok(());
    }
    let sitting = Sitting::of(&set.body, &answers(app, set)?, scout);
    for (given, item) in sitting.given.iter().zip(1_u32..) {
        if given.is_some() && written.contains_key(&item) {
            filled.troubles.add(
                &format!("said.{item}"),
                format!("Question {item}: {scout} has answered it already, and the first answer counts. Leave it empty."),
            );
        }
    }
    Ok(())
}
