//! One line of a file of frames: its fields, checked one by one, taken into the frame it tells of.
//!
//! In: a record and the header's columns. Out: the frame with one find more, or what is wrong as
//! `column ...: what and how to mend it`. A faulty line adds nothing to its frame.
//! Units: as the column's name says. Not here: what a frame is once all its lines are read
//! (`super`).

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::{Usual, place};
use crate::dates;
use crate::delimited::with_point;

/// What is known of a frame while the file is read.
#[derive(Default)]
pub(super) struct Open {
    pub(super) at_line: usize,
    pub(super) scout: String,
    pub(super) date: Option<Date>,
    pub(super) looked_twice: Option<bool>,
    pub(super) repeats: String,
    pub(super) laid: Laid,
    pub(super) cells: BTreeMap<String, BTreeSet<u32>>,
    pub(super) plants: BTreeMap<String, u32>,
    pub(super) descriptions: BTreeMap<String, String>,
    /// Whether a line has a number of plants, be it 0.
    pub(super) counted: bool,
}

/// Columns on what was laid.
#[derive(Default, Clone, Copy, PartialEq)]
pub(super) struct Laid {
    pub(super) cells: Option<u32>,
    pub(super) cell_side_cm: Option<f64>,
    pub(super) area_m2: Option<f64>,
    pub(super) row_length_m: Option<f64>,
    pub(super) row_spacing_cm: Option<f64>,
}

/// One line under a header.
pub(super) struct Row<'a> {
    pub(super) columns: &'a BTreeMap<String, usize>,
    /// Columns of the header, those without a name too.
    pub(super) width: usize,
    /// What is laid, and how days are written, where the file does not say.
    pub(super) usual: &'a Usual,
    /// Whether a comma may stand for the decimal point.
    pub(super) decimal_comma: bool,
    pub(super) record: &'a csv::ByteRecord,
    /// Which find of a line that is a whole frame.
    pub(super) wide: Option<Wide<'a>>,
}

/// One find of a line that is a whole frame: a name from the header and the number below it.
pub(super) struct Wide<'a> {
    /// Empty: that it was looked at.
    pub(super) taxon: &'a str,
    /// The column, from 0.
    pub(super) at: Option<usize>,
}

impl Row<'_> {
    /// Column number from 1 and name, for messages.
    fn place(&self, name: &str) -> String {
        match &self.wide {
            Some(Wide {
                taxon,
                at: Some(at),
            }) if ["count", "taxon"].contains(&name) => {
                format!("column {} ({taxon})", at + 1)
            }
            _ => place(self.columns, name),
        }
    }

    fn text(&self, name: &str) -> Result<String, String> {
        let at = match (&self.wide, name) {
            (Some(wide), "taxon") => return Ok(wide.taxon.to_owned()),
            (Some(Wide { at: None, .. }), "count") => return Ok("0".to_owned()),
            (Some(wide), "count") => wide.at,
            _ => self.columns.get(name).copied(),
        };
        let Some(field) = at.and_then(|at| self.record.get(at)) else {
            return Ok(String::new());
        };
        match std::str::from_utf8(field) {
            Ok(text) => Ok(text.trim().to_owned()),
            Err(_) => Err(format!(
                "{}: not UTF-8 text; save the file as UTF-8",
                self.place(name)
            )),
        }
    }

    fn whole(&self, name: &str, least: u32, most: u32) -> Result<Option<u32>, String> {
        let text = self.text(name)?;
        if text.is_empty() {
            return Ok(None);
        }
        match text.parse::<u32>() {
            Ok(number) if (least..=most).contains(&number) => Ok(Some(number)),
            _ => Err(format!(
                "{}: `{}` is no whole number from {least} to {most}; write one",
                self.place(name),
                standbook_key::fault::short(&text)
            )),
        }
    }

    fn above_zero(&self, name: &str, most: f64) -> Result<Option<f64>, String> {
        let text = self.text(name)?;
        if text.is_empty() {
            return Ok(None);
        }
        let pointed = match self.decimal_comma {
            true => with_point(&text, b';'),
            false => text.clone(),
        };
        match pointed.parse::<f64>() {
            Ok(number) if number > 0.0 && number <= most => Ok(Some(number)),
            _ => Err(format!(
                "{}: `{}` is no number above 0 and up to {most}; write one, with a point before decimals",
                self.place(name),
                standbook_key::fault::short(&text)
            )),
        }
    }

    fn yes(&self, name: &str) -> Result<Option<bool>, String> {
        match self.text(name)?.to_lowercase().as_str() {
            "" => Ok(None),
            "yes" | "true" | "1" => Ok(Some(true)),
            "no" | "false" | "0" => Ok(Some(false)),
            other => Err(format!(
                "{}: `{}` is neither yes nor no; write one of them or nothing",
                self.place(name),
                standbook_key::fault::short(other)
            )),
        }
    }

    fn date(&self) -> Result<Option<Date>, String> {
        let text = self.text("date")?;
        if text.is_empty() {
            return Ok(None);
        }
        let day = dates::read(&text, self.usual.dates);
        day.map(Some)
            .map_err(|said| format!("{}: {said}", self.place("date")))
    }

    /// Takes the line into its frame.
    pub(super) fn read(
        &self,
        line: usize,
        order: &mut Vec<(String, String)>,
        open: &mut BTreeMap<(String, String), Open>,
        taxa: &mut BTreeMap<String, usize>,
    ) -> Result<(), String> {
        let width = self.width;
        if self.record.len() > width {
            return Err(format!(
                "column {}: the line has {} columns, the header {width}; quote values with commas",
                width + 1,
                self.record.len()
            ));
        }
        // Some spreadsheets leave empty columns at the end out; what was found is never guessed.
        let found = ["cell", "taxon", "count"];
        let needed = found.iter().filter_map(|name| self.columns.get(*name));
        let counted = self.wide.as_ref().and_then(|wide| wide.at.as_ref());
        if needed
            .chain(counted)
            .max()
            .is_some_and(|last| self.record.len() <= *last)
        {
            return Err(format!(
                "column {}: the line has {} column(s), the header {width}; leave the separators of empty columns in",
                self.record.len(),
                self.record.len()
            ));
        }
        let (mut point, number) = (self.text("point")?, self.text("frame")?);
        for (name, text) in [("point", &point), ("frame", &number)] {
            if text.is_empty() {
                return Err(format!(
                    "{}: empty; give every {name} a name or number",
                    self.place(name)
                ));
            }
            if text.chars().count() > 200 {
                return Err(format!(
                    "{}: longer than 200 characters; shorten it",
                    self.place(name)
                ));
            }
        }
        let (plot, repeats) = (self.text("plot")?, self.text("repeats")?);
        if !plot.is_empty() {
            point = format!("{plot}, {point}");
        }
        let laid = Laid {
            cells: self.whole("cells", 1, 10_000)?,
            cell_side_cm: self.above_zero("cell_side_cm", 1000.0)?,
            area_m2: self.above_zero("area_m2", 10_000.0)?,
            row_length_m: self.above_zero("row_length_m", 1000.0)?,
            row_spacing_cm: self.above_zero("row_spacing_cm", 500.0)?,
        };
        let (scout, looked_twice) = (self.text("scout")?, self.yes("looked_twice")?);
        let date = self.date()?;
        let cell = self.whole("cell", 1, 10_000)?;
        let count = match self.whole("count", 0, 1_000_000)? {
            None if self.wide.is_some() => Some(0),
            count => count,
        };
        let taxon = self.text("taxon")?;
        // A second reading of a frame has its number too.
        let name = match repeats.is_empty() {
            true => number.clone(),
            false => format!("{number}\u{1f}again\u{1f}{scout}"),
        };
        let at = (point, name);
        if !open.contains_key(&at) {
            order.push(at.clone());
        }
        let frame = open.entry(at).or_insert_with(|| Open {
            at_line: line,
            laid,
            repeats: repeats.clone(),
            scout: scout.clone(),
            date,
            looked_twice,
            ..Open::default()
        });
        if frame.laid != laid {
            return Err(format!(
                "{}: frame {number} has another size here than on line {}; make the columns on what was laid agree",
                self.place("frame"),
                frame.at_line
            ));
        }
        if frame.scout != scout {
            return Err(format!(
                "{}: frame {number} has another scout than on line {}; give each scout's frame its own number, or fill in `repeats` for a second reading",
                self.place("scout"),
                frame.at_line
            ));
        }
        if frame.date != date {
            return Err(format!(
                "{}: frame {number} has another date than on line {}; make them agree",
                self.place("date"),
                frame.at_line
            ));
        }
        frame.counted |= cell.is_none() && count.is_some();
        if taxon.is_empty() {
            return match (cell, count.unwrap_or(0)) {
                (None, 0) => Ok(()),
                _ => Err(format!(
                    "{}: empty beside a cell or count; name the taxon, or leave cell and count empty for looked, none",
                    self.place("taxon")
                )),
            };
        }
        if count == Some(0) && self.wide.is_some() {
            return Ok(());
        }
        taxa.entry(taxon.clone()).or_insert(line);
        let description = self.text("description")?;
        if !description.is_empty() {
            let known = frame.descriptions.entry(taxon.clone());
            if *known.or_insert_with(|| description.clone()) != description {
                return Err(format!(
                    "{}: {taxon} is described otherwise on an earlier line; describe it once",
                    self.place("description")
                ));
            }
        }
        let laid_cells = frame.laid.cells;
        match (cell, count) {
            (Some(cell), None) => {
                let most = laid_cells.unwrap_or(self.usual.cells);
                if cell > most {
                    let mend = match laid_cells {
                        Some(_) => "",
                        None => ", or say how many cells the grid has with --cells",
                    };
                    return Err(format!(
                        "{}: cell {cell} is not in a grid of {most} cells; use 1 to {most}{mend}",
                        self.place("cell")
                    ));
                }
                if !frame.cells.entry(taxon.clone()).or_default().insert(cell) {
                    return Err(format!(
                        "{}: {taxon} is in cell {cell} of frame {number} already; a frame counted twice gets a new number, a slip is left out",
                        self.place("cell")
                    ));
                }
                Ok(())
            }
            (None, Some(0)) => Ok(()),
            (None, Some(count)) => {
                if frame.plants.insert(taxon.clone(), count).is_some() {
                    return Err(format!(
                        "{}: {taxon} is counted in frame {number} already; add the plants up in one line",
                        self.place("taxon")
                    ));
                }
                Ok(())
            }
            (Some(_), Some(_)) => Err(format!(
                "{}: a line has a cell or a count, not both",
                self.place("count")
            )),
            (None, None) => Err(format!(
                "{}: {taxon} has neither cell nor count; fill one in",
                self.place("taxon")
            )),
        }
    }
}
