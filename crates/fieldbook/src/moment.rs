//! A whole book read as one moment has it, a record at a time.
//!
//! In: a question that goes through everything. Out: current records, one after another, with the
//! first id of their chain; nothing is gathered and nothing is sorted, so that a book of any size is read
//! in little memory. Records come by parent, then by the id of their current version.
//! Not here: questions of pages (`read`), superseded versions (`exchange`).

use std::collections::HashMap;
use std::path::Path;

use rusqlite::{Connection, ToSql};

use crate::book::Book;
use crate::error::{BookError, from_sqlite};
use crate::id::RecordId;
use crate::kinds::{ENVELOPE, Kind, load, root_of, versions_of};
use crate::read::{Entry, any, read_entry};
use crate::record::{Determination, Frame, Opinion, Photo, Point, Record, Unknown, Visit, Voucher};

/// The current version of a record, with the id that all its versions share.
#[derive(Debug, Clone, PartialEq)]
pub struct Rooted<T> {
    /// The id of the first record of the chain: it stays when the record is corrected.
    pub root: RecordId,
    /// The current version.
    pub entry: Entry<T>,
}

/// A book as one moment has it: whatever is written meanwhile is not seen.
pub struct Moment<'a> {
    conn: &'a Connection,
    path: &'a Path,
}

impl Book {
    /// Does work on the book as it is now. Saving goes on meanwhile, but the log of new records can't
    /// be folded into the book until this returns.
    ///
    /// Errors: the work's own, and those of reading.
    pub fn at_one_moment<T, E: From<BookError>>(
        &self,
        work: impl FnOnce(&Moment<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let path = self.path();
        self.ask(|conn| Ok(work(&Moment { conn, path })))?
    }
}

impl Moment<'_> {
    /// Every current record of a kind.
    ///
    /// Errors: those of `take`, and those of reading.
    pub fn each<T: Kind, E: From<BookError>>(
        &self,
        take: impl FnMut(Rooted<T>) -> Result<(), E>,
    ) -> Result<(), E> {
        self.go(&any::<T>(), &[], take)
    }

    /// Every current record of a kind of which a book has few: sites, plantings, plots.
    ///
    /// Errors: those of reading.
    pub fn all<T: Kind>(&self) -> Result<Vec<Rooted<T>>, BookError> {
        let mut all = Vec::new();
        self.each::<T, BookError>(|one| {
            all.push(one);
            Ok(())
        })?;
        Ok(all)
    }

    /// The points of a visit, in all plots.
    ///
    /// Errors: those of `take`, and those of reading; so with all that follow.
    pub fn each_point<E: From<BookError>>(
        &self,
        visit: RecordId,
        take: impl FnMut(Rooted<Point>) -> Result<(), E>,
    ) -> Result<(), E> {
        self.children("visit", visit, take)
    }

    /// The frames at a point.
    pub fn each_frame<E: From<BookError>>(
        &self,
        point: RecordId,
        take: impl FnMut(Rooted<Frame>) -> Result<(), E>,
    ) -> Result<(), E> {
        self.children("point", point, take)
    }

    /// The determinations at a point.
    pub fn each_determination<E: From<BookError>>(
        &self,
        point: RecordId,
        take: impl FnMut(Rooted<Determination>) -> Result<(), E>,
    ) -> Result<(), E> {
        self.children("point", point, take)
    }

    /// The unknowns of a visit.
    pub fn each_unknown<E: From<BookError>>(
        &self,
        visit: RecordId,
        take: impl FnMut(Rooted<Unknown>) -> Result<(), E>,
    ) -> Result<(), E> {
        self.children("visit", visit, take)
    }

    /// The visits to a planting, by date.
    ///
    /// Errors: those of reading; so with all that follow.
    pub fn visits(&self, planting: RecordId) -> Result<Vec<Rooted<Visit>>, BookError> {
        let mut visits: Vec<Rooted<Visit>> = self.gathered("planting", planting)?;
        visits.sort_by(|a, b| {
            let (one, other) = (&a.entry.body.on, &b.entry.body.on);
            one.cmp(other).then(a.root.cmp(&b.root))
        });
        Ok(visits)
    }

    /// One record, exactly this version; `None` when it is not in the book.
    pub fn get(&self, id: RecordId) -> Result<Option<Record>, BookError> {
        load(self.conn, id).map_err(|error| from_sqlite(self.path, &error))
    }

    /// The current version of a record; `None` when the id is not that of one of this kind.
    pub fn current<T: Kind>(&self, id: RecordId) -> Result<Option<Rooted<T>>, BookError> {
        let mut found = None;
        let condition = "r.root = (SELECT a.root FROM record a WHERE a.id = ?1)";
        self.go(condition, &[&id], |one| {
            found = Some(one);
            Ok::<_, BookError>(())
        })?;
        Ok(found)
    }

    /// The opinions on a determination or an unknown, on any version of it, oldest first.
    pub fn opinions(&self, about: RecordId) -> Result<Vec<Rooted<Opinion>>, BookError> {
        let mut found: Vec<Rooted<Opinion>> = self.gathered("about", about)?;
        found.sort_by(|a, b| {
            let (a, b) = (&a.entry, &b.entry);
            a.born_at.cmp(&b.born_at).then(a.id.cmp(&b.id))
        });
        Ok(found)
    }

    /// The specimens kept of a determination or an unknown, of any version of it.
    pub fn vouchers(&self, about: RecordId) -> Result<Vec<Rooted<Voucher>>, BookError> {
        self.gathered("about", about)
    }

    /// The photos of a record, of any version of it.
    pub fn photos(&self, of: RecordId) -> Result<Vec<Rooted<Photo>>, BookError> {
        self.gathered("of_record", of)
    }

    /// The first record of the chain that this one is part of; `None` when it is not in the book.
    pub fn root(&self, id: RecordId) -> Result<Option<RecordId>, BookError> {
        root_of(self.conn, id).map_err(|error| from_sqlite(self.path, &error))
    }

    /// Everybody whose name stands on a record of any version, as author or scout, each once, in the
    /// order in which they came into the book.
    pub fn people(&self) -> Result<Vec<String>, BookError> {
        self.in_order_of_coming(&[
            "SELECT author, id FROM record ORDER BY id",
            "SELECT name, visit FROM visit_scout",
            "SELECT scout, id FROM frame",
            "SELECT collector, id FROM voucher",
            "SELECT scout, id FROM practice",
        ])
    }

    /// Every device that a record was born on, each once, in the order in which they came.
    pub fn devices(&self) -> Result<Vec<String>, BookError> {
        self.in_order_of_coming(&["SELECT device, id FROM record ORDER BY id"])
    }

    fn in_order_of_coming(&self, queries: &[&str]) -> Result<Vec<String>, BookError> {
        let failed = |error: rusqlite::Error| from_sqlite(self.path, &error);
        let mut first: HashMap<String, String> = HashMap::new();
        for sql in queries {
            let mut statement = self.conn.prepare(sql).map_err(failed)?;
            let mut rows = statement.query([]).map_err(failed)?;
            while let Some(row) = rows.next().map_err(failed)? {
                let name = row.get_ref(0).and_then(|name| Ok(name.as_str()?));
                let name = name.map_err(failed)?.trim();
                let id = row.get_ref(1).and_then(|id| Ok(id.as_str()?));
                let id = id.map_err(failed)?;
                match first.get_mut(name) {
                    Some(known) if known.as_str() <= id => {}
                    Some(known) => id.clone_into(known),
                    None => {
                        first.insert(name.to_owned(), id.to_owned());
                    }
                }
            }
        }
        let mut names: Vec<(String, String)> =
            first.into_iter().map(|(name, id)| (id, name)).collect();
        names.sort();
        Ok(names.into_iter().map(|(_, name)| name).collect())
    }

    fn gathered<T: Kind>(
        &self,
        column: &str,
        parent: RecordId,
    ) -> Result<Vec<Rooted<T>>, BookError> {
        let mut found = Vec::new();
        self.children(column, parent, |one| {
            found.push(one);
            Ok::<_, BookError>(())
        })?;
        Ok(found)
    }

    fn children<T: Kind, E: From<BookError>>(
        &self,
        column: &str,
        parent: RecordId,
        take: impl FnMut(Rooted<T>) -> Result<(), E>,
    ) -> Result<(), E> {
        let condition = format!("b.{column} IN {}", versions_of(1));
        self.go(&condition, &[&parent], take)
    }

    fn go<T: Kind, E: From<BookError>>(
        &self,
        condition: &str,
        params: &[&dyn ToSql],
        mut take: impl FnMut(Rooted<T>) -> Result<(), E>,
    ) -> Result<(), E> {
        let failed = |error: rusqlite::Error| E::from(from_sqlite(self.path, &error));
        let mut statement = self
            .conn
            .prepare_cached(&unsorted::<T>(condition))
            .map_err(failed)?;
        let mut rows = statement.query(params).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            let read = || {
                let mut entry = read_entry::<T>(row)?;
                entry.body.read_parts(self.conn, entry.id)?;
                let root = row.get("root")?;
                Ok(Rooted { root, entry })
            };
            take(read().map_err(failed)?)?;
        }
        Ok(())
    }
}

/// As `read::select`, without its order: sorting a million rows would take their memory.
fn unsorted<T: Kind>(condition: &str) -> String {
    format!(
        "SELECT {ENVELOPE}, r.root, b.* FROM {} b JOIN current_record r ON r.id = b.id WHERE {condition}",
        T::TABLE
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// The steps of SQLite's plan for a query.
    fn plan(conn: &Connection, sql: &str) -> Vec<String> {
        let mut statement = conn.prepare(&format!("EXPLAIN QUERY PLAN {sql}")).unwrap();
        let parameters = statement.parameter_count();
        let ids = vec![RecordId::new(); parameters];
        let params: Vec<&dyn ToSql> = ids.iter().map(|id| id as &dyn ToSql).collect();
        let rows = statement.query_map(params.as_slice(), |row| row.get(3));
        rows.unwrap().collect::<Result<_, _>>().unwrap()
    }

    #[test]
    fn nothing_is_sorted_and_no_table_is_gone_through_for_the_children_of_one_record() {
        let folder = tempfile::tempdir().unwrap();
        let book = Book::create(folder.path().join("a.standbook")).unwrap();
        let conn = book.reading().unwrap();
        for sql in [
            unsorted::<Point>(&format!("b.visit IN {}", versions_of(1))),
            unsorted::<Frame>(&format!("b.point IN {}", versions_of(1))),
            unsorted::<Opinion>(&format!("b.about IN {}", versions_of(1))),
            unsorted::<Determination>(&any::<Determination>()),
            unsorted::<Visit>(&any::<Visit>()),
        ] {
            let steps = plan(&conn, &sql);
            let sorted = steps.iter().any(|step| step.contains("TEMP B-TREE"));
            assert!(!sorted, "{sql}\n{steps:#?}");
            let through = steps.iter().any(|step| step.starts_with("SCAN b"));
            assert!(!through || sql.contains("r.id IN"), "{sql}\n{steps:#?}");
        }
        // What the sorted form would do, so that the words looked for are SQLite's.
        let sorted = plan(&conn, &crate::read::select::<Point>(&any::<Point>()));
        assert!(sorted.iter().any(|step| step.contains("TEMP B-TREE")));
    }
}
