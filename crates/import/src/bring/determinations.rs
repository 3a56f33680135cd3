//! Plants with what was seen of each, from CSV: one line a plant, one column a trait.
//!
//! Columns: `point`, `leaf_stage`, and those of the key's traits, by id or name; besides `plot`,
//! `cell`, `scout`, `date`, `taxon` (the name that the scout settled for; empty: none), `unknown`,
//! `note`, `visit`, `tools`. What was seen is weighed anew; an outcome in the file is not used.

use std::collections::HashMap;

use standbook_fieldbook::record::{Body, Determination};
use standbook_fieldbook::{BookError, limits};
use standbook_identify::{Evidence, Situation, evidence, parse};
use standbook_key::Trait;
use standbook_key::fault::{short, suggest};

use super::Done;
use super::answers::{by_ids, stage, tools};
use super::maker::Maker;
use super::where_in::PointFound;
use crate::dates;
use crate::decode::decode;
use crate::delimited::{self, Columns, Known, Row, called};

/// The columns that are no traits.
const COLUMNS: [Known; 12] = [
    Known {
        name: "point",
        also: &["label"],
        needed: true,
    },
    Known {
        name: "leaf_stage",
        also: &["stage"],
        needed: true,
    },
    Known {
        name: "plot",
        also: &[],
        needed: false,
    },
    Known {
        name: "visit",
        also: &[],
        needed: false,
    },
    Known {
        name: "cell",
        also: &[],
        needed: false,
    },
    Known {
        name: "scout",
        also: &[],
        needed: false,
    },
    Known {
        name: "date",
        also: &[],
        needed: false,
    },
    Known {
        name: "taxon",
        also: &["name", "species"],
        needed: false,
    },
    Known {
        name: "outcome",
        also: &[],
        needed: false,
    },
    Known {
        name: "unknown",
        also: &[],
        needed: false,
    },
    Known {
        name: "note",
        also: &["notes"],
        needed: false,
    },
    Known {
        name: "tools",
        also: &[],
        needed: false,
    },
];

pub(super) fn read(maker: &mut Maker, bytes: &[u8]) -> Done {
    let text = match decode(bytes) {
        Ok(text) => text,
        Err(fault) => return Ok(Err(vec![fault])),
    };
    for note in text.notes {
        maker.note(note);
    }
    let (table, columns) = match delimited::read(&text.text).and_then(|table| {
        let columns = table.columns(&COLUMNS)?;
        Ok((table, columns))
    }) {
        Ok(read) => read,
        Err(faults) => return Ok(Err(faults)),
    };
    let key = maker.target.key;
    let mut traits: Vec<(usize, &Trait)> = Vec::new();
    let mut unused = Vec::new();
    let mut faults = Vec::new();
    for at in &columns.rest {
        let title = columns.title(*at);
        let is_it = |one: &&Trait| {
            one.id.as_str() == called(title) || one.name.to_lowercase() == title.to_lowercase()
        };
        match key.traits.iter().find(is_it) {
            Some(one) if traits.iter().any(|(_, other)| other.id == one.id) => faults.push((
                1,
                format!(
                    "{}: the header has this trait twice; leave one out",
                    columns.place_of(*at)
                ),
            )),
            Some(one) => traits.push((*at, one)),
            None => {
                // A misspelt trait would leave out what somebody saw.
                let words = key
                    .traits
                    .iter()
                    .flat_map(|one| [one.id.as_str(), one.name.as_str()]);
                match suggest(title, words, "") {
                    meant if meant.starts_with("did you mean") => faults.push((
                        1,
                        format!(
                            "{}: the key has no such trait; {meant}",
                            columns.place_of(*at)
                        ),
                    )),
                    _ => unused.push(title),
                }
            }
        }
    }
    if traits.is_empty() {
        faults.push((
            1,
            "column 1: no column is a trait of the key; name columns by trait, such as ligule_type"
                .to_owned(),
        ));
    }
    if !faults.is_empty() {
        return Ok(Err(faults));
    }
    maker.unused(&unused);
    if table.titles.iter().any(|title| called(title) == "outcome") {
        maker.note(
            "The column outcome is not used: what was seen is weighed anew by the key in use.",
        );
    }
    let mut taker = Taker {
        columns: &columns,
        traits,
        delimiter: table.delimiter,
        points: HashMap::new(),
    };
    for row in &table.rows {
        taker.take(maker, row)?;
    }
    Ok(Ok(()))
}

/// Takes lines one by one.
struct Taker<'t> {
    columns: &'t Columns,
    traits: Vec<(usize, &'t Trait)>,
    delimiter: u8,
    /// Points by plot and label as written.
    points: HashMap<(String, String), PointFound>,
}

impl Taker<'_> {
    fn take(&mut self, maker: &mut Maker, row: &Row) -> Result<(), BookError> {
        let at = format!("line {}", row.line);
        let mut faults: Vec<String> = Vec::new();
        let get = |name| self.columns.text(row, name);
        let place = |name| self.columns.place(name);
        let day = match get("date") {
            "" => None,
            text => match dates::read(text, maker.said.dates()) {
                Ok(day) => Some(day),
                Err(said) => {
                    faults.push(format!("{}: {said}", place("date")));
                    None
                }
            },
        };
        let visit = get("visit");
        let of_visit = [
            maker.day.to_string(),
            maker.visited.visit.id.to_string(),
            maker.target.visit.to_string(),
        ];
        if !visit.is_empty() && !of_visit.iter().any(|own| own == visit) {
            faults.push(format!(
                "{}: `{}` is not the visit of {}; choose the visit that the line belongs to",
                place("visit"),
                short(visit),
                maker.day
            ));
        }
        let stage = stage(get("leaf_stage"))
            .map_err(|said| faults.push(format!("{}: {said}", place("leaf_stage"))))
            .ok();
        let tools = tools(get("tools"))
            .map_err(|said| faults.push(format!("{}: {said}", place("tools"))))
            .ok();
        let cell = match get("cell") {
            "" => None,
            text => match text.parse::<u32>() {
                Ok(cell) if (1..=limits::CELLS).contains(&cell) => Some(cell),
                _ => {
                    faults.push(format!(
                        "{}: `{}` is no cell from 1 to {}; write one, or leave it empty",
                        place("cell"),
                        short(text),
                        limits::CELLS
                    ));
                    None
                }
            },
        };
        let taxon = match get("taxon") {
            "" | "none" | "no name" => None,
            name => match maker.names.exact(name) {
                Some(id) => Some(id.to_owned()),
                None => {
                    let said = maker
                        .names
                        .unknown(name, "use a name of the key, or leave it empty for no name");
                    faults.push(format!("{}: {said}", place("taxon")));
                    None
                }
            },
        };
        let unknown_words = get("unknown");
        let unknown = match unknown_words.trim_start_matches("unknown").trim() {
            "" => None,
            text => {
                let number = text.parse::<u32>().ok();
                let known = maker.visited.unknowns.iter();
                let found = known
                    .filter(|one| Some(one.body.number) == number)
                    .map(|one| one.id)
                    .next();
                if found.is_none() {
                    faults.push(format!(
                        "{}: this visit has no unknown `{}`; write its number, or leave it empty",
                        place("unknown"),
                        short(text)
                    ));
                }
                found
            }
        };
        let note = get("note").replace("\r\n", "\n");
        let evidence = self.evidence(maker, row, &mut faults);
        let scout = maker.scout(&at, &place("scout"), get("scout"));
        let sound = maker.is_of_the_visit(&at, &place("date"), day) && faults.is_empty();
        for said in faults {
            maker.fault(&at, said);
        }
        let (Some(scout), Some(stage), Some(tools), true) = (scout, stage, tools, sound) else {
            return Ok(());
        };
        let Some(point) = self.point(maker, row, &at, &scout)? else {
            return Ok(());
        };
        let situation = Situation {
            leaf_stage: stage,
            tools,
        };
        let weighed = (maker.target.weigh)(&evidence, &situation);
        let seen: Vec<String> = evidence
            .answers()
            .iter()
            .map(|answer| {
                format!(
                    "{}={}",
                    maker.target.table.traits[answer.trait_index].id,
                    evidence::value_text(maker.target.table, answer)
                )
            })
            .collect();
        let common = taxon
            .as_deref()
            .map_or("no name", |id| maker.names.common(id))
            .to_owned();
        let looks = match seen.len() {
            1 => "1 look".to_owned(),
            n => format!("{n} looks"),
        };
        let in_cell = cell.map_or_else(String::new, |cell| format!(", cell {cell}"));
        let words = format!(
            "{}{in_cell}: {common}, by {scout}, from {looks}",
            point.words
        );
        let first_point = maker.visited.first(point.id).to_string();
        let parts = [
            "determination".to_owned(),
            first_point,
            cell.map(|cell| cell.to_string()).unwrap_or_default(),
            unknown_words
                .trim_start_matches("unknown")
                .trim()
                .to_owned(),
            scout.clone(),
            taxon.clone().unwrap_or_default(),
            stage.id().to_owned(),
            weighed.tools.join(" "),
            note.clone(),
            seen.join(" "),
        ];
        let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
        let body = Determination {
            point: point.id,
            cell,
            unknown,
            taxon,
            note,
            evidence: weighed,
        };
        let (id, state) =
            maker.make_each(cell.unwrap_or(0), &parts, &scout, Body::Determination(body))?;
        maker.becomes(&at, state, words, vec![id]);
        Ok(())
    }

    fn point(
        &mut self,
        maker: &mut Maker,
        row: &Row,
        at: &str,
        scout: &str,
    ) -> Result<Option<PointFound>, BookError> {
        let (plot, label) = (
            self.columns.text(row, "plot"),
            self.columns.text(row, "point"),
        );
        if label.is_empty() {
            maker.fault(
                at,
                format!(
                    "{}: empty; say at which point the plant stood",
                    self.columns.place("point")
                ),
            );
            return Ok(None);
        }
        let key = (plot.to_owned(), label.to_owned());
        if let Some(known) = self.points.get(&key) {
            return Ok(Some(known.clone()));
        }
        match maker.point(plot, label, scout)? {
            Ok(found) => {
                self.points.insert(key, found.clone());
                Ok(Some(found))
            }
            Err(said) => {
                maker.fault(at, format!("{}: {said}", self.columns.place("point")));
                Ok(None)
            }
        }
    }

    fn evidence(&self, maker: &Maker, row: &Row, faults: &mut Vec<String>) -> Evidence {
        let mut evidence = Evidence::default();
        let before = faults.len();
        for (at, one) in &self.traits {
            let written = row.field(*at);
            if written.is_empty() {
                continue;
            }
            let value = by_ids(one, written, self.delimiter);
            match parse(
                maker.target.key,
                maker.target.table,
                one.id.as_str(),
                &value,
            ) {
                Ok(Some(answer)) => evidence.add(answer),
                // A remark; never weighed, and the book has no place for it.
                Ok(None) => {}
                Err(fault) => faults.push(format!("{}: {fault}", self.columns.place_of(*at))),
            }
        }
        if evidence.answers().is_empty() && faults.len() == before {
            faults.push(
                "column 1: no trait is answered; a plant without a look is no determination"
                    .to_owned(),
            );
        }
        evidence
    }
}
