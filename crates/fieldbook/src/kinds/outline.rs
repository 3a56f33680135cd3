//! Rows of outlines, one row a corner.

use rusqlite::{Connection, Row, params};

use super::Kind;
use crate::id::RecordId;
use crate::record::{Outline, OutlineOf, Polygon};
use crate::sql::{no_such_word, ord};

impl Kind for Outline {
    const TABLE: &'static str = "outline";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO outline_corner (outline, polygon, ring, ord, latitude, longitude)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?;
        for (p, polygon) in self.polygons.iter().enumerate() {
            for (r, ring) in polygon.rings.iter().enumerate() {
                for (at, [latitude, longitude]) in ring.iter().enumerate() {
                    part.execute(params![id, ord(p), ord(r), ord(at), latitude, longitude])?;
                }
            }
        }
        let (what, plot) = match self.of {
            OutlineOf::Field => ("field", None),
            OutlineOf::Plot(plot) => ("plot", Some(plot)),
            OutlineOf::KeepOut => ("keep_out", None),
        };
        conn.prepare_cached(
            "INSERT INTO outline (id, planting, what, plot, name, origin) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![id, self.planting, what, plot, self.name, self.origin])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let what: String = row.get("what")?;
        Ok(Outline {
            planting: row.get("planting")?,
            of: match what.as_str() {
                "field" => OutlineOf::Field,
                "plot" => OutlineOf::Plot(row.get("plot")?),
                "keep_out" => OutlineOf::KeepOut,
                _ => return Err(no_such_word("kind of outline", what)),
            },
            name: row.get("name")?,
            polygons: Vec::new(),
            origin: row.get("origin")?,
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql = "SELECT polygon, ring, latitude, longitude FROM outline_corner
                   WHERE outline = ?1 ORDER BY polygon, ring, ord";
        let mut statement = conn.prepare_cached(sql)?;
        let mut found = statement.query([id])?;
        let mut last = (0_i64, 0_i64);
        while let Some(row) = found.next()? {
            let (polygon, ring) = (row.get(0)?, row.get(1)?);
            if polygon != last.0 {
                self.polygons.push(Polygon { rings: Vec::new() });
            }
            if let Some(polygon_now) = self.polygons.last_mut() {
                if (polygon, ring) != last {
                    polygon_now.rings.push(Vec::new());
                }
                if let Some(corners) = polygon_now.rings.last_mut() {
                    corners.push([row.get(2)?, row.get(3)?]);
                }
            }
            last = (polygon, ring);
        }
        Ok(())
    }
}
