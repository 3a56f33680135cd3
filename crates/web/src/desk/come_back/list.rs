//! The list of plants to come back to, due now, later and done, and what is due as GPX.

use std::collections::HashSet;

use askama::Template;
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::Position;
use standbook_plan::{GPX_END, distance_m, gpx_head, gpx_waypoint};

use super::flag::Flag;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Query;
use crate::ground::measures::metres_miles;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::photos::gallery::Leading;
use crate::plot::place::{Place, planting_and_site};
use crate::words::today;

/// Flags shown that are done.
const MOST_DONE: usize = 40;

/// A flag in the list.
struct Row {
    flag: Flag,
    place: String,
    /// How far it is from where the scout last worked; may be empty.
    distance: String,
    photo: Option<Leading>,
    photos: String,
}

/// Flags of one site.
struct Site {
    name: String,
    rows: Vec<Row>,
}

/// Due now, later, done.
struct Part {
    title: &'static str,
    many: usize,
    sites: Vec<Site>,
}

#[derive(Template)]
#[template(path = "desk/come_back.html")]
struct ListPage {
    shell: Shell,
    /// The planting that the list is narrowed to.
    planting: Option<(RecordId, String)>,
    parts: Vec<Part>,
    /// Where distances are measured from; may be empty.
    from: String,
    /// Addresses of the files: what is due now, and everything that waits.
    gpx_now: String,
    gpx_all: String,
    /// How many are due now or later.
    waiting: usize,
    /// How many of them have a position.
    placed: usize,
}

/// Flags of a planting, or all; by site, then day.
fn flags(app: &App, planting: Option<RecordId>) -> Result<Vec<Flag>, Failure> {
    let mut all = Vec::new();
    for flag in app.book.come_backs_all()? {
        let flag = Flag::of(app, flag)?;
        if planting.is_none_or(|id| id == flag.subject.place.planting.id) {
            all.push(flag);
        }
    }
    all.sort_by_cached_key(|flag| {
        let place = &flag.subject.place;
        (
            place.site.body.name.clone(),
            place.site.id,
            flag.body.due_on.clone(),
            flag.id,
        )
    });
    Ok(all)
}

/// All that wait, and of those done only the latest: they grow with the years.
fn shown(all: Vec<Flag>) -> Vec<Flag> {
    let mut done: Vec<_> = all
        .iter()
        .filter_map(|flag| Some((flag.body.seen_on.clone()?, flag.id)))
        .collect();
    done.sort();
    let many = done.len().saturating_sub(MOST_DONE);
    let older: HashSet<RecordId> = done.into_iter().take(many).map(|(_, id)| id).collect();
    let all = all.into_iter();
    all.filter(|flag| !older.contains(&flag.id)).collect()
}

fn asked_planting(app: &App, query: &Query) -> Result<Option<(RecordId, String)>, Failure> {
    match query.0.get("planting") {
        "" => Ok(None),
        id => {
            let (planting, _) = planting_and_site(app, record_id(id, "planting")?)?;
            Ok(Some((planting.id, planting.body.name)))
        }
    }
}

/// `GET /desk/come-back`.
pub(super) async fn list(
    State(app): State<Shared>,
    here: Here,
    query: Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = asked_planting(app, &query)?;
        let all = flags(app, planting.as_ref().map(|one| one.0))?;
        let today = today();
        // The point last worked at is where the scout most likely still is.
        let last = here.point.and_then(|point| Place::load(app, point).ok());
        let from = last.and_then(|place| Some((place.point.body.position?, place.words())));
        let waiting = all.iter().filter(|flag| flag.body.seen_on.is_none());
        let (waiting, placed) = waiting.fold((0, 0), |(all, placed), flag| {
            (all + 1, placed + usize::from(flag.position().is_some()))
        });
        let mut parts = ["Due now", "Later", "Done of late"].map(|title| Part {
            title,
            many: 0,
            sites: Vec::new(),
        });
        for flag in shown(all) {
            let part = match (&flag.body.seen_on, flag.body.due_on <= today) {
                (Some(_), _) => &mut parts[2],
                (None, true) => &mut parts[0],
                (None, false) => &mut parts[1],
            };
            part.many += 1;
            let name = flag.subject.place.site.body.name.clone();
            if part.sites.last().is_none_or(|site| site.name != name) {
                part.sites.push(Site {
                    name,
                    rows: Vec::new(),
                });
            }
            let row = row(app, flag, from.as_ref().map(|from| from.0))?;
            if let Some(site) = part.sites.last_mut() {
                site.rows.push(row);
            }
        }
        let only = planting.as_ref().map(|(id, _)| format!("planting={id}"));
        let only = only.unwrap_or_default();
        html(&ListPage {
            shell: Shell::new(app, &here, Tab::Desk, "Plants to come back to"),
            gpx_now: format!("/desk/come-back.gpx?{only}"),
            gpx_all: format!("/desk/come-back.gpx?later=yes&{only}"),
            planting,
            parts: parts.into(),
            from: from.map(|from| from.1).unwrap_or_default(),
            waiting,
            placed,
        })
    })
    .await
}

fn row(app: &App, flag: Flag, from: Option<Position>) -> Result<Row, Failure> {
    let corner = |at: Position| [at.latitude, at.longitude];
    let distance = match (from, flag.position()) {
        (Some(from), Some(at)) => metres_miles(distance_m(corner(from), corner(at))),
        _ => String::new(),
    };
    let photos = flag.subject.photos(app)?;
    Ok(Row {
        place: format!(
            "{}; {}",
            flag.subject.place_words(),
            flag.subject.place.planting.body.name
        ),
        photos: photos.words(),
        photo: photos.leading,
        distance,
        flag,
    })
}

/// `GET /desk/come-back.gpx`: a waypoint for each plant that is due; with `later=yes` for all that wait. A
/// plant without a position can't be one, and the page says so.
pub(super) async fn gpx(State(app): State<Shared>, query: Query) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = asked_planting(app, &query)?;
        let later = query.0.get("later") == "yes";
        let today = today();
        let flags = flags(app, planting.as_ref().map(|one| one.0))?;
        let waiting = flags
            .iter()
            .filter(|flag| flag.body.seen_on.is_none() && (later || flag.body.due_on <= today));
        let places: String = waiting.filter_map(waypoint).collect();
        let headers = [
            (CONTENT_TYPE, "application/gpx+xml"),
            (
                CONTENT_DISPOSITION,
                "attachment; filename=\"come-back.gpx\"",
            ),
        ];
        let title = planting.map_or("Plants to come back to".to_owned(), |(_, name)| {
            format!("Plants to come back to, {name}")
        });
        let file = format!("{}{places}{GPX_END}", gpx_head(&title));
        Ok((headers, file).into_response())
    })
    .await
}

fn waypoint(flag: &Flag) -> Option<String> {
    let at = flag.position()?;
    let mut words = vec![flag.due(), flag.subject.place.planting.body.name.clone()];
    if !flag.body.pin.is_empty() {
        words.push(flag.body.pin.clone());
    }
    let name = format!("{}, {}", flag.subject.short(), flag.subject.place_words());
    Some(gpx_waypoint(
        [at.latitude, at.longitude],
        &name,
        &words.join("; "),
    ))
}
