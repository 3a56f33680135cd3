//! Marks on a frame that is being counted: they live in the form and nowhere else.
//!
//! In: the fields of the form. Out: the cells marked as planted, and as something else.
//! Fields: `c` (`0.7`: planted in cell 7; `1.7`: something else), `m.0` and `m.1` (`3.9`: marks whose boxes
//! are not on the page), `f.0` and `f.1` (what was marked when the second look began), `second`, `show`
//! (which marks the grid takes: 0, 1, or 2 for looking closer).
//! Not here: what stands in the frame.

use std::collections::BTreeSet;

use standbook_practice::frame::{CELLS, Role};
use standbook_practice::frame_score::Both;

use super::laid::From;
use crate::form::Form;

/// Marks, and how far the scout is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Marks {
    planted: BTreeSet<u32>,
    other: BTreeSet<u32>,
    first_planted: BTreeSet<u32>,
    first_other: BTreeSet<u32>,
    /// Whether the second look has begun.
    pub second: bool,
    /// What the grid takes: 0 planted, 1 something else, 2 looking closer.
    pub show: u32,
}

impl Marks {
    /// Reads them; what is no cell is left out.
    pub fn read(form: &Form) -> Marks {
        let mut marks = Marks {
            second: form.get("second") == "1",
            show: form.get("show").parse().unwrap_or(0).min(2),
            ..Marks::default()
        };
        for text in form.all("c") {
            if let Some((column, cell)) = text.split_once('.') {
                let of = match column {
                    "0" => &mut marks.planted,
                    "1" => &mut marks.other,
                    _ => continue,
                };
                of.extend(cells(cell));
            }
        }
        marks.planted.extend(cells(form.get("m.0")));
        marks.other.extend(cells(form.get("m.1")));
        marks.first_planted.extend(cells(form.get("f.0")));
        marks.first_other.extend(cells(form.get("f.1")));
        marks
    }

    /// Begins the second look: what is marked now is what the first one found.
    pub fn look_again(&mut self) {
        self.second = true;
        self.show = 0;
        self.first_planted = self.planted.clone();
        self.first_other = self.other.clone();
    }

    /// The cells marked as a role.
    pub fn of(&self, role: Role) -> &BTreeSet<u32> {
        match role {
            Role::Planted => &self.planted,
            Role::Other => &self.other,
        }
    }

    /// Those that were marked when the second look began.
    pub fn first(&self, role: Role) -> &BTreeSet<u32> {
        match role {
            Role::Planted => &self.first_planted,
            Role::Other => &self.first_other,
        }
    }

    /// What is marked in a cell.
    pub fn at(&self, cell: u32) -> Both {
        Both {
            planted: self.planted.contains(&cell),
            other: self.other.contains(&cell),
        }
    }

    /// How many marks there are.
    pub fn count(&self) -> usize {
        self.planted.len() + self.other.len()
    }

    /// From where the frame is looked at.
    pub fn from(&self) -> From {
        if self.second {
            From::OtherSide
        } else {
            From::Here
        }
    }
}

/// `3.9.12`: cells of a frame.
fn cells(text: &str) -> impl Iterator<Item = u32> + '_ {
    let each = text.split('.').filter_map(|cell| cell.parse().ok());
    each.filter(|cell| (1..=CELLS).contains(cell))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn read(text: &str) -> Marks {
        Marks::read(&Form::parse(text.as_bytes()).unwrap())
    }

    #[test]
    fn marks_come_from_boxes_and_from_cells_that_are_not_on_the_page() {
        let marks = read("c=0.7&c=1.7&c=0.25&m.0=1.2&m.1=&show=1");
        assert_eq!(*marks.of(Role::Planted), [1, 2, 7, 25].into());
        assert_eq!(*marks.of(Role::Other), [7].into());
        assert_eq!((marks.at(7).other, marks.at(8).is_none()), (true, true));
        assert_eq!((marks.count(), marks.show, marks.second), (5, 1, false));
    }

    #[test]
    fn what_is_no_cell_is_left_out() {
        let marks = read("c=0.0&c=0.26&c=2.3&c=7&c=0.x&c=0.-1&m.1=0.99.3.&show=7&f.0=40");
        assert_eq!((marks.of(Role::Planted).len(), marks.show), (0, 2));
        assert_eq!(*marks.of(Role::Other), [3].into());
        assert!(marks.first(Role::Planted).is_empty());
    }

    #[test]
    fn the_second_look_keeps_what_the_first_found() {
        let mut marks = read("c=0.7&c=1.3&show=1");
        marks.look_again();
        assert_eq!(*marks.first(Role::Planted), [7].into());
        assert_eq!(*marks.first(Role::Other), [3].into());
        assert_eq!((marks.from(), marks.show), (From::OtherSide, 0));
        assert_eq!(marks.from().cells().first(), Some(&25));
    }
}
