//! The rules between records: what a record refers to exists, and the present state fits together.
//!
//! In: a record and the book it is going into, inside the transaction that writes it.
//! Out: the rules it breaks. References are looked at before a record is written (here); whether
//! the present state fits (`fit`), after all records of a call are, so that their order does not
//! matter. Dates are not compared: clocks and dates can be wrong, and nothing may be lost for that.

mod fit;
mod repeat;

use std::collections::HashSet;

use rusqlite::{Connection, OptionalExtension};

use crate::error::Problem;
use crate::id::RecordId;
use crate::record::{Body, Counted, OutlineOf, Record};

pub(crate) use fit::{check_fit, suspects};

/// A reference of a record: field, target, and the kinds the target may be of.
type Reference = (String, RecordId, &'static [&'static str]);

const ANY_BUT_PHOTO: &[&str] = &[
    "site",
    "planting",
    "seed_lot",
    "event",
    "outline",
    "plan",
    "standard",
    "plot",
    "visit",
    "point",
    "unknown",
    "frame",
    "determination",
    "opinion",
    "voucher",
    "come_back",
    "audit",
    "practice_set",
    "scout_rule",
];

/// Kinds that no photo shows and nothing refers to: practice can be removed.
const BY_THEMSELVES: &[&str] = &["practice", "practice_removal", "photo"];

/// Everything a record refers to, except the record it corrects.
fn references(body: &Body) -> Vec<Reference> {
    let to =
        |field: &str, id: RecordId, kinds: &'static [&'static str]| (field.to_owned(), id, kinds);
    match body {
        Body::Site(_) | Body::Standard(_) | Body::PracticeRemoval(_) => vec![],
        Body::Planting(it) => vec![to("site", it.site, &["site"])],
        Body::SeedLot(it) => vec![to("planting", it.planting, &["planting"])],
        Body::Event(it) => vec![to("planting", it.planting, &["planting"])],
        Body::Outline(it) => {
            let mut list = vec![to("planting", it.planting, &["planting"])];
            if let OutlineOf::Plot(plot) = it.of {
                list.push(to("of", plot, &["plot"]));
            }
            list
        }
        Body::Plan(it) => {
            let mut list = vec![to("planting", it.planting, &["planting"])];
            for (at, point) in it.points.iter().enumerate() {
                list.extend(
                    point
                        .plot
                        .map(|plot| to(&format!("points[{at}].plot"), plot, &["plot"])),
                );
            }
            list
        }
        Body::Plot(it) => vec![to("planting", it.planting, &["planting"])],
        Body::Visit(it) => vec![to("planting", it.planting, &["planting"])],
        Body::Point(it) => {
            let mut list = vec![
                to("plot", it.plot, &["plot"]),
                to("visit", it.visit, &["visit"]),
            ];
            list.extend(
                it.planned
                    .map(|planned| to("planned.plan", planned.plan, &["plan"])),
            );
            list
        }
        Body::Unknown(it) => {
            vec![
                to("visit", it.visit, &["visit"]),
                to("first_seen", it.first_seen, &["point"]),
            ]
        }
        Body::Frame(it) => {
            let mut list = vec![to("point", it.point, &["point"])];
            list.extend(it.repeats.map(|first| to("repeats", first, &["frame"])));
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
        Body::Voucher(it) => vec![to("about", it.about, &["determination", "unknown"])],
        Body::ComeBack(it) => vec![to("about", it.about, &["determination", "unknown"])],
        Body::Audit(it) => {
            let mut list = vec![to("visit", it.visit, &["visit"])];
            for (at, plant) in it.drawn.iter().enumerate() {
                list.push((format!("drawn[{at}]"), *plant, &["determination"]));
            }
            list
        }
        Body::PracticeSet(it) => {
            let planting = it.planting.map(|id| to("planting", id, &["planting"]));
            let visit = it.visit.map(|id| to("visit", id, &["visit"]));
            planting.into_iter().chain(visit).collect()
        }
        Body::Practice(it) => it
            .of_set
            .iter()
            .map(|of| to("of_set.set", of.set, &["practice_set"]))
            .collect(),
        Body::ScoutRule(it) => vec![to("planting", it.planting, &["planting"])],
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
        None => BY_THEMSELVES
            .iter()
            .position(|kind| *kind == record.body.kind())
            .map_or(&[], |at| &BY_THEMSELVES[at..=at]),
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
