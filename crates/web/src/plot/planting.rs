//! The page of a planting: what was sown, what happened since, where it lies, its visits and plots.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{MixItem, Planting, Plot, Site};
use standbook_stand::emergence::M2_PER_ACRE;

use crate::app::{Shared, run};
use crate::desk::come_back::{DueLine, due_line};
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::dates::{self, Question};
use crate::plot::entry::{KeepOuts, keep_outs};
use crate::plot::event::{self, EventLine};
use crate::plot::filled::Filled;
use crate::plot::lot::{self, LotLine};
use crate::plot::place::planting_and_site;
use crate::plot::recorded::Row;
use crate::plot::{plot_form, visit_form};
use crate::words;

/// One species of the mix.
struct MixLine {
    /// Common name.
    common: String,
    /// Scientific name, may be empty.
    scientific: String,
    /// Rates in words, or that none is known.
    rate: String,
}

/// Applied and planned rate of a species, pounds PLS per acre, in words.
fn rate_words(item: &MixItem) -> String {
    let applied = item.pls_lb_per_acre.map(words::plain);
    let planned = item.planned_pls_lb_per_acre.map(words::plain);
    match (applied, planned) {
        (Some(applied), Some(planned)) => {
            format!("{applied} lb PLS/acre applied, {planned} planned")
        }
        (Some(applied), None) => format!("{applied} lb PLS/acre"),
        (None, Some(planned)) => format!("{planned} lb PLS/acre planned, applied rate not known"),
        (None, None) => "rate not known".to_owned(),
    }
}

/// What else the record says of the ground and the paper: area, watering, numbers of the field.
fn facts(planting: &Planting) -> Vec<String> {
    let mut all = Vec::new();
    if let Some(m2) = planting.stated_area_m2 {
        let two = |value: f64| words::plain((value * 100.0).round() / 100.0);
        all.push(format!(
            "{} acres ({} ha) as stated",
            two(m2 / M2_PER_ACRE),
            two(m2 / 10_000.0)
        ));
    }
    match planting.irrigated {
        Some(true) => all.push("irrigated".to_owned()),
        Some(false) => all.push("not irrigated".to_owned()),
        None => {}
    }
    for (name, number) in [
        ("farm", &planting.farm_number),
        ("tract", &planting.tract_number),
        ("field", &planting.field_number),
    ] {
        if !number.is_empty() {
            all.push(format!("{name} {number}"));
        }
    }
    all
}

/// Name, county and state of a site, and where it is in words, as far as known.
fn site_words(site: &Site) -> String {
    let parts = [&site.name, &site.locality, &site.county, &site.state];
    let known: Vec<&str> = parts
        .into_iter()
        .map(|part| part.trim())
        .filter(|part| !part.is_empty())
        .collect();
    known.join(", ")
}

/// The page.
#[derive(Template)]
#[template(path = "plot/planting.html")]
struct PlantingPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting.
    planting: Entry<Planting>,
    /// Its site.
    site: Entry<Site>,
    /// Its site in words.
    place: String,
    /// Area, watering, numbers, with commas between; may be empty.
    facts: String,
    /// Whether the field may be walked.
    keep_outs: KeepOuts,
    /// Plants that wait to be seen again.
    come_back: Option<DueLine>,
    /// Dates that look wrong.
    questions: Vec<Question>,
    /// How and when it was sown, in words.
    sowing: String,
    /// What it is for, in words.
    purpose: &'static str,
    /// Its mix.
    mix: Vec<MixLine>,
    /// Its seed lots, in the order of the mix.
    lots: Vec<LotLine>,
    /// Whether one of them is worth a look.
    lots_open: bool,
    /// What happened, newest first.
    events: Vec<EventLine>,
    /// Its plots.
    plots: Vec<Entry<Plot>>,
    /// Its visits, newest first.
    visits: Vec<Row>,
    /// Form for a new plot.
    plot_form: Filled,
    /// Form for a new visit.
    visit_form: Filled,
}

/// Shows a planting.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "planting")?;
    run(app, move |app| {
        let (planting, site) = planting_and_site(app, id)?;
        let mix = planting
            .body
            .mix
            .iter()
            .map(|item| {
                let (common, scientific) = words::taxon_name(app, &item.taxon);
                MixLine {
                    common,
                    scientific,
                    rate: rate_words(item),
                }
            })
            .collect();
        let all_visits = app.book.visits(planting.id)?;
        let questions = dates::questions(&planting, &all_visits);
        let mut visits = Vec::new();
        for visit in all_visits.into_iter().rev() {
            let points = app.book.count_points(visit.id)?;
            let frames = app.book.count_frames(visit.id)?;
            visits.push(Row {
                address: format!("/visits/{}", visit.id),
                title: words::date_words(&visit.body.on),
                more: format!(
                    "{}; {}, {}",
                    visit.body.scouts.join(", "),
                    words::number_of(points, "point"),
                    words::number_of(frames, "frame")
                ),
            });
        }
        let lots = lot::lines(app, &planting)?;
        let mut plot = Filled::new();
        plot_form::defaults(&mut plot, &here, &planting);
        let mut visit = Filled::new();
        visit_form::defaults(&mut visit, &here, &planting);
        page::html(&PlantingPage {
            shell: Shell::new(app, &here, Tab::Plot, planting.body.name.clone()),
            sowing: words::sowing_words(&planting),
            purpose: words::purpose_words(planting.body.purpose),
            mix,
            place: site_words(&site.body),
            facts: facts(&planting.body).join(", "),
            keep_outs: keep_outs(app, planting.id)?,
            come_back: due_line(app, planting.id)?,
            questions,
            lots_open: lots.iter().any(|lot| lot.worry || lot.stray),
            lots,
            events: event::lines(app, &planting)?,
            plots: app.book.plots(planting.id)?,
            visits,
            plot_form: plot,
            visit_form: visit,
            planting,
            site,
        })
    })
    .await
}
