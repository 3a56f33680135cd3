//! One page that holds a whole visit, for a phone that walks out of the laptop's reach.
//!
//! In: a visit. Out: a page that asks the laptop for nothing more: looks with their drawings, the
//! key's table, forms for frames and points, what is recorded so far. Its scripts
//! (`static/pocket/away.js` and beside it) show one part at a time and put what is saved into the
//! phone's outbox. Its forms are those of `plant`, `count` and `plot` and go to their addresses.
//! Not here: taking what comes back (`outbox`), the walk's arithmetic (`static/pocket`).

use askama::Template;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::HeaderValue;
use axum::http::header::CACHE_CONTROL;
use axum::response::Response;
use axum::routing::get;
use serde::Serialize;
use standbook_fieldbook::record::{Planting, Visit};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_identify::phone;
use standbook_plan::Corner;

use crate::app::{App, Shared, run};
use crate::count::away::{AwaySheet, AwayWalk, reasons, sheets, walk};
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::plant::away::{AwayPlant, Words, plant, words as key_words};
use crate::plot::entry::{KeepOuts, keep_outs};
use crate::plot::filled::Filled;
use crate::plot::place::planting_and_site;
use crate::plot::visit::point_form;
use crate::{pocket, words};

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new().route("/visits/{id}/pocket", get(show))
}

/// A point as the script needs it.
#[derive(Debug, Serialize)]
struct AwayPoint {
    id: RecordId,
    plot: RecordId,
    label: String,
    /// A fix: degrees north, degrees east.
    fix: Option<Corner>,
    /// Number in the plan.
    number: Option<u32>,
    /// Why it was not reached; empty: it was.
    missed: String,
    /// Frames read there.
    frames: Vec<RecordId>,
    /// Number of the next frame.
    next: u32,
    /// Plants looked at there.
    plants: Vec<RecordId>,
}

/// What is recorded, and the words of the key.
#[derive(Debug, Serialize)]
struct Data {
    visit: RecordId,
    walk: Option<AwayWalk>,
    plots: Vec<(RecordId, String)>,
    points: Vec<AwayPoint>,
    /// Taxa that were sown.
    mix: Vec<String>,
    words: Words,
}

/// A plot with the form for its next point.
struct PlotForm {
    name: String,
    filled: Filled,
}

/// The page.
#[derive(Template)]
#[template(path = "away/page.html")]
struct AwayPage {
    shell: Shell,
    on: String,
    visit: RecordId,
    planting: String,
    keep_outs: KeepOuts,
    /// Whether there is a plan to walk by.
    plan: Option<RecordId>,
    scout: String,
    plots: Vec<PlotForm>,
    /// Plots to choose from at a stop that does not say its own.
    choice: Vec<(RecordId, String)>,
    reasons: [&'static str; 6],
    sheets: Vec<AwaySheet>,
    plant: AwayPlant,
    script: String,
    /// Address of the script that lists photos.
    photo_list: String,
    /// JSON for the script.
    data: String,
    /// The key's table, as the script reads it.
    table: String,
}

/// JSON that can stand in an element: no text in it can end the element.
fn within_html(json: &str) -> String {
    json.replace('<', "\\u003c")
}

fn points(app: &App, visit: RecordId) -> Result<Vec<AwayPoint>, BookError> {
    let mut points = Vec::new();
    for point in app.book.points(visit)? {
        let frames = app.book.frames_at(point.id)?;
        let plants = app.book.determinations_at(point.id)?;
        points.push(AwayPoint {
            frames: frames.iter().map(|frame| frame.id).collect(),
            next: app.book.next_frame_number(point.id)?,
            plants: plants.iter().map(|plant| plant.id).collect(),
            id: point.id,
            plot: point.body.plot,
            label: point.body.label,
            fix: point.body.position.map(|fix| [fix.latitude, fix.longitude]),
            number: point.body.planned.map(|it| it.number),
            missed: point.body.unreachable,
        });
    }
    Ok(points)
}

fn page(
    app: &App,
    here: &Here,
    visit: &Entry<Visit>,
    planting: Entry<Planting>,
) -> Result<AwayPage, Failure> {
    let walk = walk(app, visit)?;
    let mut plots = Vec::new();
    let mut choice = Vec::new();
    for plot in app.book.plots(planting.id)? {
        plots.push(PlotForm {
            filled: point_form(app, here, plot.id, visit.id)?,
            name: plot.body.name.clone(),
        });
        choice.push((plot.id, plot.body.name));
    }
    let data = Data {
        visit: visit.id,
        plots: choice.clone(),
        points: points(app, visit.id)?,
        mix: planting
            .body
            .mix
            .iter()
            .map(|it| it.taxon.clone())
            .collect(),
        words: key_words(app),
        walk,
    };
    let json = serde_json::to_string(&data).map_err(|_| Failure::Ours)?;
    let table = phone::write(&app.table).map_err(|_| Failure::Ours)?;
    let on = words::date_words(&visit.body.on);
    Ok(AwayPage {
        shell: Shell::new(
            app,
            here,
            Tab::Plot,
            format!("Visit of {on}, carried along"),
        ),
        on,
        visit: visit.id,
        keep_outs: keep_outs(app, planting.id)?,
        plan: data.walk.as_ref().map(|walk| walk.plan),
        scout: here.scout.clone().unwrap_or_default(),
        plots,
        choice,
        reasons: reasons(),
        sheets: sheets(app, here, visit, &planting)?,
        plant: plant(app, here, visit.id)?,
        planting: planting.body.name,
        script: pocket::address("away.js"),
        photo_list: pocket::address("photo_list.js"),
        data: within_html(&json),
        table: within_html(&table),
    })
}

/// `GET /visits/{id}/pocket`
async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "visit")?;
    run(app, move |app| {
        let visit = app.book.visit(id)?;
        let visit = visit.ok_or(Failure::NotFound { what: "visit" })?;
        let (planting, _) = planting_and_site(app, visit.body.planting)?;
        let mut response = html(&page(app, &here, &visit, planting)?)?;
        // In reach it is always fetched anew: what others recorded meanwhile belongs on it.
        let headers = response.headers_mut();
        headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-cache"));
        Ok(response)
    })
    .await
}
