//! Rows of sampling plans, one row a point.

use rusqlite::{Connection, Row, params};

use super::{Kind, rows};
use crate::id::RecordId;
use crate::record::{Plan, PlanDesign, PlannedPoint, Stopping};
use crate::sql::{no_such_word, ord};

impl Kind for Plan {
    const TABLE: &'static str = "plan";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let mut part = conn.prepare_cached(
            "INSERT INTO plan_point (plan, number, latitude, longitude, plot, spare, walk)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )?;
        for (at, point) in self.points.iter().enumerate() {
            part.execute(params![
                id,
                ord(at),
                point.latitude,
                point.longitude,
                point.plot,
                point.spare,
                point.walk
            ])?;
        }
        let (mut spacing, mut apart, mut step, mut bearing) = (None, None, None, None);
        let design = match self.design {
            PlanDesign::Balanced => "balanced",
            PlanDesign::Grid { spacing_m } => {
                spacing = Some(spacing_m);
                "grid"
            }
            PlanDesign::Transects {
                apart_m,
                step_m,
                bearing_deg,
            } => {
                (apart, step, bearing) = (Some(apart_m), Some(step_m), Some(bearing_deg));
                "transects"
            }
        };
        let stop = self.stopping;
        conn.prepare_cached(
            "INSERT INTO plan (id, planting, name, design, spacing_m, apart_m, step_m, bearing_deg, draw_seed, edge_m,
                               stop_low, stop_high, stop_wrongly_enough, stop_wrongly_too_few, stop_most_points)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)",
        )?
        .execute(params![
            id,
            self.planting,
            self.name,
            design,
            spacing,
            apart,
            step,
            bearing,
            self.seed,
            self.edge_m,
            stop.map(|stop| stop.low),
            stop.map(|stop| stop.high),
            stop.map(|stop| stop.wrongly_enough),
            stop.map(|stop| stop.wrongly_too_few),
            stop.map(|stop| stop.most_points)
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let design: String = row.get("design")?;
        let stopping = match row.get::<_, Option<f64>>("stop_low")? {
            Some(low) => Some(Stopping {
                low,
                high: row.get("stop_high")?,
                wrongly_enough: row.get("stop_wrongly_enough")?,
                wrongly_too_few: row.get("stop_wrongly_too_few")?,
                most_points: row.get("stop_most_points")?,
            }),
            None => None,
        };
        Ok(Plan {
            planting: row.get("planting")?,
            name: row.get("name")?,
            design: match design.as_str() {
                "balanced" => PlanDesign::Balanced,
                "grid" => PlanDesign::Grid {
                    spacing_m: row.get("spacing_m")?,
                },
                "transects" => PlanDesign::Transects {
                    apart_m: row.get("apart_m")?,
                    step_m: row.get("step_m")?,
                    bearing_deg: row.get("bearing_deg")?,
                },
                _ => return Err(no_such_word("design of a plan", design)),
            },
            seed: row.get("draw_seed")?,
            edge_m: row.get("edge_m")?,
            points: Vec::new(),
            stopping,
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let sql = "SELECT latitude, longitude, plot, spare, walk FROM plan_point WHERE plan = ?1 ORDER BY number";
        self.points = rows(conn, sql, id, |row| {
            Ok(PlannedPoint {
                latitude: row.get(0)?,
                longitude: row.get(1)?,
                plot: row.get(2)?,
                spare: row.get(3)?,
                walk: row.get(4)?,
            })
        })?;
        Ok(())
    }
}
