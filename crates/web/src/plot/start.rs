//! The first page: where you are, today's visit, the plantings; or what to do first.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::BookError;

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::entry::{KeepOuts, keep_outs};
use crate::plot::place::Place;
use crate::words;

/// A planting in the list.
struct PlantingRow {
    /// Its page.
    address: String,
    /// Its name.
    name: String,
    /// Its site.
    site: String,
    /// Its last visit in words.
    last: String,
    /// Today's visits to it, to go on with: address.
    today: Vec<String>,
}

/// The page.
#[derive(Template)]
#[template(path = "plot/start.html")]
struct StartPage {
    /// Frame around the page.
    shell: Shell,
    /// What a point has to be chosen for: `Plant` or `Count`.
    chosen_for: Option<&'static str>,
    /// The point last worked at, and the date of its visit in words.
    at: Option<(Place, String)>,
    /// Whether the field of that point may be walked.
    keep_outs: KeepOuts,
    /// All plantings, newest seeding first.
    plantings: Vec<PlantingRow>,
    /// Sites on which nothing is planted yet: id and name.
    bare_sites: Vec<(String, String)>,
    /// Cautions of the key.
    cautions: Vec<String>,
}

fn rows(app: &App) -> Result<Vec<PlantingRow>, BookError> {
    let today = words::today();
    let mut plantings = app.book.plantings()?;
    plantings.sort_by(|a, b| b.body.seeded_on.cmp(&a.body.seeded_on));
    let mut rows = Vec::new();
    for planting in plantings {
        let visits = app.book.visits(planting.id)?;
        let last = match visits.last() {
            Some(visit) => format!("last visit {}", words::date_words(&visit.body.on)),
            None => "not visited yet".to_owned(),
        };
        rows.push(PlantingRow {
            address: format!("/plantings/{}", planting.id),
            site: app
                .book
                .site(planting.body.site)?
                .map(|site| site.body.name)
                .unwrap_or_default(),
            name: planting.body.name,
            last,
            today: visits
                .iter()
                .filter(|visit| visit.body.on == today)
                .map(|visit| format!("/visits/{}", visit.id))
                .collect(),
        });
    }
    Ok(rows)
}

/// Shows the first page.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let at = match here.point {
            // A point of another book is like none.
            Some(point) => match Place::load(app, point) {
                Ok(place) => {
                    let on = place.visit_words();
                    Some((place, on))
                }
                Err(Failure::NotFound { .. }) => None,
                Err(failure) => return Err(failure),
            },
            None => None,
        };
        let chosen_for = match query.get("for") {
            "plant" => Some("Plant"),
            "count" => Some("Count"),
            _ => None,
        };
        let mut bare_sites = Vec::new();
        for site in app.book.sites()? {
            if app.book.plantings_of(site.id)?.is_empty() {
                bare_sites.push((site.id.to_string(), site.body.name));
            }
        }
        page::html(&StartPage {
            shell: Shell::new(app, &here, Tab::Plot, "Plot"),
            chosen_for: chosen_for.filter(|_| at.is_none()),
            keep_outs: match &at {
                Some((place, _)) => keep_outs(app, place.planting.id)?,
                None => KeepOuts::default(),
            },
            at,
            plantings: rows(app)?,
            bare_sites,
            cautions: app.key.cautions.clone(),
        })
    })
    .await
}
