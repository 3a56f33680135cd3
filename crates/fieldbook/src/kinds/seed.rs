//! Rows of seed lots with the noxious kinds on their tags.

use rusqlite::{Connection, Row, params};

use super::{Kind, rows};
use crate::id::RecordId;
use crate::record::{NoxiousSeed, SeedLot};
use crate::sql::ord;

impl Kind for SeedLot {
    const TABLE: &'static str = "seed_lot";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO seed_lot_noxious (seed_lot, ord, name, seeds_per_lb) VALUES (?1, ?2, ?3, ?4)",
        )?;
        for (at, kind) in self.noxious.iter().enumerate() {
            part.execute(params![id, ord(at), kind.name, kind.per_lb])?;
        }
        conn.prepare_cached(
            "INSERT INTO seed_lot (id, planting, taxon, lot, variety, origin, purity_percent, germination_percent,
                                   dormant_percent, other_crop_percent, inert_percent, weed_percent,
                                   tested_month, seeds_per_lb, bulk_lb, note)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)",
        )?
        .execute(params![
            id,
            self.planting,
            self.taxon,
            self.lot,
            self.variety,
            self.origin,
            self.purity_percent,
            self.germination_percent,
            self.dormant_percent,
            self.other_crop_percent,
            self.inert_percent,
            self.weed_percent,
            self.tested,
            self.seeds_per_lb,
            self.bulk_lb,
            self.note
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(SeedLot {
            planting: row.get("planting")?,
            taxon: row.get("taxon")?,
            lot: row.get("lot")?,
            variety: row.get("variety")?,
            origin: row.get("origin")?,
            purity_percent: row.get("purity_percent")?,
            germination_percent: row.get("germination_percent")?,
            dormant_percent: row.get("dormant_percent")?,
            other_crop_percent: row.get("other_crop_percent")?,
            inert_percent: row.get("inert_percent")?,
            weed_percent: row.get("weed_percent")?,
            noxious: Vec::new(),
            tested: row.get("tested_month")?,
            seeds_per_lb: row.get("seeds_per_lb")?,
            bulk_lb: row.get("bulk_lb")?,
            note: row.get("note")?,
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql =
            "SELECT name, seeds_per_lb FROM seed_lot_noxious WHERE seed_lot = ?1 ORDER BY ord";
        self.noxious = rows(conn, sql, id, |row| {
            Ok(NoxiousSeed {
                name: row.get(0)?,
                per_lb: row.get(1)?,
            })
        })?;
        Ok(())
    }
}
