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
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::{Fresh, fresh};
use crate::plot::keep::{Draft, keep, refuse, saved};
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
    let title = match filled.supersedes() {
        Some(_) => "Correct a visit",
        None => "Begin a visit",
    };
    let page = VisitPage {
        shell: Shell::new(app, here, Tab::Plot, title),
        planting,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// What an empty form says: today, and the scout as far as known.
pub(super) fn defaults(filled: &mut Filled, here: &Here, planting: &Entry<Planting>) {
    let scout = here.scout.clone().unwrap_or_default();
    filled.default_to("id", RecordId::new().to_string());
    filled.set("planting", planting.id.to_string());
    filled.default_to("on", words::today());
    filled.default_to("scouts", scout.clone());
    filled.default_to("scout", scout);
}

/// An empty form.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    let planting = record_id(query.get("planting"), "planting")?;
    run(app, move |app| {
        let filled = match fresh(app, "/visits/new", &query, |id| format!("/visits/{id}"))? {
            Fresh::Form(filled) => *filled,
            Fresh::Elsewhere(there) => return Ok(there),
        };
        page(app, &here, planting, filled)
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
        let mut filled = Filled { form, ..Filled::new() };
        let (of, _) = planting_and_site(app, planting)?;
        let visit = Visit {
            planting,
            on: filled.read_date("on", "The date of the visit"),
            scouts: read_scouts(&mut filled),
            note: filled.read_note("note", "The note"),
        };
        if filled.troubles.none() && visit.on < of.body.seeded_on {
            filled.troubles.add(
                "on",
                format!(
                    "This date is before the seeding on {}. Correct the date here, or that of the planting.",
                    words::date_words(&of.body.seeded_on)
                ),
            );
        }
        let scout = filled.read_name("scout", "Your name");
        if filled.troubles.none() {
            let draft = Draft {
                id: filled.id(),
                supersedes: filled.supersedes(),
                body: Body::Visit(visit),
            };
            match keep(app, &scout, std::slice::from_ref(&draft)) {
                Ok(()) => return Ok(saved(&format!("/visits/{}", draft.id), &scout, None)),
                Err(error) => refuse(app, &mut filled, &error, "visit")?,
            }
        }
        page(app, &here, planting, filled)
    })
    .await
}
