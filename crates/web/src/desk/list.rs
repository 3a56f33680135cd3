//! The office's list: determinations, those first that would change most, and unknowns nobody has
//! settled.
//!
//! Not here: which of them and in which order (`ranked`).

use std::collections::hash_map::Entry::Vacant;
use std::collections::{BTreeMap, HashMap};

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::record::{Counted, Planting};
use standbook_fieldbook::{BookError, RecordId};

use super::choice::{Choice, choices};
use super::names::name_of;
use super::ranked::{Listed, Wanted, ranked, top_probability};
use super::rests::Rests;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::photos::gallery::{ByPlant, Leading, leading, photos_of_unknown};
use crate::safe::settle;
use crate::stand::name::{Name, first_words};
use crate::stand::numbers::unknown_ids;
use crate::stand::resolve::Unknowns;
use crate::words::{date_words, instant_words, number_of, outcome_words, percent, taxon_name};

/// Rows a page.
const PER_PAGE: usize = 40;

/// A row of the list.
struct Row {
    id: RecordId,
    name: Name,
    /// Outcome then, in words, with the probability of the leading name.
    outcome: String,
    /// What settling it would change, in words; may be empty.
    weight: String,
    /// Plot, point, cell.
    place: String,
    scout: String,
    when: String,
    second: String,
    disputed: bool,
    /// Its photo, when there is one.
    photo: Option<Leading>,
}

/// An unknown nobody has settled.
struct OpenUnknown {
    id: RecordId,
    number: u32,
    description: String,
    /// `north forty, 14 July 2026`.
    place: String,
    /// `in 5 tallies`.
    tallies: String,
    /// Its photo, when there is one.
    photo: Option<Leading>,
}

#[derive(Template)]
#[template(path = "desk/list.html")]
struct ListPage {
    /// The frame around the page.
    shell: Shell,
    /// Visits to choose from.
    visits: Vec<Choice>,
    /// Scouts to choose from.
    scouts: Vec<Choice>,
    /// Names to choose from.
    taxa: Vec<Choice>,
    /// Outcomes to choose from.
    outcomes: Vec<Choice>,
    /// What is asked for.
    wanted: Wanted,
    /// Rows of this page.
    rows: Vec<Row>,
    /// How many there are in all, in words.
    total: String,
    /// This page, from 1.
    page: usize,
    /// Number of pages, at least 1.
    pages: usize,
    /// Query that keeps the filter, without the page; ends with `&` or is empty.
    keep: String,
    /// Unknowns nobody has settled.
    unknowns: Vec<OpenUnknown>,
    /// What merging books left for people to settle.
    settle: Vec<settle::Row>,
}

/// Places by the id of a point, as determinations name it.
#[derive(Default)]
struct Places {
    plots: HashMap<RecordId, String>,
    points: HashMap<RecordId, (RecordId, String)>,
}

impl Places {
    fn words(&mut self, app: &App, point: RecordId) -> Result<String, BookError> {
        if let Vacant(place) = self.points.entry(point) {
            // The point was corrected after the determination.
            if let Some(now) = app.book.point(point)? {
                place.insert((now.body.plot, now.body.label));
            }
        }
        let Some((plot, label)) = self.points.get(&point) else {
            return Ok("a point that is not in this book".to_owned());
        };
        if let Vacant(place) = self.plots.entry(*plot) {
            // The plot was corrected after the point was made.
            if let Some(now) = app.book.plot(*plot)? {
                place.insert(now.body.name);
            }
        }
        let plot = self.plots.get(plot).map_or("?", String::as_str);
        Ok(format!("{plot}, point {label}"))
    }
}

/// `GET /desk`.
pub(super) async fn list(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let visit = match query.get("visit") {
            "" => None,
            id => {
                let id = record_id(id, "visit")?;
                let visit = app
                    .book
                    .visit(id)?
                    .ok_or(Failure::NotFound { what: "visit" })?;
                Some(visit.id)
            }
        };
        let wanted = Wanted::read(&query, visit);
        let mut places = Places::default();
        let mut visits = Vec::new();
        let (mut rests, mut visit_of) = (HashMap::new(), HashMap::new());
        let mut open_unknowns = Vec::new();
        for planting in app.book.plantings()? {
            let plots = app.book.plots(planting.id)?;
            places
                .plots
                .extend(plots.into_iter().map(|p| (p.id, p.body.name)));
            for one in app.book.visits(planting.id)? {
                let shown = visit.is_none_or(|v| v == one.id);
                let words = format!("{}, {}", planting.body.name, date_words(&one.body.on));
                if shown {
                    rests.insert(one.id, rests_of(app, one.id, &planting.body)?);
                    for point in app.book.points(one.id)? {
                        visit_of.insert(point.id, one.id);
                        places
                            .points
                            .insert(point.id, (point.body.plot, point.body.label));
                    }
                    open_unknowns.extend(unsettled(app, one.id, &words)?);
                }
                visits.push(Choice {
                    value: one.id.to_string(),
                    words,
                    chosen: visit == Some(one.id),
                });
            }
        }
        let rows = ranked(app, &wanted, &rests, |point| {
            if let Some(visit) = visit_of.get(&point) {
                return Ok(Some(*visit));
            }
            // The point was corrected after the determination.
            let now = app.book.point(point)?;
            Ok(now.map(|point| point.body.visit))
        })?;
        let pages = rows.len().div_ceil(PER_PAGE).max(1);
        // A page past the end (an old link) is the last one.
        let page = query.get("page").parse().unwrap_or(1_usize).clamp(1, pages);
        let total = number_of(rows.len(), "determination");
        let (scouts, taxa) = met(app, visit)?;
        html(&ListPage {
            shell: Shell::new(app, &here, Tab::Desk, "Desk"),
            visits,
            scouts: choices(scouts, &wanted.scout),
            taxa: choices(taxa, &wanted.taxon),
            outcomes: choices(
                OUTCOMES.map(|id| (id.to_owned(), outcome_words(id))).into(),
                &wanted.outcome,
            ),
            rows: finish(
                app,
                &mut places,
                rows.into_iter().skip((page - 1) * PER_PAGE).take(PER_PAGE),
            )?,
            total,
            page,
            pages,
            keep: wanted.query(),
            wanted,
            unknowns: open_unknowns,
            settle: settle::rows(app)?,
        })
    })
    .await
}

/// Outcomes, as the engine calls them.
const OUTCOMES: [&str; 5] = [
    "settled",
    "leaning",
    "split_between",
    "not_in_this_key",
    "too_little_seen",
];

/// What the counts of a visit rest on.
fn rests_of(app: &App, visit: RecordId, planting: &Planting) -> Result<Rests, BookError> {
    let frames = app.book.frames(visit)?;
    let unknowns = Unknowns::read(app, unknown_ids(frames.iter()))?;
    Ok(Rests::of(
        frames.iter().map(|frame| &frame.body),
        planting.mix.iter().map(|item| item.taxon.as_str()),
        |id| unknowns.get(id).map_or(id, |known| known.entry.id),
    ))
}

/// Scouts, and the names that they gave, to choose from.
#[allow(clippy::type_complexity)] // two selects
fn met(
    app: &App,
    visit: Option<RecordId>,
) -> Result<(BTreeMap<String, String>, BTreeMap<String, String>), BookError> {
    let plants = match visit {
        Some(visit) => app.book.determinations(visit)?,
        None => app.book.determinations_all()?,
    };
    let (mut scouts, mut taxa) = (BTreeMap::new(), BTreeMap::new());
    for plant in plants {
        let scout = plant.author.trim().to_owned();
        scouts.insert(scout.clone(), scout);
        if let Some(id) = plant.body.taxon {
            let (common, _) = taxon_name(app, &id);
            taxa.insert(id, common);
        }
    }
    Ok((scouts, taxa))
}

/// Places and photos are looked up for the rows of this page only.
fn finish(
    app: &App,
    places: &mut Places,
    rows: impl Iterator<Item = Listed>,
) -> Result<Vec<Row>, BookError> {
    let mut photos = ByPlant::read(app)?;
    rows.map(|one| {
        let plant = &one.plant;
        let corrected = plant.supersedes.is_some();
        let mut place = places.words(app, plant.body.point)?;
        if let Some(cell) = plant.body.cell {
            place.push_str(&format!(", cell {cell}"));
        }
        Ok(Row {
            photo: photos.leading(app, plant.id, corrected)?,
            id: plant.id,
            name: name_of(&one.stands.called, app),
            outcome: format!(
                "{}, leading name {}",
                outcome_words(&plant.body.evidence.outcome),
                percent(top_probability(&plant.body))
            ),
            weight: one.weight.words(),
            place,
            when: instant_words(&plant.born_at),
            scout: plant.author.clone(),
            second: one.stands.second,
            disputed: one.stands.disputed,
        })
    })
    .collect()
}

/// Unknowns of a visit that nobody has settled, with how many tallies use them.
fn unsettled(app: &App, visit: RecordId, place: &str) -> Result<Vec<OpenUnknown>, BookError> {
    let all = app.book.unknowns(visit)?;
    let known = Unknowns::read(app, all.iter().map(|unknown| unknown.id))?;
    let open: Vec<_> = all
        .into_iter()
        .filter(|u| known.get(u.id).is_none_or(|k| !k.is_settled()))
        .collect();
    if open.is_empty() {
        return Ok(Vec::new());
    }
    let mut tallies: HashMap<RecordId, usize> = HashMap::new();
    for frame in app.book.frames(visit)? {
        for tally in &frame.body.tallies {
            if let Counted::Unknown(id) = tally.what {
                *tallies.entry(id).or_default() += 1;
            }
        }
    }
    let mut photos = HashMap::new();
    for unknown in &open {
        photos.insert(
            unknown.id,
            leading(app, &photos_of_unknown(app, unknown.id)?),
        );
    }
    // Tallies may name an earlier version of an unknown.
    let named = Unknowns::read(app, tallies.keys().copied())?;
    Ok(open
        .into_iter()
        .map(|unknown| {
            let n: usize = tallies
                .iter()
                .filter(|(id, _)| named.get(**id).is_some_and(|k| k.entry.id == unknown.id))
                .map(|(_, n)| n)
                .sum();
            OpenUnknown {
                photo: photos.remove(&unknown.id).flatten(),
                id: unknown.id,
                number: unknown.body.number,
                description: first_words(&unknown.body.description),
                place: place.to_owned(),
                tallies: match n {
                    0 => "in no tally".to_owned(),
                    1 => "in 1 tally".to_owned(),
                    n => format!("in {n} tallies"),
                },
            }
        })
        .collect())
}
