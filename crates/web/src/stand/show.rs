//! The stand of one visit.
//!
//! In: a planting and, if asked for, one of its visits; otherwise the latest. Out: the answer
//! first, then what it rests on. Every number has its interval, or says why it has none.

use std::collections::{BTreeMap, BTreeSet};

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::Visit;
use standbook_fieldbook::{Entry, RecordId};
use standbook_stand::summary::{Reading, Seen};

use super::judged::Judged;
use super::name::{Name, name_of};
use super::numbers::Walked;
use super::part::{self, Part};
use super::resolve::Label;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::practice::marks::MarksView;
use crate::report::cite::{self, Sources};
use crate::report::doubts;
use crate::report::gather::{Gathered, Place};
use crate::words::date_words;

/// A visit to choose.
struct VisitChoice {
    /// Id, for the form.
    id: RecordId,
    /// Date in words.
    on: String,
    /// Whether it is the one shown.
    shown: bool,
}

#[derive(Template)]
#[template(path = "stand/show.html")]
struct StandPage {
    /// The frame around the page.
    shell: Shell,
    /// The planting's address.
    address: String,
    /// Site and planting.
    place: String,
    /// Date of the visit in words; empty when there was none.
    on: String,
    /// Scouts of the visit.
    scouts: String,
    /// Days from sowing to the visit, in words; may be empty.
    age: String,
    /// All visits, latest first.
    visits: Vec<VisitChoice>,
    /// One part for each kind of frame; empty when nothing was laid.
    parts: Vec<Part>,
    /// Whether several kinds of grid were laid.
    mixed: bool,
    /// Unknowns not settled: address and name.
    unknowns: Vec<Name>,
    /// Planted species found nowhere.
    looked_none: Vec<Name>,
    /// Spots read by two scouts, one sentence each.
    read_twice: Vec<String>,
    /// Frames not looked over a second time; empty when all were.
    not_looked_twice: String,
    /// Frames that ask for a second reader; `None`: there is none.
    marks: Option<MarksView>,
    /// The count corrected by what practice says, in words; may be empty.
    by_practice: String,
    /// The verdict and what follows; `None`: nobody has been there.
    judged: Option<Judged>,
    /// `?visit=...`, for links to the same visit.
    query: String,
}

/// `GET /stand/{planting}`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(planting): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = record_id(&planting, "planting")?;
        let planting = app
            .book
            .planting(planting)?
            .ok_or(Failure::NotFound { what: "planting" })?;
        let visits = app.book.visits(planting.id)?;
        let visit = if query.has("visit") {
            let asked = record_id(query.get("visit"), "visit")?;
            // Any version of the visit will do, but it must be of this planting.
            let now = app.book.visit(asked)?.map(|visit| visit.id);
            let found = visits.iter().find(|visit| Some(visit.id) == now);
            Some(found.ok_or(Failure::NotFound { what: "visit" })?.clone())
        } else {
            visits.last().cloned()
        };
        let site = app.book.site(planting.body.site)?;
        let site = site.map_or_else(String::new, |site| format!("{}, ", site.body.name));
        let mut page = StandPage {
            shell: Shell::new(app, &here, Tab::Stand, "Stand"),
            address: format!("/stand/{}", planting.id),
            place: format!("{site}{}", planting.body.name),
            on: String::new(),
            scouts: String::new(),
            age: String::new(),
            visits: choices(&visits, visit.as_ref()),
            parts: Vec::new(),
            mixed: false,
            unknowns: Vec::new(),
            looked_none: Vec::new(),
            read_twice: Vec::new(),
            not_looked_twice: String::new(),
            marks: None,
            by_practice: String::new(),
            judged: None,
            query: String::new(),
        };
        if let Some(visit) = visit {
            page.on = date_words(&visit.body.on);
            page.scouts = visit.body.scouts.join(", ");
            page.age = age(&planting.body.seeded_on, &visit.body.on);
            page.query = format!("?visit={}", visit.id);
            let (id, visit_id) = (planting.id, visit.id);
            let walked = Walked::read(app, planting, &visit)?;
            fill(&mut page, app, &walked)?;
            let place = Place::read(app, &id.to_string())?;
            let gathered = Gathered::of(app, place, visit, &walked)?;
            page.marks = MarksView::of(&gathered.marks);
            page.by_practice = by_practice(&gathered);
            let mut judged = Judged::of(&gathered, &walked);
            judged.over_time = over_time(app, &walked, &visits, visit_id)?;
            page.judged = Some(judged);
        }
        html(&page)
    })
    .await
}

/// The count corrected by what practice says, with its source; empty where there is none.
fn by_practice(gathered: &Gathered) -> String {
    let mut sources = Sources::default();
    let said = doubts::by_practice(&gathered.judgement, &mut sources).unwrap_or_default();
    let list = sources.list();
    list.first().map_or(said.clone(), |source| {
        said.replace("[1]", &cite::short(&source.citation))
    })
}

fn choices(visits: &[Entry<Visit>], shown: Option<&Entry<Visit>>) -> Vec<VisitChoice> {
    visits
        .iter()
        .rev()
        .map(|visit| VisitChoice {
            id: visit.id,
            on: date_words(&visit.body.on),
            shown: shown.is_some_and(|s| s.id == visit.id),
        })
        .collect()
}

/// `63 days after seeding (12 May 2026)`.
fn age(seeded_on: &str, on: &str) -> String {
    let date = standbook_fieldbook::time::parse_date;
    let days = match (date(seeded_on), date(on)) {
        (Some(seeded), Some(on)) => (on - seeded).get_days(),
        _ => return String::new(),
    };
    let days = match days {
        1 => "1 day".to_owned(),
        n => format!("{n} days"),
    };
    format!("{days} after seeding ({})", date_words(seeded_on))
}

fn fill(page: &mut StandPage, app: &App, walked: &Walked) -> Result<(), Failure> {
    let readings = walked.readings(&walked.unknowns);
    // The book takes no frame that the summary refuses; one written by another program is said.
    let summary = walked.summary().map_err(|error| {
        Failure::BadRequest(format!(
            "The stand can't be summed up: {error}. Correct that frame under Count."
        ))
    })?;
    let mut methods = BTreeSet::new();
    for grid in &summary.grids {
        page.parts
            .push(part::of_grid(app, walked, grid, &readings, &mut methods));
    }
    if let Some(quadrats) = &summary.quadrats {
        page.parts.push(part::of_quadrats(
            app,
            walked,
            quadrats,
            &readings,
            &mut methods,
        ));
    }
    page.mixed = summary.has_mixed_grids();
    page.unknowns = unsettled(app, walked, &readings);
    page.looked_none = walked
        .mix()
        .iter()
        .filter(|label| summary.found_nowhere.contains(label))
        .map(|label| name_of(app, walked, label))
        .collect();
    page.read_twice = read_twice(walked, &readings);
    page.not_looked_twice = not_looked_twice(walked);
    Ok(())
}

/// The share of cells with anything planted at every visit with frames, oldest first: date, words.
/// Empty with one visit.
fn over_time(
    app: &App,
    walked: &Walked,
    visits: &[Entry<Visit>],
    shown: RecordId,
) -> Result<Vec<(String, String)>, Failure> {
    let mut lines = Vec::new();
    for visit in visits {
        let read;
        let other = match visit.id == shown {
            true => walked,
            false => {
                read = Walked::read(app, walked.planting.clone(), visit)?;
                &read
            }
        };
        // Only one kind of grid can be set beside itself.
        let Ok(summary) = other.summary() else {
            continue;
        };
        let most = summary.grids.iter().max_by_key(|grid| grid.cells);
        if let Some(group) = most.and_then(|grid| grid.groups.first()) {
            let limits = group.envelope();
            let mark = if visit.id == shown {
                ", this visit"
            } else {
                ""
            };
            let limits = limits.map_or_else(
                || "one spot, no interval".to_owned(),
                super::figures::interval_percent,
            );
            let value = crate::words::percent(group.bounds().lower);
            let on = format!("{}{mark}", date_words(&visit.body.on));
            lines.push((on, format!("{value} of cells ({limits})")));
        }
    }
    Ok(if lines.len() > 1 { lines } else { Vec::new() })
}

fn unsettled(app: &App, walked: &Walked, readings: &[Reading<RecordId, Label>]) -> Vec<Name> {
    let mut labels: BTreeSet<&Label> = BTreeSet::new();
    for reading in readings {
        match &reading.seen {
            Seen::Grid { occupied, .. } => labels.extend(occupied.keys()),
            Seen::Quadrat { plants, .. } => labels.extend(plants.keys()),
        }
    }
    labels
        .into_iter()
        .filter(|label| matches!(label, Label::Unknown(_)))
        .map(|label| name_of(app, walked, label))
        .collect()
}

/// What was found of the mix in one reading: `12 of 25 cells`, `14 plants`.
fn planted_in(walked: &Walked, reading: &Reading<RecordId, Label>) -> String {
    let mix = walked.mix();
    match &reading.seen {
        Seen::Grid { grid, occupied } => {
            let cells: BTreeSet<&u32> = mix
                .iter()
                .filter_map(|l| occupied.get(l))
                .flatten()
                .collect();
            format!("{} of {} cells", cells.len(), grid.cells)
        }
        Seen::Quadrat { plants, .. } => {
            let sum: u64 = mix
                .iter()
                .filter_map(|l| plants.get(l))
                .map(|n| u64::from(*n))
                .sum();
            format!("{sum} plants")
        }
    }
}

/// Frames of one number at one spot that several scouts read.
fn read_twice(walked: &Walked, readings: &[Reading<RecordId, Label>]) -> Vec<String> {
    let mut same: BTreeMap<(RecordId, u32), Vec<String>> = BTreeMap::new();
    for ((spot, frame), reading) in walked.frames.iter().zip(readings) {
        let said = format!(
            "{} found planted species in {}",
            frame.body.scout,
            planted_in(walked, reading)
        );
        same.entry((*spot, frame.body.number))
            .or_default()
            .push(said);
    }
    same.into_iter()
        .filter(|(_, said)| said.len() > 1)
        .map(|((spot, number), said)| {
            format!(
                "Frame {number} at {}: {}.",
                walked.spot_name(spot),
                said.join("; ")
            )
        })
        .collect()
}

fn not_looked_twice(walked: &Walked) -> String {
    let all = walked.frames.len();
    let once = walked
        .frames
        .iter()
        .filter(|(_, f)| !f.body.looked_twice)
        .count();
    match once {
        0 => String::new(),
        1 if all == 1 => "The frame was not looked over a second time.".to_owned(),
        n if n == all => format!("None of the {all} frames was looked over a second time."),
        1 => format!("1 of {all} frames was not looked over a second time."),
        n => format!("{n} of {all} frames were not looked over a second time."),
    }
}
