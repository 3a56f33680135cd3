//! The office's list: determinations, least sure first, and unknowns nobody has settled.
//!
//! Least sure: outcomes that give no one name come first, then *leaning*, then *settled*; within
//! each the lowest probability of the leading name. The engine's outcome at the time is what
//! sorts, so that the order does not move while a reviewer works through it.
//!
//! Questions to the book grow with plantings, visits and corrections, not with determinations.

use std::collections::HashMap;
use std::collections::hash_map::Entry::Vacant;

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::record::{Counted, Determination, Opinion};
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::names::standing;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::photos::gallery::{ByPlant, Leading, leading, photos_of_unknown};
use crate::safe::settle;
use crate::stand::name::{Name, first_words};
use crate::stand::resolve::{Unknowns, in_order};
use crate::words::{date_words, instant_words, number_of, outcome_words, percent};

/// Rows a page.
const PER_PAGE: usize = 40;

/// Which determinations.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Which {
    All,
    WithoutSecond,
    Disputed,
}

/// A row of the list.
struct Row {
    id: RecordId,
    name: Name,
    /// Outcome then, in words, with the probability of the leading name.
    outcome: String,
    /// Plot, point, cell.
    place: String,
    scout: String,
    when: String,
    second: String,
    disputed: bool,
    /// Whether it corrects an earlier one.
    corrected: bool,
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

/// A visit of the select.
struct VisitChoice {
    id: RecordId,
    words: String,
    chosen: bool,
}

#[derive(Template)]
#[template(path = "desk/list.html")]
struct ListPage {
    /// The frame around the page.
    shell: Shell,
    /// Visits to choose from.
    visits: Vec<VisitChoice>,
    /// Whether everything, only those without a second opinion, or only disputed ones.
    which: String,
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
        let which = match query.get("which") {
            "open" => Which::WithoutSecond,
            "disputed" => Which::Disputed,
            _ => Which::All,
        };
        let mut places = Places::default();
        let mut visits = Vec::new();
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
                    for point in app.book.points(one.id)? {
                        places
                            .points
                            .insert(point.id, (point.body.plot, point.body.label));
                    }
                    open_unknowns.extend(unsettled(app, one.id, &words)?);
                }
                visits.push(VisitChoice {
                    id: one.id,
                    words,
                    chosen: visit == Some(one.id),
                });
            }
        }
        let rows = rows(app, visit, which)?;
        let pages = rows.len().div_ceil(PER_PAGE).max(1);
        // A page past the end (an old link) is the last one.
        let page = query.get("page").parse().unwrap_or(1_usize).clamp(1, pages);
        let mut keep = String::new();
        if let Some(visit) = visit {
            keep.push_str(&format!("visit={visit}&"));
        }
        let which_id = match which {
            Which::All => "",
            Which::WithoutSecond => "open",
            Which::Disputed => "disputed",
        };
        if !which_id.is_empty() {
            keep.push_str(&format!("which={which_id}&"));
        }
        let total = number_of(rows.len(), "determination");
        html(&ListPage {
            shell: Shell::new(app, &here, Tab::Desk, "Desk"),
            visits,
            which: which_id.to_owned(),
            rows: finish(
                app,
                &mut places,
                rows.into_iter().skip((page - 1) * PER_PAGE).take(PER_PAGE),
            )?,
            total,
            page,
            pages,
            keep,
            unknowns: open_unknowns,
            settle: settle::rows(app)?,
        })
    })
    .await
}

/// Places and photos are looked up for the rows of this page only.
fn finish(
    app: &App,
    places: &mut Places,
    rows: impl Iterator<Item = (Row, RecordId, Option<u32>)>,
) -> Result<Vec<Row>, BookError> {
    let mut photos = ByPlant::read(app)?;
    rows.map(|(mut row, point, cell)| {
        row.photo = photos.leading(app, row.id, row.corrected)?;
        row.place = places.words(app, point)?;
        if let Some(cell) = cell {
            row.place.push_str(&format!(", cell {cell}"));
        }
        Ok(row)
    })
    .collect()
}

/// 0 for outcomes without one name, 1 for leaning, 2 for settled.
fn sureness(determination: &Determination) -> (u8, f64) {
    let rank = match determination.evidence.outcome.as_str() {
        "settled" => 2,
        "leaning" => 1,
        _ => 0,
    };
    (rank, top_probability(determination))
}

fn top_probability(determination: &Determination) -> f64 {
    determination
        .evidence
        .ranking
        .first()
        .map_or(0.0, |top| top.probability)
}

/// The rows, least sure first, with the point and cell of each.
fn rows(
    app: &App,
    visit: Option<RecordId>,
    which: Which,
) -> Result<Vec<(Row, RecordId, Option<u32>)>, BookError> {
    let mut determinations = match visit {
        Some(visit) => app.book.determinations(visit)?,
        None => app.book.determinations_all()?,
    };
    determinations.sort_by(|a, b| {
        let (a_rank, a_top) = sureness(&a.body);
        let (b_rank, b_top) = sureness(&b.body);
        a_rank
            .cmp(&b_rank)
            .then(a_top.total_cmp(&b_top))
            .then(a.id.cmp(&b.id))
    });
    let unknowns = Unknowns::read(
        &app.book,
        determinations.iter().filter_map(|d| d.body.unknown),
    )?;
    let mut by_about: HashMap<RecordId, Vec<Entry<Opinion>>> = HashMap::new();
    for opinion in in_order(app.book.opinions_all()?) {
        by_about
            .entry(opinion.body.about)
            .or_default()
            .push(opinion);
    }
    let mut rows = Vec::new();
    for determination in determinations {
        let opinions = match determination.supersedes {
            None => by_about.remove(&determination.id).unwrap_or_default(),
            // Opinions may be on earlier versions: ask for the whole chain.
            Some(_) => in_order(app.book.opinions(determination.id)?),
        };
        let unknown = determination.body.unknown.and_then(|id| unknowns.get(id));
        let stands = standing(&determination, &opinions, unknown);
        let second = !opinions.is_empty() || unknown.is_some_and(|u| !u.opinions.is_empty());
        let wanted = match which {
            Which::All => true,
            Which::WithoutSecond => !second,
            Which::Disputed => stands.disputed,
        };
        if !wanted {
            continue;
        }
        let row = Row {
            id: determination.id,
            name: stands.called.name(app),
            outcome: format!(
                "{}, leading name {}",
                outcome_words(&determination.body.evidence.outcome),
                percent(top_probability(&determination.body))
            ),
            place: String::new(),
            when: instant_words(&determination.born_at),
            scout: determination.author,
            second: stands.second,
            disputed: stands.disputed,
            photo: None,
            corrected: determination.supersedes.is_some(),
        };
        rows.push((row, determination.body.point, determination.body.cell));
    }
    Ok(rows)
}

/// Unknowns of a visit that nobody has settled, with how many tallies use them.
fn unsettled(app: &App, visit: RecordId, place: &str) -> Result<Vec<OpenUnknown>, BookError> {
    let all = app.book.unknowns(visit)?;
    let known = Unknowns::read(&app.book, all.iter().map(|unknown| unknown.id))?;
    let open: Vec<_> = all
        .into_iter()
        .filter(|u| known.get(u.id).is_none_or(|k| k.settled_by().is_none()))
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
    let named = Unknowns::read(&app.book, tallies.keys().copied())?;
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
