//! What was seen in a file, and keeping it.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::{BookError, RecordId};
use standbook_import::bring::{self, BringError, Said, State as Becomes, Target};

use super::looks::Look;
use crate::app::{App, Shared, run};
use crate::evidence::weighed;
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::words::{date_words, number_of};

/// Lines shown of a list; the report has them all.
const MOST_SHOWN: usize = 200;

/// A line and what it becomes.
struct Line {
    at: String,
    becomes: String,
    /// Whether it was brought in before.
    already: bool,
}

#[derive(Template)]
#[template(path = "bring_in/looked.html")]
struct LookedPage {
    shell: Shell,
    id: RecordId,
    visit: RecordId,
    /// Date of the visit in words.
    on: String,
    file: String,
    /// How many lines would come and how many were here, in words.
    sum: String,
    /// What was taken for granted.
    notes: Vec<String>,
    /// Faults: where, and what.
    faults: Vec<(String, String)>,
    /// How many there are.
    all_faults: usize,
    lines: Vec<Line>,
    /// How many there are.
    all_lines: usize,
    /// Whether there is anything to keep.
    to_keep: bool,
    /// What was kept, in words.
    kept: Option<String>,
    /// Whether the book has changed since it was looked at before.
    anew: bool,
    filled: Filled,
}

/// Looks at a file for a visit.
pub(super) fn look_at(
    app: &App,
    id: RecordId,
    visit: RecordId,
    said: Said,
    bytes: Vec<u8>,
    anew: bool,
) -> Result<Look, Failure> {
    let target = Target {
        book: &app.book,
        visit,
        key: &app.key,
        table: &app.table,
        weigh: &|evidence, situation| weighed(&app.table, evidence, situation),
    };
    let looked = bring::look(&target, &said, &bytes).map_err(|error| match error {
        BringError::NoVisit { .. } => Failure::NotFound { what: "visit" },
        BringError::Book(error) => Failure::Book(error),
    })?;
    Ok(Look {
        id,
        visit,
        said,
        bytes,
        looked,
        kept: None,
        anew,
    })
}

fn find(app: &App, id: &str) -> Result<std::sync::Arc<Look>, Failure> {
    let id = record_id(id, "file that was looked at")?;
    app.remembered.looks.get(id).ok_or_else(|| {
        Failure::BadRequest("This file is no longer remembered: the program was started anew, or others were looked at since. Nothing was saved. Choose the file again, under Desk, Bring it in.".to_owned())
    })
}

fn page(app: &App, here: &Here, look: &Look, filled: Filled) -> Result<Response, Failure> {
    let visit = app
        .book
        .visit(look.visit)?
        .ok_or(Failure::NotFound { what: "visit" })?;
    let looked = &look.looked;
    let news = looked
        .items
        .iter()
        .filter(|item| item.state == Becomes::New)
        .count();
    let before = looked.items.len() - news;
    let what = |n| match looked.what {
        bring::What::Points => number_of(n, "point"),
        bring::What::Frames => number_of(n, "frame"),
        bring::What::Determinations => number_of(n, "determination"),
    };
    let sum = match (news, before) {
        (0, 0) => "Nothing in it can be read.".to_owned(),
        (0, before) => format!("Nothing new: {} brought in before.", what(before)),
        (news, 0) => format!(
            "{} would come, as {}.",
            what(news),
            number_of(looked.new, "new record")
        ),
        (news, before) => format!(
            "{} would come, as {}; {before} were brought in before.",
            what(news),
            number_of(looked.new, "new record")
        ),
    };
    let page = LookedPage {
        shell: Shell::new(app, here, Tab::Desk, "Looked at"),
        id: look.id,
        visit: look.visit,
        on: date_words(&visit.body.on),
        file: look.said.file.clone(),
        sum,
        notes: looked.notes.clone(),
        all_faults: looked.faults.len(),
        faults: looked
            .faults
            .iter()
            .take(MOST_SHOWN)
            .map(|one| (one.at.clone(), one.said.clone()))
            .collect(),
        all_lines: looked.items.len(),
        lines: looked
            .items
            .iter()
            .take(MOST_SHOWN)
            .map(|item| Line {
                at: item.at.clone(),
                becomes: item.becomes.clone(),
                already: item.state == Becomes::Already,
            })
            .collect(),
        to_keep: looked.faults.is_empty() && looked.new > 0 && look.kept.is_none(),
        kept: look.kept.map(|n| number_of(n, "record")),
        anew: look.anew,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /desk/bring-in/{look}`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        page(app, &here, &*find(app, &id)?, Filled::new())
    })
    .await
}

/// `GET /desk/bring-in/{look}/report`: everything as JSON.
pub(super) async fn report(
    State(app): State<Shared>,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let look = find(app, &id)?;
        let text = serde_json::to_string_pretty(&look.looked).map_err(|_| Failure::Ours)?;
        Ok(([(CONTENT_TYPE, "application/json")], text).into_response())
    })
    .await
}

/// `POST /desk/bring-in/{look}/keep`: all of it or nothing.
pub(super) async fn keep(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let look = find(app, &id)?;
        let to = format!("/desk/bring-in/{}", look.id);
        if look.kept.is_some() {
            return Ok(Redirect::to(&to).into_response());
        }
        // What is kept is what was looked at: the book may have changed meanwhile.
        let mut fresh = look_at(
            app,
            look.id,
            look.visit,
            look.said.clone(),
            look.bytes.clone(),
            false,
        )?;
        if fresh.looked != look.looked {
            fresh.anew = true;
            app.remembered.looks.put(fresh);
            return Ok(Redirect::to(&to).into_response());
        }
        match bring::keep(&app.book, &fresh.looked) {
            Ok(kept) => {
                fresh.kept = Some(kept);
                // The file itself is no longer needed.
                fresh.bytes.clear();
                app.remembered.looks.put(fresh);
                Ok(Redirect::to(&to).into_response())
            }
            Err(error @ (BookError::Invalid(_) | BookError::Conflict { .. })) => {
                let mut filled = Filled::new();
                filled.troubles.refused(&error, |_, field| field.to_owned());
                page(app, &here, &look, filled)
            }
            Err(error) => Err(Failure::Book(error)),
        }
    })
    .await
}
