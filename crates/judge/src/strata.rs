//! Weighs the parts of a field by their areas.
//!
//! In: parts with their areas and spots, the visit in numbers. Out: estimates over the field,
//! each part alone ([`ByPart`]), notes where parts cannot be weighed.
//!
//! Units: areas m2; shares from 0 to 1, plants per m2.
//! Source: `standbook_stand::strata`.
//! Not here: parts of unknown area; then the field is taken as one, and that is said.

use std::collections::{BTreeMap, BTreeSet};

use standbook_stand::cluster::{self, AreaUnit, CellUnit};
use standbook_stand::confidence::Confidence;
use standbook_stand::convert::Grid;
use standbook_stand::strata::{self, Part, Stratified};

use crate::case::{Case, Laid, Stratum};
use crate::judgement::{ByPart, PartOfField, Range};
use crate::label::Label;
use crate::measure::{Measured, range};
use crate::note::Note;

/// Spots that a part needs. With two or three, its own limits are so wide that parts added up say
/// far less than the same spots taken as one field (the demo: 12 to 51 % against 13 to 33 %).
const LEAST_SPOTS: usize = 4;

/// Parts that can be weighed: share of the area, spots.
pub(crate) type Parts = Vec<(f64, BTreeSet<String>)>;

/// The parts, if every one has an area and every spot lies in exactly one of them.
pub(crate) fn parts(case: &Case, readings: &[Laid], notes: &mut Vec<Note>) -> Option<Parts> {
    if case.strata.is_empty() || readings.is_empty() {
        return None;
    }
    let spots: BTreeSet<&str> = readings
        .iter()
        .map(|laid| laid.reading.spot.as_str())
        .collect();
    let astray: Vec<String> = spots
        .iter()
        .filter(|spot| {
            case.strata
                .iter()
                .filter(|part| part.spots.contains(**spot))
                .count()
                != 1
        })
        .map(|spot| (*spot).to_owned())
        .collect();
    if !astray.is_empty() {
        notes.push(Note::Strata { spots: astray });
        return None;
    }
    let area = |part: &Stratum| part.area_m2.filter(|area| area.is_finite() && *area > 0.0);
    let total: f64 = case.strata.iter().filter_map(area).sum();
    let mut parts = Parts::new();
    for part in &case.strata {
        let Some(area) = area(part) else {
            notes.push(Note::StrataNotWeighed {
                why: format!(
                    "the area of {} is not known (an outline gives it)",
                    part.name
                ),
            });
            return None;
        };
        parts.push((area / total, part.spots.clone()));
    }
    if let Some(part) = case.strata.iter().find(|part| {
        let seen = part
            .spots
            .iter()
            .filter(|spot| spots.contains(spot.as_str()));
        seen.count() < LEAST_SPOTS
    }) {
        notes.push(Note::StrataNotWeighed {
            why: format!(
                "{} has fewer than {LEAST_SPOTS} spots, too few to say how much it varies; the field is taken as one",
                part.name
            ),
        });
        return None;
    }
    Some(parts)
}

/// A frequency over the field, for cells in which any of `labels` was found; `None` where a part
/// has no spot with this grid.
pub(crate) fn frequency(
    measured: &Measured,
    parts: &Parts,
    grid: Grid,
    labels: &BTreeSet<Label>,
    confidence: Confidence,
) -> Option<Range> {
    let parts: Vec<Part<CellUnit>> = parts
        .iter()
        .map(|(share, spots)| part(*share, cells(measured, spots, grid, labels)))
        .collect();
    weighed(strata::frequency(&parts, confidence).ok()?)
}

/// A counted density over the field, as [`frequency`].
pub(crate) fn density(
    measured: &Measured,
    parts: &Parts,
    labels: &BTreeSet<Label>,
    confidence: Confidence,
) -> Option<Range> {
    let parts: Vec<Part<AreaUnit>> = parts
        .iter()
        .map(|(share, spots)| part(*share, plants(measured, spots, labels)))
        .collect();
    weighed(strata::density(&parts, confidence).ok()?)
}

fn part<U>(area: f64, units: Vec<U>) -> Part<U> {
    Part {
        area,
        whole_units: None,
        units,
    }
}

/// `None` where a part shows no spread, so that the whole has no honest limits.
fn weighed(found: Stratified) -> Option<Range> {
    if !found.one_spot().is_empty() {
        return None;
    }
    let limits = found.limits.ok()?.interval;
    Some(Range {
        estimate: found.mean.value,
        estimate_is_at_least: false,
        lower: Some(limits.lower),
        upper: Some(limits.upper),
    })
}

fn cells(
    measured: &Measured,
    spots: &BTreeSet<String>,
    grid: Grid,
    labels: &BTreeSet<Label>,
) -> Vec<CellUnit> {
    let by_spot: BTreeMap<&str, CellUnit> = measured.cells_by_spot(
        grid,
        |spot| spots.contains(spot),
        |found| found.iter().any(|label| labels.contains(*label)),
    );
    by_spot.into_values().collect()
}

fn plants(
    measured: &Measured,
    spots: &BTreeSet<String>,
    labels: &BTreeSet<Label>,
) -> Vec<AreaUnit> {
    let by_spot = measured.plants_by_spot(|spot| spots.contains(spot), |l| labels.contains(l));
    by_spot.into_values().collect()
}

/// Each part alone, and the field by its parts.
pub(crate) fn by_part(case: &Case, measured: &Measured) -> Option<ByPart> {
    if case.strata.is_empty() {
        return None;
    }
    let grid = measured.main_grid().map(|grid| grid.grid);
    let confidence = case.confidence;
    let alone = |part: &Stratum| {
        let seen = measured
            .readings
            .iter()
            .filter(|laid| part.spots.contains(&laid.reading.spot));
        let spots: BTreeSet<&str> = seen.map(|laid| laid.reading.spot.as_str()).collect();
        PartOfField {
            name: part.name.clone(),
            area_m2: part.area_m2,
            spots: spots.len(),
            frequency: grid.and_then(|grid| {
                let units = cells(measured, &part.spots, grid, &measured.planted);
                let estimate = cluster::frequency(&units, confidence).ok()?;
                Some(range(&estimate))
            }),
            density: {
                let units = plants(measured, &part.spots, &measured.planted);
                let estimate = cluster::density(&units, confidence).ok();
                estimate.map(|estimate| range(&estimate))
            },
        }
    };
    let parts = measured.parts.as_ref();
    let planted = &measured.planted;
    let frequency = parts
        .zip(grid)
        .and_then(|(parts, grid)| frequency(measured, parts, grid, planted, confidence));
    let density = parts.and_then(|parts| density(measured, parts, planted, confidence));
    Some(ByPart {
        parts: case.strata.iter().map(alone).collect(),
        used: frequency.is_some() || density.is_some(),
        frequency,
        density,
    })
}
