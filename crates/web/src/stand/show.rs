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
use standbook_stand::convert::Rule;
use standbook_stand::method::{Method, Source};
use standbook_stand::summary::{Reading, Seen};

use super::name::{Name, name_of};
use super::numbers::Walked;
use super::part::{self, Part};
use super::resolve::Label;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
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

/// How something was made.
struct How {
    /// Its name.
    name: &'static str,
    /// The formula; empty where words say all.
    formula: &'static str,
    /// One sentence.
    how: &'static str,
    /// Who says so.
    citation: &'static str,
    /// Where to read it; may be empty.
    url: &'static str,
    /// Whether the one before it has the same source, so that it need not be said again.
    as_above: bool,
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
    /// Ways in which intervals were made.
    methods: Vec<How>,
    /// Rules from frequency to density.
    rules: Vec<How>,
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
            methods: Vec::new(),
            rules: Vec::new(),
        };
        if let Some(visit) = visit {
            page.on = date_words(&visit.body.on);
            page.scouts = visit.body.scouts.join(", ");
            page.age = age(&planting.body.seeded_on, &visit.body.on);
            let walked = Walked::read(&app.book, planting, &visit)?;
            fill(&mut page, app, &walked)?;
        }
        html(&page)
    })
    .await
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
    page.methods = say_sources_once(methods.into_iter().map(how_of_method).collect());
    if !summary.grids.is_empty() {
        page.rules = Rule::PLAIN.into_iter().map(how_of_rule).collect();
    }
    Ok(())
}

fn how(name: &'static str, formula: &'static str, how: &'static str, source: Source) -> How {
    How {
        name,
        formula,
        how,
        citation: source.citation,
        url: source.url.unwrap_or_default(),
        as_above: false,
    }
}

fn how_of_method(method: Method) -> How {
    how(method.name(), "", method.how(), method.source())
}

fn how_of_rule(rule: Rule) -> How {
    how(rule.name(), rule.formula(), rule.how(), rule.source())
}

/// Marks every one whose source the one before it has said.
fn say_sources_once(mut hows: Vec<How>) -> Vec<How> {
    for at in 1..hows.len() {
        hows[at].as_above = hows[at].citation == hows[at - 1].citation;
    }
    hows
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
