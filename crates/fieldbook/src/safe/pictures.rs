//! Pictures that come with a merge: copied and verified by their hash, before the records that name
//! them are written, so that no record names a picture that a crash took.

use std::path::{Path, PathBuf};

use rusqlite::Connection;
use serde::Serialize;

use super::both::picture_called;
use super::copy::{Placed, place};
use crate::error::{BookError, from_io};
use crate::id::RecordId;
use crate::photo::place_in;

/// A picture as its record names it.
#[derive(Debug, Clone)]
pub(super) struct Named {
    /// The record.
    pub(super) record: RecordId,
    /// What people call it.
    pub(super) what: String,
    /// Hash of its bytes.
    pub(super) sha256: String,
    /// Its size, bytes.
    pub(super) bytes: u64,
    /// Where its file lies inside a folder of pictures.
    pub(super) inside: PathBuf,
}

/// Every picture that a book names, once each.
pub(super) fn named(conn: &Connection, schema: &str) -> rusqlite::Result<Vec<Named>> {
    // Of a picture that several records name, the first; SQLite takes the other columns from it.
    let sql = format!(
        "SELECT min(p.id), p.sha256, p.media_type, p.bytes, p.shows, r.author
         FROM {schema}.photo p JOIN {schema}.record r ON r.id = p.id
         GROUP BY p.sha256, p.media_type ORDER BY 1"
    );
    conn.prepare(&sql)?
        .query_map([], |row| {
            let (sha256, media_type): (String, String) = (row.get(1)?, row.get(2)?);
            let (shows, author): (String, String) = (row.get(4)?, row.get(5)?);
            Ok(Named {
                what: picture_called(&shows, &author),
                record: row.get(0)?,
                inside: place_in(Path::new(""), &sha256, &media_type),
                sha256,
                bytes: u64::try_from(row.get::<_, i64>(3)?).unwrap_or(0),
            })
        })?
        .collect()
}

/// A picture that a record names and that did not come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Lacking {
    /// The record that names it.
    pub record: RecordId,
    /// What people call it, such as `picture (collar) by A. Fenn`.
    pub what: String,
    /// Hash of its bytes; its file is named so.
    pub sha256: String,
    /// Whether a file is there whose bytes are not those of the picture; else there is none.
    pub changed: bool,
}

/// What became of the pictures.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Pictures {
    /// Copied and verified.
    pub copied: usize,
    /// Here already.
    pub already: usize,
    /// Not to be had.
    pub lacking: Vec<Lacking>,
}

/// Copies what is not here yet; with `look` it only says what would be copied.
pub(super) fn bring(
    pictures: &[Named],
    from: &Path,
    to: &Path,
    look: bool,
) -> Result<Pictures, BookError> {
    let mut all = Pictures::default();
    for one in pictures {
        let (source, target) = (from.join(&one.inside), to.join(&one.inside));
        let placed = if look {
            would_place(&source, &target)
        } else {
            place(&source, &target, &one.sha256, one.bytes)
                .map_err(|error| from_io(&target, &error))?
        };
        match placed {
            Placed::Copied => all.copied += 1,
            Placed::Already => all.already += 1,
            Placed::Missing | Placed::Changed => all.lacking.push(Lacking {
                record: one.record,
                what: one.what.clone(),
                sha256: one.sha256.clone(),
                changed: placed == Placed::Changed,
            }),
        }
    }
    Ok(all)
}

fn would_place(source: &Path, target: &Path) -> Placed {
    if target.is_file() {
        Placed::Already
    } else if source.is_file() {
        Placed::Copied
    } else {
        Placed::Missing
    }
}
