//! Rows of specimens, of plants to come back to, and of draws for an audit.

use rusqlite::{Connection, Row, params};

use super::field::read_position;
use super::{Kind, rows};
use crate::id::RecordId;
use crate::record::{Audit, ComeBack, ComeBackReason, Preparation, Voucher};
use crate::sql::{no_such_word, ord};

impl Kind for Voucher {
    const TABLE: &'static str = "voucher";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let preparation = match self.preparation {
            Preparation::Pressed => "pressed",
            Preparation::Dried => "dried",
            Preparation::Living => "living",
            Preparation::InSpirit => "in_spirit",
        };
        conn.prepare_cached(
            "INSERT INTO voucher (id, about, collector, number, collected_on, preparation, parts, kept_at,
                                  habitat, associates, habit, abundance, fading)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)",
        )?
        .execute(params![
            id,
            self.about,
            self.collector,
            self.number,
            self.collected_on,
            preparation,
            self.parts,
            self.kept_at,
            self.habitat,
            self.associates,
            self.habit,
            self.abundance,
            self.fading
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let preparation: String = row.get("preparation")?;
        Ok(Voucher {
            about: row.get("about")?,
            collector: row.get("collector")?,
            number: row.get("number")?,
            collected_on: row.get("collected_on")?,
            preparation: match preparation.as_str() {
                "pressed" => Preparation::Pressed,
                "dried" => Preparation::Dried,
                "living" => Preparation::Living,
                "in_spirit" => Preparation::InSpirit,
                _ => return Err(no_such_word("preparation", preparation)),
            },
            parts: row.get("parts")?,
            kept_at: row.get("kept_at")?,
            habitat: row.get("habitat")?,
            associates: row.get("associates")?,
            habit: row.get("habit")?,
            abundance: row.get("abundance")?,
            fading: row.get("fading")?,
        })
    }
}

impl Kind for ComeBack {
    const TABLE: &'static str = "come_back";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let reason = match self.reason {
            ComeBackReason::Heading => "heading",
            ComeBackReason::GreenUp => "green_up",
            ComeBackReason::Other => "other",
        };
        let fix = self.position;
        conn.prepare_cached(
            "INSERT INTO come_back (id, about, due_on, reason, pin, latitude, longitude, uncertainty_m,
                                    seen_on, found)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        )?
        .execute(params![
            id,
            self.about,
            self.due_on,
            reason,
            self.pin,
            fix.map(|fix| fix.latitude),
            fix.map(|fix| fix.longitude),
            fix.and_then(|fix| fix.uncertainty_m),
            self.seen_on,
            self.found
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let reason: String = row.get("reason")?;
        Ok(ComeBack {
            about: row.get("about")?,
            due_on: row.get("due_on")?,
            reason: match reason.as_str() {
                "heading" => ComeBackReason::Heading,
                "green_up" => ComeBackReason::GreenUp,
                "other" => ComeBackReason::Other,
                _ => return Err(no_such_word("reason to come back", reason)),
            },
            pin: row.get("pin")?,
            position: read_position(row)?,
            seen_on: row.get("seen_on")?,
            found: row.get("found")?,
        })
    }
}

impl Kind for Audit {
    const TABLE: &'static str = "audit";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO audit_plant (audit, ord, determination) VALUES (?1, ?2, ?3)",
        )?;
        for (at, determination) in self.drawn.iter().enumerate() {
            part.execute(params![id, ord(at), determination])?;
        }
        conn.prepare_cached(
            "INSERT INTO audit (id, visit, share, draw_seed, plants) VALUES (?1, ?2, ?3, ?4, ?5)",
        )?
        .execute(params![
            id,
            self.visit,
            self.share,
            self.draw_seed,
            self.plants
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Audit {
            visit: row.get("visit")?,
            share: row.get("share")?,
            draw_seed: row.get("draw_seed")?,
            plants: row.get("plants")?,
            drawn: Vec::new(),
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql = "SELECT determination FROM audit_plant WHERE audit = ?1 ORDER BY ord";
        self.drawn = rows(conn, sql, id, |row| row.get(0))?;
        Ok(())
    }
}
