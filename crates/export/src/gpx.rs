//! GPX 1.1: points of visits as waypoints, then the points of plans, then outlines as tracks.
//!
//! For a receiver, to find a spot again. Points without a position are left out and counted.
//! Source: GPX 1.1 schema (topografix.com/GPX/1/1): waypoints stand before tracks.

use std::io::Write;

use standbook_fieldbook::record::{Plan, PlannedPoint};
use standbook_plan::{GPX_END, SheetPoint, gpx_head, gpx_outline, gpx_waypoint, point_names};

use crate::error::Done;
use crate::leaving::Leaving;
use crate::request::Scope;

/// Writes the file; waypoints of visits and of plans come back.
pub(crate) fn write<W: Write>(leaving: &Leaving, mut out: W) -> Done<(u64, u64)> {
    let names: Vec<&str> = leaving
        .fields
        .iter()
        .map(|field| field.planting.body.name.as_str())
        .collect();
    out.write_all(gpx_head(&names.join(", ")).as_bytes())?;
    let (mut seen, mut planned, mut nowhere) = (0, 0, 0_u64);
    leaving.each_spot(|spot| {
        let Some(at) = spot.at else {
            nowhere += 1;
            return Ok(());
        };
        let name = format!("{} {}", spot.plot, spot.point.entry.body.label);
        let words = format!(
            "{}, {}, {}",
            spot.field.planting.body.name,
            spot.visit.entry.body.on,
            at.uncertainty_m.map_or_else(
                || "uncertainty not known".to_owned(),
                |m| format!("within {m} m")
            )
        );
        seen += 1;
        Ok(out.write_all(gpx_waypoint(at.at, name.trim(), &words).as_bytes())?)
    })?;
    // A visit is what was walked; a planting has its plans as well.
    if leaving.shows_ground() && !matches!(leaving.request.scope, Scope::Visit { .. }) {
        leaving.moment.each::<Plan, _>(|plan| {
            let plan = plan.entry.body;
            if !leaving.has_planting(plan.planting)? {
                return Ok(());
            }
            let points: Vec<SheetPoint> = plan.points.iter().map(sheet_point).collect();
            for (point, name) in points.iter().zip(point_names(&points)) {
                planned += 1;
                let words = match point.spare {
                    true => format!("plan {}, spare", plan.name),
                    false => format!("plan {}", plan.name),
                };
                out.write_all(gpx_waypoint(point.corner, &name, &words).as_bytes())?;
            }
            Ok::<_, crate::ExportError>(())
        })?;
    }
    leaving.each_lot(|lot| {
        let mut track = String::new();
        gpx_outline(
            &mut track,
            &format!("{}: {}", lot.role, lot.name),
            &lot.area,
        );
        Ok(out.write_all(track.as_bytes())?)
    })?;
    if nowhere > 0 {
        leaving.warn(format!(
            "{nowhere} point(s) have no position and are not in the file."
        ));
    }
    out.write_all(GPX_END.as_bytes())?;
    out.flush()?;
    Ok((seen, planned))
}

fn sheet_point(point: &PlannedPoint) -> SheetPoint {
    SheetPoint {
        corner: [point.latitude, point.longitude],
        plot: None,
        spare: point.spare,
        walk: point.walk,
    }
}
