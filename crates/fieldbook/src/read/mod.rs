//! Questions to a book: one record, its chain of corrections, and the present state by kind.
//!
//! Out: entries in the order in which things were first recorded (by the id of the first record
//! of their chain), unless said otherwise. An id of any version stands for the whole
//! chain. Something recorded under a point that was later corrected to another visit counts
//! under that other visit: the present state of every link decides.
//!
//! Here: what all questions share. The questions themselves: `place` (sites, plantings and what
//! belongs to them), `plan` (outlines, plans, standards), `field` (visits, points, frames,
//! unknowns), `evidence` (determinations, opinions, photos), `office` (specimens, plants to come
//! back to, audits), `practice`, `next` (free numbers), `page` (any kind, a page at a time),
//! `visit` (what long lists need).

mod evidence;
mod field;
mod next;
mod office;
mod page;
mod place;
mod plan;
mod practice;
mod visit;

use rusqlite::{Connection, Row, ToSql};

#[cfg(test)]
pub(crate) use page::statements;
pub use page::{LISTS, List, Listed, Page, Under};
pub use place::BeforeSeeding;
#[cfg(test)]
pub(crate) use visit::stamp_sql;
pub use visit::{InShort, VisitLine, VisitStamp};

use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::kinds::{ENVELOPE, Kind, current_of, load, versions_of};
use crate::record::{Body, Record};

/// A record whose kind is known: the envelope, and the body as its own type.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry<T> {
    /// The record's id, that of the current version.
    pub id: RecordId,
    /// UTC instant by the clock of the device where it was born, RFC 3339 with milliseconds.
    pub born_at: String,
    /// UTC instant when it first came into the book, RFC 3339 with milliseconds.
    pub received_at: String,
    /// Where it was born.
    pub device: String,
    /// Who entered it.
    pub author: String,
    /// The record it corrects.
    pub supersedes: Option<RecordId>,
    /// What was entered.
    pub body: T,
}

impl<T: Into<Body>> From<Entry<T>> for Record {
    fn from(entry: Entry<T>) -> Record {
        Record {
            id: entry.id,
            born_at: entry.born_at,
            received_at: Some(entry.received_at),
            device: entry.device,
            author: entry.author,
            supersedes: entry.supersedes,
            body: entry.body.into(),
        }
    }
}

pub(crate) fn read_entry<T: Kind>(row: &Row<'_>) -> rusqlite::Result<Entry<T>> {
    Ok(Entry {
        id: row.get("record_id")?,
        born_at: row.get("born_at")?,
        received_at: row.get("received_at")?,
        device: row.get("device")?,
        author: row.get("author")?,
        supersedes: row.get("supersedes")?,
        body: T::read(row)?,
    })
}

pub(crate) fn select<T: Kind>(condition: &str) -> String {
    format!(
        "SELECT {ENVELOPE}, b.* FROM current_record r JOIN {} b ON b.id = r.id WHERE {condition} ORDER BY r.root",
        T::TABLE
    )
}

/// Condition: any of the kind. Without it SQLite goes through all records of the book, a season's
/// frames included, to find its few plantings.
pub(crate) fn any<T: Kind>() -> String {
    format!("r.id IN (SELECT id FROM {})", T::TABLE)
}

/// Current entries of a kind; `condition` speaks of the envelope `r` and the body `b`.
fn entries<T: Kind>(
    conn: &Connection,
    condition: &str,
    params: &[&dyn ToSql],
) -> rusqlite::Result<Vec<Entry<T>>> {
    entries_that(conn, condition, params, |_| true)
}

/// The same, of those that `wanted` wants; the parts of others are not read.
fn entries_that<T: Kind>(
    conn: &Connection,
    condition: &str,
    params: &[&dyn ToSql],
    wanted: impl Fn(&Entry<T>) -> bool,
) -> rusqlite::Result<Vec<Entry<T>>> {
    let mut statement = conn.prepare_cached(&select::<T>(condition))?;
    let found = statement.query_map(params, read_entry::<T>)?;
    let mut found = found
        .filter(|entry| entry.as_ref().map_or(true, &wanted))
        .collect::<Result<Vec<_>, _>>()?;
    for entry in &mut found {
        entry.body.read_parts(conn, entry.id)?;
    }
    Ok(found)
}

/// Condition: the column names a point that now belongs to the visit given as parameter 1.
fn at_point_of_visit(column: &str) -> String {
    format!(
        "{column} IN (SELECT w.id FROM record w WHERE w.root IN (
            SELECT c.root FROM current_record c JOIN point p ON p.id = c.id WHERE p.visit IN {}))",
        versions_of(1)
    )
}

/// How many records there are.
pub(crate) fn count(conn: &Connection) -> rusqlite::Result<usize> {
    let records: i64 = conn.query_row("SELECT count(*) FROM record", [], |row| row.get(0))?;
    Ok(usize::try_from(records).unwrap_or(0))
}

impl Book {
    /// One record, exactly this version; `None` when it is not in the book.
    pub fn get(&self, id: RecordId) -> Result<Option<Record>, BookError> {
        self.ask(|conn| load(conn, id))
    }

    /// The version that counts now of a record of any kind, given any of them; `None` when it is
    /// not in the book.
    pub fn current_record(&self, id: RecordId) -> Result<Option<Record>, BookError> {
        self.ask(|conn| match current_of(conn, id)? {
            Some(current) => load(conn, current),
            None => Ok(None),
        })
    }

    /// All versions of a record, given any of them: what it corrects and what corrects it, oldest
    /// first. A version comes after the one it corrects, whatever the clocks said. Empty when
    /// the record is not in the book.
    pub fn history(&self, id: RecordId) -> Result<Vec<Record>, BookError> {
        self.ask(|conn| {
            // `depth`: corrections between the first version and this one.
            let sql = "WITH RECURSIVE chain(id, depth) AS (
                           SELECT root, 0 FROM record WHERE id = ?1
                           UNION ALL
                           SELECT r.id, chain.depth + 1 FROM chain JOIN record r ON r.supersedes = chain.id)
                       SELECT r.id FROM chain JOIN record r ON r.id = chain.id
                       ORDER BY chain.depth, r.born_at, r.id";
            let ids: Vec<RecordId> =
                conn.prepare_cached(sql)?.query_map([id], |row| row.get(0))?.collect::<Result<_, _>>()?;
            let records: Vec<Option<Record>> =
                ids.into_iter().map(|id| load(conn, id)).collect::<Result<_, _>>()?;
            Ok(records.into_iter().flatten().collect())
        })
    }

    /// The records, of any version, whose id ends with these twelve digits ([`RecordId::tail`]),
    /// oldest first: one as a rule, none for text that is no such end.
    pub fn ids_by_tail(&self, tail: &str) -> Result<Vec<RecordId>, BookError> {
        self.ask(|conn| {
            let sql = "SELECT id FROM record WHERE substr(id, 25) = ?1 ORDER BY id";
            let mut statement = conn.prepare_cached(sql)?;
            let ids = statement.query_map([tail], |row| row.get(0))?;
            ids.collect()
        })
    }

    fn all<T: Kind>(&self) -> Result<Vec<Entry<T>>, BookError> {
        self.ask(|conn| entries(conn, &any::<T>(), &[]))
    }

    /// How many current entries of a kind there are, without reading them.
    fn count_of<T: Kind>(&self, condition: &str, of: RecordId) -> Result<usize, BookError> {
        let sql = format!(
            "SELECT count(*) FROM current_record r JOIN {} b ON b.id = r.id WHERE {condition}",
            T::TABLE
        );
        let many: u32 = self.ask(|conn| {
            let mut statement = conn.prepare_cached(&sql)?;
            statement.query_row([of], |row| row.get(0))
        })?;
        // No platform of this program has less than 32 bits.
        Ok(usize::try_from(many).unwrap_or(usize::MAX))
    }

    fn current<T: Kind>(&self, id: RecordId) -> Result<Option<Entry<T>>, BookError> {
        let condition = "r.root = (SELECT a.root FROM record a WHERE a.id = ?1)";
        Ok(self.ask(|conn| entries(conn, condition, &[&id]))?.pop())
    }

    fn children<T: Kind>(
        &self,
        column: &str,
        parent: RecordId,
    ) -> Result<Vec<Entry<T>>, BookError> {
        let condition = format!("b.{column} IN {}", versions_of(1));
        self.ask(|conn| entries(conn, &condition, &[&parent]))
    }
}
