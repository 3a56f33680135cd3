//! Gathers what the lines of a file become, and makes the records.

use std::collections::{BTreeSet, HashMap, HashSet};

use jiff::civil::Date;
use sha2::{Digest, Sha256};
use standbook_fieldbook::record::FROM_A_FILE;
use standbook_fieldbook::{Body, BookError, Record, RecordId, limits, time};
use standbook_key::fault::short;

use super::report::Wrong;
use super::{BringError, Item, Looked, Said, State, Target};
use crate::Fault;
use crate::id::id_of;
use crate::names::Names;
use crate::visited::Visited;

/// Faults kept of one file: nobody mends more in one sitting.
const MOST_FAULTS: usize = 500;

/// What a file becomes, so far.
pub(super) struct Maker<'a> {
    pub target: &'a Target<'a>,
    pub said: &'a Said,
    pub visited: Visited,
    pub names: Names<'a>,
    /// The day of the visit.
    pub day: Date,
    notes: Vec<String>,
    faults: Vec<Wrong>,
    more_faults: usize,
    items: Vec<Item>,
    records: Vec<Record>,
    made: HashSet<RecordId>,
    already: usize,
    /// How often the same was said.
    alike: HashMap<String, u32>,
}

impl<'a> Maker<'a> {
    pub(super) fn new(target: &'a Target<'a>, said: &'a Said) -> Result<Maker<'a>, BringError> {
        let Some(visited) = Visited::read(target.book, target.visit)? else {
            return Err(BringError::NoVisit {
                visit: target.visit,
            });
        };
        Ok(Maker {
            // The book takes no other day; the epoch is better than no file at all.
            day: time::parse_date(&visited.visit.body.on).unwrap_or_default(),
            names: Names::of(target.key),
            target,
            said,
            visited,
            notes: Vec::new(),
            faults: Vec::new(),
            more_faults: 0,
            items: Vec::new(),
            records: Vec::new(),
            made: HashSet::new(),
            already: 0,
            alike: HashMap::new(),
        })
    }

    /// Something taken for granted; the same is said once.
    pub(super) fn note(&mut self, said: impl Into<String>) {
        let said = said.into();
        if !self.notes.contains(&said) {
            self.notes.push(said);
        }
    }

    /// Columns that are not used.
    pub(super) fn unused(&mut self, titles: &[&str]) {
        if !titles.is_empty() {
            let titles: Vec<String> = titles.iter().map(|title| short(title)).collect();
            self.note(format!("Not used: {}.", titles.join(", ")));
        }
    }

    pub(super) fn fault(&mut self, at: &str, said: impl Into<String>) {
        if self.faults.len() == MOST_FAULTS {
            self.more_faults += 1;
            return;
        }
        self.faults.push(Wrong {
            at: at.to_owned(),
            said: said.into(),
        });
    }

    pub(super) fn faults(&mut self, faults: Vec<Fault>) {
        for (line, said) in faults {
            self.fault(&format!("line {line}"), said);
        }
    }

    /// Who walked, by what the line says, or else what was said of the whole file.
    pub(super) fn scout(&mut self, at: &str, place: &str, written: &str) -> Option<String> {
        let name = match written.is_empty() {
            true => self.said.scout.trim(),
            false => written,
        };
        if name.is_empty() {
            self.fault(at, format!("{place}: nobody is named; say who walked, in a column scout or for the whole file"));
            return None;
        }
        if name.chars().count() > limits::NAME_CHARS {
            self.fault(
                at,
                format!(
                    "{place}: the name is longer than {} characters; shorten it",
                    limits::NAME_CHARS
                ),
            );
            return None;
        }
        Some(name.to_owned())
    }

    /// Whether a line's day is the visit's.
    pub(super) fn is_of_the_visit(&mut self, at: &str, place: &str, day: Option<Date>) -> bool {
        match day {
            Some(day) if day != self.day => {
                let on = self.day;
                self.fault(at, format!("{place}: {day} is another day than the visit's, {on}; choose the visit of that day, or correct the date"));
                false
            }
            _ => true,
        }
    }

    /// Makes a record of what `parts` say, unless it is in the book or in this file already. Gives
    /// its id, and whether the book had it.
    pub(super) fn make(
        &mut self,
        order: u32,
        parts: &[&str],
        author: &str,
        body: Body,
    ) -> Result<(RecordId, State), BookError> {
        let id = id_of(self.day, order, 0, parts);
        self.keep(id, author, body)
    }

    /// The same where lines that say the same are things of their own, such as two plants alike.
    pub(super) fn make_each(
        &mut self,
        order: u32,
        parts: &[&str],
        author: &str,
        body: Body,
    ) -> Result<(RecordId, State), BookError> {
        let n = self.alike.entry(parts.join("\u{1f}")).or_insert(0);
        let id = id_of(self.day, order, *n, parts);
        *n += 1;
        self.keep(id, author, body)
    }

    fn keep(
        &mut self,
        id: RecordId,
        author: &str,
        body: Body,
    ) -> Result<(RecordId, State), BookError> {
        if self.made.contains(&id) {
            return Ok((id, State::New));
        }
        if self.target.book.get(id)?.is_some() {
            self.already += 1;
            return Ok((id, State::Already));
        }
        self.made.insert(id);
        self.records.push(Record {
            id,
            born_at: id.born_at(),
            received_at: None,
            device: self.device(),
            author: author.to_owned(),
            supersedes: None,
            body,
        });
        Ok((id, State::New))
    }

    /// `file north.csv, brought in by A. Fenn`.
    fn device(&self) -> String {
        let cut = |text: &str, most: usize| -> String {
            text.chars()
                .filter(|c| !c.is_control())
                .take(most)
                .collect()
        };
        let file = cut(&self.said.file, 60);
        match cut(self.said.by.trim(), 40) {
            by if by.is_empty() => format!("{FROM_A_FILE}{file}"),
            by => format!("{FROM_A_FILE}{file}, brought in by {by}"),
        }
    }

    /// Says what a line becomes.
    pub(super) fn becomes(
        &mut self,
        at: &str,
        state: State,
        words: String,
        records: Vec<RecordId>,
    ) {
        self.items.push(Item {
            at: at.to_owned(),
            state,
            becomes: words,
            records,
        });
    }

    /// Puts what lines become into their order, where they were taken in another.
    fn in_order(&mut self) {
        let line = |at: &str| at.rsplit(' ').next().and_then(|n| n.parse::<usize>().ok());
        self.items.sort_by_key(|item| line(&item.at));
        self.faults.sort_by_key(|wrong| line(&wrong.at));
    }

    pub(super) fn done(mut self, bytes: &[u8]) -> Looked {
        self.in_order();
        if self.more_faults > 0 {
            let more = self.more_faults;
            self.faults.push(Wrong {
                at: "the file".to_owned(),
                said: format!("and {more} more faults; mend these first"),
            });
        }
        let hash = Sha256::digest(bytes);
        Looked {
            what: self.said.what,
            file: self.said.file.clone(),
            sha256: hash.iter().map(|byte| format!("{byte:02x}")).collect(),
            notes: self.notes,
            faults: self.faults,
            items: self.items,
            already: self.already,
            new: self.records.len(),
            records: self.records,
        }
    }
}

/// Words in a row that were said once each, for messages.
pub(super) fn joined(words: impl Iterator<Item = String>) -> String {
    let words: BTreeSet<String> = words.collect();
    words.into_iter().collect::<Vec<_>>().join(", ")
}
