//! Frames from CSV, as [`crate::frames`] reads them, into records of the visit.
//!
//! One line a cell and taxon, or one line a taxon and its plants; or one line a frame with a column
//! of counted plants for each name. A taxon `unknown 3` is that unknown of the visit; one that the
//! visit lacks is made where the column `description` says what it looks like.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use standbook_fieldbook::record::{Body, Counted, Frame, Tally, Unknown};
use standbook_fieldbook::{BookError, RecordId, limits};
use standbook_key::fault::short;

use super::Done;
use super::frame_words::{shape_of, spelled, words_of};
use super::maker::Maker;
use super::unknowns::{descriptions, is_unknown, unknown_number};
use super::where_in::PointFound;
use crate::decode::decode;
use crate::frames::{Frame as Written, Read, read_wide_too};
use crate::id::order_of;

/// What cannot be counted by name.
const OTHERWISE: &str = "use a name of the key, or `unknown 1` for a plant without a name";

pub(super) fn read(maker: &mut Maker, bytes: &[u8]) -> Done {
    let text = match decode(bytes) {
        Ok(text) => text,
        Err(fault) => return Ok(Err(vec![fault])),
    };
    for note in text.notes {
        maker.note(note);
    }
    let is_name = |title: &str| is_unknown(title) || maker.names.exact(title).is_some();
    let mut read = match read_wide_too(text.text.as_bytes(), maker.said.usual, &is_name) {
        Ok(read) => read,
        Err(faults) => return Ok(Err(faults)),
    };
    let unused: Vec<&str> = read.ignored.iter().map(String::as_str).collect();
    maker.unused(&unused);
    if read.columns.contains_key("latitude") {
        maker.note("Latitude and longitude are not used: frames lie at points of the visit. Bring the points in first.");
    }
    let faults = std::mem::take(&mut read.faults);
    maker.faults(faults);
    let descriptions = descriptions(maker, &read);
    let mut taker = Taker {
        read: &read,
        descriptions,
        points: HashMap::new(),
        made: HashMap::new(),
        unknowns: BTreeMap::new(),
    };
    // A second reading names the first, wherever in the file that stands.
    let (firsts, seconds): (Vec<&Written>, Vec<&Written>) = read
        .frames
        .iter()
        .partition(|frame| frame.repeats.is_empty());
    for frame in firsts.into_iter().chain(seconds) {
        taker.take(maker, frame)?;
    }
    Ok(Ok(()))
}

/// Takes frames one by one.
struct Taker<'r> {
    read: &'r Read,
    /// What unknowns look like, by number.
    descriptions: BTreeMap<u32, String>,
    /// Points by the words of the file; `None`: told as a fault already.
    points: HashMap<String, Option<PointFound>>,
    /// Frames of this file, by point and number.
    made: HashMap<(RecordId, u32), RecordId>,
    /// Unknowns that this file makes, by number.
    unknowns: BTreeMap<u32, RecordId>,
}

impl Taker<'_> {
    fn take(&mut self, maker: &mut Maker, written: &Written) -> Result<(), BookError> {
        let at = format!("line {}", written.line);
        let read = self.read;
        let Some(scout) = maker.scout(&at, &read.place("scout"), &written.scout) else {
            return Ok(());
        };
        if !maker.is_of_the_visit(&at, &read.place("date"), written.date) {
            return Ok(());
        }
        let Some(point) = self.point(maker, written, &at, &scout)? else {
            return Ok(());
        };
        let number =
            match written.number.parse::<u32>() {
                Ok(number) if (1..=limits::NUMBER).contains(&number) => number,
                _ => {
                    maker.fault(&at, format!(
                    "{}: `{}` is no number from 1 to {}; number the frames at a point 1, 2, 3",
                    read.place("frame"), short(&written.number), limits::NUMBER
                ));
                    return Ok(());
                }
            };
        let repeats = match self.repeated(maker, written, &point)? {
            Ok(repeats) => repeats,
            Err(said) => {
                maker.fault(&at, format!("{}: {said}", read.place("repeats")));
                return Ok(());
            }
        };
        let mut records = Vec::new();
        let Some(tallies) = self.tallies(maker, written, &at, &point, &scout, &mut records)? else {
            return Ok(());
        };
        let shape = shape_of(written.shape);
        let words = words_of(
            maker,
            written,
            &point.words,
            number,
            &scout,
            repeats.is_some(),
        );
        let first_point = maker.visited.first(point.id).to_string();
        let body = Frame {
            point: point.id,
            number,
            scout: scout.clone(),
            shape,
            tallies,
            // A file that says nothing of it does not claim a second look.
            looked_twice: written.looked_twice.unwrap_or(false),
            repeats,
        };
        let spelled = spelled(&body, written, maker);
        let parts = ["frame", &first_point, &scout, &spelled];
        let order = number + 100 * order_of(&point.words).min(100_000);
        let (id, state) = maker.make(order, &parts, &scout, Body::Frame(body))?;
        if repeats.is_none() {
            self.made.insert((point.id, number), id);
        }
        records.push(id);
        maker.becomes(&at, state, words, records);
        Ok(())
    }

    fn point(
        &mut self,
        maker: &mut Maker,
        written: &Written,
        at: &str,
        scout: &str,
    ) -> Result<Option<PointFound>, BookError> {
        if let Some(known) = self.points.get(&written.point) {
            return Ok(known.clone());
        }
        let found = match maker.point("", &written.point, scout)? {
            Ok(found) => Some(found),
            Err(said) => {
                maker.fault(at, format!("{}: {said}", self.read.place("point")));
                None
            }
        };
        self.points.insert(written.point.clone(), found.clone());
        Ok(found)
    }

    /// The frame that this one reads again.
    fn repeated(
        &self,
        maker: &Maker,
        written: &Written,
        point: &PointFound,
    ) -> Result<Result<Option<RecordId>, String>, BookError> {
        if written.repeats.is_empty() {
            return Ok(Ok(None));
        }
        let number = written.repeats.parse::<u32>().unwrap_or(0);
        if let Some(first) = self.made.get(&(point.id, number)) {
            return Ok(Ok(Some(*first)));
        }
        let in_book = match point.made {
            true => Vec::new(),
            false => maker.target.book.frames_numbered(point.id, number)?,
        };
        let mut firsts = in_book.iter().filter(|frame| frame.body.repeats.is_none());
        Ok(match (firsts.next(), firsts.next()) {
            (Some(first), None) => Ok(Some(first.id)),
            _ => Err(format!(
                "{} has no frame {} to read again; name one that is there and repeats none itself",
                point.words,
                short(&written.repeats)
            )),
        })
    }

    /// What was found; `None` when something is wrong with it.
    fn tallies(
        &mut self,
        maker: &mut Maker,
        written: &Written,
        at: &str,
        point: &PointFound,
        scout: &str,
        records: &mut Vec<RecordId>,
    ) -> Result<Option<Vec<Tally>>, BookError> {
        let mut found: BTreeMap<(Option<u32>, Counted), Option<u32>> = BTreeMap::new();
        let mut sound = true;
        let names: BTreeSet<&String> = written.cells.keys().chain(written.plants.keys()).collect();
        for name in names {
            let what = match self.counted(maker, name, point, scout)? {
                Ok((what, made)) => {
                    records.extend(made);
                    what
                }
                Err(said) => {
                    let line = self.read.taxa.get(name).copied().unwrap_or(written.line);
                    maker.fault(
                        &format!("line {line}"),
                        format!("{}: {said}", self.read.place("taxon")),
                    );
                    sound = false;
                    continue;
                }
            };
            let cells = written.cells.get(name).into_iter().flatten();
            let entries = cells.map(|cell| (Some(*cell), None));
            let entries =
                entries.chain(written.plants.get(name).map(|plants| (None, Some(*plants))));
            for (cell, plants) in entries {
                if found.insert((cell, what.clone()), plants).is_some() {
                    let place = cell.map_or_else(
                        || "counted twice".to_owned(),
                        |cell| format!("twice in cell {cell}"),
                    );
                    maker.fault(
                        at,
                        format!(
                            "{}: `{}` is {place} of frame {}, under two spellings; leave one out",
                            self.read.place("taxon"),
                            short(name),
                            short(&written.number)
                        ),
                    );
                    sound = false;
                }
            }
        }
        let tallies = found
            .into_iter()
            .map(|((cell, what), plants)| Tally { cell, what, plants });
        Ok(sound.then(|| tallies.collect()))
    }

    /// What a name counts; with it, the unknown made for it.
    fn counted(
        &mut self,
        maker: &mut Maker,
        name: &str,
        point: &PointFound,
        scout: &str,
    ) -> Result<Result<(Counted, Option<RecordId>), String>, BookError> {
        if !is_unknown(name) {
            return Ok(match maker.names.exact(name) {
                Some(id) => Ok((Counted::Taxon(id.to_owned()), None)),
                None => Err(maker.names.unknown(name, OTHERWISE)),
            });
        }
        let Some(number) = unknown_number(name) else {
            return Ok(Err(format!(
                "`{}` has no number; write it as the visit does, such as unknown 3",
                short(name)
            )));
        };
        if let Some(id) = self.unknowns.get(&number) {
            return Ok(Ok((Counted::Unknown(*id), Some(*id))));
        }
        let description = self.descriptions.get(&number);
        let description = description.map(|words| words.trim()).unwrap_or_default();
        let known = maker
            .visited
            .unknowns
            .iter()
            .find(|one| one.body.number == number);
        if let Some(known) = known {
            // What somebody brought in and somebody else described better since is the same plant.
            let same = description.is_empty()
                || known.body.description.trim() == description
                || known.supersedes.is_some();
            return Ok(match same {
                true => Ok((Counted::Unknown(known.id), None)),
                false => Err(format!(
                    "this visit has an unknown {number} already ({}); if it is the same plant, leave the description empty, else give it the next free number",
                    short(&known.body.description)
                )),
            });
        }
        if description.is_empty() {
            return Ok(Err(format!(
                "this visit has no unknown {number}; say in a column description what it looks like, and it is made"
            )));
        }
        let visit = maker.visited.visit.id;
        let first_visit = maker.visited.first(visit).to_string();
        let body = Unknown {
            visit,
            number,
            description: description.to_owned(),
            first_seen: point.id,
        };
        let parts = ["unknown", &first_visit, &number.to_string(), description];
        let (id, _) = maker.make(number, &parts, scout, Body::Unknown(body))?;
        self.unknowns.insert(number, id);
        maker.note(format!("Unknown {number} is made: {}.", short(description)));
        Ok(Ok((Counted::Unknown(id), Some(id))))
    }
}
