//! Blank sheets: what the book asks of a frame and of an unknown plant, to fill in by hand and
//! to type in later, field by field.

use standbook_key::{Key, LeafStage, TraitKind};

/// Cells of the frame that the book offers first: five by five.
const CELLS: u32 = 25;

/// Rows for species on a frame sheet, by letter.
const LETTERS: std::ops::RangeInclusive<char> = 'A'..='H';

/// What a trait is answered with on paper.
pub enum Answer {
    /// One of these.
    States(Vec<String>),
    /// A number of this unit.
    Measure(String),
    /// Words.
    Words,
}

/// A line of the sheet for an unknown plant.
pub struct Line {
    pub name: String,
    pub answer: Answer,
}

/// The sheets.
pub struct Sheets {
    /// The frame sheet is printed once for each.
    pub frames: [u32; 2],
    pub cells: Vec<u32>,
    pub letters: Vec<char>,
    /// Lines for unknown plants.
    pub rows: [u32; 3],
    pub stages: Vec<&'static str>,
    pub lines: Vec<Line>,
}

pub fn sheets(key: &Key) -> Sheets {
    Sheets {
        frames: [1, 2],
        cells: (1..=CELLS).collect(),
        letters: LETTERS.collect(),
        rows: [1, 2, 3],
        stages: LeafStage::ALL.iter().map(|(_, _, name)| *name).collect(),
        lines: key
            .traits
            .iter()
            .map(|one| Line {
                name: one.name.clone(),
                answer: match &one.kind {
                    TraitKind::States(states) | TraitKind::Ordered(states) => {
                        Answer::States(states.iter().map(|s| s.name.clone()).collect())
                    }
                    TraitKind::Measure(measure) => Answer::Measure(measure.unit.clone()),
                    TraitKind::Note => Answer::Words,
                },
            })
            .collect(),
    }
}
