//! The page of a visit: its plots with their points, and what has been recorded at each.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Planting, Visit};
use standbook_fieldbook::{BookError, Entry, RecordId};

use crate::app::{App, Shared, run};
use crate::desk::come_back::{DueLine, due_line};
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::dates::{self, Question};
use crate::plot::entry::{KeepOuts, keep_outs};
use crate::plot::filled::Filled;
use crate::plot::place::planting_and_site;
use crate::plot::recorded::{Row, unknown_row};
use crate::practice::marks::{Marks, MarksView};
use crate::words;

/// A plot in this visit.
struct PlotBlock {
    /// Its name.
    name: String,
    /// What sets it apart, may be empty.
    note: String,
    /// Its points.
    points: Vec<Row>,
    /// Form for the next point.
    point_form: Filled,
}

/// The page.
#[derive(Template)]
#[template(path = "plot/visit.html")]
struct VisitPage {
    /// Frame around the page.
    shell: Shell,
    /// The visit.
    visit: Entry<Visit>,
    /// The planting visited.
    planting: Entry<Planting>,
    /// Whether the field may be walked.
    keep_outs: KeepOuts,
    /// Plants that wait to be seen again.
    come_back: Option<DueLine>,
    /// Whether its date looks wrong.
    questions: Vec<Question>,
    /// Whether the planting has a plan to walk by.
    has_plan: bool,
    /// Plots of the planting.
    plots: Vec<PlotBlock>,
    /// Frames that ask for a second reader; `None`: there is none.
    marks: Option<MarksView>,
    /// Unknowns of the visit, each with the way to look at it where it was first met.
    unknowns: Vec<Row>,
}

fn recorded_at(app: &App, point: RecordId) -> Result<String, BookError> {
    let frames = app.book.count_frames_at(point)?;
    let determinations = app.book.count_determinations_at(point)?;
    let mut parts = Vec::new();
    if frames > 0 {
        parts.push(words::number_of(frames, "frame"));
    }
    if determinations > 0 {
        parts.push(words::number_of(determinations, "determination"));
    }
    Ok(match parts.is_empty() {
        true => "nothing recorded yet".to_owned(),
        false => parts.join(", "),
    })
}

/// The form for the next point of a plot, filled in.
pub(crate) fn point_form(
    app: &App,
    here: &Here,
    plot: RecordId,
    visit: RecordId,
) -> Result<Filled, BookError> {
    let mut form = Filled::new();
    form.set("id", RecordId::new().to_string());
    form.set("plot", plot.to_string());
    form.set("visit", visit.to_string());
    form.set("label", app.book.next_point_label(plot, visit)?);
    form.set("scout", here.scout.clone().unwrap_or_default());
    Ok(form)
}

/// Shows a visit.
pub(super) async fn show(
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
        let (planting, _) = planting_and_site(app, visit.body.planting)?;
        let unknowns = app.book.unknowns(visit.id)?;
        // Where each unknown was first met, by the present version of the point.
        let mut met = Vec::new();
        for unknown in &unknowns {
            if let Some(point) = app.book.point(unknown.body.first_seen)? {
                met.push((point.id, unknown.body.number));
            }
        }
        let mut plots = Vec::new();
        for plot in app.book.plots(planting.id)? {
            let mut points = Vec::new();
            for point in app.book.points_in(plot.id, visit.id)? {
                let mut more = match point.body.unreachable.as_str() {
                    "" => recorded_at(app, point.id)?,
                    why => format!("not reached: {why}"),
                };
                for (_, number) in met.iter().filter(|(at, _)| *at == point.id) {
                    more.push_str(&format!(", unknown {number} first met here"));
                }
                points.push(Row {
                    address: format!("/at/{}", point.id),
                    title: format!("Point {}", point.body.label),
                    more,
                });
            }
            plots.push(PlotBlock {
                point_form: point_form(app, &here, plot.id, visit.id)?,
                name: plot.body.name,
                note: plot.body.note,
                points,
            });
        }
        page::html(&VisitPage {
            shell: Shell::new(
                app,
                &here,
                Tab::Plot,
                format!("Visit of {}", words::date_words(&visit.body.on)),
            ),
            unknowns: unknowns
                .iter()
                .map(|unknown| unknown_row(unknown, unknown.body.first_seen))
                .collect(),
            keep_outs: keep_outs(app, planting.id)?,
            come_back: due_line(app, planting.id)?,
            questions: dates::questions(&planting, std::slice::from_ref(&visit)),
            marks: MarksView::of(&Marks::of_visit(app, &planting, &visit)?),
            has_plan: !app.book.plans(planting.id)?.is_empty(),
            visit,
            planting,
            plots,
        })
    })
    .await
}
