//! `standbook stand`: frames from a file to a verdict, numbers and what to do next.
//!
//! In: a CSV of frames (`standbook_import::frames` says which), what was sown, when and what for. Out: plain text or
//! JSON, the same judgement as the Stand page. Every bad line is reported with line and column;
//! then nothing else is printed. Without both dates, nothing is said that hangs on the day:
//! no verdict, no advice.
//! Not here: reading a book (the pages do).

mod against;
mod json;
mod names;
mod next;
mod notes;
mod numbers;
mod options;
mod say;

use std::collections::{BTreeMap, BTreeSet};
use std::io::{Read as _, Write as _};
use std::path::Path;

use jiff::ZonedDateTime;
use jiff::civil::Date;
use standbook_import::Fault;
use standbook_import::frames::{self, Frame, Read, Shape, Usual};
use standbook_judge::{Case, DoubleRead, Judgement, Label, Laid, RowLaid, Sown, judge};
use standbook_key::Key;
use standbook_key::fault::short;
use standbook_key::standards::PlantsCounted;
use standbook_stand::convert::Grid;
use standbook_stand::summary::{Reading, Seen};

use crate::embedded;
use crate::laid::usual;
use crate::text::print;
use crate::trouble::Trouble;
use names::{about, labels, planted};
pub use options::Options;
use options::{confidence, date, purpose};

/// Faults told at once.
const MOST_FAULTS: usize = 50;

/// Reads the file, judges it, prints the result.
pub fn stand(options: &Options) -> Result<(), Trouble> {
    let key = embedded::key(options.key.as_deref())?;
    let standards = embedded::standards(options.standards.as_deref(), &key)?;
    let confidence = confidence(options.confidence)?;
    let purpose = purpose(options.purpose.as_deref())?;
    let date_of =
        |option, text: &Option<String>| text.as_deref().map(|text| date(option, text)).transpose();
    let seeded = date_of("--seeded", &options.seeded)?;
    let visited = date_of("--visited", &options.visited)?;
    let usual = usual(&options.laid)?;
    let planted = planted(&key, &options.planted)?;
    let (name, bytes) = bytes(&options.frames)?;
    let (read, labels, (readings, double_reads)) =
        taken(&key, &bytes, usual).map_err(|faults| told(&name, &faults))?;
    let visited = visited.or(read.days.last().copied());
    if seeded.is_some() && visited.is_none() {
        return Err(Trouble::CommandLine {
            message: format!("--seeded is given, and {name} has no day of the visit"),
            hint: "give --visited, or a column date".to_owned(),
        });
    }
    let dated = seeded.zip(visited);
    // Any two days of a first season will do: nothing that hangs on them is said.
    let (seeded_on, visited_on) = dated.unwrap_or((
        jiff::civil::date(2001, 5, 15),
        jiff::civil::date(2001, 9, 30),
    ));
    let about = about(&key, &planted, labels.values());
    let notes = notes::on_file(options, &read, visited);
    let case = Case {
        today: ZonedDateTime::now().date(),
        seeded_on,
        visited_on,
        purpose,
        irrigated: options.irrigated.then_some(true),
        state: options.state.clone(),
        mix: planted
            .iter()
            .map(|taxon| Sown {
                taxon: taxon.clone(),
                pls_lb_per_acre: None,
                seeds_per_lb: None,
            })
            .collect(),
        forbs_sown: None,
        labels: about,
        readings,
        strata: Vec::new(),
        double_reads,
        audits: Vec::new(),
        audits_drawn: false,
        specimens: None,
        events: Vec::new(),
        leaves: None,
        counted: PlantsCounted::Plants,
        local: Vec::new(),
        stopping: None,
        confidence,
    };
    let mut judgement = judge(&case, &standards).map_err(|error| Trouble::yours(error, ""))?;
    if dated.is_none() {
        notes::undated(&mut judgement);
    }
    let said = Said {
        key: &key,
        judgement: &judgement,
        seeded_on: seeded,
        visited_on: visited,
        has_planted: !planted.is_empty(),
        ignored: &read.ignored,
        notes: &notes,
        by_species: options.by_species,
    };
    let text = match options.json {
        true => json::whole(&said)
            .map_err(|e| Trouble::yours(format!("the result can't be written: {e}"), ""))?,
        false => say::plain(&said).trim_end().to_owned(),
    };
    print(&text)
}

/// Tells faults on standard error, which may be closed; nothing else can be done then.
fn told(name: &str, faults: &[Fault]) -> Trouble {
    let mut text = String::new();
    for (line, fault) in faults.iter().take(MOST_FAULTS) {
        text += &format!("{name}:{line}: {fault}\n");
    }
    if faults.len() > MOST_FAULTS {
        text += &format!("these are the first {MOST_FAULTS}\n");
    }
    text += &format!(
        "\n{} fault(s) in {name}; nothing was judged\n",
        faults.len()
    );
    let _ = std::io::stderr().write_all(text.as_bytes());
    Trouble::Printed
}

/// Readings of the ground, and frames read twice.
type Readings = (Vec<Laid>, Vec<DoubleRead>);

/// The file, with what its names mean; or every fault, in the order of lines.
fn taken(
    key: &Key,
    bytes: &[u8],
    usual: Usual,
) -> Result<(Read, BTreeMap<String, Label>, Readings), Vec<Fault>> {
    let mut read = frames::read(bytes, usual)?;
    let mut faults = std::mem::take(&mut read.faults);
    let labels = labels(key, &read).unwrap_or_else(|unknown| {
        faults.extend(unknown);
        BTreeMap::new()
    });
    faults.extend(
        read.frames
            .iter()
            .flat_map(|frame| twice(frame, &labels, &read)),
    );
    // A frame that is missing because of a faulty line would be told as a second fault.
    if faults.is_empty() {
        match readings(&read, &labels) {
            Ok(readings) => return Ok((read, labels, readings)),
            Err(none) => faults.extend(none),
        }
    }
    faults.sort_by_key(|(line, _)| *line);
    Err(faults)
}

/// What there is to print.
struct Said<'a> {
    key: &'a Key,
    judgement: &'a Judgement,
    /// Day of seeding, if given.
    seeded_on: Option<Date>,
    /// Day of the visit, if given.
    visited_on: Option<Date>,
    /// Whether the mix was given.
    has_planted: bool,
    /// Columns that said nothing.
    ignored: &'a [String],
    /// What is odd about the file or taken for granted.
    notes: &'a [String],
    /// Whether every species gets its densities.
    by_species: bool,
}

impl Said<'_> {
    /// Whether mix and both days were given.
    fn has_verdict(&self) -> bool {
        self.has_planted && self.seeded_on.is_some() && self.visited_on.is_some()
    }
}

fn bytes(path: &Path) -> Result<(String, Vec<u8>), Trouble> {
    if path == Path::new("-") {
        let mut bytes = Vec::new();
        std::io::stdin()
            .read_to_end(&mut bytes)
            .map_err(|e| Trouble::yours(format!("can't read standard input: {e}"), ""))?;
        return Ok(("standard input".to_owned(), bytes));
    }
    let bytes = std::fs::read(path).map_err(|e| {
        Trouble::yours(
            format!("can't read {}: {e}", path.display()),
            "give a CSV file with the columns point, frame, cell, taxon, or point, frame, taxon, count",
        )
    })?;
    Ok((path.display().to_string(), bytes))
}

fn seen(frame: &Frame, labels: &BTreeMap<String, Label>) -> Seen<Label> {
    match frame.shape {
        Shape::Grid {
            cells,
            cell_side_cm,
        } => {
            let mut occupied: BTreeMap<Label, BTreeSet<u32>> = BTreeMap::new();
            for (written, found) in &frame.cells {
                if let Some(label) = labels.get(written) {
                    occupied.entry(label.clone()).or_default().extend(found);
                }
            }
            Seen::Grid {
                grid: Grid {
                    cells,
                    cell_side_cm,
                },
                occupied,
            }
        }
        Shape::Quadrat { .. } | Shape::Row { .. } => {
            let mut plants: BTreeMap<Label, u32> = BTreeMap::new();
            for (written, found) in &frame.plants {
                if let Some(label) = labels.get(written) {
                    plants.insert(label.clone(), *found);
                }
            }
            let area_m2 = match frame.shape {
                Shape::Quadrat { area_m2 } => area_m2,
                Shape::Row {
                    length_m,
                    spacing_cm,
                } => length_m * spacing_cm / 100.0,
                Shape::Grid { .. } => 0.0,
            };
            Seen::Quadrat { area_m2, plants }
        }
    }
}

/// One taxon under two spellings, in one cell or counted twice in one frame.
fn twice(frame: &Frame, labels: &BTreeMap<String, Label>, read: &Read) -> Vec<Fault> {
    let mut known: BTreeMap<&Label, &str> = BTreeMap::new();
    let mut faults = Vec::new();
    for written in frame.cells.keys().chain(frame.plants.keys()) {
        let Some(label) = labels.get(written) else {
            continue;
        };
        let Some(other) = known.insert(label, written) else {
            continue;
        };
        let of = |name: &str| frame.cells.get(name).into_iter().flatten().copied();
        let shared = of(other).find(|cell| of(written).any(|of| of == *cell));
        let (both, mend) = match shared {
            Some(cell) => (format!("both stand in cell {cell}"), "leave one out"),
            None if frame.plants.contains_key(written) => (
                "both are among the counts".to_owned(),
                "add the plants up in one line",
            ),
            None => continue,
        };
        let (at, number, point) = (
            read.place("taxon"),
            short(&frame.number),
            short(&frame.point),
        );
        let (one, other) = (short(other), short(written));
        let fault = format!(
            "{at}: `{one}` and `{other}` are one taxon, and {both} of frame {number} of point {point}; {mend}"
        );
        faults.push((frame.line, fault));
    }
    faults
}

/// Readings, and frames read twice: a second reading is no further ground.
fn readings(read: &Read, labels: &BTreeMap<String, Label>) -> Result<Readings, Vec<Fault>> {
    let mut laid = Vec::new();
    let mut double = Vec::new();
    let mut faults = Vec::new();
    let firsts: BTreeMap<(&str, &str), &Frame> = read
        .frames
        .iter()
        .filter(|frame| frame.repeats.is_empty())
        .map(|frame| ((frame.point.as_str(), frame.number.as_str()), frame))
        .collect();
    for frame in &read.frames {
        if frame.repeats.is_empty() {
            laid.push(Laid {
                reading: Reading {
                    spot: frame.point.clone(),
                    seen: seen(frame, labels),
                },
                scout: frame.scout.clone(),
                // A file without the column says neither yes nor no; that has a note of its own.
                looked_twice: frame
                    .looked_twice
                    .unwrap_or(!read.columns.contains_key("looked_twice")),
                row: match frame.shape {
                    Shape::Row {
                        length_m,
                        spacing_cm,
                    } => Some(RowLaid {
                        length_m,
                        spacing_m: spacing_cm / 100.0,
                    }),
                    Shape::Grid { .. } | Shape::Quadrat { .. } => None,
                },
            });
            continue;
        }
        let Some(first) = firsts.get(&(frame.point.as_str(), frame.repeats.as_str())) else {
            let fault = format!(
                "{}: point {} has no frame {} to repeat; name one that is in the file and repeats none itself",
                read.place("repeats"),
                short(&frame.point),
                short(&frame.repeats)
            );
            faults.push((frame.line, fault));
            continue;
        };
        double.push(DoubleRead {
            spot: frame.point.clone(),
            first_scout: first.scout.clone(),
            second_scout: frame.scout.clone(),
            first: seen(first, labels),
            second: seen(frame, labels),
        });
    }
    match faults.is_empty() {
        true => Ok((laid, double)),
        false => Err(faults),
    }
}
