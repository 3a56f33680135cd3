//! Rows of what is said and shown about other records: opinions and photos.

use rusqlite::{Connection, Row, params};

use super::Kind;
use super::evidence::{insert_of_opinion, read_of_opinion};
use crate::id::RecordId;
use crate::record::{Opinion, Photo, Qualifier};
use crate::sql::no_such_word;

impl Kind for Opinion {
    const TABLE: &'static str = "opinion";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        if let Some(evidence) = &self.evidence {
            insert_of_opinion(conn, id, evidence)?;
        }
        let qualifier = self.qualifier.map(|qualifier| match qualifier {
            Qualifier::Cf => "cf",
            Qualifier::Aff => "aff",
        });
        conn.prepare_cached(
            "INSERT INTO opinion (id, about, taxon, name_as_written, reasons, qualifier, genus, blind)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            id,
            self.about,
            self.taxon,
            self.name_as_written,
            self.reasons,
            qualifier,
            self.genus,
            self.blind
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Opinion {
            about: row.get("about")?,
            taxon: row.get("taxon")?,
            name_as_written: row.get("name_as_written")?,
            reasons: row.get("reasons")?,
            qualifier: match row.get::<_, Option<String>>("qualifier")? {
                None => None,
                Some(word) => match word.as_str() {
                    "cf" => Some(Qualifier::Cf),
                    "aff" => Some(Qualifier::Aff),
                    _ => return Err(no_such_word("qualifier", word)),
                },
            },
            genus: row.get("genus")?,
            blind: row.get("blind")?,
            evidence: None,
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        self.evidence = read_of_opinion(conn, id)?;
        Ok(())
    }
}

impl Kind for Photo {
    const TABLE: &'static str = "photo";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        // The check has bounded `bytes`; a number past the column's range would be a fault of ours.
        let bytes = i64::try_from(self.bytes)
            .map_err(|error| rusqlite::Error::ToSqlConversionFailure(Box::new(error)))?;
        conn.prepare_cached(
            "INSERT INTO photo (id, of_record, sha256, media_type, bytes, shows) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![id, self.of, self.sha256, self.media_type, bytes, self.shows])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let bytes: i64 = row.get("bytes")?;
        Ok(Photo {
            of: row.get("of_record")?,
            sha256: row.get("sha256")?,
            media_type: row.get("media_type")?,
            bytes: u64::try_from(bytes)
                .map_err(|_| rusqlite::Error::IntegralValueOutOfRange(0, bytes))?,
            shows: row.get("shows")?,
        })
    }
}
