//! What a scout is told after a frame: may the walk stop, or how sure is it so far?
//!
//! In: the frames of a visit, and the walk by plan where there is one. Out: one line. With a
//! stopping rule in the plan it says what the rule says, always with the words that it holds only
//! for the order set before the walk; without one, how many points were counted and how wide the
//! interval is.
//!
//! Points take the place that the plan gives them; a spare takes that of the point it stands in
//! for. Unknowns count as not planted; where counting them as planted would change what the rule
//! says, that is said too.
//! Units: shares of cells; plants per m2.
//! Source: crate `stand`, modules `sequential` and `cluster`.
//! Not here: thresholds and a verdict (crate `judge`, the Stand page).

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::record::{Stopping, Visit};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_stand::cluster::{AreaUnit, CellUnit, Estimate, density, frequency};
use standbook_stand::confidence::Confidence;
use standbook_stand::sequential::{
    Assessment, Correlation, Look, Outcome, SequentialError, Simulation, StopRule, assess, forecast,
};
use standbook_stand::summary::Seen;

use super::walk::Walk;
use crate::app::App;
use crate::stand::numbers::Walked;
use crate::stand::resolve::Label;
use crate::words;

/// Walks simulated for "about 8 more": a page must not wait, and nobody needs the third digit.
const WALKS: u32 = 2_000;
/// No decision before so many points; the greatest number of a small plan may be less. Source:
/// `StopRule::between`.
const LEAST_POINTS: u32 = 4;

/// Cells of one kind of frame at each spot.
#[derive(Debug, Default)]
struct Spot {
    /// Cells with a planted species.
    planted: u32,
    /// Cells with a planted species or an unknown.
    perhaps: u32,
    /// Cells read.
    cells: u32,
}

/// What was read at the spots of a visit: cells of the most used kind of frame, and plants.
#[derive(Debug, Default)]
struct Read {
    spots: BTreeMap<RecordId, Spot>,
    areas: BTreeMap<RecordId, AreaUnit>,
}

fn read(app: &App, visit: &Entry<Visit>) -> Result<Option<Read>, BookError> {
    let Some(planting) = app.book.planting(visit.body.planting)? else {
        return Ok(None);
    };
    let walked = Walked::read(app, planting, visit)?;
    let mix: BTreeSet<Label> = walked.mix().into_iter().collect();
    let readings = walked.readings(&walked.unknowns);
    let mut kinds: BTreeMap<(u64, u32), usize> = BTreeMap::new();
    for reading in &readings {
        if let Seen::Grid { grid, .. } = &reading.seen {
            let kind = (grid.cell_side_cm.to_bits(), grid.cells);
            *kinds.entry(kind).or_default() += 1;
        }
    }
    let usual = kinds
        .into_iter()
        .max_by_key(|(_, n)| *n)
        .map(|(kind, _)| kind);
    let mut read = Read::default();
    for reading in readings {
        match reading.seen {
            Seen::Grid { grid, occupied } => {
                if usual != Some((grid.cell_side_cm.to_bits(), grid.cells)) {
                    continue;
                }
                let (mut planted, mut perhaps) = (BTreeSet::new(), BTreeSet::new());
                for (label, cells) in &occupied {
                    if mix.contains(label) {
                        planted.extend(cells);
                        perhaps.extend(cells);
                    } else if matches!(label, Label::Unknown(_)) {
                        perhaps.extend(cells);
                    }
                }
                let spot = read.spots.entry(reading.spot).or_default();
                let count = |set: &BTreeSet<&u32>| u32::try_from(set.len()).unwrap_or(u32::MAX);
                spot.planted += count(&planted);
                spot.perhaps += count(&perhaps);
                spot.cells += grid.cells;
            }
            Seen::Quadrat { area_m2, plants } => {
                let planted = plants.iter().filter(|(label, _)| mix.contains(label));
                let unit = read.areas.entry(reading.spot).or_insert(AreaUnit {
                    plants: 0,
                    area_m2: 0.0,
                });
                unit.plants += planted.map(|(_, n)| u64::from(*n)).sum::<u64>();
                unit.area_m2 += area_m2;
            }
        }
    }
    Ok(Some(read))
}

/// The line after a frame; `None` while nothing is counted.
pub(super) fn after_a_frame(
    app: &App,
    visit: &Entry<Visit>,
    walk: Option<&Walk>,
) -> Result<Option<String>, BookError> {
    let Some(read) = read(app, visit)? else {
        return Ok(None);
    };
    if let Some(walk) = walk
        && let Some(stopping) = walk.plan.body.stopping
    {
        return Ok(by_rule(&read, walk, stopping));
    }
    Ok(by_interval(&read))
}

/// The place of each spot in the order set before the walk: that of its stop, and of a spare that
/// of the missed point it stands in for.
pub(crate) fn places(walk: &Walk) -> BTreeMap<RecordId, u32> {
    let order = walk.in_order();
    let mut places = BTreeMap::new();
    let mut missed = Vec::new();
    for (place, stop) in (1..).zip(order) {
        match &stop.point {
            Some(point) if stop.reached() => {
                places.insert(point.id, place);
            }
            Some(_) => missed.push(place),
            None => {}
        }
    }
    let spares = walk
        .stops
        .iter()
        .filter(|stop| stop.spare && stop.reached());
    for (stop, place) in spares.zip(missed) {
        if let Some(point) = &stop.point {
            places.insert(point.id, place);
        }
    }
    places
}

/// The rule of a plan as crate `stand` takes it.
pub(crate) fn rule_of(stopping: Stopping) -> StopRule {
    StopRule {
        p_low: stopping.low,
        p_high: stopping.high,
        wrong_enough: stopping.wrongly_enough,
        wrong_too_few: stopping.wrongly_too_few,
        correlation: Correlation::ASSUMED,
        least_points: LEAST_POINTS.min(stopping.most_points.max(1)),
        most_points: stopping.most_points,
    }
}

fn by_rule(read: &Read, walk: &Walk, stopping: Stopping) -> Option<String> {
    let rule = rule_of(stopping);
    let places = places(walk);
    let looks = |found: fn(&Spot) -> u32| -> Vec<Look> {
        // Ids sort by birth: the order in which the points were made.
        let spots = read.spots.iter();
        spots
            .filter_map(|(spot, it)| {
                Some(Look {
                    place: *places.get(spot)?,
                    occupied: found(it),
                    cells: it.cells,
                })
            })
            .collect()
    };
    let sure = looks(|spot| spot.planted);
    if sure.is_empty() {
        return None;
    }
    let said = match said(&rule, &sure) {
        Ok(said) => said,
        Err(error) => return Some(format!("The stopping rule can't be used: {error}.")),
    };
    let mut line = said.0;
    let perhaps = looks(|spot| spot.perhaps);
    if let Ok((other, with_unknowns)) = self::said(&rule, &perhaps)
        && with_unknowns.outcome != said.1.outcome
    {
        line.push_str(&format!(
            " With every unknown counted as planted it would be: {}",
            other.to_lowercase()
        ));
    }
    line.push_str(" This holds only for points taken in the order set before the walk.");
    let list = |places: &[u32]| -> String {
        let places: Vec<String> = places.iter().map(u32::to_string).collect();
        places.join(", ")
    };
    if !said.1.out_of_order.is_empty() {
        line.push_str(&format!(
            " Not so here: stop {} came after a later one.",
            list(&said.1.out_of_order)
        ));
    }
    if !said.1.skipped.is_empty() {
        line.push_str(&format!(
            " Not counted yet: stop {}.",
            list(&said.1.skipped)
        ));
    }
    if said.1.later_points_disagree {
        line.push_str(" Points counted after that pull the other way.");
    }
    Some(line)
}

/// What the rule says of these points.
fn said(rule: &StopRule, looks: &[Look]) -> Result<(String, Assessment), SequentialError> {
    let assessment = assess(rule, looks)?;
    let words = match assessment.outcome {
        Outcome::Enough => format!("You can stop: above {}.", words::percent(rule.p_low)),
        Outcome::TooFew => format!(
            "You can stop: below {}. Whether it is above {} is not said.",
            words::percent(rule.p_high),
            words::percent(rule.p_low)
        ),
        Outcome::Undecided => format!(
            "Maximum of {} points reached, not decided between {} and {}.",
            rule.most_points,
            words::percent(rule.p_low),
            words::percent(rule.p_high)
        ),
        Outcome::GoOn => {
            let simulation = Simulation {
                walks: WALKS,
                ..Simulation::default()
            };
            let left = usize::try_from(assessment.points_left).unwrap_or(usize::MAX);
            match forecast(&assessment, looks, simulation)? {
                Some(ahead) => {
                    let more = usize::try_from(ahead.median_more.max(1)).unwrap_or(usize::MAX);
                    let more = words::number_of(more, "more point");
                    format!("Go on: about {more}, {left} at most.")
                }
                None => format!("Go on: {} at most.", words::number_of(left, "more point")),
            }
        }
    };
    Ok((words, assessment))
}

fn by_interval(read: &Read) -> Option<String> {
    let cells: Vec<CellUnit> = read
        .spots
        .values()
        .map(|spot| CellUnit {
            occupied: u64::from(spot.planted),
            cells: u64::from(spot.cells),
        })
        .collect();
    if let Ok(estimate) = frequency(&cells, Confidence::P95) {
        let share = words::percent(estimate.value);
        let points = words::number_of(cells.len(), "point");
        let Some((low, high)) = limits(&estimate) else {
            return Some(format!(
                "Counted at {points}: planted species in {share} of cells. One point shows no spread, so there is no interval yet."
            ));
        };
        return Some(format!(
            "Counted at {points}: planted species in {share} of cells. The 95 % interval, {:.0} to {:.0} %, is {:.0} percentage points wide.",
            low * 100.0,
            high * 100.0,
            (high - low) * 100.0
        ));
    }
    let areas: Vec<AreaUnit> = read.areas.values().copied().collect();
    let estimate = density(&areas, Confidence::P95).ok()?;
    let points = words::number_of(areas.len(), "point");
    let value = words::plants_per_area(estimate.value);
    Some(match limits(&estimate) {
        Some((low, high)) => format!(
            "Counted at {points}: {value} of planted species. The 95 % interval is {} to {} plants/m² ({} to {} plants/ft²).",
            words::digits(low),
            words::digits(high),
            words::digits(low * words::M2_PER_FT2),
            words::digits(high * words::M2_PER_FT2)
        ),
        None => format!(
            "Counted at {points}: {value} of planted species. One point shows no spread, so there is no interval yet."
        ),
    })
}

fn limits(estimate: &Estimate) -> Option<(f64, f64)> {
    let limited = estimate.limits.as_ref().ok()?;
    Some((limited.interval.lower, limited.interval.upper))
}
