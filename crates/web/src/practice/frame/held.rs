//! Cells of a frame as a record keeps them, and as they are scored.

use standbook_fieldbook::record::PracticeCell;
use standbook_practice::frame::{CELLS, Frame, Role};
use standbook_practice::frame_score::{Both, Marked, Score};

/// What a record keeps: cells in which something stands, or was marked.
pub(super) fn cells(frame: &Frame, marked: impl Fn(u32) -> Both) -> Vec<PracticeCell> {
    let all = (1..=CELLS).map(|cell| {
        let marked = marked(cell);
        PracticeCell {
            cell,
            planted: frame.holds(cell, Role::Planted),
            other: frame.holds(cell, Role::Other),
            marked_planted: marked.planted,
            marked_other: marked.other,
        }
    });
    all.filter(|one| one.planted || one.other || one.marked_planted || one.marked_other)
        .collect()
}

/// A cell of a record; `frame`, where it is known, says how large plants were.
pub(crate) fn marked(one: &PracticeCell, frame: Option<&Frame>) -> Marked {
    Marked {
        stands: Both {
            planted: one.planted,
            other: one.other,
        },
        marked: Both {
            planted: one.marked_planted,
            other: one.marked_other,
        },
        planted_size: frame.and_then(|frame| frame.size_in(one.cell, Role::Planted)),
    }
}

/// The score of a record's cells.
pub(crate) fn score(cells: &[PracticeCell], frame: Option<&Frame>) -> Score {
    Score::of(cells.iter().map(|one| marked(one, frame)))
}
