//! Where to look: plans of a planting, and drawing a new one.
//!
//! In: a design, a number of points, spares, an edge, a seed. Out: a preview of the very points
//! that saving keeps, or what stands in the way and what would fit.
//! Source: crate `plan`; advice on numbers in `advice`. Not here: the finished plan (`plan_page`).

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Plan, PlanDesign, PlannedPoint, Planting, Stopping};
use standbook_fieldbook::{Body, Entry, RecordId};
use standbook_plan::{
    Corner, Design, Draw, Points, Request, corners_from_text, draw, random_bearing_deg,
    spacing_for_m, walk, walk_in_groups,
};

use super::advice::{HowMany, how_many};
use super::land::Land;
use super::outline::planting_of;
use super::picture::{View, view};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::keep_form;
use crate::words::{digits, plain};

/// Points of a block after which a walk with a stopping rule may stop.
const BLOCK: usize = 4;

/// A drawn plan that is not kept yet.
struct Preview {
    /// The picture.
    view: View,
    /// `12 points and 4 spares; 1,900 m (1.2 miles) to walk`.
    says: String,
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

/// A number of a form, or why it is none.
fn number(filled: &mut Filled, field: &str, label: &str, least: f64, most: f64) -> Option<f64> {
    let text = filled.get(field).replace(',', ".");
    match text.parse::<f64>() {
        Ok(value) if (least..=most).contains(&value) => Some(value),
        _ => {
            filled.troubles.add(
                field,
                format!(
                    "{label}: give a number from {} to {}.",
                    plain(least),
                    plain(most)
                ),
            );
            None
        }
    }
}

/// What the form asks for.
struct Asked {
    request: Request,
    edge_m: f64,
    by_plots: bool,
    start: Option<Corner>,
    stopping: Option<Stopping>,
    design: PlanDesign,
}

fn asked(filled: &mut Filled, land: &Land, seed: u32) -> Option<Asked> {
    let points = number(filled, "points", "Points", 1.0, 1000.0);
    let spares = number(filled, "spares", "Spares", 0.0, 500.0);
    let edge_m = number(filled, "edge", "Distance from the edge", 0.0, 1000.0);
    let by_plots = filled.get("by_plots") == "yes";
    let start = match filled.get("start") {
        "" => None,
        text => match corners_from_text(text) {
            Ok(corners) => corners.first().copied(),
            Err(faults) => {
                for fault in faults.0 {
                    filled
                        .troubles
                        .add("start", format!("Start of the walk: {fault}"));
                }
                None
            }
        },
    };
    let stopping = match filled.get("stop") {
        "yes" => {
            let low = number(filled, "low", "Too few", 1.0, 98.0);
            let high = number(filled, "high", "Enough", 2.0, 99.0);
            let wrong = number(filled, "wrong", "Wrong answers", 1.0, 40.0);
            let most = number(filled, "most", "Most points", 4.0, 1000.0);
            if let (Some(low), Some(high)) = (low, high)
                && low >= high
            {
                filled
                    .troubles
                    .add("high", "Enough has to be above too few.");
            }
            Some(Stopping {
                low: low? / 100.0,
                high: high? / 100.0,
                wrongly_enough: wrong? / 100.0,
                wrongly_too_few: wrong? / 100.0,
                most_points: most? as u32,
            })
        }
        _ => None,
    };
    let (points, spares, edge_m) = (points? as u32, spares? as u32, edge_m?);
    // What is left blank is worked out from the ground.
    let ground = land.ground(edge_m, by_plots)?.ok();
    let spacing = ground
        .as_ref()
        .map_or(0.0, |ground| spacing_for_m(ground, points + spares));
    let (draw_design, design) = match filled.get("design") {
        "grid" => (
            Design::Grid { spacing_m: spacing },
            PlanDesign::Grid { spacing_m: spacing },
        ),
        "transects" => {
            let (apart_m, step_m) = (spacing * 1.5, spacing / 1.5);
            let bearing_deg = random_bearing_deg(seed);
            (
                Design::Transects {
                    apart_m,
                    step_m,
                    bearing_deg,
                },
                PlanDesign::Transects {
                    apart_m,
                    step_m,
                    bearing_deg,
                },
            )
        }
        _ => (Design::Balanced, PlanDesign::Balanced),
    };
    Some(Asked {
        request: Request {
            design: draw_design,
            points: Points::Total(points),
            spares,
            seed,
        },
        edge_m,
        by_plots,
        start,
        stopping,
        design,
    })
}

/// Draws what is asked for: the record's body, and the length of the walk in m.
fn drawn(
    filled: &mut Filled,
    land: &Land,
    planting: RecordId,
    asked: &Asked,
) -> Option<(Plan, f64)> {
    let ground = match land.ground(asked.edge_m, asked.by_plots)? {
        Ok(ground) => ground,
        Err(error) => {
            filled.troubles.add("edge", format!("{error}."));
            return None;
        }
    };
    let drawn: Draw = match draw(&ground, &asked.request) {
        Ok(drawn) => drawn,
        Err(error) => {
            filled.troubles.add("points", format!("{error}."));
            return None;
        }
    };
    let corners: Vec<Corner> = drawn.to_walk().map(|point| point.corner).collect();
    let way = match asked.stopping {
        // So that what was walked when the rule says stop is a fair part of the field.
        Some(_) => walk_in_groups(&corners, &drawn.fair_blocks(BLOCK), asked.start),
        None => walk(&corners, asked.start),
    };
    let mut places = way.places().into_iter();
    let points = drawn
        .points
        .iter()
        .map(|point| PlannedPoint {
            latitude: point.corner[0],
            longitude: point.corner[1],
            plot: point
                .plot
                .and_then(|at| land.plots.get(at))
                .map(|(id, ..)| *id)
                .or_else(|| plot_of(land, point.corner)),
            spare: point.spare,
            walk: if point.spare { None } else { places.next() },
        })
        .collect();
    let plan = Plan {
        planting,
        name: filled.get("name").chars().take(120).collect(),
        design: asked.design,
        seed: asked.request.seed,
        edge_m: asked.edge_m,
        points,
        stopping: asked.stopping,
    };
    Some((plan, way.length_m))
}

/// The plot whose outline holds a point, where plots did not part the draw.
fn plot_of(land: &Land, corner: Corner) -> Option<RecordId> {
    let areas: Vec<_> = land
        .plots
        .iter()
        .map(|(.., lot)| lot.area.clone())
        .collect();
    let field = &land.field.as_ref()?.area;
    let ground = standbook_plan::Ground::new(field, &[], &areas, 0.0).ok()?;
    land.plots.get(ground.plot_of(corner)?).map(|(id, ..)| *id)
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
        ("most", "24"),
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
            let words = format!(
                "{}: {}",
                plan.body.name,
                crate::words::number_of(walked, "point")
            );
            (format!("/plan/{}", plan.id), words)
        })
        .collect();
    let page = PlanFormPage {
        shell: Shell::new(app, here, Tab::Plot, "Where to look"),
        plans,
        has_outline: land.field.is_some(),
        has_plots: !land.plots.is_empty(),
        area: area_m2.map_or_else(String::new, |m2| {
            format!(
                "{} acres ({} ha)",
                digits(m2 / standbook_plan::ACRE_M2),
                digits(m2 / standbook_plan::HECTARE_M2)
            )
        }),
        how_many: how_many(area_m2),
        preview,
        planting,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// A seed nobody chose: bits of a fresh record id, which are random.
fn fresh_seed() -> u32 {
    let id = RecordId::new().to_string();
    let hex: String = id
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
            "{} and {}; {} m ({} miles) to walk from the first point to the last.",
            crate::words::number_of(plan.points.len() - spares, "point"),
            crate::words::number_of(spares, "spare"),
            digits(length_m),
            digits(length_m / 1609.344)
        ),
        seed: plan.seed,
    }
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
        match keep_form(app, &mut filled, "plan", body, to)? {
            Some(saved) => Ok(saved),
            None => {
                let preview = plan.map(|(plan, length_m)| preview(&land, &plan, length_m));
                page(app, &here, planting, filled, preview)
            }
        }
    })
    .await
}
