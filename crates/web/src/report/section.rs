//! Sections of the pages after the first: a heading, sentences, a table, a list.
//!
//! In: text. Out: values that one template writes. Not here: what they say.

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Cell {
    /// Its text.
    pub text: String,
    /// What stands small below it; may be empty.
    pub small: String,
}

impl Cell {
    /// With something small below.
    pub fn with(text: impl Into<String>, small: impl Into<String>) -> Cell {
        Cell {
            text: text.into(),
            small: small.into(),
        }
    }
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Cell {
        Cell::with(text, "")
    }
}

/// A table.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Table {
    /// Heads of the columns, and whether they hold numbers.
    pub head: Vec<(&'static str, bool)>,
    /// Rows, each as long as the head.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// Whether a column holds numbers.
    pub fn is_number(&self, column: &usize) -> bool {
        self.head.get(*column).is_some_and(|(_, number)| *number)
    }
}

/// A section.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Section {
    /// Heading.
    pub title: &'static str,
    /// Sentences, a paragraph each.
    pub says: Vec<String>,
    /// Table; empty: none.
    pub table: Table,
    /// List, each with a few words that stand out; empty: none.
    pub list: Vec<(String, String)>,
    /// Small print below; may be empty.
    pub small: String,
}

impl Section {
    /// With a heading and nothing else.
    pub fn new(title: &'static str) -> Section {
        Section {
            title,
            ..Section::default()
        }
    }

    /// Adds a line to the list: a few words that stand out, may be empty, and the rest.
    pub fn line(&mut self, lead: impl Into<String>, rest: impl Into<String>) {
        self.list.push((lead.into(), rest.into()));
    }

    /// Whether there is anything in it.
    pub fn is_empty(&self) -> bool {
        self.says.is_empty() && self.table.rows.is_empty() && self.list.is_empty()
    }
}
