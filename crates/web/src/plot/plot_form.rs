//! The form of a plot: a part of a planting that is looked at on its own.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Planting, Plot};
use standbook_fieldbook::{Body, Entry, RecordId};

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::plot::place::planting_and_site;

/// The form.
#[derive(Template)]
#[template(path = "plot/form_plot.html")]
struct PlotPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting it is part of.
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
    let title = filled.title("New plot", "Correct a plot");
    let page = PlotPage {
        shell: Shell::new(app, here, Tab::Plot, title),
        planting,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// What an empty form says.
pub(super) fn defaults(filled: &mut Filled, here: &Here, planting: &Entry<Planting>) {
    filled.begin(here);
    filled.set("planting", planting.id.to_string());
}

/// An empty form.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    let planting = record_id(query.get("planting"), "planting")?;
    run(app, move |app| {
        let saved = |_| format!("/plantings/{planting}");
        fresh(app, "/plots/new", &query, saved, |filled| {
            page(app, &here, planting, filled)
        })
    })
    .await
}

/// The form filled in with a plot, to correct it.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "plot")?;
    run(app, move |app| {
        let plot = app
            .book
            .plot(id)?
            .ok_or(Failure::NotFound { what: "plot" })?;
        let mut filled = Filled::new();
        filled.set("supersedes", plot.id.to_string());
        filled.set("name", plot.body.name);
        filled.set("note", plot.body.note);
        page(app, &here, plot.body.planting, filled)
    })
    .await
}

/// Keeps a plot.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    let planting = record_id(form.get("planting"), "planting")?;
    run(app, move |app| {
        let mut filled = Filled::sent(form);
        let plot = Plot {
            planting,
            name: filled.read_name("name", "The name of the plot"),
            note: filled.read_note("note", "The note"),
        };
        let to = |_| format!("/plantings/{planting}");
        match keep_form(app, &here, &mut filled, "plot", Some(Body::Plot(plot)), to)? {
            Some(saved) => Ok(saved),
            None => page(app, &here, planting, filled),
        }
    })
    .await
}
