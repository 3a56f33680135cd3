//! One plan: picture, points in walking order, files for a hand-held receiver, a page to print.
//!
//! In: a plan. Out: a page; GPX 1.1; GeoJSON (RFC 7946). Not here: walking it (`count`).

use askama::Template;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Plan, PlanDesign, Planting};
use standbook_plan::{Area, Sheet, SheetPoint, Whereabouts, distance_m, to_geojson, to_gpx};

use super::land::Land;
use super::measures::{feet, metres_feet, metres_miles};
use super::picture::View;
use super::plan_draw::BLOCK;
use super::plan_form::{names, view_of};
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::plot::entry::{KeepOuts, keep_outs};
use crate::words::{date_words, number_of, percent, plain};

/// Visits offered for the walk: the latest ones.
const MOST_VISITS: usize = 4;

/// One point of the table.
struct Line {
    /// `1`, `S1`.
    name: String,
    /// Its plot; may be empty.
    plot: String,
    /// Latitude and longitude, six digits after the point.
    at: String,
    /// Distance from the one before, in m; empty for the first and for spares.
    from_last: String,
    /// The same in feet.
    feet: String,
    /// How many points have been walked, where the rule may end the walk after this one.
    may_stop: Option<usize>,
}

#[derive(Template)]
#[template(path = "ground/plan.html")]
struct PlanPage {
    /// Frame around the page.
    shell: Shell,
    /// The plan.
    plan: Entry<Plan>,
    /// The planting it is for.
    planting: Entry<Planting>,
    /// Whether the field may be walked after spraying.
    keep_outs: KeepOuts,
    /// Points that lie outside of the outline as it is now, in words; may be empty.
    astray: String,
    /// The picture.
    view: View,
    /// How the points were chosen.
    design: String,
    /// Points in walking order.
    walk: Vec<Line>,
    /// Spares.
    spares: Vec<Line>,
    /// Length of the walk.
    length: String,
    /// The stopping rule; may be empty.
    stopping: String,
    /// Distance kept from every edge.
    edge: String,
    /// Visits that can walk it: address and date.
    visits: Vec<(String, String)>,
}

/// A plan and its planting.
fn plan_of(app: &App, id: &str) -> Result<(Entry<Plan>, Entry<Planting>), Failure> {
    let id = record_id(id, "plan")?;
    let plan = app
        .book
        .plan(id)?
        .ok_or(Failure::NotFound { what: "plan" })?;
    let planting = app
        .book
        .planting(plan.body.planting)?
        .ok_or(Failure::NotFound { what: "planting" })?;
    Ok((plan, planting))
}

fn plot_name(
    app: &App,
    point: &standbook_fieldbook::record::PlannedPoint,
) -> Result<String, Failure> {
    let Some(plot) = point.plot else {
        return Ok(String::new());
    };
    Ok(app
        .book
        .plot(plot)?
        .map_or_else(String::new, |plot| plot.body.name))
}

fn design_words(plan: &Plan) -> String {
    match plan.design {
        PlanDesign::Balanced => {
            "Spread evenly over the field by chance (Halton sequence from a random start)."
                .to_owned()
        }
        PlanDesign::Grid { spacing_m } => format!(
            "On a square grid, {} apart, from a random start; numbered by chance.",
            metres_feet(spacing_m)
        ),
        PlanDesign::Transects {
            apart_m,
            step_m,
            bearing_deg,
        } => format!(
            "On parallel lines, {} apart, running {bearing_deg:.0} degrees clockwise from north, a point every {}, from a random start.",
            metres_feet(apart_m),
            metres_feet(step_m)
        ),
    }
}

/// Points that the outline, changed since the draw, no longer holds.
fn astray(land: &Land, plan: &Plan, names: &[String]) -> String {
    let Some(Ok(ground)) = land.ground(0.0, false) else {
        return String::new();
    };
    let outside: Vec<&str> = plan
        .points
        .iter()
        .zip(names)
        .filter(|(point, _)| {
            let at = ground.whereabouts([point.latitude, point.longitude]);
            matches!(
                at,
                Whereabouts::Outside { .. } | Whereabouts::KeepOut { .. }
            )
        })
        .map(|(_, name)| name.as_str())
        .collect();
    match outside.as_slice() {
        [] => String::new(),
        names => format!(
            "The outline was changed after this plan was drawn: {} now outside of it or on ground kept out of: {}. Draw a new plan.",
            if names.len() == 1 {
                "one point lies"
            } else {
                "points lie"
            },
            names.join(", ")
        ),
    }
}

/// `GET /plan/{id}`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let (plan, planting) = plan_of(app, &id)?;
        let land = Land::read(app, planting.id)?;
        let names = names(&plan.body);
        let mut order: Vec<usize> = (0..plan.body.points.len())
            .filter(|at| plan.body.points[*at].walk.is_some())
            .collect();
        order.sort_by_key(|at| plan.body.points[*at].walk);
        let line = |at: usize, before: Option<usize>| -> Result<(Line, f64), Failure> {
            let point = &plan.body.points[at];
            let corner = [point.latitude, point.longitude];
            let metres = before.map(|before| {
                let other = &plan.body.points[before];
                distance_m([other.latitude, other.longitude], corner)
            });
            Ok((
                Line {
                    name: names[at].clone(),
                    plot: plot_name(app, point)?,
                    at: format!("{:.6}, {:.6}", point.latitude, point.longitude),
                    from_last: metres.map_or_else(String::new, |m| format!("{m:.0} m")),
                    feet: metres.map_or_else(String::new, feet),
                    may_stop: None,
                },
                metres.unwrap_or(0.0),
            ))
        };
        let (mut walk, mut length_m, mut before) = (Vec::new(), 0.0, None);
        let (last, mut greatest, mut stopped) = (order.len(), 0, 0);
        for at in order {
            let (mut line, metres) = line(at, before)?;
            greatest = greatest.max(at);
            let walked = walk.len() + 1;
            // Walked so far are the first points of the draw and no others: a fair part of it.
            let fair = greatest + 1 == walked && walked >= stopped + BLOCK;
            if plan.body.stopping.is_some() && fair && walked < last {
                line.may_stop = Some(walked);
                stopped = walked;
            }
            walk.push(line);
            length_m += metres;
            before = Some(at);
        }
        let mut spares = Vec::new();
        for at in (0..plan.body.points.len()).filter(|at| plan.body.points[*at].spare) {
            spares.push(line(at, None)?.0);
        }
        let visits = app
            .book
            .visits(planting.id)?
            .iter()
            .rev()
            .take(MOST_VISITS)
            .map(|visit| {
                let address = format!("/visits/{}/walk?plan={}", visit.id, plan.id);
                (address, date_words(&visit.body.on))
            })
            .collect();
        html(&PlanPage {
            shell: Shell::new(app, &here, Tab::Plot, plan.body.name.clone()),
            keep_outs: keep_outs(app, planting.id)?,
            astray: astray(&land, &plan.body, &names),
            view: view_of(&land, &plan.body),
            design: design_words(&plan.body),
            walk,
            spares,
            length: metres_miles(length_m),
            edge: format!("{} m ({})", plain(plan.body.edge_m), feet(plan.body.edge_m)),
            stopping: plan.body.stopping.map_or_else(String::new, |rule| format!(
                "Stop when the rule says so: above {} of cells with a planted species, below {} (which leaves open whether it is above the first), or after {} undecided. At either end it is wrong at most {} of the time, if cells of one frame are no more alike than assumed, and only for points taken in this order.",
                percent(rule.low),
                percent(rule.high),
                number_of(usize::try_from(rule.most_points).unwrap_or(usize::MAX), "point"),
                percent(rule.wrongly_enough.max(rule.wrongly_too_few))
            )),
            visits,
            planting,
            plan,
        })
    })
    .await
}

/// All that a file holds.
fn file(
    app: &App,
    id: &str,
    write: impl Fn(&Sheet<'_>) -> String,
    kind: &'static str,
    ending: &str,
) -> Result<Response, Failure> {
    let (plan, planting) = plan_of(app, id)?;
    let land = Land::read(app, planting.id)?;
    let Some(field) = &land.field else {
        return Err(Failure::BadRequest(
            "The outline of the field is gone, so there is no file. Draw it again.".to_owned(),
        ));
    };
    let points = plan
        .body
        .points
        .iter()
        .map(|point| {
            Ok(SheetPoint {
                corner: [point.latitude, point.longitude],
                plot: Some(plot_name(app, point)?).filter(|name| !name.is_empty()),
                spare: point.spare,
                walk: point.walk,
            })
        })
        .collect::<Result<Vec<_>, Failure>>()?;
    let named = |lots: Vec<(String, Area)>| lots;
    let sheet = Sheet {
        name: &format!("{}: {}", planting.body.name, plan.body.name),
        field: &field.area,
        keep_out: &named(
            land.keep_out
                .iter()
                .map(|lot| (lot.entry.body.name.clone(), lot.area.clone()))
                .collect(),
        ),
        plots: &named(
            land.plots
                .iter()
                .map(|(_, name, lot)| (name.clone(), lot.area.clone()))
                .collect(),
        ),
        points: &points,
    };
    let name: String = planting
        .body
        .name
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        })
        .collect();
    let headers = [
        (CONTENT_TYPE, kind.to_owned()),
        (
            CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}-points.{ending}\""),
        ),
    ];
    Ok((headers, write(&sheet)).into_response())
}

/// `GET /plan/{id}/points.gpx`.
pub(super) async fn gpx(
    State(app): State<Shared>,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        file(app, &id, to_gpx, "application/gpx+xml", "gpx")
    })
    .await
}

/// `GET /plan/{id}/points.geojson`.
pub(super) async fn geojson(
    State(app): State<Shared>,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        file(app, &id, to_geojson, "application/geo+json", "geojson")
    })
    .await
}
