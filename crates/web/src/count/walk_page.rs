//! The page of a walk by plan: where to go next, how far it has come, may it stop.
//!
//! In: a visit whose planting has a plan. Out: the page; `not found` without a plan.
//! Not here: which stop comes next (`walk`), what the buttons record (`arrive`).

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::Visit;
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::enough;
use super::next_stop::{Card, card, cards};
use super::notices::{self, Notice};
use super::walk::{Stop, Walk};
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::entry::{KeepOuts, keep_outs};
use crate::plot::filled::{Filled, Troubles, respond};
use crate::plot::recorded::Row;
use crate::words;

/// The page.
#[derive(Template)]
#[template(path = "count/walk.html")]
struct WalkPage {
    /// Frame around the page.
    shell: Shell,
    /// The visit.
    visit: Entry<Visit>,
    /// Its date in words.
    on: String,
    /// What is wrong with what was sent.
    troubles: Troubles,
    /// What has just been done.
    news: Option<String>,
    /// Whether the field may be walked after spraying.
    keep_outs: KeepOuts,
    /// Another day than today, or a clock that is wrong.
    notice: Option<Notice>,
    /// How far the walk has come.
    progress: String,
    /// What the stopping rule says, or how wide the interval is; may be empty.
    enough: String,
    /// Stops to walk to, best first; empty when all are done.
    cards: Vec<Card>,
    /// What is said when all are done.
    done: String,
    /// Stops of which something is recorded.
    rows: Vec<Row>,
    /// The other stops, in words; empty when there are none.
    to_do: String,
    /// Other plans of the planting: address and name.
    others: Vec<(String, String)>,
}

pub(super) fn visit_of(app: &App, id: RecordId) -> Result<Entry<Visit>, Failure> {
    let visit = app.book.visit(id)?;
    visit.ok_or(Failure::NotFound { what: "visit" })
}

pub(super) fn walk_of(app: &App, visit: &Entry<Visit>, form: &Form) -> Result<Walk, Failure> {
    let wanted = form.get("plan").parse().ok();
    Walk::load(app, visit, wanted)?.ok_or(Failure::NotFound { what: "plan" })
}

/// How far the walk has come.
pub(super) fn progress(walk: &Walk) -> String {
    let mut words = format!(
        "{}: {} seen, {} planned",
        walk.plan.body.name,
        words::number_of(walk.reached(), "point"),
        walk.planned()
    );
    if walk.missed() > 0 {
        words.push_str(&format!(", {} not reached", walk.missed()));
    }
    words.push('.');
    match walk.without_spare() {
        0 => {}
        1 => {
            words.push_str(" No spare is left for one of them: the stand rests on one point fewer.")
        }
        n => words.push_str(&format!(
            " No spare is left for {n} of them: the stand rests on {n} points fewer."
        )),
    }
    words
}

/// What is recorded, a line for each stop.
fn rows(app: &App, walk: &Walk) -> Result<Vec<Row>, BookError> {
    let mut stops = walk.in_order();
    stops.extend(walk.stops.iter().filter(|stop| stop.spare));
    let mut rows = Vec::new();
    for stop in stops {
        let Some(point) = &stop.point else { continue };
        let more = if stop.missed() {
            format!("not reached: {}", point.body.unreachable)
        } else {
            match app.book.frames_at(point.id)?.len() {
                0 => "reached, nothing counted yet".to_owned(),
                n => words::number_of(n, "frame"),
            }
        };
        rows.push(Row {
            address: format!("/at/{}", point.id),
            title: walk.title(stop),
            more,
        });
    }
    Ok(rows)
}

/// The stops of which nothing is recorded, in walking order.
fn to_do(walk: &Walk) -> String {
    let numbers = |stops: Vec<&Stop>| -> String {
        let free = stops.into_iter().filter(|stop| stop.point.is_none());
        let numbers: Vec<String> = free.map(|stop| stop.number.to_string()).collect();
        numbers.join(", ")
    };
    let planned = numbers(walk.in_order());
    let spares = numbers(walk.stops.iter().filter(|stop| stop.spare).collect());
    match (planned.is_empty(), spares.is_empty()) {
        (true, true) => String::new(),
        (false, true) => format!("To do, in this order: {planned}."),
        (true, false) => format!("Spares: {spares}."),
        (false, false) => format!("To do, in this order: {planned}. Spares: {spares}."),
    }
}

/// The page, with a form that was refused, if one was.
pub(super) fn page(
    app: &App,
    here: &Here,
    visit: Entry<Visit>,
    form: &Form,
    refused: Option<(u32, Filled)>,
) -> Result<Response, Failure> {
    let walk = walk_of(app, &visit, form)?;
    let scout = here.scout.clone().unwrap_or_default();
    let from = match form.get("at").parse() {
        Ok(id) => app.book.point(id)?,
        Err(_) => None,
    };
    let mut list = cards(app, &walk, visit.id, from.as_ref(), &scout)?;
    // The stop of a form that was refused comes back as it was filled in.
    let mut troubles = Troubles::default();
    if let Some((number, filled)) = refused {
        troubles = filled.troubles.clone();
        if !list.iter().any(|card| card.number == number)
            && let Some(stop) = walk.stops.iter().find(|stop| stop.number == number)
        {
            list.insert(0, card(app, &walk, visit.id, stop, None, &scout)?);
        }
        for card in list.iter_mut().filter(|card| card.number == number) {
            card.id = filled.id();
            card.ask_scout = card.ask_scout || filled.troubles.at("scout").is_some();
            card.filled = filled.clone();
        }
    }
    // After a point that was not reached its spare comes first.
    let missed = form.get("missed").parse::<u32>().ok();
    let missed = missed.and_then(|number| walk.stops.iter().find(|s| s.number == number));
    let news = missed
        .filter(|stop| stop.missed())
        .and_then(|stop| stop.point.as_ref().map(|point| (stop, point)))
        .map(|(stop, point)| {
            let word = if stop.spare { "Spare" } else { "Point" };
            format!(
                "{word} {} is recorded as not reached: {}.",
                stop.number, point.body.unreachable
            )
        });
    if news.is_some() && list.len() == 2 {
        list.reverse();
        list[0].title = list[0].title.replacen("Or now: ", "Next: ", 1);
        list[1].title = list[1].title.replacen("Next: ", "Or go on: ", 1);
    }
    let others = app.book.plans(visit.body.planting)?;
    let others = others.into_iter().filter(|plan| plan.id != walk.plan.id);
    let others = others.map(|plan| {
        let address = format!("/visits/{}/walk?plan={}", visit.id, plan.id);
        (address, plan.body.name)
    });
    let page = WalkPage {
        shell: Shell::new(app, here, Tab::Count, "The walk"),
        on: words::date_words(&visit.body.on),
        keep_outs: keep_outs(app, visit.body.planting)?,
        notice: match app.book.planting(visit.body.planting)? {
            Some(planting) => notices::another_day(app, &visit, &planting)?,
            None => None,
        },
        progress: progress(&walk),
        enough: enough::after_a_frame(app, &visit, Some(&walk))?.unwrap_or_default(),
        rows: rows(app, &walk)?,
        to_do: to_do(&walk),
        done: format!("All {} points of the plan are done.", walk.planned()),
        others: others.collect(),
        cards: list,
        news,
        troubles,
        visit,
    };
    respond(&page.troubles, &page)
}

/// Shows the walk.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    let id = record_id(&id, "visit")?;
    run(app, move |app| {
        let visit = visit_of(app, id)?;
        page(app, &here, visit, &query, None)
    })
    .await
}
