//! Frames from a CSV file, as a spreadsheet or the Stand page writes them.
//!
//! In: bytes. Out: frames, each with its point, what was laid and what was found; or every fault
//! as `line: column ...: what and how to mend it`.
//!
//! A header names the columns, in any order: `point,frame,cell,taxon` for grids,
//! `point,frame,taxon,count` for quadrats and rows, or both. Known besides: `scout`, `date`,
//! `latitude`, `longitude`, `looked_twice`, `repeats` (number of the frame at this point that was
//! read again), `plot`, `description` (what an unknown looks like), and what was laid: `cells`,
//! `cell_side_cm`, `area_m2`, `row_length_m`, `row_spacing_cm`. A line without taxon says: looked, none.
//! With [`read_wide_too`] also one line a frame and a column of counted plants for each taxon.
//! Units: as the column's name says. Not here: what a taxon is (`names`), one line (`row`), judging.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::dates::DateForm;
use crate::delimited::delimiter;
use crate::{Fault, Lines};
use header::{KNOWN, columns, sizes_of_wide, wide_columns};
use row::{Open, Row, Wide};

mod header;
mod row;

/// Days that one visit may take. Ours: long enough to finish a field after rain, too short for
/// two visits a season.
const LONGEST_VISIT_DAYS: i32 = 30;

/// What is laid where the file does not say.
#[derive(Debug, Clone, Copy)]
pub struct Usual {
    /// Cells of a grid.
    pub cells: u32,
    /// Side of a cell, cm.
    pub cell_side_cm: f64,
    /// Area of a quadrat, m2; `None`: not said.
    pub area_m2: Option<f64>,
    /// Length of counted row, m; `None`: not said.
    pub row_m: Option<f64>,
    /// Distance between rows, cm; `None`: not said.
    pub row_spacing_cm: Option<f64>,
    /// How days are written.
    pub dates: DateForm,
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
    /// Its point; `Plot, point` where the file has a column `plot`.
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
    /// The line it is first met on.
    pub line: usize,
    /// Cells by taxon as written.
    pub cells: BTreeMap<String, BTreeSet<u32>>,
    /// Plants by taxon as written.
    pub plants: BTreeMap<String, u32>,
    /// What unknowns look like, by taxon as written.
    pub descriptions: BTreeMap<String, String>,
    /// The day, where the file says one.
    pub date: Option<Date>,
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
    /// Days of first readings, in their order.
    pub days: BTreeSet<Date>,
    /// Columns by name, from 0.
    pub columns: BTreeMap<String, usize>,
    /// What is wrong; nothing may be judged unless it is empty.
    pub faults: Vec<Fault>,
}

impl Read {
    /// Column number from 1 and name, for messages.
    pub fn place(&self, name: &str) -> String {
        place(&self.columns, name)
    }
}

/// Column number from 1 and name, for messages.
fn place(columns: &BTreeMap<String, usize>, name: &str) -> String {
    let at = columns.get(name).map_or(1, |at| at + 1);
    format!("column {at} ({name})")
}

/// Reads a file of frames.
///
/// # Errors
/// Faults of the header: nothing can be read then. Faults of lines are in the answer.
pub fn read(bytes: &[u8], usual: Usual) -> Result<Read, Vec<Fault>> {
    read_wide_too(bytes, usual, &|_| false)
}

/// The same, or one line a frame with a column of plants for each name that `is_name` knows.
///
/// # Errors
/// As [`read`]; and numbers that would be numbers of cells, which don't say which cells.
pub fn read_wide_too(
    bytes: &[u8],
    usual: Usual,
    is_name: &dyn Fn(&str) -> bool,
) -> Result<Read, Vec<Fault>> {
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        let fault = "column 1: UTF-16, not UTF-8 text; save the file as UTF-8";
        return Err(vec![(1, fault.to_owned())]);
    }
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
        Err(error) => return Err(vec![(1, format!("column 1: {error}"))]),
    };
    let wide = wide_columns(&header, is_name);
    let columns = columns(&header, wide.is_empty())?;
    sizes_of_wide(&wide, usual, &columns)?;
    let other = |(at, name): &(usize, &String)| {
        !(name.is_empty() || KNOWN.contains(&name.as_str()) || wide.contains(at))
    };
    let ignored = header.iter().enumerate().filter(other);
    let mut read = Read {
        ignored: ignored.map(|(_, name)| name.clone()).collect(),
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
                let line = usize::try_from(reader.position().line()).unwrap_or(usize::MAX);
                faults.push((line, format!("column 1: {error}")));
                break;
            }
        }
        let line = lines.at(record.position().map_or(0, csv::Position::byte));
        if record.iter().all(<[u8]>::is_empty) {
            continue;
        }
        let counts = wide.iter().map(|at| Wide {
            taxon: &header[*at],
            at: Some(*at),
        });
        // A line of counts that are all empty still says that a frame was looked at.
        let looked = Wide {
            taxon: "",
            at: None,
        };
        let finds: Vec<Option<Wide>> = match wide.is_empty() {
            true => vec![None],
            false => std::iter::once(looked).chain(counts).map(Some).collect(),
        };
        for wide in finds {
            let row = Row {
                columns: &columns,
                width: header.len(),
                usual: &usual,
                decimal_comma: delimiter != b',',
                record: &record,
                wide,
            };
            if let Err(fault) = row.read(line, &mut order, &mut open, &mut read.taxa) {
                faults.push((line, fault));
                break;
            }
        }
    }
    if order.is_empty() && faults.is_empty() {
        faults.push((2, "column 1: there are no frames; add a line for every cell or count, and one without a taxon for a frame with nothing in it".to_owned()));
    }
    faults.extend(two_visits(open.values(), &columns));
    read.days = first_readings(open.values())
        .filter_map(|one| one.date)
        .collect();
    // A faulty line may be what makes a frame look empty: that is told once.
    let otherwise = (!faults.is_empty()).then_some(Kind::Cells);
    let kind = kind_of_all(open.values(), &columns).or(otherwise);
    for at in order {
        let Some(one) = open.remove(&at) else {
            continue;
        };
        match close(one, at, usual, &columns, kind) {
            Ok(frame) => read.frames.push(frame),
            Err(fault) => faults.push(fault),
        }
    }
    faults.sort_by_key(|(line, _)| *line);
    read.faults = faults;
    read.columns = columns;
    Ok(read)
}

/// What frames hold.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    Cells,
    Counts,
}

/// What all frames of a file hold, as far as it can be told; a frame with nothing in it is taken
/// as the others are.
fn kind_of_all<'o>(
    mut frames: impl Iterator<Item = &'o Open> + Clone,
    columns: &BTreeMap<String, usize>,
) -> Option<Kind> {
    let has = |name| columns.contains_key(name);
    let cells = has("cell")
        && (!has("count")
            || frames
                .clone()
                .any(|one| !one.cells.is_empty() || one.laid.cells.is_some()));
    let counts = has("count")
        && (!has("cell")
            || frames.any(|one| {
                one.counted || one.laid.area_m2.is_some() || one.laid.row_length_m.is_some()
            }));
    match (cells, counts) {
        (true, false) => Some(Kind::Cells),
        (false, true) => Some(Kind::Counts),
        _ => None,
    }
}

fn first_readings<'o>(frames: impl Iterator<Item = &'o Open>) -> impl Iterator<Item = &'o Open> {
    frames.filter(|one| one.repeats.is_empty())
}

/// Two visits in one file would count the same ground twice.
fn two_visits<'o>(
    frames: impl Iterator<Item = &'o Open>,
    columns: &BTreeMap<String, usize>,
) -> Option<Fault> {
    let days: BTreeMap<Date, usize> = first_readings(frames)
        .filter_map(|one| Some((one.date?, one.at_line)))
        .collect();
    let ((first, _), (last, line)) = (days.first_key_value()?, days.last_key_value()?);
    let days = last.since(*first).map_or(i32::MAX, |span| span.get_days());
    (days > LONGEST_VISIT_DAYS).then(|| {
        let place = place(columns, "date");
        let fault = format!(
            "{place}: frames of {first} and of {last} can't be one visit; give a file for each visit"
        );
        (*line, fault)
    })
}

/// A frame once all its lines are read.
fn close(
    one: Open,
    (point, name): (String, String),
    usual: Usual,
    columns: &BTreeMap<String, usize>,
    kind: Option<Kind>,
) -> Result<Frame, Fault> {
    let number = name.split('\u{1f}').next().unwrap_or_default().to_owned();
    let line = one.at_line;
    let at = format!(
        "{}: frame {number} of point {point}",
        place(columns, "frame")
    );
    if !one.cells.is_empty() && !one.plants.is_empty() {
        return Err((
            line,
            format!("{at} has cells and counts; give what was counted a frame number of its own"),
        ));
    }
    let laid = one.laid;
    let is_row = laid.row_length_m.is_some();
    let counted = one.counted || laid.area_m2.is_some() || is_row;
    let is_grid =
        !one.cells.is_empty() || laid.cells.is_some() || (!counted && kind == Some(Kind::Cells));
    if !(is_grid || counted || kind == Some(Kind::Counts)) {
        return Err((
            line,
            format!(
                "{at}: nothing was found in it, and the file has cells and counts; say which this was in the column cells or area_m2"
            ),
        ));
    }
    let shape = if is_grid {
        let cells = laid.cells.unwrap_or(usual.cells);
        Shape::Grid {
            cells,
            cell_side_cm: laid.cell_side_cm.unwrap_or(usual.cell_side_cm),
        }
    } else if is_row || (laid.area_m2.is_none() && usual.row_m.is_some()) {
        match (
            laid.row_length_m.or(usual.row_m),
            laid.row_spacing_cm.or(usual.row_spacing_cm),
        ) {
            (Some(length_m), Some(spacing_cm)) => Shape::Row {
                length_m,
                spacing_cm,
            },
            _ => {
                return Err((
                    line,
                    format!(
                        "{at}: the distance between rows is missing; add a column row_spacing_cm or give --row-spacing-cm"
                    ),
                ));
            }
        }
    } else {
        match laid.area_m2.or(usual.area_m2) {
            Some(area_m2) => Shape::Quadrat { area_m2 },
            None => {
                return Err((
                    line,
                    format!(
                        "{at}: how large it was is missing; give --quadrat-m2, or --row-m with --row-spacing-cm, or add a column area_m2"
                    ),
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
        line,
        shape,
        cells: one.cells,
        plants: one.plants,
        descriptions: one.descriptions,
        date: one.date,
    })
}
