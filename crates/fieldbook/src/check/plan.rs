//! Rules of sampling plans by themselves.
//!
//! Not here: whether points lie in the outline (crate `plan`), and in plots of the planting (`links`).

use super::{Faults, limits};
use crate::record::{Plan, PlanDesign, Stopping};

pub(super) fn plan(faults: &mut Faults, plan: &Plan) {
    faults.name("name", &plan.name);
    match plan.design {
        PlanDesign::Balanced => {}
        PlanDesign::Grid { spacing_m } => {
            distance(faults, "design.spacing_m", spacing_m);
        }
        PlanDesign::Transects {
            apart_m,
            step_m,
            bearing_deg,
        } => {
            distance(faults, "design.apart_m", apart_m);
            distance(faults, "design.step_m", step_m);
            faults.not_negative("design.bearing_deg", bearing_deg, 180.0, "degrees");
        }
    }
    faults.not_negative("edge_m", plan.edge_m, limits::PLAN_DISTANCE_M, "m");
    points(faults, plan);
    if let Some(rule) = plan.stopping {
        stopping(faults, rule);
    }
}

fn distance(faults: &mut Faults, field: &str, metres: f64) {
    faults.above_zero(field, metres, limits::PLAN_DISTANCE_M, "m");
}

fn points(faults: &mut Faults, plan: &Plan) {
    let points = &plan.points;
    faults.items("points", points.len(), 1, limits::PLAN_POINTS, "points");
    let to_walk = points.iter().filter(|point| !point.spare).count();
    if !points.is_empty() && to_walk == 0 {
        let mend = "Give at least one point that is no spare.";
        faults.add("points", "all points are spares", mend);
    }
    let mut taken = vec![false; to_walk];
    for (at, point) in points.iter().enumerate() {
        let field = format!("points[{at}]");
        faults.degrees(&format!("{field}."), point.latitude, point.longitude);
        let field = format!("{field}.walk");
        match (point.spare, point.walk) {
            (true, None) => {}
            (true, Some(walk)) => {
                let problem = format!("a spare has the place {walk} in the walk");
                faults.add(
                    field,
                    problem,
                    "Leave it out: a spare is walked to only in need.",
                );
            }
            (false, None) => {
                let mend = format!("Give each point but spares a place from 1 to {to_walk}.");
                faults.add(field, "it has no place in the walk", mend);
            }
            (false, Some(walk)) => {
                // `taken` has a place for each, so without a repeat there is no gap either.
                let place = usize::try_from(walk)
                    .ok()
                    .and_then(|walk| taken.get_mut(walk.checked_sub(1)?));
                match place {
                    Some(place) if !*place => *place = true,
                    Some(_) => {
                        let problem = format!("two points have the place {walk} in the walk");
                        faults.add(field, problem, "Give each place once.");
                    }
                    None => {
                        let problem = format!("the place {walk} in the walk is out of range");
                        let mend =
                            format!("Use each place from 1 to {to_walk} once, without a gap.");
                        faults.add(field, problem, mend);
                    }
                }
            }
        }
    }
}

fn stopping(faults: &mut Faults, rule: Stopping) {
    let share = |value: f64| (0.0..=1.0).contains(&value);
    for (field, value) in [("stopping.low", rule.low), ("stopping.high", rule.high)] {
        if !share(value) {
            faults.add(
                field,
                format!("{value} is no share of cells"),
                "Use a number from 0 to 1.",
            );
        }
    }
    if share(rule.low) && share(rule.high) && rule.low >= rule.high {
        faults.add(
            "stopping.high",
            format!("enough ({}) is not above too few ({})", rule.high, rule.low),
            "Give a share that is enough, above the share that is too few.",
        );
    }
    for (field, rate) in [
        ("stopping.wrongly_enough", rule.wrongly_enough),
        ("stopping.wrongly_too_few", rule.wrongly_too_few),
    ] {
        if !(rate > 0.0 && rate < 0.5) {
            faults.add(
                field,
                format!("the error rate {rate} is out of range"),
                "Use a number above 0 and below 0.5, such as 0.1.",
            );
        }
    }
    faults.whole_number("stopping.most_points", rule.most_points, limits::NUMBER);
}
