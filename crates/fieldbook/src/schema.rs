//! The shape of the file: its mark, its version, and the steps that lead from one to the next.
//!
//! The version is kept in `user_version`, the mark in `application_id` (header bytes 60 and 68).
//! Steps only go forward; each runs in one transaction together with its version number, so a
//! crash leaves the old version or the new one. Settings of a connection are not here (`open`).

use rusqlite::{Connection, TransactionBehavior};

/// Marks an SQLite file as a book: the letters `Stbk` as a big-endian number.
pub const APPLICATION_ID: i64 = 0x5374_626B;

/// Step n leads from version n to n + 1. Add at the end; never edit a released one.
const STEPS: &[&str] = &[include_str!("schema/0001_first.sql")];

/// The newest version of a book that this program knows and the one it makes.
pub const SCHEMA_VERSION: i64 = STEPS.len() as i64;

/// Brings a book to the newest version.
pub(crate) fn migrate(conn: &mut Connection) -> rusqlite::Result<()> {
    migrate_by(conn, STEPS)
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
