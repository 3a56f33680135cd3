//! The union of two books in SQL: which records are new, which carry the same id and say something
//! else, and the new ones added.
//!
//! In: a connection to a book to which a second one is attached as `came`. A trigger that forbids to
//! write an id twice fires before `ON CONFLICT` is looked at, so rows are chosen by id beforehand.
//! Records keep their receipt; that of a record which is here already stays the book's own.

use rusqlite::{Connection, OptionalExtension, Transaction};

use super::tables::{TABLES, Table, columns};
use crate::error::BookError;
use crate::id::RecordId;
use crate::removed::purge;

/// Attaches the book to merge from.
pub(super) fn attach(conn: &Connection, path: &str) -> rusqlite::Result<()> {
    conn.execute("ATTACH ?1 AS came", [path]).map(|_| ())
}

/// Lets it go again.
pub(super) fn detach(conn: &Connection) -> rusqlite::Result<()> {
    conn.execute_batch("DETACH came")
}

/// The first table of the attached book that is not made like ours.
pub(super) fn foreign_table(conn: &Connection) -> rusqlite::Result<Option<&'static str>> {
    let sql = "SELECT 1 FROM came.sqlite_schema c JOIN main.sqlite_schema m USING (type, name, sql)
               WHERE c.type = 'table' AND c.name = ?1";
    let mut same = conn.prepare(sql)?;
    for table in TABLES {
        if !same.exists([table.name])? {
            return Ok(Some(table.name));
        }
    }
    Ok(None)
}

/// Ids in both books under which they say different things, in order.
pub(super) fn clashes(conn: &Connection) -> rusqlite::Result<Vec<RecordId>> {
    let shared = "SELECT EXISTS (SELECT 1 FROM came.record c JOIN main.record m ON m.id = c.id)";
    if !conn.query_row(shared, [], |row| row.get::<_, bool>(0))? {
        return Ok(Vec::new());
    }
    let mut found = std::collections::BTreeSet::new();
    for table in TABLES {
        for sql in clash_sql(conn, table)? {
            let mut statement = conn.prepare(&sql)?;
            let ids = statement.query_map([], |row| row.get::<_, RecordId>(0))?;
            for id in ids {
                found.insert(id?);
            }
        }
    }
    Ok(found.into_iter().collect())
}

/// Questions for rows of shared records that differ, or that only one of the books has.
fn clash_sql(conn: &Connection, table: &Table) -> rusqlite::Result<Vec<String>> {
    let (columns, keys) = columns(conn, table.name)?;
    let (name, of) = (table.name, table.of);
    let equal = |alias: &str, other: &str| {
        let pairs = columns[..keys]
            .iter()
            .map(|key| format!("{alias}.{key} = {other}.{key}"));
        pairs.collect::<Vec<_>>().join(" AND ")
    };
    let differ: Vec<String> = columns[keys..]
        .iter()
        // When a record came into a book is that book's own matter.
        .filter(|column| !(name == "record" && *column == "received_at"))
        .map(|column| format!("c.{column} IS NOT m.{column}"))
        .collect();
    let differ = differ.join(" OR ");
    Ok(match of {
        "id" => vec![format!(
            "SELECT c.id FROM came.{name} c JOIN main.{name} m ON {} WHERE {differ}",
            equal("m", "c")
        )],
        _ => vec![
            format!(
                "SELECT c.{of} FROM came.{name} c JOIN main.record s ON s.id = c.{of}
                 LEFT JOIN main.{name} m ON {} WHERE m.{of} IS NULL OR {differ}",
                equal("m", "c")
            ),
            format!(
                "SELECT m.{of} FROM main.{name} m JOIN came.record s ON s.id = m.{of}
                 LEFT JOIN came.{name} c ON {} WHERE c.{of} IS NULL",
                equal("c", "m")
            ),
        ],
    })
}

/// Adds every record that is not here yet. Until the transaction ends their ids are in
/// `temp.coming`; those that a removal covers are not added, and are in `temp.left_out`.
/// Out: how many records went for a removal, of either book.
pub(super) fn add(tx: &Transaction<'_>) -> rusqlite::Result<usize> {
    tx.execute_batch(
        "DROP TABLE IF EXISTS temp.coming;
         CREATE TEMP TABLE coming (id TEXT PRIMARY KEY) WITHOUT ROWID;
         INSERT INTO temp.coming (id) SELECT c.id FROM came.record c
         WHERE NOT EXISTS (SELECT 1 FROM main.record m WHERE m.id = c.id)",
    )?;
    for table in TABLES {
        let (columns, _) = columns(tx, table.name)?;
        let (name, of, columns) = (table.name, table.of, columns.join(", "));
        tx.execute_batch(&format!(
            "INSERT INTO main.{name} ({columns}) SELECT {columns} FROM came.{name}
             WHERE {of} IN (SELECT id FROM temp.coming)"
        ))?;
    }
    let gone = purge(tx)?;
    tx.execute_batch(
        "DROP TABLE IF EXISTS temp.left_out;
         CREATE TEMP TABLE left_out (id TEXT PRIMARY KEY) WITHOUT ROWID;
         INSERT INTO temp.left_out
         SELECT n.id FROM temp.coming n WHERE NOT EXISTS (SELECT 1 FROM main.record m WHERE m.id = n.id);
         DELETE FROM temp.coming WHERE id IN (SELECT id FROM temp.left_out)",
    )?;
    Ok(gone)
}

/// A chain whose root here is not what its corrections say: one of the books was changed by hand.
pub(super) fn torn_chain(tx: &Transaction<'_>) -> rusqlite::Result<Option<RecordId>> {
    tx.query_row(
        "SELECT r.id FROM temp.coming c JOIN main.record r ON r.id = c.id
         JOIN main.record s ON s.id = r.supersedes WHERE r.root <> s.root LIMIT 1",
        [],
        |row| row.get(0),
    )
    .optional()
}

/// What a path is called in SQL; SQLite knows only text.
pub(super) fn path_text(path: &std::path::Path) -> Result<&str, BookError> {
    path.to_str().ok_or_else(|| BookError::File {
        path: path.to_owned(),
        detail: "its name is not text (UTF-8)".to_owned(),
    })
}
