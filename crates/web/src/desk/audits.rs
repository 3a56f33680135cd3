//! Audits: plants of a visit drawn at random to be examined again.
//!
//! In: a visit and a share. Out: a record of which were drawn, made before anybody looks, and the
//! list of them with the way to a blind second look; nothing on it tells what a plant was called.
//! The draw: the determinations in order of their ids, shuffled by ChaCha20 from the seed that is kept;
//! the first of them, as many as the share asks for, rounded up.
//! Source: at least a tenth examined again, blind (quality checks of forest inventories, from memory).
//! Not here: what they show (`agreement`, `stand::audits`).

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Audit, Body, Visit};
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::choice::{Choice, visits};
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::ground::fresh_seed;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::{Draft, keep, saved};
use crate::plot::place::Place;
use crate::words::{date_words, instant_words, number_of};
use standbook_fieldbook::named::is_same_person;

/// Share offered, percent.
const SHARE_PERCENT: &str = "10";

/// An audit of the list.
struct Row {
    id: RecordId,
    title: String,
    more: String,
}

#[derive(Template)]
#[template(path = "desk/audits.html")]
struct ListPage {
    shell: Shell,
    rows: Vec<Row>,
    visits: Vec<Choice>,
    filled: Filled,
}

/// `GET /desk/audits`.
pub(super) async fn list(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::new();
        filled.set("id", RecordId::new().to_string());
        filled.set("share", SHARE_PERCENT.to_owned());
        filled.set("scout", here.scout.clone().unwrap_or_default());
        list_page(app, &here, filled)
    })
    .await
}

fn list_page(app: &App, here: &Here, filled: Filled) -> Result<Response, Failure> {
    let mut rows = Vec::new();
    for audit in app.book.audits_all()? {
        let done = drawn(app, &audit)?
            .iter()
            .filter(|plant| plant.seen)
            .count();
        rows.push(Row {
            id: audit.id,
            title: title(app, &audit)?,
            more: format!(
                "{done} of {} looked at again; drawn by {}, {}",
                audit.body.drawn.len(),
                audit.author,
                instant_words(&audit.born_at)
            ),
        });
    }
    let chosen = filled.get("visit").parse().ok();
    let page = ListPage {
        shell: Shell::new(app, here, Tab::Desk, "Audits"),
        rows,
        visits: visits(app, chosen)?,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

fn title(app: &App, audit: &Entry<Audit>) -> Result<String, BookError> {
    let visit = app.book.visit(audit.body.visit)?;
    let planting = match &visit {
        Some(visit) => app.book.planting(visit.body.planting)?,
        None => None,
    };
    Ok(match (planting, visit) {
        (Some(planting), Some(visit)) => {
            format!("{}, {}", planting.body.name, date_words(&visit.body.on))
        }
        _ => "a visit that is not in this book".to_owned(),
    })
}

/// `POST /desk/audits`.
pub(super) async fn draw(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled {
            form,
            ..Filled::new()
        };
        let id = filled.id();
        filled.set("id", id.to_string());
        let author = filled.read_name("scout", "Your name");
        let percent = read_share(&mut filled);
        let visit = read_visit(app, &mut filled)?;
        let (Some(percent), Some(visit)) = (percent, visit) else {
            return list_page(app, &here, filled);
        };
        // The form sent again, after the draw was made: the same draw is shown.
        if let Some(held) = app.book.audit(id)? {
            return Ok(saved(&format!("/desk/audits/{}", held.id), &author, None));
        }
        let mut plants: Vec<RecordId> = app
            .book
            .determinations(visit.id)?
            .into_iter()
            .map(|plant| plant.id)
            .collect();
        if plants.is_empty() {
            filled.troubles.add(
                "visit",
                "No plant was determined at this visit, so there is none to draw. Choose another visit.",
            );
        }
        if !filled.troubles.none() {
            return list_page(app, &here, filled);
        }
        plants.sort_unstable();
        let all = plants.len();
        let share = percent / 100.0;
        let seed = fresh_seed();
        standbook_plan::shuffle(&mut plants, seed);
        plants.truncate(how_many(all, share));
        let draft = Draft {
            id,
            supersedes: None,
            body: Body::Audit(Audit {
                visit: visit.id,
                share,
                draw_seed: seed,
                plants: u32::try_from(all).unwrap_or(u32::MAX),
                drawn: plants,
            }),
        };
        match keep(app, &here, &author, &[draft]) {
            Ok(()) => Ok(saved(&format!("/desk/audits/{id}"), &author, None)),
            Err(error) => {
                filled.troubles.refused(&error, |_, field| match field {
                    "author" => "scout".to_owned(),
                    field => field.to_owned(),
                });
                list_page(app, &here, filled)
            }
        }
    })
    .await
}

/// At least the share, and at least one. Rounding must not add one: 0.1 of 30 are 3.
fn how_many(all: usize, share: f64) -> usize {
    let exact = all as f64 * share;
    let whole = exact.round();
    let many = if (exact - whole).abs() < 1e-9 {
        whole
    } else {
        exact.ceil()
    };
    (many as usize).clamp(1, all.max(1))
}

fn read_share(filled: &mut Filled) -> Option<f64> {
    let text = filled
        .get("share")
        .trim_end_matches('%')
        .trim()
        .replace(',', ".");
    match text.parse::<f64>() {
        Ok(percent) if percent > 0.0 && percent <= 100.0 => Some(percent),
        _ => {
            filled.troubles.add(
                "share",
                "The share is not a number above 0, at most 100. Write percent, such as 10.",
            );
            None
        }
    }
}

fn read_visit(app: &App, filled: &mut Filled) -> Result<Option<Entry<Visit>>, Failure> {
    let found = match filled.get("visit").parse::<RecordId>() {
        Ok(id) => app.book.visit(id)?,
        Err(_) => None,
    };
    if found.is_none() {
        filled
            .troubles
            .add("visit", "No visit is chosen. Choose the one to draw from.");
    }
    Ok(found)
}

/// A plant that was drawn.
struct Drawn {
    id: RecordId,
    place: String,
    /// Whether somebody else than the scout looked again.
    seen: bool,
}

#[derive(Template)]
#[template(path = "desk/audit.html")]
struct AuditPage {
    shell: Shell,
    title: String,
    drawn_by: String,
    how: String,
    plants: Vec<Drawn>,
    done: usize,
    visit: RecordId,
}

/// `GET /desk/audits/{id}`.
pub(super) async fn one(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let what = "audit";
        let found = app.book.audit(record_id(&id, what)?)?;
        let audit = found.ok_or(Failure::NotFound { what })?;
        let plants = drawn(app, &audit)?;
        let body = &audit.body;
        html(&AuditPage {
            shell: Shell::new(app, &here, Tab::Desk, "Audit"),
            title: title(app, &audit)?,
            drawn_by: format!("{}, {}", audit.author, instant_words(&audit.born_at)),
            how: format!(
                "{} drawn from {}, at least {} %, with seed {}",
                number_of(body.drawn.len(), "plant"),
                body.plants,
                crate::words::digits(body.share * 100.0),
                body.draw_seed
            ),
            done: plants.iter().filter(|plant| plant.seen).count(),
            plants,
            visit: body.visit,
        })
    })
    .await
}

fn drawn(app: &App, audit: &Entry<Audit>) -> Result<Vec<Drawn>, Failure> {
    let mut plants = Vec::new();
    for id in &audit.body.drawn {
        let Some(plant) = app.book.determination(*id)? else {
            continue;
        };
        let place = Place::load(app, plant.body.point)?;
        let cell = plant.body.cell.map(|cell| format!(", cell {cell}"));
        let opinions = app.book.opinions(plant.id)?;
        plants.push(Drawn {
            id: plant.id,
            place: format!("{}{}", place.words(), cell.unwrap_or_default()),
            seen: opinions
                .iter()
                .any(|opinion| !is_same_person(&opinion.author, &plant.author)),
        });
    }
    Ok(plants)
}

/// The audit that a plant was drawn for, and the next plant of it that nobody looked at again.
pub(super) fn of_plant(
    app: &App,
    visit: RecordId,
    plant: RecordId,
) -> Result<Option<(RecordId, String, Option<RecordId>)>, Failure> {
    for audit in app.book.audits(visit)? {
        let plants = drawn(app, &audit)?;
        if plants.iter().any(|drawn| drawn.id == plant) {
            let done = plants.iter().filter(|drawn| drawn.seen).count();
            let next = plants.iter().find(|drawn| !drawn.seen && drawn.id != plant);
            let words = format!("{done} of {} looked at again", plants.len());
            return Ok(Some((audit.id, words, next.map(|next| next.id))));
        }
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::how_many;

    #[test]
    fn a_share_is_rounded_up_and_never_none() {
        for (all, share, many) in [
            (30, 0.1, 3),
            (31, 0.1, 4),
            (1, 0.1, 1),
            (9, 0.1, 1),
            (7, 1.0, 7),
            (1000, 0.001, 1),
            (70, 0.1, 7),
        ] {
            assert_eq!(how_many(all, share), many, "{all} {share}");
        }
    }
}
