//! Questions to a book: one record, its chain of corrections, and the present state by kind.
//!
//! Out: entries in the order in which things were first recorded (by the id of the first record
//! of their chain), unless said otherwise. An id of any version stands for the whole
//! chain. Something recorded under a point that was later corrected to another visit counts
//! under that other visit: the present state of every link decides.

use rusqlite::{Connection, Row, ToSql};

use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::kinds::{ENVELOPE, Kind, load, versions_of};
use crate::record::{
    Body, Determination, Frame, Opinion, Photo, Planting, Plot, Point, Record, Site, Unknown, Visit,
};

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

fn read_entry<T: Kind>(row: &Row<'_>) -> rusqlite::Result<Entry<T>> {
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

/// Current entries of a kind; `condition` speaks of the envelope `r` and the body `b`.
fn entries<T: Kind>(
    conn: &Connection,
    condition: &str,
    params: &[&dyn ToSql],
) -> rusqlite::Result<Vec<Entry<T>>> {
    let sql = format!(
        "SELECT {ENVELOPE}, b.* FROM current_record r JOIN {} b ON b.id = r.id WHERE {condition} ORDER BY r.root",
        T::TABLE
    );
    let mut statement = conn.prepare_cached(&sql)?;
    let mut found = statement
        .query_map(params, read_entry::<T>)?
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

impl Book {
    /// One record, exactly this version; `None` when it is not in the book.
    pub fn get(&self, id: RecordId) -> Result<Option<Record>, BookError> {
        self.ask(|conn| load(conn, id))
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

    fn all<T: Kind>(&self) -> Result<Vec<Entry<T>>, BookError> {
        self.ask(|conn| entries(conn, "TRUE", &[]))
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

    /// All sites.
    pub fn sites(&self) -> Result<Vec<Entry<Site>>, BookError> {
        self.all()
    }

    /// The current version of a site; `None` when the id is not that of a site.
    pub fn site(&self, id: RecordId) -> Result<Option<Entry<Site>>, BookError> {
        self.current(id)
    }

    /// All plantings.
    pub fn plantings(&self) -> Result<Vec<Entry<Planting>>, BookError> {
        self.all()
    }

    /// The plantings of a site.
    pub fn plantings_of(&self, site: RecordId) -> Result<Vec<Entry<Planting>>, BookError> {
        self.children("site", site)
    }

    /// The current version of a planting; `None` when the id is not that of a planting.
    pub fn planting(&self, id: RecordId) -> Result<Option<Entry<Planting>>, BookError> {
        self.current(id)
    }

    /// The plots of a planting.
    pub fn plots(&self, planting: RecordId) -> Result<Vec<Entry<Plot>>, BookError> {
        self.children("planting", planting)
    }

    /// The current version of a plot; `None` when the id is not that of a plot.
    pub fn plot(&self, id: RecordId) -> Result<Option<Entry<Plot>>, BookError> {
        self.current(id)
    }

    /// The visits to a planting, by date, then in the order first recorded.
    pub fn visits(&self, planting: RecordId) -> Result<Vec<Entry<Visit>>, BookError> {
        let mut visits: Vec<Entry<Visit>> = self.children("planting", planting)?;
        visits.sort_by(|a, b| a.body.on.cmp(&b.body.on));
        Ok(visits)
    }

    /// The current version of a visit; `None` when the id is not that of a visit.
    pub fn visit(&self, id: RecordId) -> Result<Option<Entry<Visit>>, BookError> {
        self.current(id)
    }

    /// The points of a visit, in all plots.
    pub fn points(&self, visit: RecordId) -> Result<Vec<Entry<Point>>, BookError> {
        self.children("visit", visit)
    }

    /// The points of a visit in one plot.
    pub fn points_in(
        &self,
        plot: RecordId,
        visit: RecordId,
    ) -> Result<Vec<Entry<Point>>, BookError> {
        let condition = format!(
            "b.plot IN {} AND b.visit IN {}",
            versions_of(1),
            versions_of(2)
        );
        self.ask(|conn| entries(conn, &condition, &[&plot, &visit]))
    }

    /// The current version of a point; `None` when the id is not that of a point.
    pub fn point(&self, id: RecordId) -> Result<Option<Entry<Point>>, BookError> {
        self.current(id)
    }

    /// The frames of a visit, at all points.
    pub fn frames(&self, visit: RecordId) -> Result<Vec<Entry<Frame>>, BookError> {
        self.ask(|conn| entries(conn, &at_point_of_visit("b.point"), &[&visit]))
    }

    /// The frames at a point, by number, then in the order first recorded.
    pub fn frames_at(&self, point: RecordId) -> Result<Vec<Entry<Frame>>, BookError> {
        let mut frames: Vec<Entry<Frame>> = self.children("point", point)?;
        frames.sort_by_key(|frame| frame.body.number);
        Ok(frames)
    }

    /// The current version of a frame; `None` when the id is not that of a frame.
    pub fn frame(&self, id: RecordId) -> Result<Option<Entry<Frame>>, BookError> {
        self.current(id)
    }

    /// The unknowns of a visit, by number.
    pub fn unknowns(&self, visit: RecordId) -> Result<Vec<Entry<Unknown>>, BookError> {
        let mut unknowns: Vec<Entry<Unknown>> = self.children("visit", visit)?;
        unknowns.sort_by_key(|unknown| unknown.body.number);
        Ok(unknowns)
    }

    /// The current version of an unknown; `None` when the id is not that of an unknown.
    pub fn unknown(&self, id: RecordId) -> Result<Option<Entry<Unknown>>, BookError> {
        self.current(id)
    }

    /// The determinations of a visit, at all points.
    pub fn determinations(&self, visit: RecordId) -> Result<Vec<Entry<Determination>>, BookError> {
        self.ask(|conn| entries(conn, &at_point_of_visit("b.point"), &[&visit]))
    }

    /// All determinations of the book.
    pub fn determinations_all(&self) -> Result<Vec<Entry<Determination>>, BookError> {
        self.all()
    }

    /// The determinations at a point.
    pub fn determinations_at(
        &self,
        point: RecordId,
    ) -> Result<Vec<Entry<Determination>>, BookError> {
        self.children("point", point)
    }

    /// The determinations made for an unknown.
    pub fn determinations_of(
        &self,
        unknown: RecordId,
    ) -> Result<Vec<Entry<Determination>>, BookError> {
        self.children("unknown", unknown)
    }

    /// The current version of a determination; `None` when the id is not that of one.
    pub fn determination(&self, id: RecordId) -> Result<Option<Entry<Determination>>, BookError> {
        self.current(id)
    }

    /// The opinions on a determination or an unknown, on any version of it. One whose `about` is
    /// not the id of the current version was given on an earlier one.
    pub fn opinions(&self, about: RecordId) -> Result<Vec<Entry<Opinion>>, BookError> {
        self.children("about", about)
    }

    /// All opinions of the book.
    pub fn opinions_all(&self) -> Result<Vec<Entry<Opinion>>, BookError> {
        self.all()
    }

    /// The photos of a record, of any version of it.
    pub fn photos(&self, of: RecordId) -> Result<Vec<Entry<Photo>>, BookError> {
        self.children("of_record", of)
    }

    /// The current version of a photo's record; `None` when the id is not that of a photo.
    pub fn photo(&self, id: RecordId) -> Result<Option<Entry<Photo>>, BookError> {
        self.current(id)
    }

    /// The number after the highest that any unknown of this visit ever had; 1 for the first.
    pub fn next_unknown_number(&self, visit: RecordId) -> Result<u32, BookError> {
        let sql = format!(
            "SELECT coalesce(max(number), 0) + 1 FROM unknown WHERE visit IN {}",
            versions_of(1)
        );
        self.ask(|conn| {
            conn.prepare_cached(&sql)?
                .query_row([visit], |row| row.get(0))
        })
    }

    /// The number after the highest that any frame at this point ever had; 1 for the first.
    pub fn next_frame_number(&self, point: RecordId) -> Result<u32, BookError> {
        let sql = format!(
            "SELECT coalesce(max(number), 0) + 1 FROM frame WHERE point IN {}",
            versions_of(1)
        );
        self.ask(|conn| {
            conn.prepare_cached(&sql)?
                .query_row([point], |row| row.get(0))
        })
    }

    /// The number after the highest that the label of any point of this plot and visit ever was;
    /// `1` for the first. Labels that are not whole numbers do not count.
    pub fn next_point_label(&self, plot: RecordId, visit: RecordId) -> Result<String, BookError> {
        let sql = format!(
            "SELECT label FROM point WHERE plot IN {} AND visit IN {}",
            versions_of(1),
            versions_of(2)
        );
        let labels: Vec<String> = self.ask(|conn| {
            conn.prepare_cached(&sql)?
                .query_map([plot, visit], |row| row.get(0))?
                .collect()
        })?;
        let highest = labels
            .iter()
            .filter_map(|label| label.trim().parse::<u32>().ok())
            .max()
            .unwrap_or(0);
        Ok((u64::from(highest) + 1).to_string())
    }
}
