//! Whether the present state fits together: names and numbers given once, everything under one planting.
//!
//! In: a record that has just been written, in the same transaction as the rest of its call.
//! Out: the rules broken. A correction can also tear apart what hangs on the record it corrects,
//! so children are looked at as well.

use rusqlite::{Connection, OptionalExtension, ToSql};

use crate::error::Problem;
use crate::id::RecordId;
use crate::kinds::{current_of, load, root_of, versions_of};
use crate::record::{Body, Frame, Outline, OutlineOf, Plan, Plot, Point, Record, Unknown, Voucher};

/// SQL for the ids in a table or view of which [`check_fit`] may have something to say: far fewer
/// than all, since nearly every record is a frame with a number of its own at its point.
pub(crate) fn suspects(table: &str) -> String {
    format!(
        "SELECT r.id FROM {table} n JOIN record r ON r.id = n.id
         WHERE r.kind IN ('outline', 'plan', 'plot', 'visit', 'point', 'unknown', 'voucher')
            OR (r.kind = 'frame' AND (r.supersedes IS NOT NULL OR EXISTS (
                SELECT 1 FROM frame f WHERE f.id = r.id AND (f.repeats IS NOT NULL OR EXISTS (
                    SELECT 1 FROM record p JOIN record q ON q.root = p.root
                    JOIN frame g ON g.point = q.id
                    WHERE p.id = f.point AND g.number = f.number AND g.id <> f.id)))))
         ORDER BY r.id"
    )
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
        Body::Outline(it) => fit.outline(it)?,
        Body::Plan(it) => fit.plan(it)?,
        Body::Plot(it) => fit.plot(it)?,
        Body::Visit(_) => fit.visit()?,
        Body::Point(it) => fit.point(it)?,
        Body::Unknown(it) => fit.unknown(it)?,
        Body::Frame(it) => fit.frame(it)?,
        Body::Voucher(it) => fit.voucher(it)?,
        Body::Site(_)
        | Body::Planting(_)
        | Body::SeedLot(_)
        | Body::Event(_)
        | Body::Standard(_)
        | Body::Determination(_)
        | Body::Opinion(_)
        | Body::ComeBack(_)
        | Body::Audit(_)
        | Body::PracticeSet(_)
        | Body::Practice(_)
        | Body::ScoutRule(_)
        | Body::PracticeRemoval(_)
        | Body::Photo(_) => vec![],
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

pub(super) type Misfit = (&'static str, String, &'static str);

pub(super) struct Fit<'c> {
    pub(super) conn: &'c Connection,
    pub(super) root: RecordId,
    /// Only a correction can have children already.
    pub(super) corrects: bool,
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

    /// The planting (first version) to which the current version of a plot, visit or plan belongs.
    fn planting_of(&self, table: &str, id: RecordId) -> rusqlite::Result<Option<RecordId>> {
        let sql = format!(
            "SELECT r.root FROM current_version v JOIN {table} b ON b.id = v.current_id
             JOIN record r ON r.id = b.planting WHERE v.id = ?1"
        );
        self.first(&sql, &[&id])
    }

    fn outline(&self, outline: &Outline) -> rusqlite::Result<Vec<Misfit>> {
        let OutlineOf::Plot(plot) = outline.of else {
            return Ok(vec![]);
        };
        if self.planting_of("plot", plot)? == root_of(self.conn, outline.planting)? {
            return Ok(vec![]);
        }
        Ok(vec![(
            "of",
            "this plot belongs to another planting".to_owned(),
            "Choose a plot of the planting that the outline belongs to.",
        )])
    }

    fn plan(&self, plan: &Plan) -> rusqlite::Result<Vec<Misfit>> {
        let own = root_of(self.conn, plan.planting)?;
        let mut misfits = Vec::new();
        let mut known = std::collections::HashMap::new();
        for (at, plot) in plan
            .points
            .iter()
            .enumerate()
            .filter_map(|(at, point)| Some((at, point.plot?)))
        {
            let planting = match known.get(&plot) {
                Some(planting) => *planting,
                None => {
                    let planting = self.planting_of("plot", plot)?;
                    known.insert(plot, planting);
                    planting
                }
            };
            if planting != own {
                misfits.push((
                    "points",
                    format!("point {} lies in a plot of another planting", at + 1),
                    "Choose a plot of the planting that the plan belongs to.",
                ));
                break; // one is enough to find the slip; there can be thousands
            }
        }
        let sql = format!(
            "SELECT 1 FROM current_record c JOIN point p ON p.id = c.id
             JOIN current_version tv ON tv.id = p.plot JOIN plot t ON t.id = tv.current_id
             JOIN record a ON a.id = t.planting
             WHERE p.plan IN {} AND a.root IS NOT ?2 LIMIT 1",
            versions_of(1)
        );
        if self.corrects && self.first::<i64>(&sql, &[&self.root, &own])?.is_some() {
            misfits.push((
                "planting",
                "points of it were walked on another planting".to_owned(),
                MOVED,
            ));
        }
        Ok(misfits)
    }

    fn visit(&self) -> rusqlite::Result<Vec<Misfit>> {
        let mut misfits = Vec::new();
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
        let own = root_of(self.conn, plot.planting)?;
        for (table, parts, key, problem, mend) in [
            (
                "outline",
                "",
                "b.plot",
                "its outline belongs to another planting",
                "Correct the outline as well, in the same call.",
            ),
            (
                "plan",
                "JOIN plan_point q ON q.plan = b.id",
                "q.plot",
                "a plan of another planting has points in it",
                "Correct the plan as well, in the same call.",
            ),
        ] {
            let sql = format!(
                "SELECT 1 FROM current_record c JOIN {table} b ON b.id = c.id {parts}
                 JOIN record a ON a.id = b.planting
                 WHERE {key} IN {} AND a.root IS NOT ?2 LIMIT 1",
                versions_of(1)
            );
            if self.corrects && self.first::<i64>(&sql, &[&self.root, &own])?.is_some() {
                misfits.push(("planting", problem.to_owned(), mend));
            }
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
        let planting = self.planting_of("plot", point.plot)?;
        let mut misfits = Vec::new();
        if planting != self.planting_of("visit", point.visit)? {
            let mend = "Choose a plot of the planting that was visited.";
            misfits.push((
                "plot",
                "its plot and its visit belong to different plantings".to_owned(),
                mend,
            ));
        }
        if let Some(planned) = point.planned {
            if planting != self.planting_of("plan", planned.plan)? {
                misfits.push((
                    "planned.plan",
                    "this plan belongs to another planting".to_owned(),
                    "Choose a plan of the planting that was visited.",
                ));
            }
            // Of exactly the version named: its numbers never change.
            let sql = "SELECT count(*) FROM plan_point WHERE plan = ?1";
            let points: i64 = self.first(sql, &[&planned.plan])?.unwrap_or(0);
            if i64::from(planned.number) > points {
                misfits.push((
                    "planned.number",
                    format!("the plan has no point {}, only {points}", planned.number),
                    "Give the number of a point of this version of the plan.",
                ));
            }
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

    /// A collector's number stands on one specimen only.
    fn voucher(&self, voucher: &Voucher) -> rusqlite::Result<Vec<Misfit>> {
        let sql = "SELECT 1 FROM current_record c JOIN voucher b ON b.id = c.id
                   WHERE trim(b.collector) = trim(?1) AND trim(b.number) = trim(?2) AND c.root <> ?3 LIMIT 1";
        let same: Option<i64> =
            self.first(sql, &[&voucher.collector, &voucher.number, &self.root])?;
        Ok(same
            .map(|_| {
                (
                    "number",
                    format!(
                        "{} has a specimen {} already",
                        voucher.collector, voucher.number
                    ),
                    "Give it the next free number of that collector.",
                )
            })
            .into_iter()
            .collect())
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
        let mut misfits = Vec::new();
        if same.is_some() {
            let problem = format!(
                "{} has read frame {} at this point already",
                frame.scout, frame.number
            );
            let mend = "Give it the next number; or name the frame it corrects in `supersedes`.";
            misfits.push(("number", problem, mend));
        }
        misfits.extend(self.second_reading(frame)?);
        Ok(misfits)
    }
}
