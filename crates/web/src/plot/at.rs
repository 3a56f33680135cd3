//! The page of a point: Plant and Count here, what is recorded here, the next point.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::RecordId;

use crate::app::{Shared, run};
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::entry::{KeepOuts, keep_outs};
use crate::plot::filled::Filled;
use crate::plot::keep::at_point;
use crate::plot::place::Place;
use crate::plot::recorded::{Row, determination_row, frame_row, seen_at, unknown_row};

/// The page.
#[derive(Template)]
#[template(path = "plot/at.html")]
struct AtPage {
    /// Frame around the page.
    shell: Shell,
    /// Where this is.
    place: Place,
    /// Date of the visit in words.
    on: String,
    /// Whether the field may be walked.
    keep_outs: KeepOuts,
    /// Position in words, if a fix was taken.
    position: Option<String>,
    /// Frames and determinations recorded here.
    rows: Vec<Row>,
    /// Unknowns first met here.
    unknowns: Vec<Row>,
    /// The point after this one in the same plot, if there is one.
    next: Option<Row>,
    /// Form for a new point in this plot.
    point_form: Filled,
}

/// Shows a point, and remembers it.
pub(super) async fn show(
    State(app): State<Shared>,
    mut here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "point")?;
    run(app, move |app| {
        let place = Place::load(app, id)?;
        let point = place.point.id;
        here.point = Some(point);
        let mut rows = Vec::new();
        for frame in app.book.frames_at(point)? {
            rows.push(frame_row(app, &frame)?);
        }
        for determination in app.book.determinations_at(point)? {
            rows.push(determination_row(app, &determination));
        }
        let mut unknowns = Vec::new();
        for unknown in app.book.unknowns(place.visit.id)? {
            if seen_at(app, &unknown, point)? {
                unknowns.push(unknown_row(&unknown, point));
            }
        }
        let in_plot = app.book.points_in(place.plot.id, place.visit.id)?;
        let next = in_plot
            .iter()
            .skip_while(|other| other.id != point)
            .nth(1)
            .map(|other| Row {
                address: format!("/at/{}", other.id),
                title: format!("Point {}", other.body.label),
                more: String::new(),
            });
        let mut form = Filled::new();
        form.set("id", RecordId::new().to_string());
        form.set("plot", place.plot.id.to_string());
        form.set("visit", place.visit.id.to_string());
        form.set(
            "label",
            app.book.next_point_label(place.plot.id, place.visit.id)?,
        );
        form.set("scout", here.scout.clone().unwrap_or_default());
        let position = place.point.body.position.map(|fix| {
            let radius = match fix.uncertainty_m {
                Some(radius) => format!(", within {} m", crate::words::plain(radius)),
                None => String::new(),
            };
            format!("{:.5}, {:.5}{radius}", fix.latitude, fix.longitude)
        });
        let page = AtPage {
            shell: Shell::new(app, &here, Tab::Plot, place.words()),
            on: place.visit_words(),
            keep_outs: keep_outs(app, place.planting.id)?,
            position,
            rows,
            unknowns,
            next,
            point_form: form,
            place,
        };
        Ok(at_point(page::html(&page)?, point))
    })
    .await
}
