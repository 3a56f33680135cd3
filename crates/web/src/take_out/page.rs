//! The page: what leaves, for whom, and what stays.

use std::fs::File;

use askama::Template;
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use standbook_export::{ExportError, Format, Given, Request, find, plantings, take_out};
use standbook_fieldbook::safe::Scratch;

use super::sent;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::report::plain_name;
use crate::words::today;

/// Formats with their names and whom they are for.
const FORMATS: [(Format, &str, &str); 5] = [
    (
        Format::Csv,
        "Tables (CSV)",
        "for spreadsheets and every statistics program: a zip with one file a table, and a dictionary that says what each column means",
    ),
    (
        Format::Sqlite,
        "One file for analysis (SQLite)",
        "the same tables in one file that can be asked questions, with two views that join them",
    ),
    (
        Format::DarwinCore,
        "Darwin Core Archive",
        "for biodiversity data portals and herbaria: events, plants, who named them and when, what was measured; what was sown is marked as sown",
    ),
    (
        Format::GeoJson,
        "Map layers (GeoJSON)",
        "for maps: outlines, points with what their frames held, plants with what was seen on them",
    ),
    (
        Format::Gpx,
        "Waypoints (GPX)",
        "for a receiver, to find points again; nothing about plants",
    ),
];

/// Sides of cells to choose from, m.
const BLURS: [(&str, &str); 4] = [
    ("", "as they are"),
    ("100", "to the middle of a cell of 100 m (330 ft)"),
    ("1000", "to the middle of a cell of 1 km (0.6 mile)"),
    ("10000", "to the middle of a cell of 10 km (6 miles)"),
];

#[derive(Template)]
#[template(path = "desk/take_out.html")]
struct TakeOutPage {
    shell: Shell,
    filled: Filled,
    /// Plantings to choose from, id and words.
    plantings: Vec<(String, String)>,
    /// The visit asked for, if any.
    visit: Option<String>,
}

impl TakeOutPage {
    fn is(&self, field: &str, value: &str) -> bool {
        self.filled.get(field) == value
    }
}

fn page(app: &App, here: &Here, filled: Filled) -> Result<Response, Failure> {
    let plantings = plantings(&app.book)?.into_iter().map(|(id, site, name)| {
        let words = match site.as_str() {
            "" => name,
            site => format!("{site}, {name}"),
        };
        (id.to_string(), words)
    });
    let page = TakeOutPage {
        shell: Shell::new(app, here, Tab::Desk, "Take it out"),
        plantings: plantings.collect(),
        visit: Some(filled.get("visit").to_owned()).filter(|id| !id.is_empty()),
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /desk/take-out`, with `planting` or `visit` chosen where the address names one.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::new();
        filled.form = query;
        if filled.get("as").is_empty() {
            filled
                .form
                .0
                .push(("as".to_owned(), Format::Csv.id().to_owned()));
        }
        page(app, &here, filled)
    })
    .await
}

/// `POST /desk/take-out`: the file, or the form again with what is wrong.
pub(super) async fn take(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::new();
        filled.form = form;
        match made(app, &filled.form) {
            Ok(response) => Ok(response),
            Err(ExportError::Request { problem, mend, .. }) => {
                filled.troubles.add("as", format!("{problem}. {mend}."));
                page(app, &here, filled)
            }
            Err(ExportError::Book(error)) => Err(error.into()),
            Err(error @ (ExportError::File { .. } | ExportError::Writing(_))) => {
                Err(Failure::Surroundings(error.to_string()))
            }
            Err(error @ ExportError::Ours(_)) => {
                eprintln!("standbook: {error}");
                Err(Failure::Ours)
            }
        }
    })
    .await
}

fn made(app: &App, form: &Form) -> Result<Response, ExportError> {
    let given_or_none = |name: &str| Some(form.get(name)).filter(|text| !text.is_empty());
    let no = |field: &'static str, problem: String, mend: &str| ExportError::Request {
        field,
        problem,
        mend: mend.to_owned(),
    };
    let format = Format::from_id(form.get("as"))
        .ok_or_else(|| no("as", "No format was chosen".to_owned(), "Choose one"))?;
    let blur_m = match form.get("blur") {
        "" => None,
        text => Some(text.parse::<f64>().map_err(|_| {
            no(
                "blur",
                format!("\u{201c}{text}\u{201d} is no number of metres"),
                "Choose one of the list",
            )
        })?),
    };
    let request = Request {
        format,
        scope: find(&app.book, given_or_none("planting"), given_or_none("visit"))?,
        blur_m,
        locality: form.has("locality"),
        names: !form.has("without_names"),
        notes: !form.has("without_notes"),
        photos: form.has("photos"),
        practice: form.has("practice"),
        country: form.get("country").to_uppercase(),
    };
    let today = today();
    let given = Given {
        key: &app.key,
        today: &today,
    };
    let scratch = Scratch::beside(app.book.path())?;
    let path = scratch.path().join("export");
    take_out(&app.book, given, &request, &path)?;
    let open = || -> std::io::Result<(File, u64)> {
        let file = File::open(&path)?;
        let bytes = file.metadata()?.len();
        Ok((file, bytes))
    };
    let (file, bytes) = open().map_err(|error| ExportError::Writing(error.to_string()))?;
    let name = format!(
        "{}-{}-{}.{}",
        called(app, &request)?,
        format.id(),
        today,
        format.ending()
    );
    let headers = [
        (CONTENT_TYPE, format.media_type().to_owned()),
        // Letters, digits, hyphens and a dot: no escaping is needed.
        (
            CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}\""),
        ),
    ];
    Ok((headers, sent::body(file, bytes, scratch)).into_response())
}

/// What the file is called after: the planting, or the book. Where a place is blurred its name must not
/// stand on the file either.
fn called(app: &App, request: &Request) -> Result<String, ExportError> {
    use standbook_export::Scope;
    let planting = match request.scope {
        Scope::Book => None,
        Scope::Planting(planting) | Scope::Visit { planting, .. } => Some(planting),
    };
    let Some(planting) = planting.filter(|_| request.blur_m.is_none()) else {
        return Ok("standbook".to_owned());
    };
    let all = plantings(&app.book)?;
    let found = all.into_iter().find(|(id, ..)| *id == planting);
    Ok(found.map_or_else(
        || "standbook".to_owned(),
        |(_, site, name)| plain_name(&format!("{site} {name}")),
    ))
}
