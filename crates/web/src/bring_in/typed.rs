//! A frame sheet out of a form: what was typed, and the records that it becomes.
//!
//! Fields: `plot`, `point`, `number`, `walked` (the scout on the sheet), `scout` (who types), the
//! fields of a device, `found` (lines), `none`, `twice`.

use std::collections::BTreeMap;

use standbook_fieldbook::record::{
    Counted, FROM_PAPER, Frame, FrameShape, Plot, Point, Tally, Unknown, Visit,
};
use standbook_fieldbook::{Body, BookError, Entry, Record, RecordId, limits};
use standbook_import::names::Names;
use standbook_import::sheet::{Mark, Sheet};
use standbook_import::typed::{self, Counted as Numbers, Line};

use crate::app::App;
use crate::count::device::{Device, shape};
use crate::form::Form;
use crate::plot::filled::{Filled, Troubles};

/// A sheet that can be read, with what is laid.
pub(super) struct Typed {
    pub sheet: Sheet,
    /// Things in the order of the sheet, which is the order of its letters.
    pub order: Vec<Mark>,
    pub shape: FrameShape,
}

/// Reads what was typed; what is wrong goes onto the form.
pub(super) fn read(app: &App, form: &Form, troubles: &mut Troubles) -> Option<Typed> {
    let device = Device::read(form).unwrap_or_else(Device::usual);
    let shape = shape(&device, troubles)?;
    let numbers = match shape {
        FrameShape::Grid { cells, .. } => Numbers::Cells(cells),
        FrameShape::Quadrat { .. } | FrameShape::Row { .. } => Numbers::Plants(limits::PLANTS),
    };
    let mut order = Vec::new();
    let mut sheet = Sheet {
        point: form.get("point").to_owned(),
        number: form.get("number").to_owned(),
        twice: form.has("twice"),
        none: form.has("none"),
        ..Sheet::default()
    };
    if sheet.point.is_empty() {
        troubles.add(
            "point",
            "The point is missing. Type its label as it stands on the sheet.",
        );
    }
    let number = sheet.number.parse::<u32>().ok();
    match number.filter(|n| (1..=limits::NUMBER).contains(n)) {
        // One spelling a number, so that two typings of it agree.
        Some(number) => sheet.number = number.to_string(),
        None => troubles.add("number", format!("The number of the frame is none from 1 to {}. Type it as it stands on the sheet; 1 where nothing stands there.", limits::NUMBER)),
    }
    match typed::lines(form.get("found"), numbers, &Names::of(&app.key)) {
        Ok(lines) => {
            order = lines.iter().map(Line::mark).collect();
            sheet = sheet.with(lines);
        }
        Err(faults) => {
            for (line, said) in faults {
                troubles.add("found", format!("Line {line}: {said}."));
            }
        }
    }
    if let Some((field, said)) = contradiction(&sheet).filter(|_| troubles.none()) {
        troubles.add(field, said);
    }
    troubles.none().then_some(Typed {
        sheet,
        order,
        shape,
    })
}

/// A frame has something in it, or says that nothing is there: the field, and what to tell.
fn contradiction(sheet: &Sheet) -> Option<(&'static str, &'static str)> {
    match (sheet.marks.is_empty(), sheet.none) {
        (true, false) => Some((
            "found",
            "Nothing is typed. Type what the sheet says, or tick \u{201c}Looked, none\u{201d}.",
        )),
        (false, true) => Some((
            "none",
            "Something is typed, so \u{201c}Looked, none\u{201d} cannot be. Take one of them out.",
        )),
        _ => None,
    }
}

/// The device of what somebody typed: `typed from paper by B. Rowan on 2026-07-20`. The day comes from the
/// form's id, so that a form sent again is the same record.
pub(crate) fn typist(by: &str, form: RecordId) -> String {
    let by: String = by.chars().take(60).collect();
    let born = form.born_at();
    let on = born.split('T').next().unwrap_or_default();
    format!("{FROM_PAPER}by {by} on {on}")
}

/// Where a sheet belongs, and who wrote and typed it.
pub(super) struct Around<'a> {
    pub visit: &'a Entry<Visit>,
    pub plot: &'a Entry<Plot>,
    /// The frame's id to be.
    pub id: RecordId,
    /// The scout on the sheet.
    pub scout: String,
    /// Who types.
    pub by: String,
}

impl Around<'_> {
    fn record(&self, id: RecordId, body: Body) -> Record {
        Record {
            id,
            born_at: id.born_at(),
            received_at: None,
            device: typist(&self.by, self.id),
            author: self.scout.clone(),
            supersedes: None,
            body,
        }
    }

    /// The point of the sheet: one of the visit, or one to be made.
    fn point(&self, app: &App, label: &str) -> Result<(RecordId, Option<Record>), BookError> {
        let points = app.book.points_in(self.plot.id, self.visit.id)?;
        let known = points
            .iter()
            .find(|point| point.body.label.trim().eq_ignore_ascii_case(label));
        let id = self.id.following(1);
        Ok(match known {
            // Made with this very sheet, which is sent again: then it must be made again, alike.
            Some(point) if point.id != id => (point.id, None),
            _ => {
                let body = Point {
                    plot: self.plot.id,
                    visit: self.visit.id,
                    label: label.to_owned(),
                    position: None,
                    planned: None,
                    unreachable: String::new(),
                };
                (id, Some(self.record(id, Body::Point(body))))
            }
        })
    }

    /// The records of a sheet; what can't be goes onto the form.
    pub fn records(
        &self,
        app: &App,
        filled: &mut Filled,
        typed: &Typed,
    ) -> Result<Vec<Record>, BookError> {
        let Typed {
            sheet,
            order,
            shape,
        } = typed;
        // Two typings that were each in order may settle to a sheet that is not.
        if let Some((field, said)) = contradiction(sheet) {
            filled.troubles.add(field, said);
            return Ok(Vec::new());
        }
        let (point, made) = self.point(app, &sheet.point)?;
        let mut records: Vec<Record> = made.into_iter().collect();
        if !records.is_empty() && app.book.get(point)?.is_none() {
            // A slip in a label would make a point that nobody stood at.
            filled.ask_about(
                "point",
                format!(
                    "{} has no point {} in this visit yet. Is it a new one?",
                    self.plot.body.name, sheet.point
                ),
            );
        }
        let unknowns = app.book.unknowns(self.visit.id)?;
        let mut ids: BTreeMap<u32, RecordId> = BTreeMap::new();
        let numbers = sheet.marks.keys().filter_map(|(mark, _)| match mark {
            Mark::Unknown(number) => Some(*number),
            Mark::Taxon(_) => None,
        });
        for (number, step) in numbers
            .collect::<std::collections::BTreeSet<u32>>()
            .into_iter()
            .zip(2_u8..)
        {
            let id = self.id.following(step);
            let looks = sheet.looks.get(&number).map_or("", String::as_str);
            let known = unknowns
                .iter()
                .find(|one| one.body.number == number && one.id != id);
            match known {
                Some(known) if looks.is_empty() || known.body.description.trim() == looks => {
                    ids.insert(number, known.id);
                }
                Some(known) => filled.troubles.add("found", format!(
                    "This visit has an unknown {number} already: {}. If it is the same plant, leave its looks out; else give it the next free number, on the sheet too.",
                    known.body.description
                )),
                None if looks.is_empty() => filled.troubles.add("found", format!(
                    "This visit has no unknown {number} yet. Say what it looks like: unknown {number}, hairy, flat base."
                )),
                None => {
                    let body = Unknown {
                        visit: self.visit.id,
                        number,
                        description: looks.to_owned(),
                        first_seen: point,
                    };
                    records.push(self.record(id, Body::Unknown(body)));
                    ids.insert(number, id);
                }
            }
        }
        let grid = matches!(shape, FrameShape::Grid { .. });
        let mut marks: Vec<(&(Mark, u32), &u32)> = sheet.marks.iter().collect();
        let place = |mark: &Mark| order.iter().position(|other| other == mark);
        marks.sort_by_key(|((mark, cell), _)| (place(mark).unwrap_or(usize::MAX), *cell));
        let tallies = marks.into_iter().filter_map(|((mark, cell), plants)| {
            let what = match mark {
                Mark::Taxon(id) => Counted::Taxon(id.clone()),
                Mark::Unknown(number) => Counted::Unknown(*ids.get(number)?),
            };
            Some(Tally {
                cell: grid.then_some(*cell),
                what,
                plants: (!grid).then_some(*plants),
            })
        });
        let frame = Frame {
            point,
            number: sheet.number.parse().unwrap_or(1),
            scout: self.scout.clone(),
            shape: *shape,
            tallies: tallies.collect(),
            looked_twice: sheet.twice,
            repeats: None,
        };
        records.push(self.record(self.id, Body::Frame(frame)));
        Ok(records)
    }
}
