//! Lines and columns of a file that a spreadsheet or a script wrote.
//!
//! In: text. Out: a header, and lines with their number as an editor counts them. Commas,
//! semicolons and tabs part fields, whichever the header has most of.
//! Not here: what the columns mean.

use standbook_fieldbook::limits;
use standbook_key::fault::{short, suggest};

use crate::{Fault, Lines};

/// A comma, or what the header has more of: spreadsheets in some countries write semicolons.
pub(crate) fn delimiter(bytes: &[u8]) -> u8 {
    let mut lines = bytes.split(|b| matches!(b, b'\n' | b'\r'));
    let head = lines.find(|line| !line.is_empty()).unwrap_or_default();
    let count = |wanted: u8| head.iter().filter(|b| **b == wanted).count();
    [b';', b'\t']
        .into_iter()
        .filter(|other| count(*other) > count(b','))
        .max_by_key(|other| count(*other))
        .unwrap_or(b',')
}

/// A file's lines.
#[derive(Debug)]
pub(crate) struct Table {
    /// The header as written, trimmed.
    pub titles: Vec<String>,
    /// The lines below it that are not empty.
    pub rows: Vec<Row>,
    /// What parts the fields.
    pub delimiter: u8,
}

/// One line.
#[derive(Debug)]
pub(crate) struct Row {
    /// From 1.
    pub line: usize,
    fields: csv::StringRecord,
}

/// A column that is known.
pub(crate) struct Known {
    /// As pages and README call it.
    pub name: &'static str,
    /// What else it is called by those who make such files.
    pub also: &'static [&'static str],
    /// Whether nothing can be read without it.
    pub needed: bool,
}

/// Where the known columns stand.
#[derive(Debug)]
pub(crate) struct Columns {
    titles: Vec<String>,
    at: Vec<(&'static str, usize)>,
    /// Columns that are none of the known ones.
    pub rest: Vec<usize>,
}

/// A header's word as columns are called: `Leaf Stage` is `leaf_stage`.
pub(crate) fn called(title: &str) -> String {
    let words: Vec<&str> = title
        .split([' ', '-', '_'])
        .filter(|w| !w.is_empty())
        .collect();
    words.join("_").to_lowercase()
}

/// A header and lines; every line that can't be read.
pub(crate) fn read(text: &str) -> Result<Table, Vec<Fault>> {
    let delimiter = delimiter(text.as_bytes());
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let mut lines = Lines::of(text.as_bytes());
    let (mut titles, mut rows, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    let mut fields = csv::StringRecord::new();
    loop {
        match reader.read_record(&mut fields) {
            Ok(true) => {}
            Ok(false) => break,
            Err(error) => {
                let line = usize::try_from(reader.position().line()).unwrap_or(usize::MAX);
                faults.push((line, format!("column 1: {error}")));
                break;
            }
        }
        let line = lines.at(fields.position().map_or(0, csv::Position::byte));
        if fields.iter().all(|field| field.trim().is_empty()) {
            continue;
        }
        // A quotation mark that is never closed swallows the rest of the file.
        let swallowed = |field: &str| field.len() > 4 * limits::NOTE_CHARS && field.contains('\n');
        if let Some(at) = fields.iter().position(swallowed) {
            faults.push((line, format!("column {}: a quotation mark opens here and does not close; close it, or take it out", at + 1)));
            break;
        }
        if titles.is_empty() {
            titles = fields.iter().map(|title| title.trim().to_owned()).collect();
            continue;
        }
        if fields.len() != titles.len() {
            faults.push((line, format!(
                "column {}: the line has {} column(s), the header {}; quote values that hold the separator, and leave the separators of empty columns in",
                fields.len().min(titles.len() + 1), fields.len(), titles.len()
            )));
            continue;
        }
        rows.push(Row {
            line,
            fields: fields.clone(),
        });
    }
    if rows.is_empty() && faults.is_empty() {
        faults.push((
            2,
            "column 1: there are no lines below the header; add them".to_owned(),
        ));
    }
    match faults.is_empty() {
        true => Ok(Table {
            titles,
            rows,
            delimiter,
        }),
        false => Err(faults),
    }
}

impl Table {
    /// Finds the known columns.
    pub(crate) fn columns(&self, known: &[Known]) -> Result<Columns, Vec<Fault>> {
        let (mut at, mut rest, mut faults) = (Vec::new(), Vec::new(), Vec::new());
        for (n, title) in self.titles.iter().enumerate() {
            let word = called(title);
            let found = known
                .iter()
                .find(|one| one.name == word || one.also.contains(&&*word));
            match found {
                None => rest.push(n),
                Some(one) if at.iter().any(|(name, _)| *name == one.name) => faults.push((
                    1,
                    format!(
                        "column {} ({}): the header has {} twice; leave one out",
                        n + 1,
                        short(title),
                        one.name
                    ),
                )),
                Some(one) => at.push((one.name, n)),
            }
        }
        let missing = |one: &&Known| one.needed && !at.iter().any(|(name, _)| *name == one.name);
        for one in known.iter().filter(missing) {
            let others = rest.iter().map(|n| self.titles[*n].as_str());
            faults.push((
                1,
                format!(
                    "column 1: the header has no column {}; name it so{}",
                    one.name,
                    match suggest(one.name, others.collect::<Vec<_>>(), "") {
                        said if said.starts_with("did you mean") => format!(
                            " (is it `{}`?)",
                            said.trim_start_matches("did you mean ")
                                .trim_end_matches('?')
                                .trim_matches('`')
                        ),
                        _ => String::new(),
                    }
                ),
            ));
        }
        match faults.is_empty() {
            true => Ok(Columns {
                titles: self.titles.clone(),
                at,
                rest,
            }),
            false => Err(faults),
        }
    }
}

impl Columns {
    /// The text of a known column, trimmed; empty where the file has no such column.
    pub(crate) fn text<'r>(&self, row: &'r Row, name: &str) -> &'r str {
        let at = self.at.iter().find(|(own, _)| *own == name);
        at.map_or("", |(_, at)| row.field(*at))
    }

    /// `column 3 (latitude)`, for messages.
    pub(crate) fn place(&self, name: &str) -> String {
        match self.at.iter().find(|(own, _)| *own == name) {
            Some((_, at)) => self.place_of(*at),
            None => format!("column 1 ({name})"),
        }
    }

    /// The same for a column by its number from 0.
    pub(crate) fn place_of(&self, at: usize) -> String {
        let title = self.titles.get(at).map_or("", String::as_str);
        format!("column {} ({})", at + 1, short(title))
    }

    /// A header's word.
    pub(crate) fn title(&self, at: usize) -> &str {
        self.titles.get(at).map_or("", String::as_str)
    }
}

impl Row {
    /// A field by its number from 0, trimmed.
    pub(crate) fn field(&self, at: usize) -> &str {
        self.fields.get(at).unwrap_or_default().trim()
    }
}

/// A number as text with a decimal point. A comma is one where commas do not part the fields.
pub(crate) fn with_point(text: &str, delimiter: u8) -> String {
    match delimiter != b',' && !text.contains('.') && text.matches(',').count() == 1 {
        true => text.replace(',', "."),
        false => text.to_owned(),
    }
}
