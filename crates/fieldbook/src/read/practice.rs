//! Questions about what is practised: a scout's answers, sets, the rule for counting a planting.

use super::{Entry, entries};
use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::record::{Practice, PracticeSet, ScoutRule, whose};

/// Condition: practice of a person. Otherwise SQLite goes through all records of the book.
const OF_PERSON: &str = "r.id IN (SELECT id FROM practice WHERE whose = ?1)";

impl Book {
    /// Everything that somebody practised, oldest first by the clock of where it was answered. Names that
    /// differ in capitals only are one person's.
    pub fn practice_of(&self, scout: &str) -> Result<Vec<Entry<Practice>>, BookError> {
        let whose = whose(scout);
        let mut found: Vec<Entry<Practice>> =
            self.ask(|conn| entries(conn, OF_PERSON, &[&whose]))?;
        found.sort_by(|a, b| (&a.born_at, a.id).cmp(&(&b.born_at, b.id)));
        Ok(found)
    }

    /// One answer; `None` when the id is not that of one, or it was removed.
    pub fn practice(&self, id: RecordId) -> Result<Option<Entry<Practice>>, BookError> {
        self.current(id)
    }

    /// What was answered of a set, of any version of it.
    pub fn practice_of_set(&self, set: RecordId) -> Result<Vec<Entry<Practice>>, BookError> {
        self.children("practice_set", set)
    }

    /// Who practised, by name; of names that differ in capitals only the one written last.
    pub fn practice_scouts(&self) -> Result<Vec<String>, BookError> {
        let sql = "SELECT scout, max(id) FROM practice GROUP BY whose ORDER BY lower(scout)";
        self.ask(|conn| {
            let mut statement = conn.prepare_cached(sql)?;
            statement.query_map([], |row| row.get(0))?.collect()
        })
    }

    /// All sets of the book.
    pub fn practice_sets(&self) -> Result<Vec<Entry<PracticeSet>>, BookError> {
        self.all()
    }

    /// The current version of a set; `None` when the id is not that of one.
    pub fn practice_set(&self, id: RecordId) -> Result<Option<Entry<PracticeSet>>, BookError> {
        self.current(id)
    }

    /// The rule by which counts of a planting need no second reader, one that was withdrawn too; `None` where
    /// the office never set one. Of several that were made apart the latest counts.
    pub fn scout_rule(&self, planting: RecordId) -> Result<Option<Entry<ScoutRule>>, BookError> {
        let found: Vec<Entry<ScoutRule>> = self.children("planting", planting)?;
        Ok(found
            .into_iter()
            .max_by(|a, b| (&a.born_at, a.id).cmp(&(&b.born_at, b.id))))
    }
}
