//! A frame of a file as the book has it, as its id hangs on it, and as people read it.

use standbook_fieldbook::record::{Frame, FrameShape};
use standbook_key::fault::short;

use super::maker::{Maker, joined};
use crate::frames::{Frame as Written, Shape};

/// What was laid, as the book has it.
pub(super) fn shape_of(shape: Shape) -> FrameShape {
    match shape {
        Shape::Grid {
            cells,
            cell_side_cm,
        } => FrameShape::Grid {
            cells,
            cell_side_cm,
        },
        Shape::Quadrat { area_m2 } => FrameShape::Quadrat { area_m2 },
        Shape::Row {
            length_m,
            spacing_cm,
        } => FrameShape::Row {
            length_m,
            row_spacing_cm: spacing_cm,
        },
    }
}

/// Everything that a frame says, for its id. Unknowns and the frame read again go by number: their
/// ids change when somebody corrects them.
pub(super) fn spelled(frame: &Frame, written: &Written, maker: &Maker) -> String {
    let shape = match frame.shape {
        FrameShape::Grid {
            cells,
            cell_side_cm,
        } => format!("grid {cells} {cell_side_cm}"),
        FrameShape::Quadrat { area_m2 } => format!("quadrat {area_m2}"),
        FrameShape::Row {
            length_m,
            row_spacing_cm,
        } => format!("row {length_m} {row_spacing_cm}"),
    };
    let name = |name: &str| match maker.names.exact(name) {
        Some(id) => id.to_owned(),
        None => name.to_lowercase(),
    };
    let cells = written.cells.iter().flat_map(|(taxon, cells)| {
        cells
            .iter()
            .map(move |cell| format!("{}@{cell}", name(taxon)))
    });
    let plants = written
        .plants
        .iter()
        .map(|(taxon, n)| format!("{}*{n}", name(taxon)));
    let mut found: Vec<String> = cells.chain(plants).collect();
    found.sort();
    format!(
        "{} {shape} {} again {} found {}",
        frame.number,
        frame.looked_twice,
        written.repeats,
        found.join(" ")
    )
}

/// `North strip, point 3, frame 2 by A. Fenn: switchgrass in 7 of 25 cells`.
pub(super) fn words_of(
    maker: &Maker,
    written: &Written,
    point: &str,
    number: u32,
    scout: &str,
    again: bool,
) -> String {
    let common = |name: &String| match maker.names.exact(name) {
        Some(id) => maker.names.common(id).to_owned(),
        None => short(name),
    };
    let cells = written
        .cells
        .iter()
        .map(|(name, cells)| match written.shape {
            Shape::Grid { cells: all, .. } => {
                format!("{} in {} of {all} cells", common(name), cells.len())
            }
            _ => format!("{} in {} cells", common(name), cells.len()),
        });
    let plants = written
        .plants
        .iter()
        .map(|(name, plants)| format!("{plants} {}", common(name)));
    let found = match joined(cells.chain(plants)) {
        found if found.is_empty() => "looked, none".to_owned(),
        found => found,
    };
    let again = if again { " (a second reading)" } else { "" };
    format!("{point}, frame {number} by {scout}{again}: {found}")
}
