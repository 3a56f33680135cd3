//! Keeps the records of one call: put in order, checked, written, all or nothing.
//!
//! In: records in any order, inside a transaction. Out: per record, in the order given, whether
//! it is new; or everything that is wrong. The caller rolls back on any error.

use std::collections::{HashMap, HashSet};

use rusqlite::Connection;

use crate::check::check;
use crate::error::Problem;
use crate::id::RecordId;
use crate::kinds::{insert, load};
use crate::links::{check_fit, check_references};
use crate::record::{Body, Record};

/// What became of a record that was sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kept {
    /// It is in the book now.
    New,
    /// It was there already, with the same content: a second sending.
    Already,
}

/// Whose receipt counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Receipt {
    /// Received now, whatever the record says.
    Now,
    /// As the record says; now, when it says nothing.
    AsWritten,
    /// The same, of a whole book that is taken over: what does not fit together there is for its
    /// people to settle, and no reason to lose records.
    TakenOver,
}

/// What is wrong with one record of a call.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Fault {
    /// Its id is taken by other content.
    Conflict(RecordId),
    /// It breaks a rule.
    Rule(Problem),
}

/// Why nothing of a call is kept.
#[derive(Debug)]
pub(crate) enum Refusal {
    /// Faults with the index of the record.
    Faults(Vec<(usize, Fault)>),
    /// SQLite could not do it.
    Sqlite(rusqlite::Error),
}

impl From<rusqlite::Error> for Refusal {
    fn from(error: rusqlite::Error) -> Self {
        Refusal::Sqlite(error)
    }
}

/// Writes the records of one call.
pub(crate) fn keep(
    conn: &Connection,
    records: &[Record],
    receipt: Receipt,
    now: &str,
) -> Result<Vec<Kept>, Refusal> {
    let mut kept = vec![Kept::Already; records.len()];
    let mut faults: Vec<(usize, Fault)> = Vec::new();
    let mut refused: HashSet<RecordId> = HashSet::new();
    let mut written: Vec<usize> = Vec::new();
    let mut problems: Vec<Problem> = Vec::new();

    for at in writing_order(records) {
        let record = &records[at];
        if let Some(old) = load(conn, record.id)? {
            if !same_content(&old, record) {
                faults.push((at, Fault::Conflict(record.id)));
            }
            continue;
        }
        check(record, &mut problems);
        let received_at = received(record, receipt, now, &mut problems);
        let sound = check_references(conn, record, &refused, &mut problems)?;
        if problems.is_empty() && sound {
            insert(conn, record, received_at)?;
            kept[at] = Kept::New;
            written.push(at);
        } else {
            refused.insert(record.id);
        }
        faults.extend(problems.drain(..).map(|problem| (at, Fault::Rule(problem))));
    }
    let fitting = receipt != Receipt::TakenOver;
    for at in written.into_iter().filter(|_| fitting) {
        check_fit(conn, &records[at], &mut problems)?;
        faults.extend(problems.drain(..).map(|problem| (at, Fault::Rule(problem))));
    }
    if faults.is_empty() {
        Ok(kept)
    } else {
        faults.sort_by_key(|(at, _)| *at);
        Err(Refusal::Faults(faults))
    }
}

/// Whether two records say the same; when they were received is not part of that.
pub(crate) fn same_content(a: &Record, b: &Record) -> bool {
    a.id == b.id
        && a.born_at == b.born_at
        && a.device == b.device
        && a.author == b.author
        && a.supersedes == b.supersedes
        && a.body == b.body
}

fn received<'a>(
    record: &'a Record,
    receipt: Receipt,
    now: &'a str,
    problems: &mut Vec<Problem>,
) -> &'a str {
    match (receipt, &record.received_at) {
        (Receipt::AsWritten | Receipt::TakenOver, Some(text)) => {
            if crate::time::parse_stamp(text).is_none() {
                problems.push(Problem {
                    record: record.id,
                    kind: record.body.kind(),
                    field: "received_at".to_owned(),
                    problem: "this is not an instant as the book writes it".to_owned(),
                    mend: "Use UTC with milliseconds, such as 2026-07-14T15:04:05.123Z, or leave it out.".to_owned(),
                });
            }
            text
        }
        _ => now,
    }
}

/// Indexes in an order in which every record comes after what it refers to: by kind, then by how
/// far back corrections and repeats of frames lead within this call, then by id.
fn writing_order(records: &[Record]) -> Vec<usize> {
    let mut later: HashMap<RecordId, Vec<RecordId>> = HashMap::new();
    let mut waits_for: HashMap<RecordId, usize> =
        records.iter().map(|record| (record.id, 0)).collect();
    for record in records {
        let repeats = match &record.body {
            Body::Frame(frame) => frame.repeats,
            _ => None,
        };
        for earlier in record.supersedes.into_iter().chain(repeats) {
            if waits_for.contains_key(&earlier) {
                later.entry(earlier).or_default().push(record.id);
                *waits_for.entry(record.id).or_default() += 1;
            }
        }
    }
    // Level by level. The records of a circle get no depth, come first, and then fail as
    // corrections or repeats of records that are not in the book.
    let mut depths: HashMap<RecordId, usize> = HashMap::new();
    let mut level: Vec<RecordId> = waits_for
        .iter()
        .filter_map(|(id, waits)| (*waits == 0).then_some(*id))
        .collect();
    for depth in 1.. {
        let mut next = Vec::new();
        for id in level {
            depths.insert(id, depth);
            for then in later.remove(&id).into_iter().flatten() {
                if let Some(waits) = waits_for.get_mut(&then) {
                    *waits -= 1;
                    if *waits == 0 {
                        next.push(then);
                    }
                }
            }
        }
        if next.is_empty() {
            break;
        }
        level = next;
    }
    let mut order: Vec<usize> = (0..records.len()).collect();
    order.sort_by_key(|&at| {
        let record = &records[at];
        (
            rank(&record.body),
            depths.get(&record.id).copied().unwrap_or(0),
            record.id,
        )
    });
    order
}

/// Kinds in an order in which references only lead back.
fn rank(body: &Body) -> u8 {
    match body {
        Body::Site(_) => 0,
        Body::Planting(_) => 1,
        Body::SeedLot(_) => 2,
        Body::Event(_) => 3,
        Body::Plot(_) => 4,
        Body::Outline(_) => 5,
        Body::Plan(_) => 6,
        Body::Standard(_) => 7,
        Body::Visit(_) => 8,
        Body::Point(_) => 9,
        Body::Unknown(_) => 10,
        Body::Frame(_) => 11,
        Body::Determination(_) => 12,
        Body::Opinion(_) => 13,
        Body::Voucher(_) => 14,
        Body::ComeBack(_) => 15,
        Body::Audit(_) => 16,
        Body::PracticeSet(_) => 17,
        Body::Practice(_) => 18,
        Body::ScoutRule(_) => 19,
        Body::PracticeRemoval(_) => 20,
        Body::Photo(_) => 21,
    }
}
