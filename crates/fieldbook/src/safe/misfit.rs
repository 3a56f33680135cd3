//! What is right by itself and does not fit together, as when two crews that worked apart each found
//! an "unknown 3".

use rusqlite::Connection;
use serde::Serialize;

use super::both::called;
use crate::id::RecordId;
use crate::kinds::load;
use crate::links::{check_fit, suspects};

/// A record that does not fit with others.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Misfit {
    /// The record.
    pub record: RecordId,
    /// What people call it, such as `unknown 3`.
    pub what: String,
    /// What does not fit.
    pub problem: String,
    /// How to mend it.
    pub mend: String,
}

/// Looks at the records whose ids stand in a table or view, as they are in the present state.
pub(super) fn misfits(conn: &Connection, table: &str) -> rusqlite::Result<Vec<Misfit>> {
    let ids: Vec<RecordId> = conn
        .prepare(&suspects(table))?
        .query_map([], |row| row.get(0))?
        .collect::<Result<_, _>>()?;
    let (mut found, mut problems) = (Vec::new(), Vec::new());
    for id in ids {
        let Some(record) = load(conn, id)? else {
            continue;
        };
        check_fit(conn, &record, &mut problems)?;
        found.extend(problems.drain(..).map(|problem| Misfit {
            record: problem.record,
            what: called(&record),
            problem: problem.problem,
            mend: problem.mend,
        }));
    }
    Ok(found)
}
