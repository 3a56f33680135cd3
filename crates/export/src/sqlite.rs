//! One SQLite file for analysis: the tables of `tables`, the dictionary, and two views that join what an
//! analyst joins first.
//!
//! Nothing in it can be edited back into a book. Truth is 0 or 1; dates and instants are text in ISO 8601.

use std::path::Path;

use rusqlite::types::{ToSqlOutput, ValueRef};
use rusqlite::{Connection, Statement, ToSql};

use crate::csv_tables::{DICTIONARY, dictionary};
use crate::error::Done;
use crate::leaving::Leaving;
use crate::pictures::Pictures;
use crate::tables::{Sink, Source, Table, Type, Value, fits, tables};

/// Views beside the tables, each with what it is.
const VIEWS: [(&str, &str, &str); 2] = [
    (
        "plants",
        "determinations with planting, plot, visit and point; the names and units are those of the tables",
        "SELECT d.*, p.label AS point_label, p.latitude, p.longitude, p.uncertainty_m, t.name AS plot,
                v.visited_on, g.name AS planting, g.seeded_on
         FROM determinations d
         JOIN points p ON p.id = d.point
         JOIN plots t ON t.id = p.plot
         JOIN visits v ON v.id = p.visit
         JOIN plantings g ON g.id = v.planting",
    ),
    (
        "cells_and_counts",
        "tallies of first readings with frame, plot, visit and planting; a frame that held none has one row without a tally",
        "SELECT g.name AS planting, v.visited_on, t.name AS plot, p.label AS point_label,
                f.id AS frame, f.number AS frame_number, f.scout, f.shape, f.cells, f.cell_side_cm, f.area_m2,
                f.looked_twice, y.cell, y.plants, y.taxon, y.unknown, y.counts_as, y.scientific_name
         FROM frames f
         JOIN points p ON p.id = f.point
         JOIN plots t ON t.id = p.plot
         JOIN visits v ON v.id = p.visit
         JOIN plantings g ON g.id = v.planting
         LEFT JOIN tallies y ON y.frame = f.id
         WHERE f.repeats IS NULL",
    ),
];

/// Makes the file; rows by table come back.
pub(crate) fn write(leaving: &Leaving, path: &Path) -> Done<Vec<(String, u64)>> {
    let conn = Connection::open(path)?;
    // The file has a temporary name until it is whole: a log would only cost time.
    conn.pragma_update(None, "journal_mode", "OFF")?;
    conn.pragma_update(None, "synchronous", "OFF")?;
    conn.execute_batch("BEGIN")?;
    let pictures = Pictures::new();
    let source = Source {
        leaving,
        pictures: &pictures,
    };
    let mut counts = Vec::new();
    for table in tables(leaving.request) {
        conn.execute_batch(&create(table))?;
        let marks = vec!["?"; table.columns().len()].join(", ");
        let insert = format!("INSERT INTO \"{}\" VALUES ({marks})", table.name);
        let mut rows = Rows {
            table,
            insert: conn.prepare(&insert)?,
            count: 0,
        };
        (table.fill)(&source, &mut rows)?;
        counts.push((table.name.to_owned(), rows.count));
    }
    for (name, _, select) in VIEWS {
        conn.execute_batch(&format!("CREATE VIEW {name} AS {select}"))?;
    }
    describe(leaving, &conn)?;
    conn.execute_batch("COMMIT; CREATE INDEX tallies_by_frame ON tallies(frame); CREATE INDEX answers_by_determination ON answers(determination); CREATE INDEX frames_by_point ON frames(point); CREATE INDEX determinations_by_point ON determinations(point)")?;
    conn.close().map_err(|(_, error)| error)?;
    Ok(counts)
}

fn create(table: &Table) -> String {
    let columns: Vec<String> = table
        .columns()
        .iter()
        .map(|column| {
            let holds = match column.holds {
                Type::Text | Type::Date | Type::Instant => "TEXT",
                Type::Real => "REAL",
                Type::Whole | Type::Truth => "INTEGER",
            };
            let key = match (column.name, column.empty) {
                ("id", _) => " PRIMARY KEY",
                (_, "") => " NOT NULL",
                _ => "",
            };
            format!("\"{}\" {holds}{key}", column.name)
        })
        .collect();
    format!(
        "CREATE TABLE \"{}\" ({}) STRICT",
        table.name,
        columns.join(", ")
    )
}

fn describe(leaving: &Leaving, conn: &Connection) -> Done {
    let columns: Vec<String> = DICTIONARY
        .iter()
        .map(|name| format!("\"{name}\" TEXT NOT NULL"))
        .collect();
    conn.execute_batch(&format!(
        "CREATE TABLE dictionary ({}) STRICT",
        columns.join(", ")
    ))?;
    let mut insert = conn.prepare("INSERT INTO dictionary VALUES (?, ?, ?, ?, ?, ?, ?, ?)")?;
    for line in dictionary(leaving.request) {
        insert.execute(line)?;
    }
    for (name, meaning, _) in VIEWS {
        insert.execute([
            name,
            meaning,
            "*",
            "the columns of the tables that it joins",
            "",
            "view",
            "",
            "",
        ])?;
    }
    conn.execute_batch("CREATE TABLE about (what TEXT PRIMARY KEY, words TEXT NOT NULL) STRICT")?;
    let mut insert = conn.prepare("INSERT INTO about VALUES (?, ?)")?;
    insert.execute(["taken out on", leaving.given.today])?;
    insert.execute(["key", leaving.given.key.id.as_str()])?;
    insert.execute(["places", leaving.generalised().as_str()])?;
    insert.execute(["left out", leaving.withheld().as_str()])?;
    Ok(())
}

impl ToSql for Value<'_> {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::Borrowed(match self {
            Value::Text(text) => ValueRef::Text(text.as_bytes()),
            Value::Real(value) => ValueRef::Real(*value),
            Value::Whole(value) => ValueRef::Integer(*value),
            Value::Truth(value) => ValueRef::Integer((*value).into()),
            Value::Empty => ValueRef::Null,
        }))
    }
}

struct Rows<'a> {
    table: &'static Table,
    insert: Statement<'a>,
    count: u64,
}

impl Sink for Rows<'_> {
    fn row(&mut self, cells: &[Value<'_>]) -> Done {
        fits(self.table, self.insert.parameter_count(), cells)?;
        self.insert.execute(rusqlite::params_from_iter(cells))?;
        self.count += 1;
        Ok(())
    }
}
