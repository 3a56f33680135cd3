//! A frame that is being read and not saved yet: it lives in the form and nowhere else.
//!
//! In: the fields of the form, or a frame of the book to correct. Out: the draft; what a person
//! typed is kept as typed, so that a wrong number comes back as it was.
//! Fields: `col` (what is counted, in order), `c` (`column.cell`, a mark in a grid), `p.N`
//! (plants of column N in a quadrat), `show` (the column whose cells are shown).
//! Not here: whether it may be saved (`check`).

use std::collections::BTreeSet;

use standbook_fieldbook::record::{Counted, Frame, FrameShape};
use standbook_fieldbook::{Entry, RecordId};

use crate::form::Form;
use crate::plot::recorded::gathered;
use crate::words;

/// Cells of the trade's frame.
pub(super) const CELLS: u32 = 25;
/// Side of its cells, cm.
pub(super) const CELL_SIDE_CM: f64 = 15.0;

/// What is laid, as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Device {
    /// A grid of cells.
    Grid {
        /// Number of cells.
        cells: String,
        /// Side of a cell, cm.
        side: String,
    },
    /// An area in which plants are counted.
    Quadrat {
        /// Area, in `unit`.
        area: String,
        /// `m2` or `ft2`.
        unit: String,
    },
}

impl Device {
    /// The trade's frame.
    pub fn usual() -> Device {
        Device::of(FrameShape::Grid {
            cells: CELLS,
            cell_side_cm: CELL_SIDE_CM,
        })
    }

    /// A device of the book.
    pub fn of(shape: FrameShape) -> Device {
        match shape {
            FrameShape::Grid {
                cells,
                cell_side_cm,
            } => Device::Grid {
                cells: cells.to_string(),
                side: cell_side_cm.to_string(),
            },
            FrameShape::Quadrat { area_m2 } => {
                let ft2 = words::plain(area_m2 / words::M2_PER_FT2);
                // The book keeps m2. What is round in ft2 and not in m2 was typed in ft2.
                let round = |area: &str, m2: f64| {
                    area.parse()
                        .is_ok_and(|a: f64| (a * m2 - area_m2).abs() < 1e-9)
                };
                if !round(&words::plain(area_m2), 1.0) && round(&ft2, words::M2_PER_FT2) {
                    Device::Quadrat {
                        area: ft2,
                        unit: "ft2".to_owned(),
                    }
                } else {
                    Device::Quadrat {
                        area: area_m2.to_string(),
                        unit: "m2".to_owned(),
                    }
                }
            }
        }
    }

    /// The device a form or an address names, if it names one.
    pub fn read(form: &Form) -> Option<Device> {
        match form.get("device") {
            "quadrat" => Some(Device::Quadrat {
                area: form.get("area").to_owned(),
                unit: form.get("unit").to_owned(),
            }),
            "grid" => Some(Device::Grid {
                cells: form.get("cells").to_owned(),
                side: form.get("side").to_owned(),
            }),
            _ => None,
        }
    }

    /// Number of cells to draw; 0 for a quadrat or when what was typed is no such number.
    pub fn cells(&self) -> u32 {
        match self {
            Device::Grid { cells, .. } => cells
                .parse()
                .ok()
                .filter(|n| (1..=standbook_fieldbook::limits::CELLS).contains(n))
                .unwrap_or(0),
            Device::Quadrat { .. } => 0,
        }
    }
}

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
}

impl Column {
    /// Nothing marked yet.
    pub fn empty(what: What) -> Column {
        Column {
            what,
            cells: BTreeSet::new(),
            plants: String::new(),
        }
    }

    /// Whether anything was entered.
    pub fn marked(&self) -> bool {
        !self.cells.is_empty() || !matches!(self.plants.as_str(), "" | "0")
    }
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
        draft.columns = gathered(body)
            .into_iter()
            .map(|(what, cells, plants)| Column {
                what: match what {
                    Counted::Taxon(id) => What::Taxon(id),
                    Counted::Unknown(id) => What::Unknown(id),
                },
                cells: cells.into_iter().collect(),
                plants: match plants {
                    0 => String::new(),
                    n => n.to_string(),
                },
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
        draft.twice = form.has("twice");
        for code in form.all("col") {
            match What::read(code, form) {
                Some(what) => {
                    let at = draft.columns.len();
                    let mut column = Column::empty(what);
                    form.get(&format!("p.{at}")).clone_into(&mut column.plants);
                    draft.columns.push(column);
                }
                None => draft.strange.push(format!(
                    "\u{201c}{}\u{201d} is nothing that can be counted",
                    short(code)
                )),
            }
        }
        for mark in form.all("c") {
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
        match &self.device {
            Device::Grid { cells, side } => query
                .append_pair("device", "grid")
                .append_pair("cells", cells)
                .append_pair("side", side),
            Device::Quadrat { area, unit } => query
                .append_pair("device", "quadrat")
                .append_pair("area", area)
                .append_pair("unit", unit),
        };
        for column in &self.columns {
            query.append_pair("col", &column.what.code());
        }
        format!("/at/{point}/count?{}", query.finish())
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
    match Device::of(shape) {
        Device::Grid { cells, side } => {
            format!("/at/{point}/count?device=grid&cells={cells}&side={side}")
        }
        Device::Quadrat { area, unit } => {
            format!("/at/{point}/count?device=quadrat&area={area}&unit={unit}")
        }
    }
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
    fn a_quadrat_typed_in_square_feet_comes_back_in_square_feet() {
        let of = |area_m2| match Device::of(FrameShape::Quadrat { area_m2 }) {
            Device::Quadrat { area, unit } => format!("{area} {unit}"),
            Device::Grid { .. } => String::new(),
        };
        assert_eq!(of(0.25), "0.25 m2");
        assert_eq!(of(1.0), "1 m2");
        // 2.7 ft2 as `check` keeps it.
        assert_eq!(of(0.250_838_208), "2.7 ft2");
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
}
