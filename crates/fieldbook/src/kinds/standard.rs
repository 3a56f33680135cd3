//! Rows of standards with the purposes and taxa they hold for.

use rusqlite::{Connection, Row, params};

use super::place::{purpose_from, purpose_word};
use super::{Kind, rows};
use crate::id::RecordId;
use crate::record::{Standard, StandardMeasure};
use crate::sql::ord;

impl Kind for Standard {
    const TABLE: &'static str = "standard";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO standard_purpose (standard, ord, purpose) VALUES (?1, ?2, ?3)",
        )?;
        for (at, purpose) in self.purposes.iter().enumerate() {
            part.execute(params![id, ord(at), purpose_word(*purpose)])?;
        }
        let mut part = conn.prepare_cached(
            "INSERT INTO standard_taxon (standard, ord, taxon) VALUES (?1, ?2, ?3)",
        )?;
        for (at, taxon) in self.taxa.iter().enumerate() {
            part.execute(params![id, ord(at), taxon])?;
        }
        // The column that is filled says what is compared.
        let (share, plants_per_m2) = match self.measure {
            StandardMeasure::Frequency => (Some(self.at_least), None),
            StandardMeasure::Density => (None, Some(self.at_least)),
        };
        conn.prepare_cached(
            "INSERT INTO standard (id, name, region, at_least_share, at_least_plants_per_m2, season, source, withdrawn)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            id,
            self.name,
            self.region,
            share,
            plants_per_m2,
            self.season,
            self.source,
            self.withdrawn
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let (measure, at_least) = match row.get("at_least_share")? {
            Some(share) => (StandardMeasure::Frequency, share),
            None => (StandardMeasure::Density, row.get("at_least_plants_per_m2")?),
        };
        Ok(Standard {
            name: row.get("name")?,
            purposes: Vec::new(),
            taxa: Vec::new(),
            region: row.get("region")?,
            measure,
            at_least,
            season: row.get("season")?,
            source: row.get("source")?,
            withdrawn: row.get("withdrawn")?,
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql = "SELECT purpose FROM standard_purpose WHERE standard = ?1 ORDER BY ord";
        self.purposes = rows(conn, sql, id, |row| purpose_from(row.get(0)?))?;
        let sql = "SELECT taxon FROM standard_taxon WHERE standard = ?1 ORDER BY ord";
        self.taxa = rows(conn, sql, id, |row| row.get(0))?;
        Ok(())
    }
}
