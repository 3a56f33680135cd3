//! What came in by a merge, counted by kind, by the person who entered it and by visit.

use std::collections::BTreeMap;

use rusqlite::Transaction;
use serde::Serialize;

use crate::id::RecordId;

/// How many records came, and how many of the other book's were here already.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Came {
    /// New here.
    pub new: usize,
    /// Here already, with the same content.
    pub already: usize,
    /// Practice that was removed on request, and does not come back.
    pub left_out: usize,
}

/// New records of one visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OfVisit {
    /// The visit, its first version.
    pub visit: RecordId,
    /// The planting's name.
    pub planting: String,
    /// Calendar date, ISO 8601.
    pub on: String,
    /// New records that belong to it: the visit itself, points, frames, unknowns, determinations,
    /// opinions and pictures.
    pub new: usize,
}

/// The numbers of a merge.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// In all.
    pub all: Came,
    /// By kind, such as `frame`.
    pub kinds: BTreeMap<String, Came>,
    /// By who entered them.
    pub scouts: BTreeMap<String, Came>,
    /// By visit, by planting and date.
    pub visits: Vec<OfVisit>,
}

/// Counts; `temp.coming` holds the new ids.
pub(super) fn count(tx: &Transaction<'_>) -> rusqlite::Result<Counts> {
    let mut counts = Counts {
        kinds: shares(tx, "kind")?,
        scouts: shares(tx, "author")?,
        visits: visits(tx)?,
        ..Counts::default()
    };
    for share in counts.kinds.values() {
        counts.all.new += share.new;
        counts.all.already += share.already;
        counts.all.left_out += share.left_out;
    }
    Ok(counts)
}

fn shares(tx: &Transaction<'_>, column: &str) -> rusqlite::Result<BTreeMap<String, Came>> {
    let sql = format!(
        "SELECT c.{column}, count(n.id), count(l.id), count(*) FROM came.record c
         LEFT JOIN temp.coming n ON n.id = c.id
         LEFT JOIN temp.left_out l ON l.id = c.id GROUP BY c.{column}"
    );
    let number = |row: &rusqlite::Row<'_>, at: usize| -> rusqlite::Result<usize> {
        Ok(usize::try_from(row.get::<_, i64>(at)?).unwrap_or(0))
    };
    tx.prepare(&sql)?
        .query_map([], |row| {
            let (new, left_out, all) = (number(row, 1)?, number(row, 2)?, number(row, 3)?);
            let came = Came {
                new,
                already: all - new - left_out,
                left_out,
            };
            Ok((row.get(0)?, came))
        })?
        .collect()
}

fn visits(tx: &Transaction<'_>) -> rusqlite::Result<Vec<OfVisit>> {
    // Of each record the visit that it names, or that its point, frame, plant or unknown names.
    let of = |table: &str, joins: &str, visit: &str| {
        format!(
            "SELECT {visit} AS visit FROM temp.coming n JOIN main.{table} b ON b.id = n.id {joins}"
        )
    };
    let at_point = "JOIN main.point p ON p.id = b.point";
    let about = |column: &str| {
        format!(
            "LEFT JOIN main.determination d ON d.id = b.{column}
             LEFT JOIN main.frame f ON f.id = b.{column}
             LEFT JOIN main.point p ON p.id = coalesce(d.point, f.point, b.{column})
             LEFT JOIN main.unknown u ON u.id = b.{column}"
        )
    };
    let arms = [
        of("visit", "", "b.id"),
        of("point", "", "b.visit"),
        of("unknown", "", "b.visit"),
        of("frame", at_point, "p.visit"),
        of("determination", at_point, "p.visit"),
        of("opinion", &about("about"), "coalesce(p.visit, u.visit)"),
        of("voucher", &about("about"), "coalesce(p.visit, u.visit)"),
        of("come_back", &about("about"), "coalesce(p.visit, u.visit)"),
        of("audit", "", "b.visit"),
        of("photo", &about("of_record"), "coalesce(p.visit, u.visit)"),
    ];
    let sql = format!(
        "SELECT r.root, pl.name, v.visited_on, count(*) FROM ({}) a
         JOIN main.record r ON r.id = a.visit
         JOIN main.current_record c ON c.root = r.root
         JOIN main.visit v ON v.id = c.id
         JOIN main.record pr ON pr.id = v.planting
         JOIN main.current_record pc ON pc.root = pr.root
         JOIN main.planting pl ON pl.id = pc.id
         GROUP BY r.root ORDER BY pl.name, v.visited_on, r.root",
        arms.join("\nUNION ALL\n")
    );
    tx.prepare(&sql)?
        .query_map([], |row| {
            Ok(OfVisit {
                visit: row.get(0)?,
                planting: row.get(1)?,
                on: row.get(2)?,
                new: usize::try_from(row.get::<_, i64>(3)?).unwrap_or(0),
            })
        })?
        .collect()
}
