//! Questions about what plants were taken for: determinations, opinions, photos.

use super::{Entry, at_point_of_visit, entries, entries_that};
use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::kinds::versions_of;
use crate::named::is_same_person;
use crate::record::{Determination, Opinion, Photo};

/// Condition: belongs to the visit given as parameter 1, and some record of a kind names a version of it.
fn with_child(kind: &str, column: &str) -> String {
    format!(
        "{} AND EXISTS (SELECT 1 FROM record v JOIN {kind} x ON x.{column} = v.id WHERE v.root = r.root)",
        at_point_of_visit("b.point")
    )
}

/// Condition: some opinion is about a version of it.
const REVIEWED: &str = "r.root IN (SELECT a.root FROM opinion o JOIN record a ON a.id = o.about)";

impl Book {
    /// The determinations of a visit, at all points.
    pub fn determinations(&self, visit: RecordId) -> Result<Vec<Entry<Determination>>, BookError> {
        self.ask(|conn| entries(conn, &at_point_of_visit("b.point"), &[&visit]))
    }

    /// All determinations of the book.
    pub fn determinations_all(&self) -> Result<Vec<Entry<Determination>>, BookError> {
        self.all()
    }

    /// The determinations on which somebody gave an opinion, on any version; of a visit, or all.
    pub fn determinations_reviewed(
        &self,
        visit: Option<RecordId>,
    ) -> Result<Vec<Entry<Determination>>, BookError> {
        self.ask(|conn| match visit {
            None => entries(conn, REVIEWED, &[]),
            // From the visit's plants outwards: the book's opinions may be far more.
            Some(visit) => entries(conn, &with_child("opinion", "about"), &[&visit]),
        })
    }

    /// Those of one scout's determinations on which somebody gave an opinion, in all visits.
    pub fn determinations_reviewed_of(
        &self,
        scout: &str,
    ) -> Result<Vec<Entry<Determination>>, BookError> {
        // Names are compared here: SQLite knows the capitals of English only.
        let hers = |entry: &Entry<Determination>| is_same_person(&entry.author, scout);
        self.ask(|conn| entries_that(conn, REVIEWED, &[], hers))
    }

    /// The determinations of a visit that have a photo, on any version.
    pub fn determinations_pictured(
        &self,
        visit: RecordId,
    ) -> Result<Vec<Entry<Determination>>, BookError> {
        self.ask(|conn| entries(conn, &with_child("photo", "of_record"), &[&visit]))
    }

    /// The determinations at a point.
    pub fn determinations_at(
        &self,
        point: RecordId,
    ) -> Result<Vec<Entry<Determination>>, BookError> {
        self.children("point", point)
    }

    /// How many determinations a point has.
    pub fn count_determinations_at(&self, point: RecordId) -> Result<usize, BookError> {
        self.count_of::<Determination>(&format!("b.point IN {}", versions_of(1)), point)
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

    /// All photos of the book.
    pub fn photos_all(&self) -> Result<Vec<Entry<Photo>>, BookError> {
        self.all()
    }

    /// The current version of a photo's record; `None` when the id is not that of a photo.
    pub fn photo(&self, id: RecordId) -> Result<Option<Entry<Photo>>, BookError> {
        self.current(id)
    }
}
