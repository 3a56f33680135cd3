//! How many more spots, and where the rule set before the walk stands.
//!
//! In: the visit in numbers, the rule. Out: [`Enough`], notes.
//! Source: `standbook_stand::sample_size`, `standbook_stand::sequential`. The wishes (10 points
//! of frequency, a quarter of a density) are ours.

use std::collections::{BTreeMap, BTreeSet};

use standbook_stand::cluster::{AreaUnit, CellUnit};
use standbook_stand::sample_size::{Wanted, for_density, for_frequency};
use standbook_stand::sequential::{Look, Simulation, assess, forecast};
use standbook_stand::summary::Seen;

use crate::case::{Case, Stopping};
use crate::judgement::{Enough, Sequential, Wish};
use crate::label::Label;
use crate::measure::Measured;
use crate::note::Note;

/// Half-width wished for a frequency, share.
const POINTS: f64 = 0.10;
/// Half-width wished for a density, share of it.
const QUARTER: f64 = 0.25;

pub(crate) fn enough(case: &Case, measured: &Measured, notes: &mut Vec<Note>) -> Enough {
    let planted = |label: &Label| measured.planted.contains(label);
    let frequency = measured.main_grid().map(|grid| {
        let spots = measured.cells_by_spot(
            grid.grid,
            |_| true,
            |labels| labels.iter().any(|label| planted(label)),
        );
        let units: Vec<CellUnit> = spots.into_values().collect();
        wish(for_frequency(
            &units,
            Wanted::HalfWidth(POINTS),
            case.confidence,
        ))
    });
    let density = measured.summary.quadrats.as_ref().map(|_| {
        let spots = measured.plants_by_spot(|_| true, planted);
        let units: Vec<AreaUnit> = spots.into_values().collect();
        wish(for_density(
            &units,
            Wanted::Relative(QUARTER),
            case.confidence,
        ))
    });
    let sequential = case.stopping.as_ref().and_then(|stopping| {
        let looks = looks(measured, stopping);
        let state = assess(&stopping.rule, &looks).and_then(|assessment| {
            let forecast = forecast(&assessment, &looks, Simulation::default())?;
            Ok(Sequential {
                assessment,
                forecast,
            })
        });
        match state {
            Ok(state) => Some(state),
            Err(error) => {
                notes.push(Note::NotWorkedOut {
                    what: "stopping rule",
                    why: error.to_string(),
                });
                None
            }
        }
    });
    Enough {
        frequency,
        density,
        sequential,
    }
}

fn wish<E: std::fmt::Display>(needed: Result<standbook_stand::sample_size::Needed, E>) -> Wish {
    match needed {
        Ok(needed) => Wish::Needs(needed),
        Err(error) => Wish::CannotSay(error.to_string()),
    }
}

/// Points in the order set before the walk; frames flipped at one spot are one point. Spots
/// without a place play no part.
fn looks(measured: &Measured, stopping: &Stopping) -> Vec<Look> {
    let Some(grid) = measured.main_grid() else {
        return Vec::new();
    };
    let spots: BTreeMap<&str, CellUnit> = measured.cells_by_spot(
        grid.grid,
        |spot| stopping.places.contains_key(spot),
        |labels| labels.iter().any(|label| measured.planted.contains(*label)),
    );
    // In the order in which they were read, which the rule asks after.
    let mut looks: Vec<Look> = Vec::new();
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for laid in measured.readings {
        let spot = laid.reading.spot.as_str();
        let is_grid = matches!(&laid.reading.seen, Seen::Grid { grid: g, .. } if *g == grid.grid);
        let (Some(&place), Some(unit)) = (stopping.places.get(spot), spots.get(spot)) else {
            continue;
        };
        let clamp = |cells: u64| u32::try_from(cells).unwrap_or(u32::MAX);
        let look = Look {
            place,
            occupied: clamp(unit.occupied),
            cells: clamp(unit.cells),
        };
        if is_grid && seen.insert(spot) {
            looks.push(look);
        }
    }
    looks
}
