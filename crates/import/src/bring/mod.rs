//! A file on its way into a book: looked at first, then kept, all of it or nothing.
//!
//! In: bytes of a file, what is in it, and the visit it belongs to. Out: what each line would
//! become; notes on what was taken for granted; faults, each with line and column, what is wrong
//! and how to mend it; the records. A line that was brought in before is known by the id that it
//! gives (`id`), and adds nothing.

mod answers;
mod determinations;
mod frame_words;
mod frames;
mod maker;
mod points;
mod report;
mod unknowns;
mod where_in;

use standbook_fieldbook::record::Evidence as Weighed;
use standbook_fieldbook::{Book, BookError, RecordId};
use standbook_identify::{Evidence, Situation, Table};
use standbook_key::Key;

use crate::Fault;
use crate::dates::DateForm;
use crate::frames::Usual;
use maker::Maker;
pub use report::{Item, Looked, State, Wrong};

/// What a file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum What {
    /// Where something was looked at: GeoJSON, KML, GPX or CSV.
    Points,
    /// Frames, cell by cell, or plants counted in quadrats and rows: CSV.
    Frames,
    /// Plants with what was seen of each: CSV.
    Determinations,
}

impl What {
    /// All of them, by id.
    pub const ALL: [(&'static str, What); 3] = [
        ("points", What::Points),
        ("frames", What::Frames),
        ("determinations", What::Determinations),
    ];

    /// By id.
    pub fn from_id(id: &str) -> Option<What> {
        let found = What::ALL.iter().find(|(own, _)| *own == id);
        found.map(|(_, what)| *what)
    }
}

/// What a person says about a file.
#[derive(Debug, Clone)]
pub struct Said {
    /// What is in it.
    pub what: What,
    /// What it is called.
    pub file: String,
    /// Who brings it in; may be empty.
    pub by: String,
    /// Who walked, where the file does not say; may be empty.
    pub scout: String,
    /// The plot of what names none; `None`: as the file and the outlines say.
    pub plot: Option<RecordId>,
    /// What was laid where the file does not say, and how days are written.
    pub usual: Usual,
    /// Whether plots and points that the file names and the visit lacks are made.
    pub make_missing: bool,
}

impl Said {
    /// How days are written.
    fn dates(&self) -> DateForm {
        self.usual.dates
    }
}

/// Where a file goes, and what its words mean.
pub struct Target<'a> {
    /// The book.
    pub book: &'a Book,
    /// The visit; any version's id will do.
    pub visit: RecordId,
    /// The key.
    pub key: &'a Key,
    /// The key, compiled.
    pub table: &'a Table,
    /// Weighs what was seen, as everywhere else in the program.
    pub weigh: &'a dyn Fn(&Evidence, &Situation) -> Weighed,
}

/// Why a file can't even be looked at.
#[derive(Debug, thiserror::Error)]
pub enum BringError {
    /// The visit is not in the book.
    #[error(
        "visit {visit} is not in this book: choose a visit of it; its page has the id in its address"
    )]
    NoVisit {
        /// What was asked for.
        visit: RecordId,
    },
    /// The book says no.
    #[error("{0}")]
    Book(BookError),
}

impl From<BookError> for BringError {
    fn from(error: BookError) -> Self {
        BringError::Book(error)
    }
}

/// Looks at a file; nothing is written.
///
/// # Errors
/// When there is no such visit, or the book can't be read. What is wrong with the file stands in
/// the answer.
pub fn look(target: &Target<'_>, said: &Said, bytes: &[u8]) -> Result<Looked, BringError> {
    let mut maker = Maker::new(target, said)?;
    let read = match said.what {
        What::Points => points::read(&mut maker, bytes)?,
        What::Frames => frames::read(&mut maker, bytes)?,
        What::Determinations => determinations::read(&mut maker, bytes)?,
    };
    if let Err(faults) = read {
        maker.faults(faults);
    }
    let mut looked = maker.done(bytes);
    if looked.faults.is_empty() && !looked.records.is_empty() {
        // The book's own rules last: what they say is all that is left to be wrong.
        if let Err(error) = target.book.would_append(&looked.records) {
            looked.refused(error)?;
        }
    }
    Ok(looked)
}

/// Keeps what was looked at: all of it or nothing. Gives the number of new records.
///
/// # Errors
/// [`BookError::Invalid`] when the book has changed since in a way that no longer fits, and
/// whatever the disk does. Nothing is written then.
pub fn keep(book: &Book, looked: &Looked) -> Result<usize, BookError> {
    if !looked.faults.is_empty() || looked.records.is_empty() {
        return Ok(0);
    }
    book.append(looked.records.clone()).map(|kept| kept.len())
}

/// Reading a file: done, or its faults.
type Done = Result<Result<(), Vec<Fault>>, BookError>;
