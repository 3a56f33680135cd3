//! Reports on one visit to one planting, to print and to take away.
//!
//! In: the judgement of the Stand. Out: a report for the landowner whose first page answers, a
//! packet for a programme's file, and the same numbers as JSON and CSV. All of them are read
//! from one judgement, so that they say the same.
//! Not here: judging (crate `judge`), reading the book for it (`stand::case`).

use axum::Router;
use axum::extract::{Path, Request, State};
use axum::http::Method;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use axum::routing::get;

use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};

pub(crate) mod cite;
pub(crate) mod doubts;
mod figures;
mod files;
pub(crate) use files::{Cell, csv, plain_name};
mod frames;
pub(crate) mod gather;
mod json;
pub(crate) mod map;
mod packet;
mod page;
pub(crate) mod plain;
mod results;
pub(crate) mod section;
pub(crate) mod seed;
mod span;
pub(crate) mod spots;
mod step;
pub(crate) mod tables;
mod three;
mod told;
mod whisker;

pub(crate) use gather::{Gathered, Place};
pub(crate) use json::whole;

/// The addresses of this place, but for those of [`by_ending`].
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/stand/{planting}/report", get(page::report))
        .route("/stand/{planting}/packet", get(packet::packet))
        .route("/stand/{planting}/frames.csv", get(frames_csv))
}

/// A file of a planting, as the ending of its address says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum File {
    /// Everything.
    Json,
    /// Results.
    Results,
    /// Frames.
    Frames,
}

/// Answers `/stand/{planting}.json` and `/stand/{planting}.csv`. The router takes a whole part of
/// an address as one name, so the ending is read here, before it looks.
pub async fn by_ending(State(app): State<Shared>, request: Request, next: Next) -> Response {
    let asked = request
        .uri()
        .path()
        .strip_prefix("/stand/")
        .and_then(|rest| {
            let (id, ending) = rest.split_once('.').filter(|(id, _)| !id.contains('/'))?;
            let file = match ending {
                "json" => File::Json,
                "csv" => File::Results,
                _ => return None,
            };
            Some((id.to_owned(), file))
        });
    let Some((id, file)) = asked else {
        return next.run(request).await;
    };
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        return next.run(request).await;
    }
    let query = Form::parse(request.uri().query().unwrap_or_default().as_bytes());
    match query {
        Ok(query) => write(app, id, query, file).await.into_response(),
        Err(failure) => failure.into_response(),
    }
}

/// `GET /stand/{planting}/frames.csv`.
async fn frames_csv(
    State(app): State<Shared>,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    write(app, id, query, File::Frames).await
}

async fn write(app: Shared, id: String, query: Form, file: File) -> Result<Response, Failure> {
    run(app, move |app| {
        let place = Place::read(app, &id)?;
        let Some(visit) = place.visit(app, query.get("visit"))? else {
            return Err(Failure::NotFound {
                what: "visit to this planting yet, so nothing to write",
            });
        };
        let gathered = Gathered::read(app, place, visit)?;
        match file {
            File::Json => json::json(app, &gathered),
            File::Results => results_csv(app, &gathered),
            File::Frames => frames::frames(&gathered),
        }
    })
    .await
}

/// Columns of the results.
const RESULTS: [&str; 16] = [
    "what",
    "group_or_taxon",
    "name",
    "role",
    "unknowns",
    "measure",
    "found",
    "out_of",
    "value",
    "lower",
    "upper",
    "value_is_at_least",
    "confidence",
    "unit",
    "method",
    "source",
];

fn results_csv(app: &crate::app::App, gathered: &Gathered) -> Result<Response, Failure> {
    let rows = results::rows(app, gathered)
        .into_iter()
        .map(|row| {
            vec![
                Cell::text(row.what),
                Cell::text(row.id),
                Cell::text(row.name),
                Cell::text(row.role),
                Cell::text(row.unknowns),
                Cell::text(row.measure),
                Cell::maybe(row.found.map(|n| n as f64)),
                Cell::maybe(row.out_of),
                Cell::Number(row.value),
                Cell::maybe(row.lower),
                Cell::maybe(row.upper),
                Cell::text(if row.at_least { "yes" } else { "" }),
                Cell::maybe(row.confidence),
                Cell::text(row.unit),
                Cell::text(row.method),
                Cell::text(row.source),
            ]
        })
        .collect();
    files::csv(
        &files::file_name(gathered, "results", "csv"),
        &RESULTS,
        rows,
    )
}
