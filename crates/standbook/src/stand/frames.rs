//! Frames from a CSV file, as a spreadsheet or the Stand page writes them.
//!
//! In: bytes. Out: frames, each with its point, what was laid and what was found; or every fault
//! as `line: column ...: what and how to mend it`.
//!
//! A header names the columns, in any order: `point,frame,cell,taxon` for grids,
//! `point,frame,taxon,count` for quadrats and rows, or both. Known besides: `scout`, `date`,
//! `latitude`, `longitude`, `looked_twice`, `repeats` (number of the frame at this point that was
//! read again), and what was laid: `cells`, `cell_side_cm`, `area_m2`, `row_length_m`,
//! `row_spacing_cm`. A line without taxon says: looked, none.
//! Units: as the column's name says. Not here: what a taxon is (`super::names`), judging.

use std::collections::{BTreeMap, BTreeSet};

use crate::lines::Lines;

/// Columns that are known.
const KNOWN: [&str; 16] = [
    "point",
    "frame",
    "cell",
    "taxon",
    "count",
    "scout",
    "date",
    "latitude",
    "longitude",
    "looked_twice",
    "repeats",
    "cells",
    "cell_side_cm",
    "area_m2",
    "row_length_m",
    "row_spacing_cm",
];
/// Faults told at once.
const MOST_FAULTS: usize = 50;

/// What is laid where the file does not say.
#[derive(Debug, Clone, Copy)]
pub struct Usual {
    /// Cells of a grid.
    pub cells: u32,
    /// Side of a cell, cm.
    pub cell_side_cm: f64,
    /// Area of a quadrat, m2; `None`: not said.
    pub area_m2: Option<f64>,
    /// Length of a row in m and distance between rows in cm; `None`: not said.
    pub row: Option<(f64, f64)>,
}

/// What was laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// A grid.
    Grid {
        /// Cells.
        cells: u32,
        /// Side of a cell, cm.
        cell_side_cm: f64,
    },
    /// An area.
    Quadrat {
        /// m2.
        area_m2: f64,
    },
    /// A length of row.
    Row {
        /// m.
        length_m: f64,
        /// cm.
        spacing_cm: f64,
    },
}

/// One frame.
#[derive(Debug, Clone)]
pub struct Frame {
    /// Its point.
    pub point: String,
    /// Its number or name there.
    pub number: String,
    /// Who read it; may be empty.
    pub scout: String,
    /// Whether it was looked over twice; `None`: not said.
    pub looked_twice: Option<bool>,
    /// The frame of the same point that it reads again; may be empty.
    pub repeats: String,
    /// What was laid.
    pub shape: Shape,
    /// Cells by taxon as written, with the line it was first met on.
    pub cells: BTreeMap<String, BTreeSet<u32>>,
    /// Plants by taxon as written.
    pub plants: BTreeMap<String, u32>,
}

/// Everything read.
#[derive(Debug, Default)]
pub struct Read {
    /// Frames, in the order of the file.
    pub frames: Vec<Frame>,
    /// Taxa as written, each with the line where it first stands.
    pub taxa: BTreeMap<String, usize>,
    /// Columns that say nothing here.
    pub ignored: Vec<String>,
}

/// What is known of a frame while the file is read.
#[derive(Default)]
struct Open {
    at_line: usize,
    scout: String,
    looked_twice: Option<bool>,
    repeats: String,
    laid: Laid,
    cells: BTreeMap<String, BTreeSet<u32>>,
    plants: BTreeMap<String, u32>,
}

/// Columns on what was laid.
#[derive(Default, Clone, Copy, PartialEq)]
struct Laid {
    cells: Option<u32>,
    cell_side_cm: Option<f64>,
    area_m2: Option<f64>,
    row_length_m: Option<f64>,
    row_spacing_cm: Option<f64>,
}

/// Reads a file of frames.
///
/// # Errors
/// Every fault, in the order of lines; nothing is read then.
pub fn read(bytes: &[u8], usual: Usual) -> Result<Read, Vec<String>> {
    // Spreadsheets on some systems put a byte order mark first.
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let delimiter = delimiter(bytes);
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(bytes);
    let header: Vec<String> = match reader.byte_headers() {
        Ok(header) => header
            .iter()
            .map(|name| String::from_utf8_lossy(name).trim().to_lowercase())
            .collect(),
        Err(error) => return Err(vec![format!("1: column 1: {error}")]),
    };
    let columns = columns(&header)?;
    let mut read = Read {
        ignored: header
            .iter()
            .filter(|name| !name.is_empty() && !KNOWN.contains(&name.as_str()))
            .cloned()
            .collect(),
        ..Read::default()
    };
    let mut faults = Vec::new();
    let mut order: Vec<(String, String)> = Vec::new();
    let mut open: BTreeMap<(String, String), Open> = BTreeMap::new();
    let mut record = csv::ByteRecord::new();
    let mut lines = Lines::of(bytes);
    loop {
        match reader.read_byte_record(&mut record) {
            Ok(false) => break,
            Ok(true) => {}
            Err(error) => {
                faults.push(format!("{}: column 1: {error}", reader.position().line()));
                break;
            }
        }
        let line = lines.at(record.position().map_or(0, csv::Position::byte));
        if record.iter().all(<[u8]>::is_empty) {
            continue;
        }
        let row = Row {
            columns: &columns,
            record: &record,
        };
        if let Err(fault) = row.read(line, &mut order, &mut open, &mut read.taxa) {
            faults.push(format!("{line}: {fault}"));
            if faults.len() == MOST_FAULTS {
                faults.push(format!(
                    "{line}: more faults may follow; mend these {MOST_FAULTS} first"
                ));
                break;
            }
        }
    }
    if order.is_empty() && faults.is_empty() {
        faults.push("2: column 1: there are no frames; add a line for every cell or count, and one without a taxon for a frame with nothing in it".to_owned());
    }
    let grids = columns.contains_key("cell");
    for at in order {
        let Some(one) = open.remove(&at) else {
            continue;
        };
        match close(one, at, usual, grids) {
            Ok(frame) => read.frames.push(frame),
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() {
        Ok(read)
    } else {
        Err(faults)
    }
}

/// A comma, or what the header has more of: spreadsheets in some countries write semicolons.
fn delimiter(bytes: &[u8]) -> u8 {
    let head = bytes.split(|b| *b == b'\n').next().unwrap_or_default();
    let count = |wanted: u8| head.iter().filter(|b| **b == wanted).count();
    [b';', b'\t']
        .into_iter()
        .filter(|other| count(*other) > count(b','))
        .max_by_key(|other| count(*other))
        .unwrap_or(b',')
}

/// Columns by name; refuses a header without what is needed.
fn columns(header: &[String]) -> Result<BTreeMap<String, usize>, Vec<String>> {
    let mut columns = BTreeMap::new();
    let mut faults = Vec::new();
    for (at, name) in header.iter().enumerate() {
        if columns.insert(name.clone(), at).is_some() && KNOWN.contains(&name.as_str()) {
            faults.push(format!(
                "1: column {} ({name}): the header has it twice; leave one out",
                at + 1
            ));
        }
    }
    let has = |name: &str| columns.contains_key(name);
    let missing: Vec<&str> = ["point", "frame", "taxon"]
        .into_iter()
        .filter(|name| !has(name))
        .collect();
    if !missing.is_empty() || !(has("cell") || has("count")) {
        let lacks = match missing.as_slice() {
            [] => "cell or count".to_owned(),
            names => names.join(", "),
        };
        faults.push(format!(
            "1: column 1: the header is `{}` and lacks {lacks}; write `point,frame,cell,taxon` for grids or `point,frame,taxon,count` for quadrats and rows",
            header.join(",").chars().take(80).collect::<String>()
        ));
    }
    if faults.is_empty() {
        Ok(columns)
    } else {
        Err(faults)
    }
}

struct Row<'a> {
    columns: &'a BTreeMap<String, usize>,
    record: &'a csv::ByteRecord,
}

impl Row<'_> {
    /// Column number from 1 and name, for messages.
    fn place(&self, name: &str) -> String {
        let at = self.columns.get(name).map_or(1, |at| at + 1);
        format!("column {at} ({name})")
    }

    fn text(&self, name: &str) -> Result<String, String> {
        let Some(field) = self.columns.get(name).and_then(|at| self.record.get(*at)) else {
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
        match text.parse::<f64>() {
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
                "{}: `{}` is neither yes nor no",
                self.place(name),
                standbook_key::fault::short(other)
            )),
        }
    }

    fn read(
        &self,
        line: usize,
        order: &mut Vec<(String, String)>,
        open: &mut BTreeMap<(String, String), Open>,
        taxa: &mut BTreeMap<String, usize>,
    ) -> Result<(), String> {
        let width = self.columns.len();
        if self.record.len() > width {
            return Err(format!(
                "column {}: the line has {} columns, the header {width}; quote values with commas",
                width + 1,
                self.record.len()
            ));
        }
        let (point, number) = (self.text("point")?, self.text("frame")?);
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
        let repeats = self.text("repeats")?;
        let laid = Laid {
            cells: self.whole("cells", 1, 10_000)?,
            cell_side_cm: self.above_zero("cell_side_cm", 1000.0)?,
            area_m2: self.above_zero("area_m2", 10_000.0)?,
            row_length_m: self.above_zero("row_length_m", 1000.0)?,
            row_spacing_cm: self.above_zero("row_spacing_cm", 500.0)?,
        };
        let (scout, looked_twice) = (self.text("scout")?, self.yes("looked_twice")?);
        let cell = self.whole("cell", 1, 10_000)?;
        let count = self.whole("count", 0, 1_000_000)?;
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
            looked_twice,
            ..Open::default()
        });
        if frame.laid != laid {
            return Err(format!(
                "{}: the lines of frame {number} say that different things were laid there (line {}); make them agree",
                self.place("frame"),
                frame.at_line
            ));
        }
        if frame.scout != scout {
            return Err(format!(
                "{}: frame {number} has another scout on line {}; give each scout's frame its own number, or fill in `repeats` for a second reading",
                self.place("scout"),
                frame.at_line
            ));
        }
        if taxon.is_empty() {
            return match (cell, count.unwrap_or(0)) {
                (None, 0) => Ok(()),
                _ => Err(format!(
                    "{}: empty beside a cell or count; name the taxon, or leave cell and count empty for looked, none",
                    self.place("taxon")
                )),
            };
        }
        taxa.entry(taxon.clone()).or_insert(line);
        match (cell, count) {
            (Some(cell), None) => {
                if let Some(most) = frame.laid.cells.filter(|most| cell > *most) {
                    return Err(format!(
                        "{}: cell {cell} is not in a grid of {most} cells; use 1 to {most}",
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

/// A frame once all its lines are read.
fn close(
    one: Open,
    (point, name): (String, String),
    usual: Usual,
    grids: bool,
) -> Result<Frame, String> {
    let number = name.split('\u{1f}').next().unwrap_or_default().to_owned();
    let at = format!("{}: frame {number} of point {point}", one.at_line);
    if !one.cells.is_empty() && !one.plants.is_empty() {
        return Err(format!(
            "{at} has cells and counts; give the counted quadrat a number of its own"
        ));
    }
    let laid = one.laid;
    let is_row = laid.row_length_m.is_some();
    let counted = !one.plants.is_empty() || laid.area_m2.is_some() || is_row;
    let is_grid = !one.cells.is_empty() || laid.cells.is_some() || (!counted && grids);
    let shape = if is_grid {
        let cells = laid.cells.unwrap_or(usual.cells);
        let most = one.cells.values().flatten().max().copied().unwrap_or(0);
        if most > cells {
            return Err(format!(
                "{at}: cell {most} is not in a grid of {cells} cells; use 1 to {cells}, or say how many cells the grid has with --cells"
            ));
        }
        Shape::Grid {
            cells,
            cell_side_cm: laid.cell_side_cm.unwrap_or(usual.cell_side_cm),
        }
    } else if is_row || (laid.area_m2.is_none() && usual.row.is_some()) {
        let (length, spacing) = usual.row.unzip();
        match (
            laid.row_length_m.or(length),
            laid.row_spacing_cm.or(spacing),
        ) {
            (Some(length_m), Some(spacing_cm)) => Shape::Row {
                length_m,
                spacing_cm,
            },
            _ => {
                return Err(format!(
                    "{at}: the distance between rows is missing; add a column row_spacing_cm or give --row-spacing-cm"
                ));
            }
        }
    } else {
        match laid.area_m2.or(usual.area_m2) {
            Some(area_m2) => Shape::Quadrat { area_m2 },
            None => {
                return Err(format!(
                    "{at}: how large it was is missing; give --quadrat-m2, or --row-m with --row-spacing-cm, or add a column area_m2"
                ));
            }
        }
    };
    Ok(Frame {
        point,
        number,
        scout: one.scout,
        looked_twice: one.looked_twice,
        repeats: one.repeats,
        shape,
        cells: one.cells,
        plants: one.plants,
    })
}
