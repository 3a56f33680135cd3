//! Practice that a removal covers goes.
//!
//! In: the writing connection within the transaction that brought a removal, or practice that an
//! earlier removal covers. Out: rows gone from `record` and every table of practice, the removal
//! staying. What may go says the view `removed_practice`; triggers refuse everything else.
//! Since it is done after every saving and every merge, books that have the same records and removals
//! hold the same, in whatever order they came.
//!
//! Not here: backups and copies made before, which nobody can call back.

use rusqlite::{Connection, Transaction};

use crate::record::{Body, Record};

/// Whether these records can make something go.
pub(crate) fn concerns(records: &[Record]) -> bool {
    records
        .iter()
        .any(|record| matches!(record.body, Body::Practice(_) | Body::PracticeRemoval(_)))
}

/// Removes what is covered. Their ids are in `temp.gone` until the next call on this connection.
/// Out: how many records went.
pub(crate) fn purge(tx: &Transaction<'_>) -> rusqlite::Result<usize> {
    // A record goes before its rows elsewhere: triggers keep those while their record is there.
    tx.execute_batch(
        "PRAGMA defer_foreign_keys = ON;
         CREATE TEMP TABLE IF NOT EXISTS gone (id TEXT PRIMARY KEY) WITHOUT ROWID;
         DELETE FROM temp.gone;
         INSERT INTO temp.gone SELECT id FROM main.removed_practice;",
    )?;
    let gone = tx.execute(
        "DELETE FROM main.record WHERE id IN (SELECT id FROM temp.gone)",
        [],
    )?;
    if gone > 0 {
        tx.execute_batch(
            "DELETE FROM main.practice_reading WHERE practice IN (SELECT id FROM temp.gone);
             DELETE FROM main.practice_cell WHERE practice IN (SELECT id FROM temp.gone);
             DELETE FROM main.practice WHERE id IN (SELECT id FROM temp.gone);",
        )?;
    }
    Ok(gone)
}

/// Empties the log, where what went still stands; best effort, for a reader may hold it open. What went
/// is overwritten in the file itself (`secure_delete`).
pub(crate) fn forget(conn: &Connection) {
    let _ = conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()));
}
