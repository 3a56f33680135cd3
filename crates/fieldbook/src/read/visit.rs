//! What long lists need of visits, without reading every answer of every plant.
//!
//! In: visits. Out: which there were last, their plants in short, and a stamp that tells whether
//! anything of a visit is new. All of it costs what the visits asked for hold, not the book, but for
//! the latest visits, which are found among all.

use rusqlite::{Connection, Row};

use super::{Entry, at_point_of_visit, read_entry};
use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::kinds::{ENVELOPE, versions_of};
use crate::record::Determination;

/// A visit in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitLine {
    /// Its current version.
    pub id: RecordId,
    /// Calendar date, ISO 8601.
    pub on: String,
    /// Its planting, the current version.
    pub planting: RecordId,
    /// What people call that.
    pub planting_name: String,
}

/// A determination without its answers and its ranking.
#[derive(Debug, Clone, PartialEq)]
pub struct InShort {
    /// The determination; `answers` and `ranking` are empty.
    pub plant: Entry<Determination>,
    /// Probability of the leading name, 0 to 1; 0 where there is no ranking.
    pub leading: f64,
    /// Probability of the taxa asked for together, 0 to 1.
    pub together: f64,
    /// Whether somebody gave an opinion on it.
    pub reviewed: bool,
}

/// Changes whenever a record arrives that bears on a visit's plants and counts: records are only
/// ever added, so their numbers tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct VisitStamp([i64; 7]);

/// The line of a version of a visit; none where it is not the current one.
const LINE: &str = "SELECT r.id, b.visited_on, p.id, p.name
    FROM visit b CROSS JOIN current_record r ON r.id = b.id
    JOIN current_version pv ON pv.id = b.planting JOIN planting p ON p.id = pv.current_id";

fn read_line(row: &Row<'_>) -> rusqlite::Result<VisitLine> {
    Ok(VisitLine {
        id: row.get(0)?,
        on: row.get(1)?,
        planting: row.get(2)?,
        planting_name: row.get(3)?,
    })
}

impl Book {
    /// The visits with the latest dates, latest first; of one day those recorded last first.
    pub fn latest_visits(&self, limit: usize) -> Result<Vec<VisitLine>, BookError> {
        self.ask(|conn| {
            // Which are current is asked one by one: of all visits of many seasons that takes longer
            // than a page may.
            let mut all =
                conn.prepare_cached("SELECT id FROM visit ORDER BY visited_on DESC, id DESC")?;
            let mut one = conn.prepare_cached(&format!("{LINE} WHERE b.id = ?1"))?;
            let mut lines = Vec::new();
            let mut versions = all.query([])?;
            while let Some(version) = versions.next()? {
                if lines.len() >= limit {
                    break;
                }
                let mut found = one.query_map([version.get::<_, RecordId>(0)?], read_line)?;
                lines.extend(found.next().transpose()?);
            }
            Ok(lines)
        })
    }

    /// One visit as a list has it, by any version of it; `None` when the id is not that of a visit.
    pub fn visit_line(&self, id: RecordId) -> Result<Option<VisitLine>, BookError> {
        let sql = format!("{LINE} WHERE b.id IN {}", versions_of(1));
        self.ask(|conn| {
            let mut found = conn.prepare_cached(&sql)?;
            let mut found = found.query_map([id], read_line)?;
            found.next().transpose()
        })
    }

    /// The determinations of a visit in short, in the order first recorded. `together` names the taxa
    /// whose probabilities are added up, such as those planted.
    pub fn determinations_in_short(
        &self,
        visit: RecordId,
        together: &[&str],
    ) -> Result<Vec<InShort>, BookError> {
        let sql = format!(
            "SELECT {ENVELOPE}, b.*,
                    (SELECT k.probability FROM ranking k
                     WHERE k.determination = b.id AND k.ord = 1) AS leading,
                    (SELECT total(k.probability) FROM ranking k
                     WHERE k.determination = b.id
                       AND k.taxon IN (SELECT value FROM json_each(?2))) AS together,
                    EXISTS (SELECT 1 FROM record v JOIN opinion o ON o.about = v.id
                            WHERE v.root = r.root) AS reviewed
             FROM current_record r JOIN determination b ON b.id = r.id
             WHERE {} ORDER BY r.root",
            at_point_of_visit("b.point")
        );
        let names = serde_json::json!(together).to_string();
        self.ask(|conn| {
            conn.prepare_cached(&sql)?
                .query_map((visit, names), |row| {
                    Ok(InShort {
                        plant: read_entry(row)?,
                        leading: row.get::<_, Option<f64>>("leading")?.unwrap_or(0.0),
                        together: row.get("together")?,
                        reviewed: row.get("reviewed")?,
                    })
                })?
                .collect()
        })
    }

    /// Whether anything of a visit is new: its points, plants, frames and opinions, the unknowns of
    /// its planting and opinions on them, the planting itself.
    pub fn visit_stamp(&self, visit: RecordId) -> Result<VisitStamp, BookError> {
        self.ask(|conn| stamp(conn, visit))
    }
}

fn stamp(conn: &Connection, visit: RecordId) -> rusqlite::Result<VisitStamp> {
    conn.prepare_cached(&stamp_sql())?
        .query_row([visit], |row| {
            let mut counts = [0; 7];
            for (at, count) in counts.iter_mut().enumerate() {
                *count = row.get(at)?;
            }
            Ok(VisitStamp(counts))
        })
}

/// Every part goes from the visit outwards, by whole chains of corrections: what was moved here or
/// away counts as well.
pub(crate) fn stamp_sql() -> String {
    // All versions of whatever has one version that fits.
    let chains = |table: &str, condition: &str| {
        format!(
            "SELECT DISTINCT q.root FROM {table} t CROSS JOIN record q ON q.id = t.id WHERE {condition}"
        )
    };
    let versions =
        |of: &str| format!("SELECT v.id FROM record v WHERE v.root IN (SELECT root FROM {of})");
    format!(
        "WITH own(root) AS (SELECT a.root FROM record a WHERE a.id = ?1),
              spots(root) AS ({spots}),
              plants(root) AS ({plants}),
              laid(root) AS ({laid}),
              planting(root) AS (SELECT DISTINCT q.root FROM visit t JOIN record q ON q.id = t.planting
                                 WHERE t.id IN ({own_versions})),
              visits(root) AS ({visits}),
              unknowns(root) AS ({unknowns}),
              said(root) AS ({said})
         SELECT {counts}",
        own_versions = versions("own"),
        spots = chains("point", &format!("t.visit IN ({})", versions("own"))),
        plants = chains("determination", &format!("t.point IN ({})", versions("spots"))),
        laid = chains("frame", &format!("t.point IN ({})", versions("spots"))),
        visits = chains("visit", &format!("t.planting IN ({})", versions("planting"))),
        unknowns = chains("unknown", &format!("t.visit IN ({})", versions("visits"))),
        said = chains(
            "opinion",
            &format!(
                "t.about IN ({} UNION ALL {})",
                versions("plants"),
                versions("unknowns")
            )
        ),
        counts = ["own", "spots", "plants", "laid", "planting", "unknowns", "said"]
            .map(|of| format!("(SELECT count(*) FROM record v WHERE v.root IN (SELECT root FROM {of}))"))
            .join(", "),
    )
}
