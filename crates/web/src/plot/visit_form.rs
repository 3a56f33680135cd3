//! The form of a visit: a day of field work on a planting.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Planting, Visit};
use standbook_fieldbook::{Body, Entry, RecordId, limits};

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::dates;
use crate::plot::entry::{KeepOuts, keep_outs};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::plot::place::planting_and_site;
use crate::words;

/// The form.
#[derive(Template)]
#[template(path = "plot/form_visit.html")]
struct VisitPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting visited.
    planting: Entry<Planting>,
    /// Whether the field may be walked.
    keep_outs: KeepOuts,
    /// What is filled in.
    filled: Filled,
}

fn page(
    app: &App,
    here: &Here,
    planting: RecordId,
    mut filled: Filled,
) -> Result<Response, Failure> {
    let (planting, _) = planting_and_site(app, planting)?;
    defaults(&mut filled, here, &planting);
    let title = filled.title("Begin a visit", "Correct a visit");
    let page = VisitPage {
        shell: Shell::new(app, here, Tab::Plot, title),
        keep_outs: keep_outs(app, planting.id)?,
        planting,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// What an empty form says: today, and the scout as far as known.
pub(super) fn defaults(filled: &mut Filled, here: &Here, planting: &Entry<Planting>) {
    filled.begin(here);
    filled.set("planting", planting.id.to_string());
    filled.default_to("on", words::today());
    filled.default_to("scouts", here.scout.clone().unwrap_or_default());
}

/// An empty form.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    let planting = record_id(query.get("planting"), "planting")?;
    run(app, move |app| {
        let saved = |id| format!("/visits/{id}");
        fresh(app, "/visits/new", &query, saved, |filled| {
            page(app, &here, planting, filled)
        })
    })
    .await
}

/// The form filled in with a visit, to correct it.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "visit")?;
    run(app, move |app| {
        let visit = app
            .book
            .visit(id)?
            .ok_or(Failure::NotFound { what: "visit" })?;
        let mut filled = Filled::new();
        filled.set("supersedes", visit.id.to_string());
        filled.set("on", visit.body.on);
        filled.set("scouts", visit.body.scouts.join(", "));
        filled.set("note", visit.body.note);
        page(app, &here, visit.body.planting, filled)
    })
    .await
}

/// Reads names with commas between; each once.
fn read_scouts(filled: &mut Filled) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for name in filled.get("scouts").split([',', ';', '\n']) {
        let name = name.trim().to_owned();
        if !name.is_empty() && !names.contains(&name) {
            names.push(name);
        }
    }
    if names.is_empty() {
        filled
            .troubles
            .add("scouts", "Who walks is missing. Type at least one name.");
    }
    if names.len() > limits::SCOUTS {
        filled.troubles.add(
            "scouts",
            format!(
                "These are {} names. A visit takes {}.",
                names.len(),
                limits::SCOUTS
            ),
        );
    } else if names
        .iter()
        .any(|name| name.chars().count() > limits::NAME_CHARS)
    {
        filled.troubles.add(
            "scouts",
            format!(
                "A name has more than {} characters. Put commas between names, or shorten it.",
                limits::NAME_CHARS
            ),
        );
    }
    names
}

/// Keeps a visit.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    let planting = record_id(form.get("planting"), "planting")?;
    run(app, move |app| {
        let mut filled = Filled::sent(form);
        let (of, _) = planting_and_site(app, planting)?;
        let visit = Visit {
            planting,
            on: filled.read_date("on", "The date of the visit"),
            scouts: read_scouts(&mut filled),
            note: filled.read_note("note", "The note"),
        };
        dates::ask_about_future(&mut filled, "on", "The date of the visit");
        dates::ask_about_before_seeding(&mut filled, &of.body);
        let to = |id| format!("/visits/{id}");
        match keep_form(
            app,
            &here,
            &mut filled,
            "visit",
            Some(Body::Visit(visit)),
            to,
        )? {
            Some(saved) => Ok(saved),
            None => page(app, &here, planting, filled),
        }
    })
    .await
}
