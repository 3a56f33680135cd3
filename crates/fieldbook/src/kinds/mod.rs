//! Records to rows and back: what all kinds share, and the way from a kind's name to its type.
//!
//! In and out: a `Connection` inside a transaction. Every kind has one table named like it;
//! lists inside a record have a table each, with `ord` from 1.
//! Not here: rules (`check`, `links`), questions (`read`).

mod event;
mod evidence;
mod field;
mod office;
mod outline;
mod place;
mod plan;
mod practice;
mod review;
mod seed;
mod standard;

use rusqlite::{Connection, OptionalExtension, Row};

use crate::id::RecordId;
use crate::record::{
    Audit, Body, ComeBack, Determination, Event, Frame, Opinion, Outline, Photo, Plan, Planting,
    Plot, Point, Practice, PracticeRemoval, PracticeSet, Record, ScoutRule, SeedLot, Site,
    Standard, Unknown, Visit, Voucher,
};
use crate::sql::no_such_word;

/// A body with a table of its own. Public for bounds only: outside this crate nobody can name it.
pub trait Kind: Sized + Into<Body> {
    /// Name of the table; also the kind's name in `record.kind` and in JSON.
    const TABLE: &'static str;

    /// Writes the body: its parts first, then the whole, because a kept whole takes no more parts.
    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()>;

    /// Reads the columns of the whole, by name.
    fn read(row: &Row<'_>) -> rusqlite::Result<Self>;

    /// Reads the parts.
    fn read_parts(&mut self, _conn: &Connection, _id: RecordId) -> rusqlite::Result<()> {
        Ok(())
    }
}

/// The columns of the envelope, of a table or view called `r`.
pub(crate) const ENVELOPE: &str =
    "r.id AS record_id, r.born_at, r.received_at, r.device, r.author, r.supersedes";

macro_rules! kinds {
    ($($kind:ident),*) => {
        $(impl From<$kind> for Body {
            fn from(body: $kind) -> Body {
                Body::$kind(body)
            }
        })*

        impl Body {
            /// Name of the kind, as in JSON: `site`, `planting`, ...
            pub fn kind(&self) -> &'static str {
                match self {
                    $(Body::$kind(_) => <$kind as Kind>::TABLE,)*
                }
            }
        }

        fn insert_body(conn: &Connection, id: RecordId, body: &Body) -> rusqlite::Result<()> {
            match body {
                $(Body::$kind(body) => body.insert(conn, id),)*
            }
        }

        fn load_body(conn: &Connection, id: RecordId, kind: String) -> rusqlite::Result<Body> {
            match kind.as_str() {
                $(<$kind as Kind>::TABLE => Ok(load_one::<$kind>(conn, id)?.into()),)*
                _ => Err(no_such_word("kind of record", kind)),
            }
        }
    };
}

kinds!(
    Site,
    Planting,
    SeedLot,
    Event,
    Outline,
    Plan,
    Standard,
    Plot,
    Visit,
    Point,
    Unknown,
    Frame,
    Determination,
    Opinion,
    Voucher,
    ComeBack,
    Audit,
    PracticeSet,
    Practice,
    ScoutRule,
    PracticeRemoval,
    Photo
);

fn load_one<T: Kind>(conn: &Connection, id: RecordId) -> rusqlite::Result<T> {
    let sql = format!("SELECT * FROM {} WHERE id = ?1", T::TABLE);
    let mut body = conn.prepare_cached(&sql)?.query_row([id], T::read)?;
    body.read_parts(conn, id)?;
    Ok(body)
}

/// Writes a record that is not in the book yet. `received_at` is what the book says, not the record.
pub(crate) fn insert(
    conn: &Connection,
    record: &Record,
    received_at: &str,
) -> rusqlite::Result<()> {
    let root = match record.supersedes {
        Some(earlier) => root_of(conn, earlier)?.unwrap_or(earlier),
        None => record.id,
    };
    conn.prepare_cached(
        "INSERT INTO record (id, kind, born_at, received_at, device, author, supersedes, root)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
    )?
    .execute(rusqlite::params![
        record.id,
        record.body.kind(),
        record.born_at,
        received_at,
        record.device,
        record.author,
        record.supersedes,
        root
    ])?;
    insert_body(conn, record.id, &record.body)
}

/// Reads one record, exactly this version.
pub(crate) fn load(conn: &Connection, id: RecordId) -> rusqlite::Result<Option<Record>> {
    let envelope = conn
        .prepare_cached(&format!(
            "SELECT {ENVELOPE}, r.kind FROM record r WHERE r.id = ?1"
        ))?
        .query_row([id], |row| {
            Ok((
                row.get::<_, String>("born_at")?,
                row.get::<_, String>("received_at")?,
                row.get::<_, String>("device")?,
                row.get::<_, String>("author")?,
                row.get::<_, Option<RecordId>>("supersedes")?,
                row.get::<_, String>("kind")?,
            ))
        })
        .optional()?;
    let Some((born_at, received_at, device, author, supersedes, kind)) = envelope else {
        return Ok(None);
    };
    let body = load_body(conn, id, kind)?;
    Ok(Some(Record {
        id,
        born_at,
        received_at: Some(received_at),
        device,
        author,
        supersedes,
        body,
    }))
}

/// The first record of a chain; `None` for a record that is not in the book.
pub(crate) fn root_of(conn: &Connection, id: RecordId) -> rusqlite::Result<Option<RecordId>> {
    conn.prepare_cached("SELECT root FROM record WHERE id = ?1")?
        .query_row([id], |row| row.get(0))
        .optional()
}

/// The current record of the chain that this record is part of.
pub(crate) fn current_of(conn: &Connection, id: RecordId) -> rusqlite::Result<Option<RecordId>> {
    conn.prepare_cached("SELECT current_id FROM current_version WHERE id = ?1")?
        .query_row([id], |row| row.get(0))
        .optional()
}

/// Collects all rows of a query.
fn rows<T>(
    conn: &Connection,
    sql: &str,
    id: RecordId,
    read: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
) -> rusqlite::Result<Vec<T>> {
    conn.prepare_cached(sql)?.query_map([id], read)?.collect()
}

/// SQL for the ids of all versions in the chain of the record given as parameter `n`.
pub(crate) fn versions_of(n: u8) -> String {
    format!(
        "(SELECT v.id FROM record v WHERE v.root = (SELECT a.root FROM record a WHERE a.id = ?{n}))"
    )
}
