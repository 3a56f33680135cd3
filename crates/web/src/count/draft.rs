//! A frame that is being read and not saved yet: it lives in the form and nowhere else.
//!
//! In: the fields of the form, or a frame of the book to correct. Out: the draft; what a person
//! typed is kept as typed, so that a wrong number comes back as it was.
//! Fields: `col` (what is counted, in order), `c` (`column.cell`, a mark in a grid), `m.N`
//! (`cell.cell...`, marks of column N when its cells are not on the page), `p.N` (plants of
//! column N), `show` (the column whose cells are shown), `second` (the second look has begun),
//! `f.N` (what the first look found in column N: cells, or plants), `repeats` (the frame that
//! this one reads again).
//! Not here: what is laid (`device`), whether it may be saved (`check`).

use std::collections::BTreeSet;

use standbook_fieldbook::record::{Counted, Frame, FrameShape};
use standbook_fieldbook::{Entry, RecordId};

use super::device::Device;
use crate::form::Form;
use crate::plot::recorded::gathered;

/// What a column counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum What {
    /// A taxon, by id.
    Taxon(String),
    /// An unknown of the book.
    Unknown(RecordId),
    /// An unknown that is made when the frame is saved.
    New {
        /// The id it will have.
        id: RecordId,
        /// The number it will have.
        number: String,
        /// What it looks like.
        description: String,
    },
}

impl What {
    /// As the form spells it.
    pub fn code(&self) -> String {
        match self {
            What::Taxon(id) => format!("t.{id}"),
            What::Unknown(id) => format!("u.{id}"),
            What::New { id, .. } => format!("n.{id}"),
        }
    }

    fn read(code: &str, form: &Form) -> Option<What> {
        let (kind, id) = code.split_once('.')?;
        match kind {
            "t" => Some(What::Taxon(id.to_owned())),
            "u" => Some(What::Unknown(id.parse().ok()?)),
            "n" => Some(What::New {
                id: id.parse().ok()?,
                number: form.get(&format!("num.{id}")).to_owned(),
                description: form.get(&format!("new.{id}")).replace("\r\n", "\n"),
            }),
            _ => None,
        }
    }

    /// As the book will have it.
    pub fn counted(&self) -> Counted {
        match self {
            What::Taxon(id) => Counted::Taxon(id.clone()),
            What::Unknown(id) | What::New { id, .. } => Counted::Unknown(*id),
        }
    }
}

/// Something that is counted, with what has been marked of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Column {
    /// What it is.
    pub what: What,
    /// Cells marked, from 1.
    pub cells: BTreeSet<u32>,
    /// Plants, as typed.
    pub plants: String,
    /// Cells that were marked when the second look began.
    pub first_cells: BTreeSet<u32>,
    /// Plants that were entered when the second look began.
    pub first_plants: String,
}

impl Column {
    /// Nothing marked yet.
    pub fn empty(what: What) -> Column {
        Column {
            what,
            cells: BTreeSet::new(),
            plants: String::new(),
            first_cells: BTreeSet::new(),
            first_plants: String::new(),
        }
    }

    /// Whether anything was entered.
    pub fn marked(&self) -> bool {
        !self.cells.is_empty() || !matches!(self.plants.as_str(), "" | "0")
    }

    /// What the first look found, as the form spells it; empty: nothing.
    pub fn first(&self) -> String {
        match self.first_cells.is_empty() {
            true => self.first_plants.clone(),
            false => spelled(&self.first_cells),
        }
    }
}

/// Cells with dots between.
pub(crate) fn spelled(cells: &BTreeSet<u32>) -> String {
    let cells: Vec<String> = cells.iter().map(u32::to_string).collect();
    cells.join(".")
}

/// A frame that is not saved yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Draft {
    /// The id it will have.
    pub id: RecordId,
    /// The frame it corrects.
    pub supersedes: Option<RecordId>,
    /// Its number at the point, as typed.
    pub number: String,
    /// Who reads it.
    pub scout: String,
    /// What is laid.
    pub device: Device,
    /// What is counted.
    pub columns: Vec<Column>,
    /// The column shown.
    pub show: usize,
    /// Whether the scout says: looked, none.
    pub none: bool,
    /// Whether the scout went over it a second time.
    pub twice: bool,
    /// Whether the second look has begun.
    pub second: bool,
    /// The frame that this one reads again, blind.
    pub repeats: Option<RecordId>,
    /// Fields that no form of ours sends, in words.
    pub strange: Vec<String>,
}

impl Draft {
    /// An empty draft.
    pub fn new(device: Device, number: u32, scout: String) -> Draft {
        Draft {
            id: RecordId::new(),
            supersedes: None,
            number: number.to_string(),
            scout,
            device,
            columns: Vec::new(),
            show: 0,
            none: false,
            twice: false,
            second: false,
            repeats: None,
            strange: Vec::new(),
        }
    }

    /// A draft that corrects a frame.
    pub fn correcting(frame: &Entry<Frame>, scout: String) -> Draft {
        let body = &frame.body;
        let mut draft = Draft::new(Device::of(body.shape), body.number, scout);
        draft.supersedes = Some(frame.id);
        draft.none = body.tallies.is_empty();
        draft.twice = body.looked_twice;
        draft.repeats = body.repeats;
        draft.columns = gathered(body)
            .into_iter()
            .map(|(what, cells, plants)| Column {
                cells: cells.into_iter().collect(),
                plants: match plants {
                    0 => String::new(),
                    n => n.to_string(),
                },
                ..Column::empty(match what {
                    Counted::Taxon(id) => What::Taxon(id),
                    Counted::Unknown(id) => What::Unknown(id),
                })
            })
            .collect();
        draft
    }

    /// Reads what a form sent.
    pub fn read(form: &Form) -> Draft {
        let mut draft = Draft::new(
            Device::read(form).unwrap_or_else(Device::usual),
            1,
            form.get("scout").to_owned(),
        );
        draft.id = form.get("id").parse().unwrap_or(draft.id);
        draft.supersedes = form.get("supersedes").parse().ok();
        draft.number = form.get("number").to_owned();
        draft.none = form.has("none");
        draft.second = form.has("second");
        draft.twice = form.has("twice") || draft.second;
        draft.repeats = form.get("repeats").parse().ok();
        for code in form.all("col") {
            match What::read(code, form) {
                Some(what) => {
                    let at = draft.columns.len();
                    let mut column = Column::empty(what);
                    form.get(&format!("p.{at}")).clone_into(&mut column.plants);
                    let first = form.get(&format!("f.{at}"));
                    if draft.device.is_grid() {
                        column.first_cells = first.split('.').flat_map(str::parse).collect();
                    } else {
                        first.clone_into(&mut column.first_plants);
                    }
                    draft.columns.push(column);
                }
                None => draft.strange.push(format!(
                    "\u{201c}{}\u{201d} is nothing that can be counted",
                    short(code)
                )),
            }
        }
        let unseen = (0..draft.columns.len()).flat_map(|at| {
            let marks = form.get(&format!("m.{at}")).split('.');
            marks
                .filter(|cell| !cell.is_empty())
                .map(move |cell| format!("{at}.{cell}"))
        });
        let marks: Vec<String> = form.all("c").map(str::to_owned).chain(unseen).collect();
        for mark in &marks {
            if !draft.mark(mark) {
                draft.strange.push(format!(
                    "\u{201c}{}\u{201d} is no cell of this frame",
                    short(mark)
                ));
            }
        }
        draft.show = form.get("show").parse().unwrap_or(0);
        draft
    }

    /// The address of the form, empty, with this id, device and columns.
    pub fn address(&self, point: RecordId) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.append_pair("id", &self.id.to_string());
        query.extend_pairs(self.device.fields());
        for column in &self.columns {
            query.append_pair("col", &column.what.code());
        }
        let path = match self.repeats {
            Some(first) => format!("/frames/{first}/repeat"),
            None => format!("/at/{point}/count"),
        };
        format!("{path}?{}", query.finish())
    }

    /// Begins the second look: what is marked now is what the first one found.
    pub fn look_again(&mut self) {
        if self.second {
            return;
        }
        self.second = true;
        self.twice = true;
        for column in &mut self.columns {
            column.first_cells.clone_from(&column.cells);
            column.first_plants.clone_from(&column.plants);
        }
    }

    /// Takes `column.cell`; false when it is none.
    fn mark(&mut self, mark: &str) -> bool {
        let read = || -> Option<(usize, u32)> {
            let (column, cell) = mark.split_once('.')?;
            Some((column.parse().ok()?, cell.parse().ok()?))
        };
        match read().and_then(|(at, cell)| Some((self.columns.get_mut(at)?, cell))) {
            // A cell out of range is kept until `check` says so.
            Some((column, cell)) => {
                column.cells.insert(cell);
                true
            }
            None => false,
        }
    }

    /// Adds a column, unless it is there, and shows it.
    pub fn add(&mut self, what: What) {
        let counted = what.counted();
        match self
            .columns
            .iter()
            .position(|c| c.what.counted() == counted)
        {
            Some(at) => self.show = at,
            None => {
                self.columns.push(Column::empty(what));
                self.show = self.columns.len() - 1;
            }
        }
    }

    /// Takes out a column; marks of the others stay.
    pub fn drop_column(&mut self, at: usize) {
        if at < self.columns.len() {
            self.columns.remove(at);
            self.show = 0;
        }
    }
}

/// How many cells stand in a row: the most nearly square way, at most 10.
pub(super) fn cells_in_a_row(cells: u32) -> u32 {
    (1..=10)
        .find(|n| n * n >= cells && cells.is_multiple_of(*n))
        .or_else(|| (1..=10).find(|n| n * n >= cells))
        .unwrap_or(10)
}

/// A text from outside, cut for a message.
pub(super) fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

/// The address of an empty form with the same device.
pub(super) fn again(point: RecordId, shape: FrameShape) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.extend_pairs(Device::of(shape).fields());
    format!("/at/{point}/count?{}", query.finish())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frames_are_drawn_as_square_as_they_can_be() {
        for (cells, row) in [
            (25, 5),
            (1, 1),
            (10, 5),
            (16, 4),
            (20, 5),
            (100, 10),
            (7, 7),
            (13, 4),
            (50, 10),
        ] {
            assert_eq!(cells_in_a_row(cells), row, "{cells} cells");
        }
    }

    #[test]
    fn marks_find_their_column_and_strangers_are_told() {
        let form = Form::parse(
            b"device=grid&cells=25&side=15&col=t.sorghastrum_nutans&col=t.panicum_virgatum&c=1.7&c=0.25&c=9.1&c=x&col=z",
        );
        let Ok(form) = form else { panic!("a form") };
        let draft = Draft::read(&form);
        assert_eq!(draft.columns[1].cells, BTreeSet::from([7]));
        assert_eq!(draft.columns[0].cells, BTreeSet::from([25]));
        assert_eq!(draft.strange.len(), 3, "{:?}", draft.strange);
    }

    #[test]
    fn what_the_second_look_adds_is_told_from_the_first() {
        let form = Form::parse(
            b"device=grid&cells=100&side=10&col=t.panicum_virgatum&col=t.setaria_faberi&c=0.7&m.1=3.99&second=1&f.0=&f.1=3",
        );
        let Ok(form) = form else { panic!("a form") };
        let mut draft = Draft::read(&form);
        assert!(draft.second && draft.twice);
        assert_eq!(draft.columns[0].cells, BTreeSet::from([7]));
        assert!(draft.columns[0].first_cells.is_empty());
        assert_eq!(draft.columns[1].cells, BTreeSet::from([3, 99]));
        assert_eq!(draft.columns[1].first(), "3");
        // Beginning again would call everything found by the first look.
        draft.look_again();
        assert_eq!(draft.columns[1].first(), "3");
    }
}
