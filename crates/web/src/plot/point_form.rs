//! The form of a point: a spot in a plot where something is looked at during a visit.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Plot, Point, Position, Visit};
use standbook_fieldbook::{Body, Entry, RecordId, limits};

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::{Fresh, fresh};
use crate::plot::keep::{Draft, keep, refuse, saved};
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
    /// A point of this plot and visit that has the same label already, in words.
    same_label: bool,
    /// What is filled in.
    filled: Filled,
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
    filled.default_to("id", RecordId::new().to_string());
    filled.default_to("label", app.book.next_point_label(plot.id, visit.id)?);
    filled.default_to("scout", here.scout.clone().unwrap_or_default());
    let title = match filled.supersedes() {
        Some(_) => "Correct a point",
        None => "New point",
    };
    let page = PointPage {
        shell: Shell::new(app, here, Tab::Plot, title),
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
        let mut filled = match fresh(app, "/points/new", &query, |id| format!("/at/{id}"))? {
            Fresh::Form(filled) => *filled,
            Fresh::Elsewhere(there) => return Ok(there),
        };
        filled.set("plot", query.get("plot"));
        filled.set("visit", query.get("visit"));
        page(app, &here, filled, false)
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
        if let Some(position) = point.body.position {
            filled.set("latitude", position.latitude.to_string());
            filled.set("longitude", position.longitude.to_string());
            if let Some(radius) = position.uncertainty_m {
                filled.set("uncertainty_m", radius.to_string());
            }
        }
        page(app, &here, filled, false)
    })
    .await
}

/// Reads a position: both degrees or none.
fn read_position(filled: &mut Filled) -> Option<Position> {
    let mut degrees = |name: &str, what: &str, most: f64| {
        let value = filled.read_number(name, what, "degrees")?;
        if value.abs() > most {
            filled.troubles.add(
                name,
                format!("{what}: {value} is out of range. Use signed decimal degrees from -{most} to {most}."),
            );
        }
        Some(value)
    };
    let latitude = degrees("latitude", "Latitude", 90.0);
    let longitude = degrees("longitude", "Longitude", 180.0);
    let uncertainty_m = filled.read_number("uncertainty_m", "Uncertainty", "metres");
    if let Some(radius) = uncertainty_m
        && !(radius > 0.0 && radius <= limits::UNCERTAINTY_M)
    {
        filled.troubles.add(
            "uncertainty_m",
            format!(
                "Uncertainty: {radius} is out of range. Use metres above 0, or leave it empty."
            ),
        );
    }
    match (latitude, longitude) {
        (Some(latitude), Some(longitude)) => Some(Position {
            latitude,
            longitude,
            uncertainty_m,
        }),
        (None, None) => {
            if uncertainty_m.is_some() && filled.troubles.none() {
                filled.troubles.add(
                    "latitude",
                    "An uncertainty without a position says nothing. Type latitude and longitude, or empty all three.",
                );
            }
            None
        }
        _ => {
            let missing = match latitude {
                None => "latitude",
                Some(_) => "longitude",
            };
            if filled.troubles.at(missing).is_none() {
                filled.troubles.add(
                    missing,
                    format!("The {missing} is missing. Type it, or empty both degrees."),
                );
            }
            None
        }
    }
}

/// Keeps a point.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled { form, ..Filled::new() };
        let (plot, visit) = parents(app, &filled.form)?;
        let label = filled.read_name("label", "The label of the point");
        let point = Point {
            plot: plot.id,
            visit: visit.id,
            label,
            position: read_position(&mut filled),
        };
        let scout = filled.read_name("scout", "Your name");
        let (id, supersedes) = (filled.id(), filled.supersedes());
        let mut same_label = false;
        if filled.troubles.none() {
            let others = app.book.points_in(plot.id, visit.id)?;
            // The book takes two points of one label; a person would mix them up.
            let same = others.iter().any(|other| {
                other.body.label.trim() == point.label && other.id != id && Some(other.id) != supersedes
            });
            let meant = filled.get("same_label") == "yes";
            if same && !meant && app.book.get(id)?.is_none() {
                same_label = true;
                filled.troubles.add(
                    "label",
                    format!(
                        "{} has a point {} in this visit already. Give this one another label, or say below that two points share it.",
                        plot.body.name, point.label
                    ),
                );
            }
        }
        if filled.troubles.none() {
            let draft = Draft {
                id,
                supersedes,
                body: Body::Point(point),
            };
            match keep(app, &scout, &[draft]) {
                Ok(()) => return Ok(saved(&format!("/at/{id}"), &scout, Some(id))),
                Err(error) => refuse(app, &mut filled, &error, "point")?,
            }
        }
        page(app, &here, filled, same_label)
    })
    .await
}
