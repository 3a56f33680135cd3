//! `standbook stand`: frames from a file to a verdict, numbers and what to do next.
//!
//! In: a CSV of frames (`frames` says which), what was sown, when and what for. Out: plain text or
//! JSON, the same judgement as the Stand page. Every bad line is reported with line and column;
//! then nothing else is printed. Without both dates, nothing is said that hangs on the day:
//! no verdict, no advice.
//! Not here: reading a book (the pages do).

mod frames;
mod names;
mod numbers;
mod options;
mod row;
mod say;

use std::collections::{BTreeMap, BTreeSet};
use std::io::{Read as _, Write as _};
use std::path::Path;

use jiff::{ToSpan, ZonedDateTime};
use serde_json::{Value, json};
use standbook_judge::{Case, DoubleRead, Judgement, Label, Laid, RowLaid, Sown, judge};
use standbook_key::Key;
use standbook_key::fault::short;
use standbook_key::standards::PlantsCounted;
use standbook_stand::convert::Grid;
use standbook_stand::summary::{Reading, Seen};

use crate::embedded;
use crate::trouble::Trouble;
use frames::{Fault, Frame, Read, Shape, Usual};
use names::{about, labels, planted};
pub use options::Options;
use options::{confidence, date, purpose, usual};

/// Faults told at once.
const MOST_FAULTS: usize = 50;

/// Reads the file, judges it, prints the result.
pub fn stand(options: &Options) -> Result<(), Trouble> {
    let key = embedded::key(options.key.as_deref())?;
    let standards = embedded::standards(options.standards.as_deref(), &key)?;
    let confidence = confidence(options.confidence)?;
    let purpose = purpose(&options.purpose)?;
    let today = ZonedDateTime::now().date();
    let dated = options.seeded.is_some();
    let (seeded_on, visited_on) = match (&options.seeded, &options.visited) {
        (Some(seeded), Some(visited)) => (date("--seeded", seeded)?, date("--visited", visited)?),
        // Any day will do: nothing that hangs on it is said.
        _ => (today.saturating_sub(150.days()), today),
    };
    let usual = usual(options)?;
    let planted = planted(&key, &options.planted)?;
    let (name, bytes) = bytes(&options.frames)?;
    let (read, labels, (readings, double_reads)) =
        taken(&key, &bytes, usual).map_err(|faults| told(&name, &faults))?;
    let about = about(&key, &planted, labels.values());
    let case = Case {
        today,
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
        events: Vec::new(),
        leaves: None,
        counted: PlantsCounted::Plants,
        local: Vec::new(),
        stopping: None,
        confidence,
    };
    let judgement = judge(&case, &standards).map_err(|error| Trouble::yours(error, ""))?;
    let said = Said {
        key: &key,
        judgement: &judgement,
        has_verdict: dated && !planted.is_empty(),
        has_planted: !planted.is_empty(),
        ignored: &read.ignored,
    };
    let text = match options.json {
        true => serde_json::to_string_pretty(&said.json())
            .map_err(|e| Trouble::yours(format!("the result can't be written: {e}"), ""))?,
        false => say::plain(&said).trim_end().to_owned(),
    };
    print(&text)
}

/// Prints the result. A reader that has seen enough, as `head`, is no trouble.
fn print(text: &str) -> Result<(), Trouble> {
    let mut out = std::io::stdout().lock();
    match writeln!(out, "{text}").and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(Trouble::yours(
            format!("the result can't be written: {error}"),
            "make room, or write to another place",
        )),
        _ => Ok(()),
    }
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
    /// Whether dates and mix were given.
    has_verdict: bool,
    /// Whether the mix was given.
    has_planted: bool,
    /// Columns that said nothing.
    ignored: &'a [String],
}

impl Said<'_> {
    /// The judgement, without what hangs on days or a mix that nobody gave.
    fn json(&self) -> Value {
        let mut judgement = json!(self.judgement);
        if let (false, Some(fields)) = (self.has_verdict, judgement.as_object_mut()) {
            for field in [
                "season",
                "fairness",
                "verdict",
                "situations",
                "advice",
                "look_again",
                "corrected",
            ] {
                fields.insert(field.to_owned(), Value::Null);
            }
        }
        json!({
            "standbook": env!("CARGO_PKG_VERSION"),
            "key": {
                "id": self.key.id,
                "fingerprint": standbook_key::fingerprint::of_key(self.key).to_string(),
            },
            "ignored_columns": self.ignored,
            "judgement": judgement,
        })
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
                    // Two ways to write one taxon add up.
                    let sum = plants.entry(label.clone()).or_default();
                    *sum = sum.saturating_add(*found);
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
                looked_twice: frame.looked_twice.unwrap_or(true),
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
