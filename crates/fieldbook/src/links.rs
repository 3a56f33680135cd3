//! The rules between records: what a record refers to exists, and the present state fits together.
//!
//! In: a record and the book it is going into, inside the transaction that writes it.
//! Out: the rules it breaks. References are looked at before a record is written; whether the
//! present state fits, after all records of a call are, so that their order does not matter.

use std::collections::HashSet;

use rusqlite::{Connection, OptionalExtension, ToSql};

use crate::error::Problem;
use crate::id::RecordId;
use crate::kinds::{current_of, load, root_of, versions_of};
use crate::record::{Body, Counted, Frame, Planting, Plot, Point, Record, Unknown, Visit};

/// A reference of a record: field, target, and the kinds the target may be of.
type Reference = (String, RecordId, &'static [&'static str]);

const ANY_BUT_PHOTO: &[&str] = &[
    "site",
    "planting",
    "plot",
    "visit",
    "point",
    "unknown",
    "frame",
    "determination",
    "opinion",
];

/// Everything a record refers to, except the record it corrects.
fn references(body: &Body) -> Vec<Reference> {
    let to =
        |field: &str, id: RecordId, kinds: &'static [&'static str]| (field.to_owned(), id, kinds);
    match body {
        Body::Site(_) => vec![],
        Body::Planting(it) => vec![to("site", it.site, &["site"])],
        Body::Plot(it) => vec![to("planting", it.planting, &["planting"])],
        Body::Visit(it) => vec![to("planting", it.planting, &["planting"])],
        Body::Point(it) => vec![
            to("plot", it.plot, &["plot"]),
            to("visit", it.visit, &["visit"]),
        ],
        Body::Unknown(it) => {
            vec![
                to("visit", it.visit, &["visit"]),
                to("first_seen", it.first_seen, &["point"]),
            ]
        }
        Body::Frame(it) => {
            let mut list = vec![to("point", it.point, &["point"])];
            for (at, tally) in it.tallies.iter().enumerate() {
                if let Counted::Unknown(unknown) = tally.what {
                    list.push((format!("tallies[{at}].what"), unknown, &["unknown"]));
                }
            }
            list
        }
        Body::Determination(it) => {
            let mut list = vec![to("point", it.point, &["point"])];
            list.extend(
                it.unknown
                    .map(|unknown| to("unknown", unknown, &["unknown"])),
            );
            list
        }
        Body::Opinion(it) => vec![to("about", it.about, &["determination", "unknown"])],
        Body::Photo(it) => vec![to("of", it.of, ANY_BUT_PHOTO)],
    }
}

/// Adds every reference that leads nowhere or to the wrong kind.
///
/// `refused` are records of the same call that have problems of their own. True when all
/// references can be followed, that is, when the record can be written.
pub(crate) fn check_references(
    conn: &Connection,
    record: &Record,
    refused: &HashSet<RecordId>,
    problems: &mut Vec<Problem>,
) -> rusqlite::Result<bool> {
    let own_kind: &'static [&'static str] = match ANY_BUT_PHOTO
        .iter()
        .position(|kind| *kind == record.body.kind())
    {
        Some(at) => &ANY_BUT_PHOTO[at..=at],
        None => &["photo"],
    };
    let mut list = references(&record.body);
    list.extend(
        record
            .supersedes
            .filter(|id| *id != record.id)
            .map(|id| ("supersedes".to_owned(), id, own_kind)),
    );

    let mut sound = true;
    for (field, target, kinds) in list {
        if refused.contains(&target) {
            sound = false; // the target's own problem is already listed
            continue;
        }
        let found: Option<String> = conn
            .prepare_cached("SELECT kind FROM record WHERE id = ?1")?
            .query_row([target], |row| row.get(0))
            .optional()?;
        let (problem, mend) = match found {
            Some(kind) if kinds.contains(&kind.as_str()) => continue,
            Some(kind) => {
                let mend = format!("Name a record of kind {} here.", kinds.join(" or "));
                (format!("record {target} is of kind {kind}"), mend)
            }
            None => {
                let mend = "Send that record first, or in the same call.".to_owned();
                (format!("record {target} is not in this book"), mend)
            }
        };
        sound = false;
        problems.push(Problem {
            record: record.id,
            kind: record.body.kind(),
            field,
            problem,
            mend,
        });
    }
    Ok(sound)
}

/// Adds every way in which the present state no longer fits since this record was written.
pub(crate) fn check_fit(
    conn: &Connection,
    record: &Record,
    problems: &mut Vec<Problem>,
) -> rusqlite::Result<()> {
    // A correction can bring another branch of its chain to the fore, so the current version is looked at.
    let Some(current) = current_of(conn, record.id)? else {
        return Ok(());
    };
    let loaded;
    let body = if current == record.id {
        &record.body
    } else {
        match load(conn, current)? {
            Some(other) => {
                loaded = other;
                &loaded.body
            }
            None => return Ok(()),
        }
    };
    let root = root_of(conn, record.id)?.unwrap_or(record.id);
    let fit = Fit {
        conn,
        root,
        corrects: record.supersedes.is_some(),
    };
    let found = match body {
        Body::Planting(it) => fit.planting(it)?,
        Body::Plot(it) => fit.plot(it)?,
        Body::Visit(it) => fit.visit(it)?,
        Body::Point(it) => fit.point(it)?,
        Body::Unknown(it) => fit.unknown(it)?,
        Body::Frame(it) => fit.frame(it)?,
        Body::Site(_) | Body::Determination(_) | Body::Opinion(_) | Body::Photo(_) => vec![],
    };
    problems.extend(found.into_iter().map(|(field, problem, mend)| Problem {
        record: record.id,
        kind: record.body.kind(),
        field: field.to_owned(),
        problem,
        mend: mend.to_owned(),
    }));
    Ok(())
}

type Misfit = (&'static str, String, &'static str);

struct Fit<'c> {
    conn: &'c Connection,
    root: RecordId,
    /// Only a correction can have children already.
    corrects: bool,
}

const MOVED: &str = "Correct the points as well, in the same call.";

impl Fit<'_> {
    fn first<T: rusqlite::types::FromSql>(
        &self,
        sql: &str,
        params: &[&dyn ToSql],
    ) -> rusqlite::Result<Option<T>> {
        self.conn
            .prepare_cached(sql)?
            .query_row(params, |row| row.get(0))
            .optional()
    }

    fn planting(&self, planting: &Planting) -> rusqlite::Result<Vec<Misfit>> {
        if !self.corrects {
            return Ok(vec![]);
        }
        let sql = format!(
            "SELECT b.visited_on FROM current_record c JOIN visit b ON b.id = c.id
             WHERE b.planting IN {} AND b.visited_on < ?2 ORDER BY b.visited_on LIMIT 1",
            versions_of(1)
        );
        let earlier: Option<String> = self.first(&sql, &[&self.root, &planting.seeded_on])?;
        Ok(earlier
            .map(|on| too_early("seeded_on", &on, &planting.seeded_on))
            .into_iter()
            .collect())
    }

    fn visit(&self, visit: &Visit) -> rusqlite::Result<Vec<Misfit>> {
        let sql = "SELECT p.seeded_on FROM current_version v JOIN planting p ON p.id = v.current_id WHERE v.id = ?1";
        let seeded: Option<String> = self.first(sql, &[&visit.planting])?;
        let mut misfits = Vec::new();
        if let Some(seeded_on) = seeded.filter(|seeded_on| visit.on < *seeded_on) {
            misfits.push(too_early("on", &visit.on, &seeded_on));
        }
        if self.corrects && self.points_astray("visit")? {
            misfits.push((
                "planting",
                "its points lie in plots of another planting".to_owned(),
                MOVED,
            ));
        }
        Ok(misfits)
    }

    fn plot(&self, plot: &Plot) -> rusqlite::Result<Vec<Misfit>> {
        let sql = format!(
            "SELECT b.name FROM current_record c JOIN plot b ON b.id = c.id
             WHERE b.planting IN {} AND trim(b.name) = trim(?2) AND c.root <> ?3 LIMIT 1",
            versions_of(1)
        );
        let same: Option<String> = self.first(&sql, &[&plot.planting, &plot.name, &self.root])?;
        let mut misfits = Vec::new();
        if let Some(name) = same {
            let mend = "Choose another name, or correct the plot that has it.";
            misfits.push((
                "name",
                format!("this planting has a plot called `{name}` already"),
                mend,
            ));
        }
        if self.corrects && self.points_astray("plot")? {
            misfits.push((
                "planting",
                "its points belong to visits of another planting".to_owned(),
                MOVED,
            ));
        }
        Ok(misfits)
    }

    /// Whether current points of this plot or visit join two plantings.
    fn points_astray(&self, parent: &'static str) -> rusqlite::Result<bool> {
        let sql = format!(
            "SELECT 1 FROM current_record c JOIN point p ON p.id = c.id
             JOIN current_version tv ON tv.id = p.plot  JOIN plot t  ON t.id = tv.current_id
             JOIN current_version vv ON vv.id = p.visit JOIN visit v ON v.id = vv.current_id
             JOIN record a ON a.id = t.planting JOIN record b ON b.id = v.planting
             WHERE p.{parent} IN {} AND a.root <> b.root LIMIT 1",
            versions_of(1)
        );
        Ok(self.first::<i64>(&sql, &[&self.root])?.is_some())
    }

    fn point(&self, point: &Point) -> rusqlite::Result<Vec<Misfit>> {
        let planting_of = |table: &str, id: RecordId| -> rusqlite::Result<Option<RecordId>> {
            let sql = format!(
                "SELECT r.root FROM current_version v JOIN {table} b ON b.id = v.current_id
                 JOIN record r ON r.id = b.planting WHERE v.id = ?1"
            );
            self.first(&sql, &[&id])
        };
        let mut misfits = Vec::new();
        if planting_of("plot", point.plot)? != planting_of("visit", point.visit)? {
            let mend = "Choose a plot of the planting that was visited.";
            misfits.push((
                "plot",
                "its plot and its visit belong to different plantings".to_owned(),
                mend,
            ));
        }
        let sql = format!(
            "SELECT u.number FROM current_record c JOIN unknown u ON u.id = c.id
             WHERE u.first_seen IN {} AND u.visit NOT IN {} LIMIT 1",
            versions_of(1),
            versions_of(2)
        );
        if self.corrects
            && let Some(number) = self.first::<i64>(&sql, &[&self.root, &point.visit])?
        {
            let problem = format!("unknown {number} of another visit was first seen here");
            misfits.push((
                "visit",
                problem,
                "Correct the unknown as well, in the same call.",
            ));
        }
        Ok(misfits)
    }

    fn unknown(&self, unknown: &Unknown) -> rusqlite::Result<Vec<Misfit>> {
        let sql = format!(
            "SELECT u.description FROM current_record c JOIN unknown u ON u.id = c.id
             WHERE u.visit IN {} AND u.number = ?2 AND c.root <> ?3 LIMIT 1",
            versions_of(1)
        );
        let same: Option<String> =
            self.first(&sql, &[&unknown.visit, &unknown.number, &self.root])?;
        let mut misfits = Vec::new();
        if let Some(description) = same {
            let cut: String = description.chars().take(60).collect();
            let problem = format!(
                "this visit has an unknown {} already: {cut}",
                unknown.number
            );
            misfits.push(("number", problem, "Give it the next free number."));
        }
        let sql = "SELECT r.root FROM current_version v JOIN point p ON p.id = v.current_id
                   JOIN record r ON r.id = p.visit WHERE v.id = ?1";
        let seen_in: Option<RecordId> = self.first(sql, &[&unknown.first_seen])?;
        if seen_in != root_of(self.conn, unknown.visit)? {
            let mend = "Name a point of the visit in which it got its number.";
            misfits.push((
                "first_seen",
                "this point belongs to another visit".to_owned(),
                mend,
            ));
        }
        Ok(misfits)
    }

    fn frame(&self, frame: &Frame) -> rusqlite::Result<Vec<Misfit>> {
        let sql = format!(
            "SELECT 1 FROM current_record c JOIN frame f ON f.id = c.id
             WHERE f.point IN {} AND f.number = ?2 AND trim(f.scout) = trim(?3) AND c.root <> ?4 LIMIT 1",
            versions_of(1)
        );
        let same: Option<i64> = self.first(
            &sql,
            &[&frame.point, &frame.number, &frame.scout, &self.root],
        )?;
        let problem = || {
            format!(
                "{} has read frame {} at this point already",
                frame.scout, frame.number
            )
        };
        let mend = "Give it the next number; or name the frame it corrects in `supersedes`.";
        Ok(same
            .map(|_| ("number", problem(), mend))
            .into_iter()
            .collect())
    }
}

fn too_early(field: &'static str, on: &str, seeded_on: &str) -> Misfit {
    let problem = format!("the visit of {on} is before the seeding on {seeded_on}");
    (
        field,
        problem,
        "Correct the date that is wrong; both in one call if need be.",
    )
}
