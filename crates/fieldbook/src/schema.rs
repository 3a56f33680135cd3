//! The shape of the file: its mark, its version, and the steps that lead from one to the next.
//!
//! The version is kept in `user_version`, the mark in `application_id` (header bytes 60 and 68).
//! Steps only go forward; each runs in one transaction together with its version number, so a
//! crash leaves the old version or the new one. Settings of a connection are not here (`open`).
//!
//! A book of an older version that cannot be written is shown as it is: `see_as_newest` puts
//! views in memory before its tables, and changes nothing in the file.

use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, ffi};

/// Marks an SQLite file as a book: the letters `Stbk` as a big-endian number.
pub const APPLICATION_ID: i64 = 0x5374_626B;

/// Step n leads from version n to n + 1. Add at the end; never edit a released one.
const STEPS: &[&str] = &[
    include_str!("schema/0001_first.sql"),
    include_str!("schema/0002_judging.sql"),
    include_str!("schema/0003_photos.sql"),
    include_str!("schema/0004_office.sql"),
    include_str!("schema/0005_practice.sql"),
];

/// What makes a book of version n, for viewing, look like version n + 1; n counts from 1.
/// Version 3 only takes more than version 2: nothing has to be put before that.
const SEEN_AS_NEXT: [&str; STEPS.len() - 1] = [
    include_str!("schema/seen_1_as_2.sql"),
    "",
    include_str!("schema/seen_3_as_4.sql"),
    include_str!("schema/seen_4_as_5.sql"),
];

/// The newest version of a book that this program knows and the one it makes.
pub const SCHEMA_VERSION: i64 = STEPS.len() as i64;

/// Brings a book to the newest version. Every record comes through as it is.
pub(crate) fn migrate(conn: &mut Connection) -> rusqlite::Result<()> {
    // A step may make a table anew to which others refer. Inside a transaction this setting does nothing.
    conn.pragma_update(None, "foreign_keys", false)?;
    let done = migrate_by(conn, STEPS);
    let back = conn.pragma_update(None, "foreign_keys", true);
    done.and(back)
}

/// What a sound book of a version is made of: tables, indexes, triggers and views with the SQL that
/// makes them; `None` for a version this program does not know.
pub(crate) fn made_of(version: i64) -> rusqlite::Result<Option<Vec<(String, String)>>> {
    let steps = usize::try_from(version).ok().and_then(|n| STEPS.get(..n));
    let Some(steps) = steps else {
        return Ok(None);
    };
    let mut conn = Connection::open_in_memory()?;
    conn.pragma_update(None, "foreign_keys", false)?;
    migrate_by(&mut conn, steps)?;
    conn.prepare("SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name")?
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<Result<_, _>>()
        .map(Some)
}

/// Inside a transaction of a reader: what older versions lack is there, and empty. Lasts until
/// the transaction is rolled back.
pub(crate) fn see_as_newest(tx: &Transaction<'_>) -> rusqlite::Result<()> {
    let version: i64 = tx.pragma_query_value(None, "user_version", |row| row.get(0))?;
    let lacking = usize::try_from(version - 1)
        .ok()
        .and_then(|at| SEEN_AS_NEXT.get(at..));
    for views in lacking.unwrap_or_default() {
        tx.execute_batch(views)?;
    }
    Ok(())
}

/// Refuses a book in which a record refers to one that is not there.
fn check_foreign_keys(tx: &Transaction<'_>) -> rusqlite::Result<()> {
    let astray: Option<(String, String)> = tx
        .query_row("PRAGMA foreign_key_check", [], |row| {
            Ok((row.get(0)?, row.get(2)?))
        })
        .optional()?;
    match astray {
        None => Ok(()),
        Some((table, parent)) => {
            let said =
                format!("a row of table {table} refers to a row that is not in table {parent}");
            Err(rusqlite::Error::SqliteFailure(
                ffi::Error::new(ffi::SQLITE_CORRUPT),
                Some(said),
            ))
        }
    }
}

fn migrate_by(conn: &mut Connection, steps: &[&str]) -> rusqlite::Result<()> {
    loop {
        // The version is read inside the transaction: another program may be migrating too.
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let version: i64 = tx.pragma_query_value(None, "user_version", |row| row.get(0))?;
        let Some(step) = usize::try_from(version).ok().and_then(|at| steps.get(at)) else {
            return Ok(());
        };
        tx.execute_batch(step)?;
        check_foreign_keys(&tx)?;
        tx.pragma_update(None, "application_id", APPLICATION_ID)?;
        tx.pragma_update(None, "user_version", version + 1)?;
        tx.commit()?;
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn version(conn: &Connection) -> i64 {
        conn.pragma_query_value(None, "user_version", |row| row.get(0))
            .unwrap()
    }

    #[test]
    fn steps_run_once_each_and_in_order() {
        let mut conn = Connection::open_in_memory().unwrap();
        let first = "CREATE TABLE a (x INTEGER) STRICT;";
        let second = "ALTER TABLE a ADD COLUMN y INTEGER;";
        migrate_by(&mut conn, &[first]).unwrap();
        assert_eq!(version(&conn), 1);
        conn.execute("INSERT INTO a (x) VALUES (7)", []).unwrap();
        migrate_by(&mut conn, &[first, second]).unwrap();
        migrate_by(&mut conn, &[first, second]).unwrap();
        assert_eq!(version(&conn), 2);
        let x: i64 = conn
            .query_row("SELECT x FROM a WHERE y IS NULL", [], |row| row.get(0))
            .unwrap();
        assert_eq!(x, 7);
    }

    #[test]
    fn a_step_that_fails_leaves_the_version_before() {
        let mut conn = Connection::open_in_memory().unwrap();
        let broken = "CREATE TABLE b (x INTEGER) STRICT; CREATE TABLE b (x INTEGER) STRICT;";
        assert!(migrate_by(&mut conn, &[broken]).is_err());
        assert_eq!(version(&conn), 0);
        let tables: i64 = conn
            .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))
            .unwrap();
        assert_eq!(tables, 0);
    }
}
