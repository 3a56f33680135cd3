//! The office's list: determinations, those first that would change most, and unknowns nobody has
//! settled.
//!
//! Without a visit asked for it shows the latest ones, as many as give enough to do: a book of many
//! seasons has more plants than anybody goes through.
//! Not here: which of them and in which order (`ranked`), what is known of a visit (`visits`).

use std::collections::hash_map::Entry::Vacant;
use std::collections::{BTreeMap, HashMap};

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::{BookError, RecordId, VisitLine};

use super::choice::{Choice, asked_visit, choices};
use super::names::name_of;
use super::ranked::{Listed, Wanted, ranked};
use super::visits::Shown;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::photos::gallery::{Leading, leading, photos_of_unknown};
use crate::safe::settle;
use crate::stand::name::{Name, first_words};
use crate::words::{date_words, instant_words, number_of, outcome_words, percent, taxon_name};

/// Rows a page.
const PER_PAGE: usize = 40;

/// Most unknowns listed at once.
const UNKNOWNS: usize = 40;

/// What else is at the Desk.
const PLACES: [(&str, &str); 10] = [
    ("/desk/audits", "Audits"),
    ("/desk/agreement", "Agreement"),
    ("/desk/vouchers", "Specimens"),
    ("/desk/come-back", "Plants to come back to"),
    ("/desk/practice", "Practice"),
    ("/desk/bring-in", "Bring it in"),
    ("/desk/take-out", "Take it out"),
    ("/desk/merge", "Merge another book"),
    ("/desk/book", "State of the book"),
    ("/phones", "Phones"),
];

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
struct UnknownRow {
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
    /// What else is at the Desk: address and name.
    places: &'static [(&'static str, &'static str)],
    /// Visits to choose from, latest first.
    visits: Vec<Choice>,
    /// How many visits are shown, in words, where there are earlier ones.
    latest: Option<String>,
    /// Scouts to choose from.
    scouts: Vec<Choice>,
    /// Names to choose from.
    taxa: Vec<Choice>,
    /// Outcomes to choose from.
    outcomes: Vec<Choice>,
    /// What is asked for.
    wanted: Wanted,
    /// Rows of this page, under what they stand under; empty: one list.
    groups: Vec<(String, Vec<Row>)>,
    /// How many there are in all, in words.
    total: String,
    /// This page, from 1.
    page: usize,
    /// Number of pages, at least 1.
    pages: usize,
    /// Query that keeps the filter, without the page; ends with `&` or is empty.
    keep: String,
    /// Unknowns nobody has settled.
    unknowns: Vec<UnknownRow>,
    /// How many more of them there are.
    more_unknowns: usize,
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
        if let Vacant(place) = self.points.entry(point)
            && let Some(now) = app.book.point(point)?
        {
            place.insert((now.body.plot, now.body.label));
        }
        let Some((plot, label)) = self.points.get(&point) else {
            return Ok("a point that is not in this book".to_owned());
        };
        if let Vacant(place) = self.plots.entry(*plot)
            && let Some(now) = app.book.plot(*plot)?
        {
            place.insert(now.body.name);
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
        let visit = asked_visit(app, &query)?;
        let wanted = Wanted::read(&query, visit);
        let shown = Shown::read(app, visit)?;
        let rows = ranked(&wanted, &shown);
        let pages = rows.len().div_ceil(PER_PAGE).max(1);
        // A page past the end (an old link) is the last one.
        let page = query.get("page").parse().unwrap_or(1_usize).clamp(1, pages);
        let total = number_of(rows.len(), "determination");
        let (scouts, taxa) = met(app, &shown);
        let open: usize = shown.visits.iter().map(|(_, it)| it.open.len()).sum();
        html(&ListPage {
            shell: Shell::new(app, &here, Tab::Desk, "Desk"),
            places: &PLACES,
            visits: shown
                .choices
                .iter()
                .map(|line| choice(line, visit))
                .collect(),
            latest: shown
                .earlier
                .then(|| number_of(shown.visits.len(), "visit")),
            scouts: choices(scouts, &wanted.scout),
            taxa: choices(taxa, &wanted.taxon),
            outcomes: choices(
                OUTCOMES.map(|id| (id.to_owned(), outcome_words(id))).into(),
                &wanted.outcome,
            ),
            groups: grouped(
                &wanted,
                finish(
                    app,
                    rows.iter()
                        .copied()
                        .skip((page - 1) * PER_PAGE)
                        .take(PER_PAGE),
                )?,
                rows.iter().skip((page - 1) * PER_PAGE),
            ),
            total,
            page,
            pages,
            keep: wanted.query(),
            wanted,
            unknowns: unknowns(app, &shown)?,
            more_unknowns: open.saturating_sub(UNKNOWNS),
            settle: settle::rows(app)?,
        })
    })
    .await
}

fn choice(line: &VisitLine, chosen: Option<RecordId>) -> Choice {
    Choice {
        value: line.id.to_string(),
        words: place_of(line),
        chosen: chosen == Some(line.id),
    }
}

/// `north forty, 14 July 2026`.
fn place_of(line: &VisitLine) -> String {
    format!("{}, {}", line.planting_name, date_words(&line.on))
}

/// Outcomes, as the engine calls them.
const OUTCOMES: [&str; 5] = [
    "settled",
    "leaning",
    "split_between",
    "not_in_this_key",
    "too_little_seen",
];

/// Scouts, and the names that they gave, to choose from.
#[allow(clippy::type_complexity)] // two selects
fn met(app: &App, shown: &Shown) -> (BTreeMap<String, String>, BTreeMap<String, String>) {
    let (mut scouts, mut taxa) = (BTreeMap::new(), BTreeMap::new());
    for one in shown.visits.iter().flat_map(|(_, visit)| &visit.plants) {
        let scout = one.plant.author.trim();
        if !scouts.contains_key(scout) {
            scouts.insert(scout.to_owned(), scout.to_owned());
        }
        if let Some(id) = &one.plant.body.taxon
            && !taxa.contains_key(id)
        {
            taxa.insert(id.clone(), taxon_name(app, id).0);
        }
    }
    (scouts, taxa)
}

/// Places and photos are looked up for the rows of this page only.
fn finish<'l>(app: &App, rows: impl Iterator<Item = &'l Listed>) -> Result<Vec<Row>, BookError> {
    let mut places = Places::default();
    rows.map(|one| {
        let plant = &one.plant;
        let mut place = places.words(app, plant.body.point)?;
        if let Some(cell) = plant.body.cell {
            place.push_str(&format!(", cell {cell}"));
        }
        Ok(Row {
            photo: leading(app, &app.book.photos(plant.id)?),
            id: plant.id,
            name: name_of(&one.stands.called, app),
            outcome: format!(
                "{}, leading name {}",
                outcome_words(&plant.body.evidence.outcome),
                percent(one.leading)
            ),
            weight: one.weight.words(),
            place,
            when: instant_words(&plant.born_at),
            scout: plant.author.clone(),
            second: one.stands.second.clone(),
            disputed: one.stands.disputed,
        })
    })
    .collect()
}

/// Puts rows under what they stand under. `listed` are the same, from the first on.
fn grouped<'l>(
    wanted: &Wanted,
    rows: Vec<Row>,
    listed: impl Iterator<Item = &'l &'l Listed>,
) -> Vec<(String, Vec<Row>)> {
    let mut groups: Vec<(String, Vec<Row>)> = Vec::new();
    for (row, one) in rows.into_iter().zip(listed) {
        let title = wanted.group_of(one);
        match groups.last_mut() {
            Some((last, rows)) if last == title => rows.push(row),
            _ => groups.push((title.to_owned(), vec![row])),
        }
    }
    groups
}

/// Unknowns that nobody has settled, with how many tallies use them.
fn unknowns(app: &App, shown: &Shown) -> Result<Vec<UnknownRow>, BookError> {
    let open = shown.visits.iter().flat_map(|(line, visit)| {
        let place = place_of(line);
        visit.open.iter().map(move |open| (place.clone(), open))
    });
    open.take(UNKNOWNS)
        .map(|(place, open)| {
            Ok(UnknownRow {
                photo: leading(app, &photos_of_unknown(app, open.id)?),
                id: open.id,
                number: open.number,
                description: first_words(&open.description),
                place,
                tallies: match open.tallies {
                    0 => "in no tally".to_owned(),
                    1 => "in 1 tally".to_owned(),
                    n => format!("in {n} tallies"),
                },
            })
        })
        .collect()
}
