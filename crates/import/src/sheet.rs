//! A frame sheet as somebody typed it, and two typings of one sheet side by side.
//!
//! In: the words of a sheet. Out: a sheet that can be compared mark by mark; the differences; and a
//! sheet once somebody has looked at the paper again.
//! Source for typing twice: Paulsen, Overgaard and Lauritsen, PLoS ONE 7(4), 2012, e35087: 0.37 errors in
//! 1,000 fields typed once, 0.046 typed twice (the figures as handed down, the reference from memory).

use std::collections::{BTreeMap, BTreeSet};

use crate::typed::{Amount, Found, Line};

/// What a mark is of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// A taxon of the key, by id.
    Taxon(String),
    /// An unknown, by number.
    Unknown(u32),
}

/// A sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sheet {
    /// Label of the point.
    pub point: String,
    /// Number of the frame there, as typed.
    pub number: String,
    /// Whether it was gone over twice.
    pub twice: bool,
    /// Whether it says: looked, none.
    pub none: bool,
    /// Marks by what and cell (0 where plants are counted), with the number of plants (0 in a cell).
    pub marks: BTreeMap<(Mark, u32), u32>,
    /// What unknowns look like, by number.
    pub looks: BTreeMap<u32, String>,
}

/// One thing in which two typings differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Names it in a form.
    pub key: String,
    /// What it is about.
    pub about: About,
    /// What the first typing says.
    pub first: String,
    /// What the second says.
    pub second: String,
}

/// What a difference is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum About {
    /// The label of the point.
    Point,
    /// The number of the frame.
    Number,
    /// Whether it was gone over twice.
    Twice,
    /// Whether it says: looked, none.
    None,
    /// A cell, or the plants where the cell is 0.
    Mark(Mark, u32),
    /// What an unknown looks like.
    Looks(u32),
}

impl Sheet {
    /// Adds the lines of the sheet.
    #[must_use]
    pub fn with(mut self, lines: Vec<Line>) -> Sheet {
        for line in lines {
            let mark = line.mark();
            if let Found::Unknown(number, looks) = line.found
                && !looks.is_empty()
            {
                self.looks.insert(number, looks);
            }
            match line.amount {
                Amount::Cells(cells) => {
                    let marks = cells.into_iter().map(|cell| ((mark.clone(), cell), 0));
                    self.marks.extend(marks);
                }
                Amount::Plants(plants) => {
                    self.marks.insert((mark, 0), plants);
                }
            }
        }
        self
    }

    fn says(&self, about: &About) -> String {
        let yes = |it: bool| if it { "yes" } else { "no" }.to_owned();
        match about {
            About::Point => self.point.clone(),
            About::Number => self.number.clone(),
            About::Twice => yes(self.twice),
            About::None => yes(self.none),
            About::Mark(mark, 0) => {
                let plants = self.marks.get(&(mark.clone(), 0));
                plants.map_or_else(|| "none".to_owned(), u32::to_string)
            }
            About::Mark(mark, cell) => yes(self.marks.contains_key(&(mark.clone(), *cell))),
            About::Looks(number) => self.looks.get(number).cloned().unwrap_or_default(),
        }
    }

    fn take(&mut self, about: &About, from: &Sheet) {
        match about {
            About::Point => self.point.clone_from(&from.point),
            About::Number => self.number.clone_from(&from.number),
            About::Twice => self.twice = from.twice,
            About::None => self.none = from.none,
            About::Mark(mark, cell) => {
                let key = (mark.clone(), *cell);
                match from.marks.get(&key) {
                    Some(plants) => self.marks.insert(key, *plants),
                    None => self.marks.remove(&key),
                };
            }
            About::Looks(number) => {
                match from.looks.get(number) {
                    Some(words) => self.looks.insert(*number, words.clone()),
                    None => self.looks.remove(number),
                };
            }
        }
    }
}

/// Everything in which two typings of a sheet differ, in the order of the sheet.
pub fn differences(first: &Sheet, second: &Sheet) -> Vec<Difference> {
    let mut all = vec![About::Point, About::Number, About::Twice, About::None];
    let marks: BTreeSet<&(Mark, u32)> = first.marks.keys().chain(second.marks.keys()).collect();
    all.extend(
        marks
            .into_iter()
            .map(|(mark, cell)| About::Mark(mark.clone(), *cell)),
    );
    let looks: BTreeSet<&u32> = first.looks.keys().chain(second.looks.keys()).collect();
    all.extend(looks.into_iter().map(|number| About::Looks(*number)));
    let differing = all.into_iter().filter_map(|about| {
        let (one, other) = (first.says(&about), second.says(&about));
        (one != other).then(|| Difference {
            key: key_of(&about),
            about,
            first: one,
            second: other,
        })
    });
    differing.collect()
}

/// One sheet of two typings. `choose` says of a difference whether the first typing is right; `None`:
/// nobody has said.
///
/// # Errors
/// The differences of which nobody has said it.
pub fn settle(
    first: &Sheet,
    second: &Sheet,
    choose: impl Fn(&Difference) -> Option<bool>,
) -> Result<Sheet, Vec<Difference>> {
    let mut sheet = second.clone();
    let mut open = Vec::new();
    for difference in differences(first, second) {
        match choose(&difference) {
            Some(true) => sheet.take(&difference.about, first),
            Some(false) => {}
            None => open.push(difference),
        }
    }
    match open.is_empty() {
        true => Ok(sheet),
        false => Err(open),
    }
}

fn key_of(about: &About) -> String {
    let of = |mark: &Mark| match mark {
        Mark::Taxon(id) => format!("t.{id}"),
        Mark::Unknown(number) => format!("u.{number}"),
    };
    match about {
        About::Point => "point".to_owned(),
        About::Number => "number".to_owned(),
        About::Twice => "twice".to_owned(),
        About::None => "none".to_owned(),
        About::Mark(mark, cell) => format!("{}.{cell}", of(mark)),
        About::Looks(number) => format!("looks.{number}"),
    }
}
