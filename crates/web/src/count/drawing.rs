//! A grid as a drawing: a letter in a cell for each thing that stands there.
//!
//! Units: of the drawing; a cell has a side of 60. Letters tell, colour only helps.

use std::collections::BTreeMap;

use standbook_fieldbook::record::Frame;

use super::draft::cells_in_a_row;
use crate::plot::recorded::gathered;

/// Side of a cell in the drawing.
const SIDE: u32 = 60;

/// One cell of the drawing.
pub(crate) struct DrawnCell {
    /// Left edge.
    pub x: u32,
    /// Upper edge.
    pub y: u32,
    /// Lines of letters, each with its base line.
    pub lines: Vec<(u32, String)>,
    /// Whether there are too many letters for large ones.
    pub crowded: bool,
}

/// A drawn grid.
pub(crate) struct Drawing {
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
    /// Cells, row by row.
    pub cells: Vec<DrawnCell>,
}

/// The letter of the n-th thing counted, from 0: A to Z, then a to z, then its number.
pub(crate) fn letter(n: usize) -> String {
    match u8::try_from(n) {
        Ok(n @ 0..26) => char::from(b'A' + n).to_string(),
        Ok(n @ 26..52) => char::from(b'a' + n - 26).to_string(),
        _ => format!("{}", n + 1),
    }
}

/// Draws a frame of so many cells.
pub(crate) fn draw(frame: &Frame, cells: u32) -> Drawing {
    let mut letters: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    for (n, (_, marked, _)) in gathered(frame).into_iter().enumerate() {
        for cell in marked {
            letters.entry(cell).or_default().push(letter(n));
        }
    }
    let row = cells_in_a_row(cells).max(1);
    let drawn = (1..=cells)
        .map(|cell| {
            let (x, y) = ((cell - 1) % row * SIDE, (cell - 1) / row * SIDE);
            let here = letters.get(&cell).map_or(&[][..], Vec::as_slice);
            // Three letters a line and three lines fit; a tenth thing in one cell is a rare day.
            let mut groups: Vec<String> = here
                .chunks(3)
                .take(3)
                .map(|group| group.join(" "))
                .collect();
            if here.len() > 9
                && let Some(last) = groups.last_mut()
            {
                last.push('+');
            }
            let top =
                y + SIDE / 2 + 6 - 8 * u32::try_from(groups.len().saturating_sub(1)).unwrap_or(0);
            let lines = (0u32..)
                .zip(groups)
                .map(|(n, text)| (top + 17 * n, text))
                .collect();
            DrawnCell {
                x,
                y,
                lines,
                crowded: here.len() > 2,
            }
        })
        .collect();
    Drawing {
        width: row * SIDE,
        height: cells.div_ceil(row) * SIDE,
        cells: drawn,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_never_run_out() {
        assert_eq!(
            (letter(0), letter(25), letter(26)),
            ("A".to_owned(), "Z".to_owned(), "a".to_owned())
        );
        assert_eq!((letter(51), letter(52)), ("z".to_owned(), "53".to_owned()));
    }
}
