//! Plain tables of everything that a book holds, each described column by column: the CSV files and the
//! SQLite file are these, and so is their dictionary.
//!
//! Ids are the first ids of chains: they stay when a record is corrected, and tables refer to each other
//! by them. Only what is current is here. Not here: how tables are written (`csv`, `sqlite`).

mod field;
mod office;
mod place;
mod plant;
mod practice;
mod seed;

use std::borrow::Cow;

use standbook_fieldbook::{Entry, Rooted};

use crate::error::{Done, ExportError};
use crate::leaving::Leaving;
use crate::pictures::Pictures;
use crate::request::Request;

/// A cell.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Value<'a> {
    /// Words; empty ones are written as nothing.
    Text(Cow<'a, str>),
    Real(f64),
    Whole(i64),
    Truth(bool),
    /// Nothing.
    Empty,
}

impl<'a> From<&'a str> for Value<'a> {
    fn from(text: &'a str) -> Self {
        match text {
            "" => Value::Empty,
            text => Value::Text(Cow::Borrowed(text)),
        }
    }
}

impl From<String> for Value<'_> {
    fn from(text: String) -> Self {
        match text.is_empty() {
            true => Value::Empty,
            false => Value::Text(Cow::Owned(text)),
        }
    }
}

impl<'a> From<Cow<'a, str>> for Value<'a> {
    fn from(text: Cow<'a, str>) -> Self {
        match text.is_empty() {
            true => Value::Empty,
            false => Value::Text(text),
        }
    }
}

impl From<f64> for Value<'_> {
    fn from(value: f64) -> Self {
        match value.is_finite() {
            true => Value::Real(value),
            false => Value::Empty,
        }
    }
}

impl From<u32> for Value<'_> {
    fn from(value: u32) -> Self {
        Value::Whole(value.into())
    }
}

impl From<bool> for Value<'_> {
    fn from(value: bool) -> Self {
        Value::Truth(value)
    }
}

impl From<usize> for Value<'_> {
    fn from(value: usize) -> Self {
        i64::try_from(value).map_or(Value::Empty, Value::Whole)
    }
}

impl From<standbook_fieldbook::RecordId> for Value<'_> {
    fn from(id: standbook_fieldbook::RecordId) -> Self {
        Value::Text(Cow::Owned(id.to_string()))
    }
}

impl<'a, T: Into<Value<'a>>> From<Option<T>> for Value<'a> {
    fn from(value: Option<T>) -> Self {
        value.map_or(Value::Empty, Into::into)
    }
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Type {
    /// Words.
    Text,
    /// A number with a point.
    Real,
    /// A whole number.
    Whole,
    /// `true` or `false`.
    Truth,
    /// A day, `2026-05-12`.
    Date,
    /// An instant in UTC, `2026-07-14T15:04:05.123Z`.
    Instant,
}

impl Type {
    /// As the dictionary says it.
    pub fn name(self) -> &'static str {
        match self {
            Type::Text => "text",
            Type::Real => "number",
            Type::Whole => "whole number",
            Type::Truth => "true or false",
            Type::Date => "date",
            Type::Instant => "instant",
        }
    }
}

/// A column, as the dictionary describes it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Column {
    pub name: &'static str,
    pub holds: Type,
    /// Unit; empty: none.
    pub unit: &'static str,
    pub meaning: &'static str,
    /// What may stand there; empty: anything of the type.
    pub allowed: &'static str,
    /// What an empty cell means; empty: the cell is never empty.
    pub empty: &'static str,
}

/// A column that is never empty, without a unit.
const fn column(name: &'static str, holds: Type, meaning: &'static str) -> Column {
    Column {
        name,
        holds,
        unit: "",
        meaning,
        allowed: "",
        empty: "",
    }
}

impl Column {
    const fn unit(mut self, unit: &'static str) -> Column {
        self.unit = unit;
        self
    }

    const fn of(mut self, allowed: &'static str) -> Column {
        self.allowed = allowed;
        self
    }

    const fn empty(mut self, means: &'static str) -> Column {
        self.empty = means;
        self
    }
}

/// A table.
pub(crate) struct Table {
    pub name: &'static str,
    pub meaning: &'static str,
    /// Its own columns.
    pub own: &'static [Column],
    /// Whether its rows are records: then `id` stands before, and who wrote it and when after.
    pub records: bool,
    pub fill: fn(&Source, &mut dyn Sink) -> Done,
}

/// Of a table of records: before its own columns.
const ID: Column = column("id", Type::Text, "the record; stays when it is corrected");

/// Of a table of records: after its own columns.
const ENVELOPE: [Column; 5] = [
    column(
        "version",
        Type::Text,
        "the current version of the record; another than id once it was corrected",
    ),
    column("recorded_by", Type::Text, "who entered this version")
        .empty("a name that was never seen in the book"),
    column(
        "recorded_at",
        Type::Instant,
        "when it was entered, by the clock of the device",
    )
    .unit("UTC"),
    column("received_at", Type::Instant, "when this book took it in").unit("UTC"),
    column("device", Type::Text, "where it was entered").empty("a device that was never seen"),
];

impl Table {
    /// All columns in order.
    pub fn columns(&self) -> Vec<Column> {
        let (before, after): (&[Column], &[Column]) = match self.records {
            true => (&[ID], &ENVELOPE),
            false => (&[], &[]),
        };
        [before, self.own, after].concat()
    }
}

/// The tables that leave, those first that others refer to.
pub(crate) fn tables(request: &Request) -> impl Iterator<Item = &'static Table> {
    let practice = practice::TABLES.into_iter();
    TABLES
        .into_iter()
        .chain(practice.filter(|_| request.practice))
}

/// The tables that always leave.
const TABLES: [&Table; 29] = [
    &place::SITES,
    &place::PLANTINGS,
    &seed::MIX,
    &seed::SEED_LOTS,
    &seed::NOXIOUS_SEEDS,
    &seed::HAPPENINGS,
    &place::PLOTS,
    &place::OUTLINES,
    &place::PLANS,
    &place::PLAN_POINTS,
    &place::THRESHOLDS,
    &field::VISITS,
    &field::SCOUTS,
    &field::POINTS,
    &field::UNKNOWNS,
    &field::FRAMES,
    &field::TALLIES,
    &plant::DETERMINATIONS,
    &plant::ANSWERS,
    &plant::RANKING,
    &office::OPINIONS,
    &office::OPINION_ANSWERS,
    &office::SPECIMENS,
    &office::COME_BACKS,
    &office::AUDITS,
    &office::AUDIT_PLANTS,
    &office::PHOTOS,
    &seed::TAXA,
    &seed::TRAITS,
];

/// What tables are filled from.
pub(crate) struct Source<'a> {
    pub leaving: &'a Leaving<'a>,
    pub pictures: &'a Pictures,
}

/// Where rows go.
pub(crate) trait Sink {
    /// A row; as many cells as the table has columns.
    fn row(&mut self, cells: &[Value<'_>]) -> Done;
}

impl dyn Sink + '_ {
    /// A row of a table of records.
    fn record<T>(&mut self, leaving: &Leaving, it: &Rooted<T>, own: Vec<Value<'_>>) -> Done {
        let entry: &Entry<T> = &it.entry;
        let mut cells = vec![it.root.into()];
        cells.extend(own);
        cells.extend([
            entry.id.into(),
            leaving.people.say(&entry.author).into(),
            entry.born_at.as_str().into(),
            entry.received_at.as_str().into(),
            leaving.devices.say(&entry.device).into(),
        ]);
        self.row(&cells)
    }
}

/// Refuses a row that is not of its table, which would be a fault of ours.
pub(crate) fn fits(table: &Table, columns: usize, cells: &[Value<'_>]) -> Done {
    match cells.len() == columns {
        true => Ok(()),
        false => Err(ExportError::Ours(format!(
            "a row of {} has {} cells, not {columns}",
            table.name,
            cells.len()
        ))),
    }
}
