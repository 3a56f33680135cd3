//! Refuses readings and groups that cannot be.
//!
//! In: what [`super::summarise`] was given. Out: nothing, or the first fault, named so that
//! a person can mend it. Units as in `summary`.
//! Source: the bounds on sizes are ours, far outside anything laid on a field; they keep
//! slips of the keyboard and numbers like infinity out.
//! Not here: what is merely unlikely.

use std::collections::BTreeSet;

use super::{Group, Reading, Seen};
use crate::cluster::ClusterError;

/// Cells of a grid.
const CELLS: std::ops::RangeInclusive<u32> = 1..=10_000;
/// Side of a cell, cm.
const CELL_SIDE_CM: std::ops::RangeInclusive<f64> = 0.1..=1000.0;
/// Area of a quadrat, m2: a square centimetre to a hectare.
const AREA_M2: std::ops::RangeInclusive<f64> = 0.0001..=10_000.0;

/// Why readings give no summary. `reading` counts from 1 in the order given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SummaryError {
    /// A grid without cells, or with absurdly many.
    #[error("reading {reading}: a grid of {cells} cells is impossible: enter 1 to 10000 cells")]
    BadCells {
        /// Number of the reading.
        reading: usize,
        /// Cells given.
        cells: u32,
    },
    /// A side of a cell outside 0.1 to 1000 cm, or not a number.
    #[error(
        "reading {reading}: a cell side of {cell_side_cm} cm is impossible: enter 0.1 to 1000 cm"
    )]
    BadCellSide {
        /// Number of the reading.
        reading: usize,
        /// Side given, cm.
        cell_side_cm: f64,
    },
    /// A cell number beyond the grid; cells count from 1.
    #[error(
        "reading {reading}: there is no cell {cell} in a grid of {cells}: correct the cell (they count from 1) or the grid"
    )]
    NoSuchCell {
        /// Number of the reading.
        reading: usize,
        /// Cell given.
        cell: u32,
        /// Cells of the grid.
        cells: u32,
    },
    /// An area outside 0.0001 to 10 000 m2, or not a number.
    #[error("reading {reading}: an area of {area_m2} m2 is impossible: enter 0.0001 to 10000 m2")]
    BadArea {
        /// Number of the reading.
        reading: usize,
        /// Area given, m2.
        area_m2: f64,
    },
    /// Two groups of one name.
    #[error("two groups are called {name}: rename one")]
    SameGroupName {
        /// The name.
        name: String,
    },
    /// The estimator refused; readings that pass the checks above do not get here.
    #[error(transparent)]
    Estimate(#[from] ClusterError),
}

/// The first impossible reading, if any.
pub(super) fn readings<S, L>(readings: &[Reading<S, L>]) -> Result<(), SummaryError> {
    for (index, Reading { seen, .. }) in readings.iter().enumerate() {
        let reading = index + 1;
        match seen {
            Seen::Grid { grid, occupied } => {
                let cells = grid.cells;
                let cell_side_cm = grid.cell_side_cm;
                if !CELLS.contains(&cells) {
                    return Err(SummaryError::BadCells { reading, cells });
                }
                if !CELL_SIDE_CM.contains(&cell_side_cm) {
                    return Err(SummaryError::BadCellSide {
                        reading,
                        cell_side_cm,
                    });
                }
                let numbers = || occupied.values().flatten().copied();
                if let Some(cell) = numbers().find(|cell| !(1..=cells).contains(cell)) {
                    return Err(SummaryError::NoSuchCell {
                        reading,
                        cell,
                        cells,
                    });
                }
            }
            Seen::Quadrat { area_m2, .. } => {
                if !AREA_M2.contains(area_m2) {
                    return Err(SummaryError::BadArea {
                        reading,
                        area_m2: *area_m2,
                    });
                }
            }
        }
    }
    Ok(())
}

/// The first group name used twice, if any.
pub(super) fn groups<L>(groups: &[Group<L>]) -> Result<(), SummaryError> {
    let mut names = BTreeSet::new();
    match groups.iter().find(|group| !names.insert(&group.name)) {
        Some(group) => Err(SummaryError::SameGroupName {
            name: group.name.clone(),
        }),
        None => Ok(()),
    }
}
