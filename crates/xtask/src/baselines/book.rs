//! A book to count in: the demo's, with a large visit's points. A point has a handful of frames in
//! the field; thousands at one would measure something else.

use std::path::Path;

use rusqlite::Connection;
use serde_json::json;
use standbook_fieldbook::record::Point;
use standbook_fieldbook::{Book, Record, RecordId, time};

/// Points added.
const POINTS: usize = 1_000;

/// Adds points to the first visit of a book that nobody has open; their ids.
pub fn add_points(path: &Path) -> Result<Vec<RecordId>, String> {
    let first = ids(
        path,
        "SELECT plot || ' ' || visit FROM point ORDER BY id LIMIT 1",
    )?;
    let read = |at: usize| {
        let id = first.first().and_then(|it| it.split(' ').nth(at));
        id.and_then(|id| id.parse().ok())
            .ok_or("the demo has no point")
    };
    let (plot, visit) = (read(0)?, read(1)?);
    let points: Vec<Record> = (0..POINTS)
        .map(|n| Record {
            id: RecordId::new(),
            born_at: time::now(),
            received_at: None,
            device: "baselines".to_owned(),
            author: "Scout".to_owned(),
            supersedes: None,
            body: Point {
                plot,
                visit,
                label: format!("B{n}"),
                position: None,
                planned: None,
                unreachable: String::new(),
            }
            .into(),
        })
        .collect();
    let ids = points.iter().map(|point| point.id).collect();
    let book = Book::open(path).map_err(|e| e.to_string())?;
    book.append(points).map_err(|e| e.to_string())?;
    Ok(ids)
}

/// Address of the first planting that has visits.
pub fn planting(path: &Path) -> Result<String, String> {
    let ids = ids(path, "SELECT planting FROM visit ORDER BY id LIMIT 1")?;
    let first = ids.first().ok_or("the demo has no visit")?;
    Ok(format!("/plantings/{first}"))
}

fn ids(path: &Path, sql: &str) -> Result<Vec<String>, String> {
    let read = || -> rusqlite::Result<Vec<String>> {
        let book = Connection::open(path)?;
        let mut ids = book.prepare(sql)?;
        let ids = ids.query_map([], |row| row.get(0))?;
        ids.collect()
    };
    read().map_err(|e| format!("{}: {e}", path.display()))
}

/// Frames as a phone sends them, by their running numbers.
pub fn outbox(points: &[RecordId], client: usize, frames: std::ops::Range<usize>) -> String {
    let items: Vec<_> = frames
        .map(|n| {
            let (id, point) = (RecordId::new(), points[n % points.len()]);
            let number = n / points.len() + 1;
            let fields = format!(
                "id={id}&device=grid&cells=25&side=15&col=t.panicum_virgatum&c=0.3&c=0.4&c=0.{}&scout=Scout+{client}&number={number}&do=save",
                n % 20 + 5
            );
            json!({"id": id, "to": format!("/at/{point}/count"), "made": "2026-07-14T15:02:07.250Z", "fields": fields})
        })
        .collect();
    json!({"format": "standbook outbox 1", "items": items}).to_string()
}
