//! What the readings of a visit say about every label and every group of labels.
//!
//! In: readings (one laying of a frame or quadrat each) with the spot they lay at and what
//! was found under which label; the labels looked for; groups of labels. Out: frequency with
//! density by every rule for grids, counted density for quadrats; each with limits and method.
//!
//! - Frames at one spot are one unit: spots, not frames or cells, carry the interval.
//! - A group counts a cell once if *any* of its labels is in it; it is never a sum.
//! - Frequency depends on the size of the cell, so every kind of grid is summed up apart.
//!   Quadrats of all sizes go together: density does not depend on the size.
//! - A reading with nothing in it is "looked, none" and counts in every denominator.
//! - The order of readings changes nothing, not even the last bit.
//!
//! Units: cells, cm, m2, plants, plants per m2; frequencies are shares from 0 to 1.
//! Source: as `cluster`, `count` and `convert` say.
//! Not here: misnaming correction, thresholds, what a label means.

use std::collections::{BTreeMap, BTreeSet};

use crate::cluster::{self, AreaUnit, CellUnit};
use crate::confidence::Confidence;
use crate::convert::{Grid, Rule};

mod check;
mod report;
#[cfg(test)]
mod tests;

pub use check::SummaryError;
pub use report::{
    Counted, Frequency, GridSummary, GroupOf, HasEstimate, QuadratSummary, RuleResult, Summary,
};

/// One laying of a frame or quadrat, completely looked over.
///
/// `S` tells spots apart (frames flipped over at one spot share it), `L` is a label.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading<S, L> {
    /// Where it lay.
    pub spot: S,
    /// What was laid, and what was found in it.
    pub seen: Seen<L>,
}

/// What was laid, and what was found in it. Nothing found is "looked, none".
#[derive(Debug, Clone, PartialEq)]
pub enum Seen<L> {
    /// A grid whose cells were read as occupied or not.
    Grid {
        /// The grid: 1 to 10 000 cells, side 0.1 to 1000 cm.
        grid: Grid,
        /// Cells, numbered from 1, in which each label was found.
        occupied: BTreeMap<L, BTreeSet<u32>>,
    },
    /// An area in which plants were counted.
    Quadrat {
        /// Area, m2: 0.0001 to 10 000.
        area_m2: f64,
        /// Number of plants of each label.
        plants: BTreeMap<L, u32>,
    },
}

/// A named set of labels that counts as one, such as everything planted.
#[derive(Debug, Clone, PartialEq)]
pub struct Group<L> {
    /// What the page calls it; unique.
    pub name: String,
    /// Labels that belong to it for sure; may be empty.
    pub members: BTreeSet<L>,
    /// Labels that might belong to it (unknowns not settled yet); may be empty.
    pub unsettled: BTreeSet<L>,
}

/// What is asked of the readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Request<L> {
    /// Labels to report even if found nowhere. Labels that were found are reported anyway.
    pub looked_for: BTreeSet<L>,
    /// Groups to report, in this order.
    pub groups: Vec<Group<L>>,
    /// How sure the intervals are to be.
    pub confidence: Confidence,
    /// Rules from frequency to density, in this order; [`Rule::PLAIN`] is a good choice.
    pub rules: Vec<Rule>,
}

/// Sums up readings.
///
/// No readings give an empty summary, not an error.
///
/// # Errors
/// [`SummaryError`] names the first reading (or the group) that is impossible, and why.
pub fn summarise<S: Clone + Ord, L: Clone + Ord>(
    readings: &[Reading<S, L>],
    request: &Request<L>,
) -> Result<Summary<L>, SummaryError> {
    check::readings(readings)?;
    check::groups(&request.groups)?;

    let mut found = BTreeSet::new();
    // Sides of cells are finite and above 0 here, so their bits sort as they do.
    let mut grids: BTreeMap<(u64, u32), Vec<GridReading<'_, S, L>>> = BTreeMap::new();
    let mut quadrats: Vec<QuadratReading<'_, S, L>> = Vec::new();
    for Reading { spot, seen } in readings {
        match seen {
            Seen::Grid { grid, occupied } => {
                found.extend(
                    occupied
                        .iter()
                        .filter(|(_, set)| !set.is_empty())
                        .map(|(l, _)| l),
                );
                let kind = (grid.cell_side_cm.to_bits(), grid.cells);
                grids.entry(kind).or_default().push((spot, occupied));
            }
            Seen::Quadrat { area_m2, plants } => {
                found.extend(
                    plants
                        .iter()
                        .filter(|&(_, &number)| number > 0)
                        .map(|(l, _)| l),
                );
                quadrats.push((spot, *area_m2, plants));
            }
        }
    }
    // Sums of areas depend on their order in the last bit: fix the order.
    quadrats.sort_by(|a, b| a.0.cmp(b.0).then(a.1.total_cmp(&b.1)));

    let labels: BTreeSet<&L> = request
        .looked_for
        .iter()
        .chain(found.iter().copied())
        .collect();
    Ok(Summary {
        confidence: request.confidence,
        grids: grids
            .into_iter()
            .map(|((side, cells), readings)| {
                let grid = Grid {
                    cells,
                    cell_side_cm: f64::from_bits(side),
                };
                grid_summary(grid, &readings, &labels, request)
            })
            .collect::<Result<_, _>>()?,
        quadrats: match quadrats.is_empty() {
            true => None,
            false => Some(quadrat_summary(&quadrats, &labels, request)?),
        },
        found_nowhere: request
            .looked_for
            .iter()
            .filter(|label| !readings.is_empty() && !found.contains(label))
            .cloned()
            .collect(),
    })
}

type GridReading<'a, S, L> = (&'a S, &'a BTreeMap<L, BTreeSet<u32>>);
type QuadratReading<'a, S, L> = (&'a S, f64, &'a BTreeMap<L, u32>);

/// For every reading the number of its spot, from 0 in the order of spots.
fn units_of<'a, S: Ord + 'a>(spots: impl Iterator<Item = &'a S> + Clone) -> Vec<usize> {
    let sorted: BTreeSet<&S> = spots.clone().collect();
    let number: BTreeMap<&S, usize> = sorted.into_iter().zip(0..).collect();
    spots.filter_map(|spot| number.get(spot).copied()).collect()
}

/// How many spots such numbers stand for.
fn spots_in(numbers: &[usize]) -> usize {
    numbers.iter().max().map_or(0, |last| last + 1)
}

/// Cells in which any of the labels was found: a cell with two of them is still one cell.
fn cells_with<L: Ord>(wanted: &BTreeSet<&L>, occupied: &BTreeMap<L, BTreeSet<u32>>) -> usize {
    let mut found = wanted.iter().filter_map(|label| occupied.get(label));
    let Some(first) = found.next() else {
        return 0;
    };
    // Most frames hold one of them or none: no union then.
    match found.next() {
        None => first.len(),
        Some(second) => {
            let mut cells: Vec<u32> = first.iter().chain(second).copied().collect();
            cells.extend(found.flatten());
            cells.sort_unstable();
            cells.dedup();
            cells.len()
        }
    }
}

/// Applies `of` to a group's members and, if it has any, to members and unsettled together.
fn group_of<T, L: Ord>(
    group: &Group<L>,
    of: impl Fn(&BTreeSet<&L>) -> Result<T, SummaryError>,
) -> Result<GroupOf<T>, SummaryError> {
    let members: BTreeSet<&L> = group.members.iter().collect();
    let all: BTreeSet<&L> = group.members.union(&group.unsettled).collect();
    Ok(GroupOf {
        name: group.name.clone(),
        low: of(&members)?,
        high: if all.len() > members.len() {
            Some(of(&all)?)
        } else {
            None
        },
    })
}

fn grid_summary<S: Clone + Ord, L: Clone + Ord>(
    grid: Grid,
    readings: &[GridReading<'_, S, L>],
    labels: &BTreeSet<&L>,
    request: &Request<L>,
) -> Result<GridSummary<L>, SummaryError> {
    let at = units_of(readings.iter().map(|reading| reading.0));
    let of = |wanted: &BTreeSet<&L>| {
        let mut units = vec![
            CellUnit {
                occupied: 0,
                cells: 0,
            };
            spots_in(&at)
        ];
        for (&(_, occupied), &at) in readings.iter().zip(&at) {
            units[at].occupied += cells_with(wanted, occupied) as u64;
            units[at].cells += u64::from(grid.cells);
        }
        let estimate = cluster::frequency(&units, request.confidence)?;
        let cells = units.iter().map(|unit| unit.cells).sum();
        let interval = estimate.limits.ok().map(|limited| limited.interval);
        Ok(Frequency {
            occupied: units.iter().map(|unit| unit.occupied).sum(),
            cells,
            estimate,
            densities: request
                .rules
                .iter()
                .map(|&rule| RuleResult {
                    rule,
                    density: rule.convert(estimate.value, interval, grid, cells),
                })
                .collect(),
        })
    };
    Ok(GridSummary {
        grid,
        frames: readings.len(),
        spots: spots_in(&at),
        cells: readings.len() as u64 * u64::from(grid.cells),
        labels: each(labels, of)?,
        groups: request
            .groups
            .iter()
            .map(|group| group_of(group, of))
            .collect::<Result<_, _>>()?,
    })
}

fn quadrat_summary<S: Clone + Ord, L: Clone + Ord>(
    readings: &[QuadratReading<'_, S, L>],
    labels: &BTreeSet<&L>,
    request: &Request<L>,
) -> Result<QuadratSummary<L>, SummaryError> {
    let at = units_of(readings.iter().map(|reading| reading.0));
    let of = |wanted: &BTreeSet<&L>| {
        let mut units = vec![
            AreaUnit {
                plants: 0,
                area_m2: 0.0,
            };
            spots_in(&at)
        ];
        for (&(_, area_m2, plants), &at) in readings.iter().zip(&at) {
            let counted = wanted.iter().filter_map(|label| plants.get(label)).copied();
            units[at].plants += counted.map(u64::from).sum::<u64>();
            units[at].area_m2 += area_m2;
        }
        Ok(Counted {
            plants: units.iter().map(|unit| unit.plants).sum(),
            area_m2: units.iter().map(|unit| unit.area_m2).sum(),
            estimate: cluster::density(&units, request.confidence)?,
        })
    };
    Ok(QuadratSummary {
        frames: readings.len(),
        spots: spots_in(&at),
        area_m2: of(&BTreeSet::new())?.area_m2,
        labels: each(labels, of)?,
        groups: request
            .groups
            .iter()
            .map(|group| group_of(group, of))
            .collect::<Result<_, _>>()?,
    })
}

/// Applies `of` to every label alone.
fn each<T, L: Clone + Ord>(
    labels: &BTreeSet<&L>,
    of: impl Fn(&BTreeSet<&L>) -> Result<T, SummaryError>,
) -> Result<Vec<(L, T)>, SummaryError> {
    labels
        .iter()
        .map(|&label| Ok((label.clone(), of(&BTreeSet::from([label]))?)))
        .collect()
}
