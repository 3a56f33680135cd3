//! Records that are sent, kept each by itself.
//!
//! In: one record, several, or lines of them, in the form in which the book exports them. Out: for
//! each whether it is on disk, was there already, or why it is refused.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use schemars::JsonSchema;
use serde::Serialize;
use standbook_fieldbook::{BookError, Kept, Record, RecordId};

use super::problem::{Fault, Refused, conflict};
use super::rules;
use super::sent::{JSON, Sent, answer, read};
use crate::app::{App, Shared};
use crate::here::Here;

/// JSON Lines, as the book exports them.
pub(super) const LINES: &str = "application/x-ndjson";

/// Most records of one request: more would let others wait too long for the writer.
const MOST: usize = 1000;

/// What is taken: a record, or several in a list.
#[derive(JsonSchema)]
#[serde(untagged)]
// The form only: what is sent is read by its first letter, for better words.
#[allow(dead_code, clippy::large_enum_variant)]
pub(super) enum Several {
    /// One.
    One(Record),
    /// Several; each may name those before it.
    Many(#[schemars(length(min = 1, max = 1000))] Vec<Record>),
}

/// What became of the records sent, in their order.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Taken {
    /// One for each record.
    pub records: Vec<Outcome>,
}

/// What became of a record.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub(super) struct Outcome {
    /// Which of those sent, counted from 0.
    pub at: usize,
    /// Its id.
    pub id: RecordId,
    /// What became of it.
    pub outcome: Became,
    /// Why it was refused.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub faults: Vec<Fault>,
}

/// What became of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum Became {
    /// It is on disk.
    Kept,
    /// It was there already, with the same content: a second sending.
    Already,
    /// It is not kept: mend it, or send it again where `faults` is empty.
    Refused,
}

/// `POST /api/records`
pub(super) async fn keep(
    State(app): State<Shared>,
    here: Here,
    sent: Sent,
) -> Result<Response, Refused> {
    answer(app, move |app| take(app, &here, records_of(&sent)?)).await
}

/// The records of a body.
fn records_of(sent: &Sent) -> Result<Vec<Record>, Refused> {
    sent.must_be(&[JSON, LINES])?;
    let malformed = |fault| Refused::faulty(StatusCode::BAD_REQUEST, vec![fault]);
    let is_list = || sent.bytes.trim_ascii_start().first() == Some(&b'[');
    let records: Vec<Record> = match sent.kind.as_str() {
        LINES => lines(&sent.bytes).map_err(malformed)?,
        _ if is_list() => read(&sent.bytes).map_err(malformed)?,
        _ => vec![read(&sent.bytes).map_err(malformed)?],
    };
    match records.len() {
        1..=MOST => Ok(records),
        0 => Err(malformed(Fault::new(
            "the whole",
            "no record was sent",
            "Send one at least.",
        ))),
        many => Err(Refused::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            format!("{many} records were sent. Nothing was kept; send at most {MOST} at once."),
        )),
    }
}

fn lines(bytes: &[u8]) -> Result<Vec<Record>, Fault> {
    let lines = bytes.split(|byte| *byte == b'\n').enumerate();
    lines
        .filter(|(_, line)| !line.trim_ascii().is_empty())
        .map(|(at, line)| {
            read(line).map_err(|fault| Fault {
                field: format!("line {}: {}", at + 1, fault.field),
                ..fault
            })
        })
        .collect()
}

/// Looks at each record as if those before it were not there yet; the book judges them in order,
/// with one sync for all.
fn take(app: &App, here: &Here, records: Vec<Record>) -> Result<Taken, Refused> {
    rules::may_send(here, &records)?;
    let ids: Vec<RecordId> = records.iter().map(|record| record.id).collect();
    let (mut calls, mut whose) = (Vec::new(), Vec::new());
    let mut became: Vec<Result<Kept, Vec<Fault>>> = Vec::new();
    for (at, record) in records.into_iter().enumerate() {
        // Kept in its place below, if the book takes it.
        match rules::judge(app, here, record)? {
            Ok(record) => {
                calls.push(vec![record]);
                whose.push(at);
                became.push(Err(Vec::new()));
            }
            Err(faults) => became.push(Err(faults)),
        }
    }
    let mut stopped = None;
    for (at, kept) in whose.into_iter().zip(app.book.append_each(calls)) {
        became[at] = match kept {
            Ok(kept) => Ok(kept.first().copied().unwrap_or(Kept::Already)),
            Err(BookError::Invalid(rules)) => Err(rules.into_iter().map(Fault::from).collect()),
            Err(BookError::Conflict { .. }) => Err(vec![conflict()]),
            // No fault of the record's: the disk is full, the book is locked.
            Err(other) => {
                stopped = Some(other);
                Err(Vec::new())
            }
        };
    }
    let records: Vec<Outcome> = ids
        .into_iter()
        .zip(became)
        .enumerate()
        .map(|(at, (id, became))| outcome(at, id, became))
        .collect();
    match stopped {
        Some(error) => Err(Refused::from(error).with_records(records)),
        None => told(records),
    }
}

fn outcome(at: usize, id: RecordId, became: Result<Kept, Vec<Fault>>) -> Outcome {
    let (outcome, faults) = match became {
        Ok(Kept::New) => (Became::Kept, Vec::new()),
        Ok(Kept::Already) => (Became::Already, Vec::new()),
        Err(faults) => (Became::Refused, faults),
    };
    Outcome {
        at,
        id,
        outcome,
        faults,
    }
}

/// All is well only where every record is on disk: a script that looks at nothing but the status
/// must not believe otherwise.
fn told(records: Vec<Outcome>) -> Result<Taken, Refused> {
    let refused: Vec<&Outcome> = records
        .iter()
        .filter(|one| one.outcome == Became::Refused)
        .collect();
    if refused.is_empty() {
        return Ok(Taken { records });
    }
    let only_conflicts = refused.iter().all(|one| one.faults == [conflict()]);
    let status = match only_conflicts {
        true => StatusCode::CONFLICT,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let first = refused.iter().flat_map(|one| &one.faults).next();
    let detail = format!(
        "{} of {} records were not kept; the others are on disk. The first: {}",
        refused.len(),
        records.len(),
        first.map_or_else(String::new, Fault::words)
    );
    Err(Refused::new(status, detail).with_records(records))
}
