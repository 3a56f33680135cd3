//! Rows of sites, plantings with their mix, and plots.

use rusqlite::{Connection, Row, params};

use super::{Kind, rows};
use crate::id::RecordId;
use crate::record::{MixItem, Planting, Plot, Purpose, SeedingMethod, Site};
use crate::sql::{no_such_word, ord};

impl Kind for Site {
    const TABLE: &'static str = "site";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        conn.prepare_cached(
            "INSERT INTO site (id, name, locality, permission, owner, county, state)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )?
        .execute(params![
            id,
            self.name,
            self.locality,
            self.permission,
            self.owner,
            self.county,
            self.state
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Site {
            name: row.get("name")?,
            locality: row.get("locality")?,
            permission: row.get("permission")?,
            owner: row.get("owner")?,
            county: row.get("county")?,
            state: row.get("state")?,
        })
    }
}

impl Kind for Planting {
    const TABLE: &'static str = "planting";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO planting_mix (planting, ord, taxon, pls_lb_per_acre, planned_pls_lb_per_acre)
             VALUES (?1, ?2, ?3, ?4, ?5)",
        )?;
        for (at, item) in self.mix.iter().enumerate() {
            part.execute(params![
                id,
                ord(at),
                item.taxon,
                item.pls_lb_per_acre,
                item.planned_pls_lb_per_acre
            ])?;
        }
        let (method, row_spacing_cm) = match self.method {
            SeedingMethod::Drilled { row_spacing_cm } => ("drilled", Some(row_spacing_cm)),
            SeedingMethod::Broadcast => ("broadcast", None),
        };
        conn.prepare_cached(
            "INSERT INTO planting (id, site, name, purpose, seeded_on, method, row_spacing_cm, farm_number,
                                   tract_number, field_number, stated_area_m2, irrigated, note)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)",
        )?
        .execute(params![
            id,
            self.site,
            self.name,
            purpose_word(self.purpose),
            self.seeded_on,
            method,
            row_spacing_cm,
            self.farm_number,
            self.tract_number,
            self.field_number,
            self.stated_area_m2,
            self.irrigated,
            self.note
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let method: String = row.get("method")?;
        Ok(Planting {
            site: row.get("site")?,
            name: row.get("name")?,
            purpose: purpose_from(row.get("purpose")?)?,
            seeded_on: row.get("seeded_on")?,
            method: match method.as_str() {
                "drilled" => SeedingMethod::Drilled {
                    row_spacing_cm: row.get("row_spacing_cm")?,
                },
                "broadcast" => SeedingMethod::Broadcast,
                _ => return Err(no_such_word("seeding method", method)),
            },
            mix: Vec::new(),
            farm_number: row.get("farm_number")?,
            tract_number: row.get("tract_number")?,
            field_number: row.get("field_number")?,
            stated_area_m2: row.get("stated_area_m2")?,
            irrigated: row.get("irrigated")?,
            note: row.get("note")?,
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql = "SELECT taxon, pls_lb_per_acre, planned_pls_lb_per_acre FROM planting_mix WHERE planting = ?1 ORDER BY ord";
        self.mix = rows(conn, sql, id, |row| {
            Ok(MixItem {
                taxon: row.get(0)?,
                pls_lb_per_acre: row.get(1)?,
                planned_pls_lb_per_acre: row.get(2)?,
            })
        })?;
        Ok(())
    }
}

pub(super) fn purpose_word(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Forage => "forage",
        Purpose::Biomass => "biomass",
        Purpose::Conservation => "conservation",
        Purpose::Wildlife => "wildlife",
    }
}

pub(super) fn purpose_from(word: String) -> rusqlite::Result<Purpose> {
    match word.as_str() {
        "forage" => Ok(Purpose::Forage),
        "biomass" => Ok(Purpose::Biomass),
        "conservation" => Ok(Purpose::Conservation),
        "wildlife" => Ok(Purpose::Wildlife),
        _ => Err(no_such_word("purpose", word)),
    }
}

impl Kind for Plot {
    const TABLE: &'static str = "plot";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        conn.prepare_cached("INSERT INTO plot (id, planting, name, note) VALUES (?1, ?2, ?3, ?4)")?
            .execute(params![id, self.planting, self.name, self.note])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Plot {
            planting: row.get("planting")?,
            name: row.get("name")?,
            note: row.get("note")?,
        })
    }
}
