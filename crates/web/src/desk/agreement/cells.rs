//! Frames read twice, cell by cell: what the first scout overlooked, and what she named otherwise.
//!
//! Units: cells. A cell counts once, for all planted species together.
//! Not here: what both overlooked (`standbook_stand::detect`).

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::FrameShape;
use standbook_stand::agreement::CellPairs;

use crate::app::App;
use crate::count::cells_of;
use crate::failure::Failure;
use crate::plot::place::Place;
use crate::stand::numbers::unknown_ids;
use crate::stand::resolve::{Label, Unknowns};

/// What two readings of a frame say of its cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Cells {
    /// Both saw a planted species.
    pub both: u64,
    /// Only the second did, and the first recorded nothing there: overlooked.
    pub overlooked: u64,
    /// Only the second did, and the first recorded something else there: named otherwise.
    pub named_otherwise: u64,
    /// Only the first did.
    pub first_only: u64,
    /// Neither did.
    pub neither: u64,
    /// Frames compared.
    pub frames: usize,
}

impl Cells {
    /// Compares two readings of a frame of so many cells.
    pub fn of(
        cells: u32,
        first: &BTreeMap<Label, BTreeSet<u32>>,
        second: &BTreeMap<Label, BTreeSet<u32>>,
        sown: &BTreeSet<Label>,
    ) -> Cells {
        let any = |reading: &BTreeMap<Label, BTreeSet<u32>>, planted: bool, cell: u32| {
            let mut found = reading.iter();
            found.any(|(label, cells)| (!planted || sown.contains(label)) && cells.contains(&cell))
        };
        let mut all = Cells {
            frames: 1,
            ..Cells::default()
        };
        for cell in 1..=cells {
            let count = match (any(first, true, cell), any(second, true, cell)) {
                (true, true) => &mut all.both,
                (true, false) => &mut all.first_only,
                (false, true) if any(first, false, cell) => &mut all.named_otherwise,
                (false, true) => &mut all.overlooked,
                (false, false) => &mut all.neither,
            };
            *count += 1;
        }
        all
    }

    fn add(&mut self, other: Cells) {
        self.both += other.both;
        self.overlooked += other.overlooked;
        self.named_otherwise += other.named_otherwise;
        self.first_only += other.first_only;
        self.neither += other.neither;
        self.frames += other.frames;
    }

    /// The two by two table.
    pub fn pairs(self) -> CellPairs {
        CellPairs {
            both: self.both,
            first_only: self.first_only,
            second_only: self.overlooked + self.named_otherwise,
            neither: self.neither,
        }
    }
}

/// Frames read twice in a visit, or in all, by the scout who read first.
pub(super) fn by_scout(
    app: &App,
    visit: Option<RecordId>,
) -> Result<BTreeMap<String, Cells>, Failure> {
    let mut by: BTreeMap<String, Cells> = BTreeMap::new();
    for second in app.book.frames_repeating(visit)? {
        let first = match second.body.repeats {
            Some(id) => app.book.frame(id)?,
            None => None,
        };
        let (Some(first), FrameShape::Grid { cells, .. }) = (first, second.body.shape) else {
            continue;
        };
        if first.body.shape != second.body.shape {
            continue;
        }
        let planting = Place::load(app, second.body.point)?.planting.body;
        let sown = planting
            .mix
            .into_iter()
            .map(|item| Label::Taxon(item.taxon));
        let unknowns = Unknowns::read(app, unknown_ids([&first, &second].into_iter()))?;
        let read = [&first, &second].map(|frame| cells_of(&frame.body, &unknowns));
        let found = Cells::of(cells, &read[0], &read[1], &sown.collect());
        let scout = first.body.scout.trim().to_owned();
        by.entry(scout).or_default().add(found);
    }
    Ok(by)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_that_was_named_otherwise_was_not_overlooked() {
        // Worked by hand, on ten cells.
        let label = |id: &str| Label::Taxon(id.to_owned());
        let reading = |found: &[(&str, &[u32])]| -> BTreeMap<Label, BTreeSet<u32>> {
            found
                .iter()
                .map(|(id, cells)| (label(id), cells.iter().copied().collect()))
                .collect()
        };
        let first = reading(&[("sown", &[1, 2, 3]), ("weed", &[4, 9])]);
        let second = reading(&[("sown", &[1, 2]), ("other_sown", &[4, 5]), ("weed", &[9])]);
        let sown = [label("sown"), label("other_sown")].into();
        let found = Cells::of(10, &first, &second, &sown);
        let expected = Cells {
            both: 2,
            overlooked: 1,      // 5
            named_otherwise: 1, // 4
            first_only: 1,      // 3
            neither: 5,
            frames: 1,
        };
        assert_eq!(found, expected);
        assert_eq!(found.pairs().cells(), 10);
    }
}
