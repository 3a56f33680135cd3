//! Rows of a day in the field: visits, points, frames with their tallies, unknowns.

use rusqlite::{Connection, Row, params};

use super::{Kind, rows};
use crate::id::RecordId;
use crate::record::{
    Counted, Frame, FrameShape, PlannedAt, Point, Position, Tally, Unknown, Visit,
};
use crate::sql::{no_such_word, ord};

impl Kind for Visit {
    const TABLE: &'static str = "visit";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part =
            conn.prepare_cached("INSERT INTO visit_scout (visit, ord, name) VALUES (?1, ?2, ?3)")?;
        for (at, name) in self.scouts.iter().enumerate() {
            part.execute(params![id, ord(at), name])?;
        }
        conn.prepare_cached(
            "INSERT INTO visit (id, planting, visited_on, note) VALUES (?1, ?2, ?3, ?4)",
        )?
        .execute(params![id, self.planting, self.on, self.note])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Visit {
            planting: row.get("planting")?,
            on: row.get("visited_on")?,
            scouts: Vec::new(),
            note: row.get("note")?,
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql = "SELECT name FROM visit_scout WHERE visit = ?1 ORDER BY ord";
        self.scouts = rows(conn, sql, id, |row| row.get(0))?;
        Ok(())
    }
}

impl Kind for Point {
    const TABLE: &'static str = "point";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let fix = self.position;
        conn.prepare_cached(
            "INSERT INTO point (id, plot, visit, label, latitude, longitude, uncertainty_m, plan, planned_number, unreachable)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        )?
        .execute(params![
            id,
            self.plot,
            self.visit,
            self.label,
            fix.map(|fix| fix.latitude),
            fix.map(|fix| fix.longitude),
            fix.and_then(|fix| fix.uncertainty_m),
            self.planned.map(|planned| planned.plan),
            self.planned.map(|planned| planned.number),
            self.unreachable
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let planned = match row.get::<_, Option<RecordId>>("plan")? {
            Some(plan) => Some(PlannedAt {
                plan,
                number: row.get("planned_number")?,
            }),
            None => None,
        };
        Ok(Point {
            plot: row.get("plot")?,
            visit: row.get("visit")?,
            label: row.get("label")?,
            position: read_position(row)?,
            planned,
            unreachable: row.get("unreachable")?,
        })
    }
}

/// The three columns of a position.
pub(super) fn read_position(row: &Row<'_>) -> rusqlite::Result<Option<Position>> {
    Ok(match row.get::<_, Option<f64>>("latitude")? {
        Some(latitude) => Some(Position {
            latitude,
            longitude: row.get("longitude")?,
            uncertainty_m: row.get("uncertainty_m")?,
        }),
        None => None,
    })
}

impl Kind for Unknown {
    const TABLE: &'static str = "unknown";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        conn.prepare_cached(
            "INSERT INTO unknown (id, visit, number, description, first_seen) VALUES (?1, ?2, ?3, ?4, ?5)",
        )?
        .execute(params![id, self.visit, self.number, self.description, self.first_seen])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Unknown {
            visit: row.get("visit")?,
            number: row.get("number")?,
            description: row.get("description")?,
            first_seen: row.get("first_seen")?,
        })
    }
}

impl Kind for Frame {
    const TABLE: &'static str = "frame";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO tally (frame, ord, cell, taxon, unknown, plants) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?;
        for (at, tally) in self.tallies.iter().enumerate() {
            let (taxon, unknown) = match &tally.what {
                Counted::Taxon(taxon) => (Some(taxon), None),
                Counted::Unknown(unknown) => (None, Some(unknown)),
            };
            part.execute(params![
                id,
                ord(at),
                tally.cell,
                taxon,
                unknown,
                tally.plants
            ])?;
        }
        let (mut grid, mut area, mut row) = ((None, None), None, (None, None));
        let shape = match self.shape {
            FrameShape::Grid {
                cells,
                cell_side_cm,
            } => {
                grid = (Some(cells), Some(cell_side_cm));
                "grid"
            }
            FrameShape::Quadrat { area_m2 } => {
                area = Some(area_m2);
                "quadrat"
            }
            FrameShape::Row {
                length_m,
                row_spacing_cm,
            } => {
                row = (Some(length_m), Some(row_spacing_cm));
                "row"
            }
        };
        conn.prepare_cached(
            "INSERT INTO frame (id, point, number, scout, shape, cells, cell_side_cm, area_m2, row_length_m, row_spacing_cm,
                                looked_twice, repeats)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
        )?
        .execute(params![
            id,
            self.point,
            self.number,
            self.scout,
            shape,
            grid.0,
            grid.1,
            area,
            row.0,
            row.1,
            self.looked_twice,
            self.repeats
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let shape: String = row.get("shape")?;
        Ok(Frame {
            point: row.get("point")?,
            number: row.get("number")?,
            scout: row.get("scout")?,
            shape: match shape.as_str() {
                "grid" => FrameShape::Grid {
                    cells: row.get("cells")?,
                    cell_side_cm: row.get("cell_side_cm")?,
                },
                "quadrat" => FrameShape::Quadrat {
                    area_m2: row.get("area_m2")?,
                },
                "row" => FrameShape::Row {
                    length_m: row.get("row_length_m")?,
                    row_spacing_cm: row.get("row_spacing_cm")?,
                },
                _ => return Err(no_such_word("shape of a frame", shape)),
            },
            tallies: Vec::new(),
            looked_twice: row.get("looked_twice")?,
            repeats: row.get("repeats")?,
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql = "SELECT cell, taxon, unknown, plants FROM tally WHERE frame = ?1 ORDER BY ord";
        self.tallies = rows(conn, sql, id, |row| {
            let what = match row.get(1)? {
                Some(taxon) => Counted::Taxon(taxon),
                None => Counted::Unknown(row.get(2)?),
            };
            Ok(Tally {
                cell: row.get(0)?,
                what,
                plants: row.get(3)?,
            })
        })?;
        Ok(())
    }
}
