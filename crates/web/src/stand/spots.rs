//! Spot by spot: how patchy the stand is.
//!
//! In: the readings of a visit. Out: for every spot what was found of the mix, with the length of
//! its bar, and one sentence on the spots without any.
//! Unsettled unknowns do not count as planted here.

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::RecordId;
use standbook_stand::convert::Grid;
use standbook_stand::summary::{Reading, Seen};

use super::numbers::Walked;
use super::resolve::Label;
use crate::words::plain;

/// What one spot held.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spot {
    /// `North, point 3`.
    pub name: String,
    /// Its id, for the way there.
    pub point: RecordId,
    /// Frames laid.
    pub frames: usize,
    /// `12 of 50`.
    pub found: String,
    /// Length of its bar, 0 to 100.
    pub bar: String,
}

/// Found, looked at and frames of every spot.
type BySpot = BTreeMap<RecordId, (f64, f64, usize)>;

/// Cells with a planted species, for one kind of grid.
pub(crate) fn grid_spots(
    walked: &Walked,
    of: Grid,
    readings: &[Reading<RecordId, Label>],
) -> (Vec<Spot>, String) {
    let mix = walked.mix();
    let mut by_spot = BySpot::new();
    for reading in readings {
        let Seen::Grid { grid, occupied } = &reading.seen else {
            continue;
        };
        if *grid != of {
            continue;
        }
        let cells: BTreeSet<u32> = mix
            .iter()
            .filter_map(|label| occupied.get(label))
            .flatten()
            .copied()
            .collect();
        let spot = by_spot.entry(reading.spot).or_default();
        spot.0 += cells.len() as f64;
        spot.1 += f64::from(grid.cells);
        spot.2 += 1;
    }
    let without = by_spot.values().filter(|spot| spot.0 == 0.0).count();
    let spots = spots(walked, &by_spot, 1.0, |found, looked| {
        format!("{found} of {looked}")
    });
    (spots, patchiness(without, by_spot.len()))
}

fn patchiness(without: usize, of: usize) -> String {
    match without {
        _ if of < 2 => "One spot says nothing of how patchy the stand is.".to_owned(),
        0 => format!("Planted species were found at every one of the {of} spots."),
        n if n == of => format!("No planted species was found at any of the {of} spots."),
        n => format!("At {n} of {of} spots no planted species was found."),
    }
}

fn spots(
    walked: &Walked,
    by_spot: &BySpot,
    full: f64,
    found: impl Fn(f64, f64) -> String,
) -> Vec<Spot> {
    // In the order in which the points were made; a point of another visit goes last.
    let place = |id: &RecordId| walked.points.iter().position(|p| p.id == *id);
    let mut ids: Vec<&RecordId> = by_spot.keys().collect();
    ids.sort_by_key(|id| place(id).unwrap_or(usize::MAX));
    ids.into_iter()
        .filter_map(|id| {
            let (plants, looked, frames) = by_spot.get(id)?;
            Some(Spot {
                name: walked.spot_name(*id),
                point: *id,
                frames: *frames,
                found: found(*plants, *looked),
                bar: format!("{:.0}", 100.0 * (plants / looked / full).clamp(0.0, 1.0)),
            })
        })
        .collect()
}

/// Plants of planted species in all quadrats; the longest bar is the densest spot.
pub(crate) fn quadrat_spots(
    walked: &Walked,
    readings: &[Reading<RecordId, Label>],
) -> (Vec<Spot>, String) {
    let mix = walked.mix();
    let mut by_spot = BySpot::new();
    for reading in readings {
        let Seen::Quadrat { area_m2, plants } = &reading.seen else {
            continue;
        };
        let counted = mix.iter().filter_map(|label| plants.get(label));
        let spot = by_spot.entry(reading.spot).or_default();
        spot.0 += counted.map(|n| f64::from(*n)).sum::<f64>();
        spot.1 += area_m2;
        spot.2 += 1;
    }
    let fullest = by_spot.values().map(|s| s.0 / s.1).fold(0.0, f64::max);
    let full = if fullest > 0.0 { fullest } else { 1.0 };
    let without = by_spot.values().filter(|spot| spot.0 == 0.0).count();
    let spots = spots(walked, &by_spot, full, |plants, area| {
        format!("{plants} on {} m²", plain(area))
    });
    (spots, patchiness(without, by_spot.len()))
}
