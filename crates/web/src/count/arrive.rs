//! What the two buttons of a stop record: "I am here", "can't reach it".
//!
//! In: a visit, a plan, a number in it. Out: a point that names plan and number. Its position is a
//! fix that somebody typed, or none: where it was planned stands in the plan, and a place where
//! nobody took a fix is not passed off as one.
//! Not here: the frame counted there (`sheet`).

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::{PlannedAt, Point};
use standbook_fieldbook::{Body, BookError, RecordId};

use super::fix::read_position;
use super::next_stop::plot_of;
use super::walk::{Stop, Walk};
use super::walk_page::{page, visit_of, walk_of};
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::{self, keep, saved};

/// Why a point is not reached, in the words that are kept. Common practice.
pub(super) const REASONS: [&str; 6] = [
    "standing water or mud",
    "fence, gate or no permission",
    "steep or unsafe ground",
    "trees, brush or tall crop",
    "stock or machinery",
    "not in the planting",
];

/// The page of reasons.
#[derive(Template)]
#[template(path = "count/cannot.html")]
struct CannotPage {
    /// Frame around the page.
    shell: Shell,
    /// The visit.
    visit: RecordId,
    /// The plan walked.
    plan: RecordId,
    /// Number in the plan.
    number: u32,
    /// Reasons, one press each.
    reasons: [&'static str; 6],
    /// Plots to choose from; empty when the plot is known.
    plots: Vec<(String, String)>,
    /// What is filled in.
    filled: Filled,
}

fn cannot_page(
    app: &App,
    here: &Here,
    visit: RecordId,
    walk: &Walk,
    stop: &Stop,
    mut filled: Filled,
) -> Result<Response, Failure> {
    filled.default_to("id", RecordId::new().to_string());
    filled.default_to("scout", here.scout.clone().unwrap_or_default());
    let plots = plot_of(app, walk, stop)?.err().unwrap_or_default();
    if let (Some(_), Some((id, _))) = (&walk.last, plots.first()) {
        filled.default_to("plot", id.clone());
    }
    let name = walk.title(stop);
    let page = CannotPage {
        shell: Shell::new(app, here, Tab::Count, format!("{name}: can't reach it")),
        visit,
        plan: walk.plan.id,
        number: stop.number,
        reasons: REASONS,
        plots,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

fn stop_of<'w>(walk: &'w Walk, form: &Form) -> Result<&'w Stop, Failure> {
    let number: u32 = form.get("number").parse().unwrap_or(0);
    let mut stops = walk.stops.iter();
    stops
        .find(|stop| stop.number == number)
        .ok_or(Failure::NotFound {
            what: "point of this plan",
        })
}

/// Asks why a point can't be reached.
pub(super) async fn cannot(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    let id = record_id(&id, "visit")?;
    run(app, move |app| {
        let visit = visit_of(app, id)?;
        let walk = walk_of(app, &visit, &query)?;
        let stop = stop_of(&walk, &query)?;
        cannot_page(app, &here, visit.id, &walk, stop, Filled::new())
    })
    .await
}

/// A label that no other point of this plot and visit has: the name in the plan, as on the map
/// and in the files taken out.
fn label(
    app: &App,
    name: String,
    plot: RecordId,
    visit: RecordId,
    own: RecordId,
) -> Result<String, BookError> {
    let points = app.book.points_in(plot, visit)?;
    let taken = points
        .iter()
        .any(|point| point.id != own && point.body.label.trim() == name);
    Ok(match taken {
        true => format!("plan {name}"),
        false => name,
    })
}

/// Records that the scout is at a planned point, or can't get there.
pub(super) async fn arrive(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| take_arrival(app, &here, &id, form)).await
}

/// The same, for a form that came by whatever way.
pub(crate) fn take_arrival(
    app: &App,
    here: &Here,
    visit: &str,
    form: Form,
) -> Result<Response, Failure> {
    let id = record_id(visit, "visit")?;
    let visit = visit_of(app, id)?;
    let walk = walk_of(app, &visit, &form)?;
    let stop = stop_of(&walk, &form)?;
    let cannot = form.get("do") == "cannot";
    // Somebody stood there: one point is enough, however often a button is pressed. But frames that
    // were read out of reach hang on the id that their phone gave: there the arrival becomes one
    // more version of the same point, and frames of both are found by either.
    let away = here.born_at.is_some() && !cannot;
    let reached = stop.point.as_ref().filter(|_| stop.reached());
    if let Some(point) = reached.filter(|_| !away) {
        let place = if cannot { "" } else { "/count" };
        let to = format!("/at/{}{place}", point.id);
        return Ok(Redirect::to(&to).into_response());
    }
    let mut filled = Filled {
        form: form.clone(),
        ..Filled::new()
    };
    let scout = filled.read_name("scout", "Your name");
    let plot = match plot_of(app, &walk, stop)? {
        Ok(plot) => Some(plot),
        Err(plots) if plots.is_empty() => {
            filled.troubles.add(
                    "plot",
                    "This planting has no plot yet, and points lie in plots. Add one on the page of the planting.",
                );
            None
        }
        Err(plots) => {
            let chosen = plots.iter().find(|(id, _)| id == form.get("plot"));
            if chosen.is_none() {
                filled
                    .troubles
                    .add("plot", "The plot is missing. Choose the one you stand in.");
            }
            chosen.and_then(|(id, _)| id.parse().ok())
        }
    };
    let mut unreachable = String::new();
    let mut position = None;
    if cannot {
        unreachable = match form.get("reason") {
            "" | "other" => filled.read_note("other", "The reason"),
            reason => reason.to_owned(),
        };
        if unreachable.is_empty() {
            filled.troubles.add(
                "other",
                "The reason is missing. Press one, or type what keeps you from it.",
            );
        }
    } else {
        position = read_position(&mut filled).or(reached.and_then(|point| point.body.position));
    }
    let id = filled.id();
    let before = match app.book.get(id)? {
        // Sent before.
        Some(first) => first.supersedes,
        None => stop.point.as_ref().map(|point| point.id),
    };
    if let Some(plot) = plot.filter(|_| filled.troubles.none()) {
        let draft = keep::Draft {
            id,
            // Reached after all, or missed for another reason: the record before stays.
            supersedes: before,
            body: Body::Point(Point {
                plot,
                visit: visit.id,
                label: label(
                    app,
                    walk.short_name(stop),
                    plot,
                    visit.id,
                    stop.point.as_ref().map_or(id, |it| it.id),
                )?,
                position,
                planned: Some(PlannedAt {
                    plan: walk.plan.id,
                    number: stop.number,
                }),
                unreachable,
            }),
        };
        match keep(app, here, &scout, &[draft]) {
            Ok(()) if cannot => {
                let to = format!(
                    "/visits/{}/walk?plan={}&missed={}",
                    visit.id, walk.plan.id, stop.number
                );
                return Ok(saved(&to, &scout, None));
            }
            Ok(()) => return Ok(saved(&format!("/at/{id}/count"), &scout, Some(id))),
            // Sent before and changed since: what was saved first stands.
            Err(BookError::Conflict { .. }) => {
                let to = format!("/visits/{}/walk?plan={}", visit.id, walk.plan.id);
                return Ok(Redirect::to(&to).into_response());
            }
            Err(error) => filled.troubles.refused(&error, |_, field| match field {
                "author" => "scout".to_owned(),
                "unreachable" => "other".to_owned(),
                field => field.rsplit('.').next().unwrap_or(field).to_owned(),
            }),
        }
    }
    if cannot {
        return cannot_page(app, here, visit.id, &walk, stop, filled);
    }
    page(app, here, visit, &form, Some((stop.number, filled)))
}
