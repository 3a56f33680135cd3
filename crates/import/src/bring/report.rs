//! What was seen in a file, for the page, the command line and programs.

use serde::Serialize;
use standbook_fieldbook::{BookError, Record, RecordId};

use super::What;

/// What becomes of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// It becomes records.
    New,
    /// It was brought in before.
    Already,
}

/// A line, or a shape of a map file, and what it becomes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Item {
    /// `line 3`, `feature 2`.
    pub at: String,
    /// Whether it adds anything.
    pub state: State,
    /// What it becomes, in words.
    pub becomes: String,
    /// The records that it becomes or became.
    pub records: Vec<RecordId>,
}

/// What is wrong with a line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wrong {
    /// `line 3`, `feature 2`.
    pub at: String,
    /// The column, what is wrong and how to mend it: `column 3 (taxon): ...`.
    pub said: String,
}

/// What was seen in a file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Looked {
    /// What is in it.
    pub what: What,
    /// What it is called.
    pub file: String,
    /// SHA-256 of its bytes, hex.
    pub sha256: String,
    /// What was taken for granted, or not used, in sentences.
    pub notes: Vec<String>,
    /// Every fault; nothing is kept unless it is empty.
    pub faults: Vec<Wrong>,
    /// What lines become.
    pub items: Vec<Item>,
    /// How many records were there already.
    pub already: usize,
    /// How many would be new.
    pub new: usize,
    /// The new records.
    #[serde(skip)]
    pub records: Vec<Record>,
}

impl Looked {
    /// Turns what the book would refuse into faults of lines.
    pub(super) fn refused(&mut self, error: BookError) -> Result<(), BookError> {
        let BookError::Invalid(problems) = error else {
            return Err(error);
        };
        for problem in problems {
            let item = self
                .items
                .iter()
                .find(|item| item.records.contains(&problem.record));
            self.faults.push(Wrong {
                at: item.map_or_else(|| "the file".to_owned(), |item| item.at.clone()),
                said: format!(
                    "{}: {}; {}",
                    problem.field,
                    problem.problem,
                    lower(&problem.mend)
                ),
            });
        }
        Ok(())
    }
}

/// A sentence as the end of another.
fn lower(text: &str) -> String {
    let mut chars = text.trim_end_matches('.').chars();
    match chars.next() {
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}
