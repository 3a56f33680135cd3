//! Where to look: plans of a planting, and drawing a new one.
//!
//! In: a design, a number of points, spares, an edge, a seed. Out: a preview of the very points
//! that saving keeps, or what stands in the way and what would fit.
//! Source: crate `plan`; advice on numbers in `advice`. Not here: the finished plan (`plan_page`).

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Plan, PlannedPoint, Planting};
use standbook_fieldbook::{Body, Entry, RecordId};
use standbook_plan::Corner;

use super::advice::{HowMany, how_many};
use super::land::Land;
use super::measures::{acres, metres_miles};
use super::outline::planting_of;
use super::picture::{View, view};
use super::plan_draw::{asked, drawn};
use super::rule::outlook;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::keep_form;
use crate::words::number_of;

/// Where a walk may start, as forms spell it and for people.
const CORNERS: [(&str, &str); 5] = [
    ("", "Wherever the way is shortest"),
    ("nw", "Corner in the north-west"),
    ("ne", "Corner in the north-east"),
    ("se", "Corner in the south-east"),
    ("sw", "Corner in the south-west"),
];

/// A drawn plan that is not kept yet.
struct Preview {
    /// The picture.
    view: View,
    /// `12 points and 4 spares; 1,900 m (1.2 miles) to walk`.
    says: String,
    /// How many points fall in each plot; empty without plots.
    by_plot: String,
    /// How long walks by the stopping rule are; empty without one.
    outlook: String,
    /// What the draw started from.
    seed: u32,
}

#[derive(Template)]
#[template(path = "ground/plan_new.html")]
struct PlanFormPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting.
    planting: Entry<Planting>,
    /// Plans there are: address and words.
    plans: Vec<(String, String)>,
    /// Whether the field has an outline.
    has_outline: bool,
    /// Whether plots have outlines.
    has_plots: bool,
    /// Area left to look at; may be empty.
    area: String,
    /// How many points, by source.
    how_many: Vec<HowMany>,
    /// What was drawn; `None`: nothing asked for yet, or it could not be.
    preview: Option<Preview>,
    /// The form.
    filled: Filled,
}

impl PlanFormPage {
    /// Whether a choice is the one filled in.
    fn is(&self, field: &str, value: &str) -> bool {
        self.filled.get(field) == value
    }
}

fn page(
    app: &App,
    here: &Here,
    planting: Entry<Planting>,
    mut filled: Filled,
    preview: Option<Preview>,
) -> Result<Response, Failure> {
    filled.begin(here);
    let defaults = [
        ("design", "balanced"),
        ("points", "12"),
        ("spares", "4"),
        ("edge", "5"),
        ("low", "25"),
        ("high", "40"),
        ("wrong", "10"),
        ("name", "Walk"),
    ];
    for (field, value) in defaults {
        if filled.get(field).is_empty() {
            filled.set(field, value);
        }
    }
    let land = Land::read(app, planting.id)?;
    let area_m2 = land.field.as_ref().map(|lot| lot.area.measure().area_m2);
    let plans = app
        .book
        .plans(planting.id)?
        .into_iter()
        .rev()
        .map(|plan| {
            let walked = plan.body.points.iter().filter(|point| !point.spare).count();
            let words = format!("{}: {}", plan.body.name, number_of(walked, "point"));
            (format!("/plan/{}", plan.id), words)
        })
        .collect();
    let page = PlanFormPage {
        shell: Shell::new(app, here, Tab::Plot, "Where to look"),
        plans,
        has_outline: land.field.is_some(),
        has_plots: !land.plots.is_empty(),
        area: area_m2.map_or_else(String::new, acres),
        how_many: how_many(area_m2),
        preview,
        planting,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// A seed nobody chose.
pub(crate) fn fresh_seed() -> u32 {
    seed_of(RecordId::new())
}

/// The seed in a record's id: bits of it that are random.
pub(crate) fn seed_of(id: RecordId) -> u32 {
    let hex: String = id
        .to_string()
        .chars()
        .filter(char::is_ascii_hexdigit)
        .rev()
        .take(7)
        .collect();
    u32::from_str_radix(&hex, 16).unwrap_or(1)
}

/// `GET /planting/{id}/plan`: the plans, the form, and with `preview` what it would draw.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = planting_of(app, &id)?;
        let wants_preview = query.has("preview");
        let mut filled = Filled::sent(query);
        filled.set("id", RecordId::new().to_string());
        if !wants_preview {
            return page(app, &here, planting, filled, None);
        }
        let seed = match filled.get("seed").parse() {
            Ok(seed) if filled.get("preview") != "anew" => seed,
            _ => fresh_seed(),
        };
        filled.set("seed", seed.to_string());
        let land = Land::read(app, planting.id)?;
        let plan = asked(&mut filled, &land, seed)
            .and_then(|asked| drawn(&mut filled, &land, planting.id, &asked));
        let preview = plan.map(|(plan, length_m)| preview(&land, &plan, length_m));
        page(app, &here, planting, filled, preview)
    })
    .await
}

fn preview(land: &Land, plan: &Plan, length_m: f64) -> Preview {
    let spares = plan.points.iter().filter(|point| point.spare).count();
    Preview {
        view: view_of(land, plan),
        says: format!(
            "{} and {}; {} to walk.",
            number_of(plan.points.len() - spares, "point"),
            number_of(spares, "spare"),
            metres_miles(length_m)
        ),
        by_plot: by_plot(land, plan),
        outlook: plan.stopping.map_or_else(String::new, outlook),
        seed: plan.seed,
    }
}

/// `Crown 3, Gate 2`: points to walk in each plot that has an outline.
fn by_plot(land: &Land, plan: &Plan) -> String {
    let shares: Vec<String> = land
        .plots
        .iter()
        .map(|(id, name, _)| {
            let points = plan.points.iter();
            let n = points.filter(|p| !p.spare && p.plot == Some(*id)).count();
            format!("{name} {n}")
        })
        .collect();
    shares.join(", ")
}

/// The picture of a plan, its way to walk drawn in.
pub(super) fn view_of(land: &Land, plan: &Plan) -> View {
    let names = names(plan);
    let points: Vec<(Corner, String, bool)> = plan
        .points
        .iter()
        .zip(names)
        .map(|(point, name)| ([point.latitude, point.longitude], name, point.spare))
        .collect();
    let mut walked: Vec<&PlannedPoint> = plan.points.iter().filter(|p| p.walk.is_some()).collect();
    walked.sort_by_key(|point| point.walk);
    let way: Vec<Corner> = walked.iter().map(|p| [p.latitude, p.longitude]).collect();
    view(land, &points, &way)
}

/// What points are called: their number, spares `S1` and on.
pub(super) fn names(plan: &Plan) -> Vec<String> {
    let (mut number, mut spare) = (0, 0);
    plan.points
        .iter()
        .map(|point| {
            if point.spare {
                spare += 1;
                format!("S{spare}")
            } else {
                number += 1;
                number.to_string()
            }
        })
        .collect()
}

/// `POST /planting/{id}/plan`: keeps what the same fields draw.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = planting_of(app, &id)?;
        let mut filled = Filled::sent(form);
        let land = Land::read(app, planting.id)?;
        if land.field.is_none() {
            filled
                .troubles
                .add("", "Draw the outline of the field first.");
        }
        let seed = match filled.get("seed").parse::<u32>() {
            Ok(seed) => seed,
            Err(_) => {
                filled
                    .troubles
                    .add("seed", "The draw has no start: press Draw again.");
                0
            }
        };
        let plan = asked(&mut filled, &land, seed)
            .and_then(|asked| drawn(&mut filled, &land, planting.id, &asked));
        let body = plan.as_ref().map(|(plan, _)| Body::Plan(plan.clone()));
        let to = |id| format!("/plan/{id}");
        match keep_form(app, &here, &mut filled, "plan", body, to)? {
            Some(saved) => Ok(saved),
            None => {
                if filled.supersedes().is_some() {
                    // Points that were walked name the first draw by number: it is not corrected.
                    filled.set("supersedes", "");
                    for trouble in &mut filled.troubles.list {
                        trouble.message = "This plan was saved already, and the form has been changed since. Nothing new was saved. Save it now to keep these points too, as a plan of their own.".to_owned();
                    }
                }
                let preview = plan.map(|(plan, length_m)| preview(&land, &plan, length_m));
                page(app, &here, planting, filled, preview)
            }
        }
    })
    .await
}
