//! Any kind of record, a page at a time, for programs that read a whole book.
//!
//! In: a kind, what the records belong to, the record after which to go on. Out: the current
//! versions, in the order of the first version of each. A correction keeps its place in that order,
//! so whoever reads on misses nothing and meets nothing twice; what is recorded meanwhile comes at
//! the end, as far as clocks are right.

use rusqlite::{Connection, ToSql};

use super::at_point_of_visit;
use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::kinds::{load, root_of, versions_of};
use crate::record::Record;

/// A kind of record that can be listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct List {
    /// The kind, as [`crate::Body::kind`] names it.
    pub kind: &'static str,
    /// Several of them, in an address.
    pub plural: &'static str,
    /// What they can be listed by.
    pub under: &'static [Under],
}

/// What records of a kind belong to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Under {
    /// What it is called in a question, such as `visit`.
    pub name: &'static str,
    /// The kinds it may be of; empty: any.
    pub kinds: &'static [&'static str],
    /// The column that names it; none where the record's point does (for a visit).
    column: Option<&'static str>,
}

const fn under(kind: &'static str, kinds: &'static [&'static str]) -> Under {
    Under {
        name: kind,
        kinds,
        column: Some(kind),
    }
}

const PLANTING: Under = under("planting", &["planting"]);
const VISIT: Under = under("visit", &["visit"]);
const POINT: Under = under("point", &["point"]);

/// The plant that something is about.
const ABOUT: Under = under("about", &["determination", "unknown"]);

/// The visit that the record's point belongs to.
const VISIT_OF_POINT: Under = Under {
    column: None,
    ..VISIT
};

/// Every kind that can be listed, places first.
pub const LISTS: &[List] = &[
    list("site", "sites", &[]),
    list("planting", "plantings", &[under("site", &["site"])]),
    list("seed_lot", "seed_lots", &[PLANTING]),
    list("event", "events", &[PLANTING]),
    list("outline", "outlines", &[PLANTING]),
    list("plan", "plans", &[PLANTING]),
    list("standard", "standards", &[]),
    list("plot", "plots", &[PLANTING]),
    list("visit", "visits", &[PLANTING]),
    list("point", "points", &[VISIT, under("plot", &["plot"])]),
    list("frame", "frames", &[VISIT_OF_POINT, POINT]),
    list("unknown", "unknowns", &[VISIT]),
    list(
        "determination",
        "determinations",
        &[VISIT_OF_POINT, POINT, under("unknown", &["unknown"])],
    ),
    list("opinion", "opinions", &[ABOUT]),
    list("voucher", "vouchers", &[ABOUT]),
    list("come_back", "come_backs", &[ABOUT]),
    list("audit", "audits", &[VISIT]),
    list("practice_set", "practice_sets", &[PLANTING, VISIT]),
    list(
        "practice",
        "practices",
        &[under("practice_set", &["practice_set"])],
    ),
    list("scout_rule", "scout_rules", &[PLANTING]),
    list("practice_removal", "practice_removals", &[]),
    list(
        "photo",
        "photos",
        &[Under {
            name: "of",
            kinds: &[],
            column: Some("of_record"),
        }],
    ),
];

const fn list(kind: &'static str, plural: &'static str, under: &'static [Under]) -> List {
    List {
        kind,
        plural,
        under,
    }
}

/// A record of a page.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// The first version of it, which gives it its place.
    pub first: RecordId,
    /// The version that counts now.
    pub record: Record,
}

/// Records of a kind, in the order of their first versions.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// The records.
    pub items: Vec<Listed>,
    /// After which to go on; `None` when there are no more.
    pub next: Option<RecordId>,
}

impl Book {
    /// At most `limit` records of a kind, of those that belong to a record (given by any of its
    /// versions) where one is named, after one of the list (any version of it).
    pub fn page(
        &self,
        list: &List,
        under: Option<(&Under, RecordId)>,
        after: Option<RecordId>,
        limit: usize,
    ) -> Result<Page, BookError> {
        self.ask(|conn| {
            let after = match after {
                // One that is not in this book still has its place among the others.
                Some(id) => root_of(conn, id)?.unwrap_or(id).to_string(),
                None => String::new(),
            };
            // One more than asked for: whether to go on.
            let many = i64::try_from(limit).unwrap_or(i64::MAX).saturating_add(1);
            let mut found: Vec<(RecordId, RecordId)> = match under {
                None => ids(conn, &of_kind(list), &[&after, &many])?,
                Some((under, id)) => ids(conn, &belonging(list, under), &[&id, &after, &many])?,
            };
            let more = found.len() > limit;
            found.truncate(limit);
            let mut items = Vec::with_capacity(found.len());
            for (first, current) in found {
                if let Some(record) = load(conn, current)? {
                    items.push(Listed { first, record });
                }
            }
            let next = items.last().filter(|_| more).map(|last| last.first);
            Ok(Page { items, next })
        })
    }

    /// How many records of each kind there are, superseded ones too, in the order of [`LISTS`].
    pub fn count_by_kind(&self) -> Result<Vec<(&'static str, u64)>, BookError> {
        self.ask(|conn| {
            LISTS
                .iter()
                .map(|list| {
                    let sql = format!("SELECT count(*) FROM {}", list.kind);
                    let many = conn.query_row(&sql, [], |row| row.get::<_, u32>(0))?;
                    Ok((list.kind, many.into()))
                })
                .collect()
        })
    }
}

/// By the kind's own table, whose order is that of the ids: no step passes over other kinds.
fn of_kind(list: &List) -> String {
    format!(
        "SELECT f.id, (SELECT c.id FROM current_record c WHERE c.root = f.id)
         FROM {} f CROSS JOIN record r ON r.id = f.id
         WHERE f.id > ?1 AND r.supersedes IS NULL ORDER BY f.id LIMIT ?2",
        list.kind
    )
}

/// The plus signs keep SQLite from walking through all roots of the book in their order: what
/// belongs to one record is few, and sorted at once.
fn belonging(list: &List, under: &Under) -> String {
    let condition = match under.column {
        Some(column) => format!("b.{column} IN {}", versions_of(1)),
        None => at_point_of_visit("b.point"),
    };
    format!(
        "SELECT r.root, r.id FROM current_record r JOIN {} b ON b.id = r.id
         WHERE {condition} AND +r.root > ?2 ORDER BY +r.root LIMIT ?3",
        list.kind
    )
}

fn ids(
    conn: &Connection,
    sql: &str,
    params: &[&dyn ToSql],
) -> rusqlite::Result<Vec<(RecordId, RecordId)>> {
    conn.prepare_cached(sql)?
        .query_map(params, |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect()
}

/// The statements of all lists, to see how SQLite goes about them.
#[cfg(test)]
pub(crate) fn statements() -> Vec<String> {
    let of_one = |list: &'static List| {
        let under = list.under.iter().map(|under| belonging(list, under));
        under.chain([of_kind(list)]).collect::<Vec<_>>()
    };
    LISTS.iter().flat_map(of_one).collect()
}
