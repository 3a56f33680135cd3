//! Rows of what scouts practise, of sets, of the rule for counting, and of removals.

use rusqlite::{Connection, Row, params};

use super::{Kind, rows};
use crate::id::RecordId;
use crate::record::{
    Drill, Practice, PracticeCell, PracticeReading, PracticeRemoval, PracticeSet, ScoutRule,
    SetItem, SetPurpose, SetQuestion, whose,
};
use crate::sql::{no_such_word, ord};

impl Kind for Practice {
    const TABLE: &'static str = "practice";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO practice_reading (practice, ord, trait, shown, reported)
             VALUES (?1, ?2, ?3, ?4, ?5)",
        )?;
        for (at, reading) in self.readings.iter().enumerate() {
            part.execute(params![
                id,
                ord(at),
                reading.trait_id,
                reading.shown,
                reading.reported
            ])?;
        }
        let mut part = conn.prepare_cached(
            "INSERT INTO practice_cell (practice, cell, planted, other, marked_planted, marked_other)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?;
        for it in &self.cells {
            part.execute(params![
                id,
                it.cell,
                it.planted,
                it.other,
                it.marked_planted,
                it.marked_other
            ])?;
        }
        let drill = match self.drill {
            Drill::SeeTrait => "see_trait",
            Drill::TellPair => "tell_pair",
            Drill::NameIt => "name_it",
            Drill::CountFrame => "count_frame",
        };
        conn.prepare_cached(
            "INSERT INTO practice (id, scout, whose, drill, question, with_book, key_id, table_fingerprint,
                                   taxon, against, named, by, seconds, practice_set, item)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)",
        )?
        .execute(params![
            id,
            self.scout,
            whose(&self.scout),
            drill,
            self.question,
            self.with_book,
            self.key_id,
            self.table_fingerprint,
            self.taxon,
            self.against,
            self.named,
            self.by,
            self.seconds,
            self.of_set.map(|of| of.set),
            self.of_set.map(|of| of.item)
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let drill: String = row.get("drill")?;
        let set: Option<RecordId> = row.get("practice_set")?;
        let item: Option<u32> = row.get("item")?;
        Ok(Practice {
            scout: row.get("scout")?,
            drill: match drill.as_str() {
                "see_trait" => Drill::SeeTrait,
                "tell_pair" => Drill::TellPair,
                "name_it" => Drill::NameIt,
                "count_frame" => Drill::CountFrame,
                _ => return Err(no_such_word("drill", drill)),
            },
            question: row.get("question")?,
            with_book: row.get("with_book")?,
            key_id: row.get("key_id")?,
            table_fingerprint: row.get("table_fingerprint")?,
            taxon: row.get("taxon")?,
            against: row.get("against")?,
            named: row.get("named")?,
            by: row.get("by")?,
            readings: Vec::new(),
            cells: Vec::new(),
            seconds: row.get("seconds")?,
            of_set: set.zip(item).map(|(set, item)| SetItem { set, item }),
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql =
            "SELECT trait, shown, reported FROM practice_reading WHERE practice = ?1 ORDER BY ord";
        self.readings = rows(conn, sql, id, |row| {
            Ok(PracticeReading {
                trait_id: row.get(0)?,
                shown: row.get(1)?,
                reported: row.get(2)?,
            })
        })?;
        let sql = "SELECT cell, planted, other, marked_planted, marked_other FROM practice_cell
                   WHERE practice = ?1 ORDER BY cell";
        self.cells = rows(conn, sql, id, |row| {
            Ok(PracticeCell {
                cell: row.get(0)?,
                planted: row.get(1)?,
                other: row.get(2)?,
                marked_planted: row.get(3)?,
                marked_other: row.get(4)?,
            })
        })?;
        Ok(())
    }
}

impl Kind for PracticeSet {
    const TABLE: &'static str = "practice_set";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO practice_set_question (practice_set, ord, question, with_book)
             VALUES (?1, ?2, ?3, ?4)",
        )?;
        for (at, it) in self.questions.iter().enumerate() {
            part.execute(params![id, ord(at), it.question, it.with_book])?;
        }
        let purpose = match self.purpose {
            SetPurpose::Drill => "drill",
            SetPurpose::FieldTest => "field_test",
            SetPurpose::SameFrames => "same_frames",
        };
        conn.prepare_cached(
            "INSERT INTO practice_set (id, title, purpose, planting, visit, minutes)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![
            id,
            self.title,
            purpose,
            self.planting,
            self.visit,
            self.minutes
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let purpose: String = row.get("purpose")?;
        Ok(PracticeSet {
            title: row.get("title")?,
            purpose: match purpose.as_str() {
                "drill" => SetPurpose::Drill,
                "field_test" => SetPurpose::FieldTest,
                "same_frames" => SetPurpose::SameFrames,
                _ => return Err(no_such_word("purpose of a set", purpose)),
            },
            planting: row.get("planting")?,
            visit: row.get("visit")?,
            minutes: row.get("minutes")?,
            questions: Vec::new(),
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql = "SELECT question, with_book FROM practice_set_question WHERE practice_set = ?1 ORDER BY ord";
        self.questions = rows(conn, sql, id, |row| {
            Ok(SetQuestion {
                question: row.get(0)?,
                with_book: row.get(1)?,
            })
        })?;
        Ok(())
    }
}

impl Kind for ScoutRule {
    const TABLE: &'static str = "scout_rule";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        conn.prepare_cached(
            "INSERT INTO scout_rule (id, planting, at_least, sure, with_book, own_rates, withdrawn)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )?
        .execute(params![
            id,
            self.planting,
            self.at_least,
            self.sure,
            self.with_book,
            self.own_rates,
            self.withdrawn
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(ScoutRule {
            planting: row.get("planting")?,
            at_least: row.get("at_least")?,
            sure: row.get("sure")?,
            with_book: row.get("with_book")?,
            own_rates: row.get("own_rates")?,
            withdrawn: row.get("withdrawn")?,
        })
    }
}

impl Kind for PracticeRemoval {
    const TABLE: &'static str = "practice_removal";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO practice_removal_also (practice_removal, ord, practice) VALUES (?1, ?2, ?3)",
        )?;
        for (at, practice) in self.also.iter().enumerate() {
            part.execute(params![id, ord(at), practice])?;
        }
        conn.prepare_cached("INSERT INTO practice_removal (id, whose, until) VALUES (?1, ?2, ?3)")?
            .execute(params![id, self.whose, self.until])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(PracticeRemoval {
            whose: row.get("whose")?,
            until: row.get("until")?,
            also: Vec::new(),
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql =
            "SELECT practice FROM practice_removal_also WHERE practice_removal = ?1 ORDER BY ord";
        self.also = rows(conn, sql, id, |row| row.get(0))?;
        Ok(())
    }
}
