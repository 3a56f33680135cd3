//! A book examined, with the one thing that the book by itself cannot know: whether the engine still
//! says of stored answers what it said.

use std::path::Path;

use standbook_fieldbook::BookError;
use standbook_fieldbook::safe::doctor::{self, Checkup, Finding};
use standbook_identify::Table;
use standbook_key::Key;

use crate::evidence::again;

/// Examines the book at `path` and replays its determinations that were made with this very table.
///
/// Errors: those of [`doctor::examine`].
pub fn examine(path: &Path, key: &Key, table: &Table) -> Result<Checkup, BookError> {
    let mut checkup = doctor::examine(path)?;
    let mut differ = Vec::new();
    doctor::each_determination(path, |id, determination| {
        let again = again(key, table, &determination.evidence);
        if again.same_table && !again.same_result {
            differ.push(format!(
                "determination {id}: {} then, {} now",
                determination.evidence.outcome,
                again.said.outcome.id()
            ));
        }
    })?;
    checkup.findings.extend(Finding::at(
        "replay_differs",
        "Plants whose answers, weighed again by the same key, give another result than the book holds.",
        "The same key always gives the same result, so the records were changed, or this program has a fault. Compare with a backup; if they are the same there, report it. The page of each plant shows both.",
        differ,
    ));
    Ok(checkup)
}
