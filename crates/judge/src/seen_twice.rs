//! How well two scouts agreed on the planted together, and how much was overlooked.
//!
//! In: frames read twice, blind. Out: [`SeenTwice`], notes. Only grids are compared, cell by cell.
//! Source: `standbook_stand::agreement`, `standbook_stand::detect`.

use std::collections::BTreeSet;

use standbook_stand::agreement::CellPairs;
use standbook_stand::detect::{detection, seen_through};
use standbook_stand::measured::Measured as Number;
use standbook_stand::summary::Seen;

use crate::case::Case;
use crate::judgement::{PLANTED, SeenTwice};
use crate::label::Label;
use crate::measure::Measured;
use crate::note::Note;

pub(crate) fn seen_twice(
    case: &Case,
    measured: &Measured,
    notes: &mut Vec<Note>,
) -> Option<SeenTwice> {
    if case.double_reads.is_empty() {
        return None;
    }
    let mut pairs = CellPairs::default();
    let (mut frames, mut not_compared) = (0, 0);
    for read in &case.double_reads {
        let found = match (&read.first, &read.second) {
            (
                Seen::Grid { grid, occupied },
                Seen::Grid {
                    grid: other_grid,
                    occupied: other,
                },
            ) if grid == other_grid => {
                let cells = |of: &std::collections::BTreeMap<Label, BTreeSet<u32>>| {
                    let planted = of
                        .iter()
                        .filter(|(label, _)| measured.planted.contains(label));
                    planted.flat_map(|(_, cells)| cells).copied().collect()
                };
                let (first, second): (BTreeSet<u32>, BTreeSet<u32>) =
                    (cells(occupied), cells(other));
                CellPairs::of_frame(grid.cells, &first, &second).ok()
            }
            _ => None,
        };
        match found {
            Some(of_frame) => {
                pairs = pairs.and(of_frame);
                frames += 1;
            }
            None => not_compared += 1,
        }
    }
    let agreement = pairs.agreement(case.confidence).ok();
    let detection = match detection(pairs, case.confidence) {
        Ok(detection) => Some(detection),
        Err(error) => {
            notes.push(Note::NotWorkedOut {
                what: "share overlooked",
                why: error.to_string(),
            });
            None
        }
    };
    let seen_through = detection.and_then(|detection| {
        let grid = measured.main_grid()?;
        let planted = Measured::frequency(grid, PLANTED)?;
        let found = Number::from_estimate(&planted.low.estimate)?;
        seen_through(found, detection.one_look).ok()
    });
    Some(SeenTwice {
        frames,
        not_compared,
        pairs,
        agreement,
        detection,
        seen_through,
    })
}
