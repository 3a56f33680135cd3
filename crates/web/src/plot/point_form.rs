//! The form of a point: a spot in a plot where something is looked at during a visit.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{PlannedAt, Plot, Point, Visit};
use standbook_fieldbook::{Body, Entry};

use crate::app::{App, Shared, run};
use crate::count::fix::{fill_position, read_position};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::words;

/// The form.
#[derive(Template)]
#[template(path = "plot/form_point.html")]
struct PointPage {
    /// Frame around the page.
    shell: Shell,
    /// The plot it lies in.
    plot: Entry<Plot>,
    /// The visit it belongs to.
    visit: Entry<Visit>,
    /// Date of the visit in words.
    on: String,
    /// Whether it was asked if two points share the label.
    same_label: bool,
    /// The point of a plan that it is, in words.
    planned: Option<String>,
    /// What is filled in.
    filled: Filled,
}

/// The point of a plan that a form names; it travels with the form so that a correction keeps it.
fn planned_at(form: &Form) -> Option<PlannedAt> {
    Some(PlannedAt {
        plan: form.get("plan").parse().ok()?,
        number: form.get("planned_number").parse().ok()?,
    })
}

/// The plot and the visit that a point joins.
fn parents(app: &App, form: &Form) -> Result<(Entry<Plot>, Entry<Visit>), Failure> {
    let plot = record_id(form.get("plot"), "plot")?;
    let visit = record_id(form.get("visit"), "visit")?;
    Ok((
        app.book
            .plot(plot)?
            .ok_or(Failure::NotFound { what: "plot" })?,
        app.book
            .visit(visit)?
            .ok_or(Failure::NotFound { what: "visit" })?,
    ))
}

fn page(app: &App, here: &Here, mut filled: Filled, same_label: bool) -> Result<Response, Failure> {
    let (plot, visit) = parents(app, &filled.form)?;
    filled.begin(here);
    filled.default_to("label", app.book.next_point_label(plot.id, visit.id)?);
    let title = filled.title("New point", "Correct a point");
    let planned = match planned_at(&filled.form) {
        Some(at) => app
            .book
            .plan(at.plan)?
            .map(|plan| format!("Point {} of the plan {}", at.number, plan.body.name)),
        None => None,
    };
    let page = PointPage {
        shell: Shell::new(app, here, Tab::Plot, title),
        planned,
        on: words::date_words(&visit.body.on),
        plot,
        visit,
        same_label,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// An empty form.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let saved = |id| format!("/at/{id}");
        fresh(app, "/points/new", &query, saved, |mut filled| {
            filled.set("plot", query.get("plot"));
            filled.set("visit", query.get("visit"));
            page(app, &here, filled, false)
        })
    })
    .await
}

/// The form filled in with a point, to correct it.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "point")?;
    run(app, move |app| {
        let point = app
            .book
            .point(id)?
            .ok_or(Failure::NotFound { what: "point" })?;
        let mut filled = Filled::new();
        filled.set("supersedes", point.id.to_string());
        filled.set("plot", point.body.plot.to_string());
        filled.set("visit", point.body.visit.to_string());
        filled.set("label", point.body.label);
        filled.set("unreachable", point.body.unreachable);
        if let Some(at) = point.body.planned {
            filled.set("plan", at.plan.to_string());
            filled.set("planned_number", at.number.to_string());
        }
        fill_position(&mut filled, point.body.position);
        page(app, &here, filled, false)
    })
    .await
}

/// Keeps a point.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| take_form(app, &here, form)).await
}

/// The same, for a form that came by whatever way.
pub(crate) fn take_form(app: &App, here: &Here, form: Form) -> Result<Response, Failure> {
    let mut filled = Filled::sent(form);
    let (plot, visit) = parents(app, &filled.form)?;
    let label = filled.read_name("label", "The label of the point");
    let mut point = Point {
        plot: plot.id,
        visit: visit.id,
        label,
        position: read_position(&mut filled),
        planned: planned_at(&filled.form),
        unreachable: filled.read_note("unreachable", "Why it could not be reached"),
    };
    // The book takes two points of one label; a person would mix them up.
    let (id, supersedes) = (filled.id(), filled.supersedes());
    let others = app.book.points_in(plot.id, visit.id)?;
    let taken = |label: &str| {
        let mut others = others.iter();
        others.any(|other| {
            other.body.label.trim() == label && ![Some(id), supersedes].contains(&Some(other.id))
        })
    };
    if here.born_at.is_some() {
        // Out of reach two scouts can't know of each other's labels, and the frames of both hang
        // on their points: the later one is told apart by its scout, not sent back.
        point.label = match app.book.get(id)?.map(|first| first.body) {
            Some(Body::Point(first)) => first.label,
            _ => apart(&point.label, filled.get("scout"), taken),
        };
    }
    let same_label =
        filled.get("same_label") != "yes" && app.book.get(id)?.is_none() && taken(&point.label);
    if same_label {
        filled.troubles.add(
            "label",
            format!(
                "{} has a point {} in this visit already. Give this one another label, or say below that two points share it.",
                plot.body.name, point.label
            ),
        );
    }
    let to = |id| format!("/at/{id}");
    match keep_form(
        app,
        here,
        &mut filled,
        "point",
        Some(Body::Point(point)),
        to,
    )? {
        Some(saved) => Ok(saved),
        None => {
            let asked = same_label || filled.form.has("same_label");
            page(app, here, filled, asked)
        }
    }
}

/// A label that nobody else has taken: the one wanted, or with the scout's name, or with a number
/// behind that.
fn apart(label: &str, scout: &str, taken: impl Fn(&str) -> bool) -> String {
    if !taken(label) {
        return label.to_owned();
    }
    let named = format!("{label}, {scout}");
    let more = (2..).map(|n| format!("{named} {n}"));
    let mut tried = std::iter::once(named.clone()).chain(more);
    tried.find(|label| !taken(label)).unwrap_or(named)
}
