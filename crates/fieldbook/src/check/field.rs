//! Rules of visits, points, frames and unknowns by themselves.

use std::collections::HashSet;

use super::{Faults, limits};
use crate::id::RecordId;
use crate::record::{Counted, Frame, FrameShape, Point, Tally, Unknown, Visit};

pub(super) fn visit(faults: &mut Faults, visit: &Visit) {
    faults.date("on", &visit.on);
    faults.items("scouts", visit.scouts.len(), 1, limits::SCOUTS, "scouts");
    for (at, name) in visit.scouts.iter().enumerate() {
        faults.name(format!("scouts[{at}]"), name);
    }
    faults.once("scouts", "", visit.scouts.iter().map(String::as_str));
    faults.note("note", &visit.note);
}

pub(super) fn point(faults: &mut Faults, point: &Point) {
    faults.name("label", &point.label);
    if let Some(planned) = point.planned {
        let most = u32::try_from(limits::PLAN_POINTS).unwrap_or(u32::MAX);
        faults.whole_number("planned.number", planned.number, most);
    }
    faults.note("unreachable", &point.unreachable);
    faults.position(point.position);
}

pub(super) fn unknown(faults: &mut Faults, unknown: &Unknown) {
    faults.whole_number("number", unknown.number, limits::NUMBER);
    // Without words nobody finds the plant again.
    faults.text(
        "description",
        &unknown.description,
        1,
        limits::NOTE_CHARS,
        true,
    );
}

pub(super) fn frame(faults: &mut Faults, frame: &Frame, id: RecordId) {
    faults.whole_number("number", frame.number, limits::NUMBER);
    faults.name("scout", &frame.scout);
    match frame.shape {
        FrameShape::Grid {
            cells,
            cell_side_cm,
        } => {
            faults.whole_number("shape.cells", cells, limits::CELLS);
            faults.above_zero(
                "shape.cell_side_cm",
                cell_side_cm,
                limits::CELL_SIDE_CM,
                "cm",
            );
        }
        FrameShape::Quadrat { area_m2 } => {
            faults.above_zero("shape.area_m2", area_m2, limits::AREA_M2, "m2")
        }
        FrameShape::Row {
            length_m,
            row_spacing_cm,
        } => {
            faults.above_zero("shape.length_m", length_m, limits::ROW_LENGTH_M, "m");
            faults.above_zero(
                "shape.row_spacing_cm",
                row_spacing_cm,
                limits::ROW_SPACING_CM,
                "cm",
            );
        }
    }
    if frame.repeats == Some(id) {
        faults.add(
            "repeats",
            "a frame cannot be a second reading of itself",
            "Give the second reading an id of its own.",
        );
    }
    faults.items(
        "tallies",
        frame.tallies.len(),
        0,
        limits::TALLIES,
        "tallies",
    );
    let mut seen = HashSet::new();
    for (at, tally) in frame.tallies.iter().enumerate() {
        self::tally(faults, frame.shape, at, tally);
        if !seen.insert((tally.cell, &tally.what)) {
            let (problem, mend) = match tally.cell {
                Some(cell) => (
                    format!("it is in cell {cell} already"),
                    "Enter it once a cell.",
                ),
                None => (
                    format!("it is in this {} already", called(frame.shape)),
                    "Add the plants up in one tally.",
                ),
            };
            faults.add(format!("tallies[{at}].what"), problem, mend);
        }
    }
}

/// What a device is called in a message.
fn called(shape: FrameShape) -> &'static str {
    match shape {
        FrameShape::Grid { .. } => "grid",
        FrameShape::Quadrat { .. } => "quadrat",
        FrameShape::Row { .. } => "row",
    }
}

fn tally(faults: &mut Faults, shape: FrameShape, at: usize, tally: &Tally) {
    if let Counted::Taxon(taxon) = &tally.what {
        faults.id(format!("tallies[{at}].what"), taxon);
    }
    let (cell, plants) = (
        format!("tallies[{at}].cell"),
        format!("tallies[{at}].plants"),
    );
    match shape {
        FrameShape::Grid { cells, .. } => {
            match tally.cell {
                None => faults.add(
                    cell,
                    "a tally in a grid has no cell",
                    "Give the cell, counted from 1.",
                ),
                Some(n) if n < 1 || n > cells => {
                    let problem = format!("cell {n} is not in a grid of {cells} cells");
                    faults.add(cell, problem, format!("Use a cell from 1 to {cells}."));
                }
                Some(_) => {}
            }
            if tally.plants.is_some() {
                let mend = "Leave the number out: a cell says present, no more.";
                faults.add(plants, "a tally in a grid has a number of plants", mend);
            }
        }
        FrameShape::Quadrat { .. } | FrameShape::Row { .. } => {
            let device = called(shape);
            if tally.cell.is_some() {
                faults.add(
                    cell,
                    format!("a tally in a {device} has a cell"),
                    format!("Leave the cell out: a {device} has none."),
                );
            }
            match tally.plants {
                None => faults.add(
                    plants,
                    format!("a tally in a {device} has no number of plants"),
                    "Give the number.",
                ),
                Some(n) => faults.whole_number(plants, n, limits::PLANTS),
            }
        }
    }
}
