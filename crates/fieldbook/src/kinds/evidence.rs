//! Rows of determinations, and of evidence with its answers and ranking, whose ever it is.
//!
//! Answers and ranking have tables of their own, so that a person with an SQL tool can ask
//! "who saw hairs on the collar" and so that probabilities stay exact 8-byte numbers.

use rusqlite::types::Type;
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::{Kind, rows};
use crate::id::RecordId;
use crate::record::{AnswerGiven, Determination, Evidence, PriorUsed, Ranked, ValueGiven};
use crate::sql::{no_such_word, ord};

impl Kind for Determination {
    const TABLE: &'static str = "determination";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let evidence = &self.evidence;
        insert_parts(conn, OF_DETERMINATION, id, evidence)?;
        conn.prepare_cached(
            "INSERT INTO determination (id, point, cell, unknown, taxon, note, key_id, table_fingerprint,
                                        leaf_stage, tools, prior, outcome)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
        )?
        .execute(params![
            id,
            self.point,
            self.cell,
            self.unknown,
            self.taxon,
            self.note,
            evidence.key,
            evidence.table_fingerprint,
            evidence.leaf_stage,
            tools_text(evidence)?,
            prior_word(evidence.prior),
            evidence.outcome
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Determination {
            point: row.get("point")?,
            cell: row.get("cell")?,
            unknown: row.get("unknown")?,
            taxon: row.get("taxon")?,
            note: row.get("note")?,
            evidence: read_evidence(row)?,
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        read_parts(conn, OF_DETERMINATION, id, &mut self.evidence)
    }
}

/// The tables that hold the parts of evidence: what their names begin with, and the column that
/// names whose evidence it is.
type Tables = (&'static str, &'static str);

const OF_DETERMINATION: Tables = ("", "determination");
const OF_OPINION: Tables = ("opinion_", "opinion");

/// Writes what a reviewer saw.
pub(super) fn insert_of_opinion(
    conn: &Connection,
    id: RecordId,
    evidence: &Evidence,
) -> rusqlite::Result<()> {
    insert_parts(conn, OF_OPINION, id, evidence)?;
    conn.prepare_cached(
        "INSERT INTO opinion_evidence (opinion, key_id, table_fingerprint, leaf_stage, tools, prior, outcome)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?
    .execute(params![
        id,
        evidence.key,
        evidence.table_fingerprint,
        evidence.leaf_stage,
        tools_text(evidence)?,
        prior_word(evidence.prior),
        evidence.outcome
    ])?;
    Ok(())
}

/// Reads what a reviewer saw; `None` when no plant was walked.
pub(super) fn read_of_opinion(
    conn: &Connection,
    id: RecordId,
) -> rusqlite::Result<Option<Evidence>> {
    let sql = "SELECT * FROM opinion_evidence WHERE opinion = ?1";
    let found = conn
        .prepare_cached(sql)?
        .query_row([id], read_evidence)
        .optional()?;
    let Some(mut evidence) = found else {
        return Ok(None);
    };
    read_parts(conn, OF_OPINION, id, &mut evidence)?;
    Ok(Some(evidence))
}

fn tools_text(evidence: &Evidence) -> rusqlite::Result<String> {
    serde_json::to_string(&evidence.tools)
        .map_err(|error| rusqlite::Error::ToSqlConversionFailure(Box::new(error)))
}

fn prior_word(prior: PriorUsed) -> &'static str {
    match prior {
        PriorUsed::Even => "even",
    }
}

/// The columns that hold evidence, without its parts.
fn read_evidence(row: &Row<'_>) -> rusqlite::Result<Evidence> {
    let tools: String = row.get("tools")?;
    let prior: String = row.get("prior")?;
    Ok(Evidence {
        key: row.get("key_id")?,
        table_fingerprint: row.get("table_fingerprint")?,
        leaf_stage: row.get("leaf_stage")?,
        tools: serde_json::from_str(&tools).map_err(|error| {
            rusqlite::Error::FromSqlConversionFailure(0, Type::Text, Box::new(error))
        })?,
        prior: match prior.as_str() {
            "even" => PriorUsed::Even,
            _ => return Err(no_such_word("prior", prior)),
        },
        answers: Vec::new(),
        outcome: row.get("outcome")?,
        ranking: Vec::new(),
    })
}

fn insert_parts(
    conn: &Connection,
    tables: Tables,
    id: RecordId,
    evidence: &Evidence,
) -> rusqlite::Result<()> {
    for (at, answer) in evidence.answers.iter().enumerate() {
        insert_answer(conn, tables, id, ord(at), answer)?;
    }
    let (of, owner) = tables;
    let mut part = conn.prepare_cached(&format!(
        "INSERT INTO {of}ranking ({owner}, ord, taxon, probability) VALUES (?1, ?2, ?3, ?4)"
    ))?;
    for (at, ranked) in evidence.ranking.iter().enumerate() {
        part.execute(params![id, ord(at), ranked.taxon, ranked.probability])?;
    }
    Ok(())
}

fn read_parts(
    conn: &Connection,
    tables: Tables,
    id: RecordId,
    evidence: &mut Evidence,
) -> rusqlite::Result<()> {
    evidence.answers = read_answers(conn, tables, id)?;
    let (of, owner) = tables;
    let sql = format!("SELECT taxon, probability FROM {of}ranking WHERE {owner} = ?1 ORDER BY ord");
    evidence.ranking = rows(conn, &sql, id, |row| {
        Ok(Ranked {
            taxon: row.get(0)?,
            probability: row.get(1)?,
        })
    })?;
    Ok(())
}

fn insert_answer(
    conn: &Connection,
    (of, owner): Tables,
    id: RecordId,
    at: i64,
    answer: &AnswerGiven,
) -> rusqlite::Result<()> {
    let (kind, measure, states) = match &answer.value {
        ValueGiven::States(states) => ("states", None, states.as_slice()),
        ValueGiven::Measure(measure) => ("measure", Some(*measure), &[][..]),
        ValueGiven::CannotTell => ("cannot_tell", None, &[][..]),
    };
    conn.prepare_cached(&format!(
        "INSERT INTO {of}answer ({owner}, ord, trait, kind, measure) VALUES (?1, ?2, ?3, ?4, ?5)"
    ))?
    .execute(params![id, at, answer.r#trait, kind, measure])?;
    let mut part = conn.prepare_cached(&format!(
        "INSERT INTO {of}answer_state ({owner}, answer, ord, state) VALUES (?1, ?2, ?3, ?4)"
    ))?;
    for (n, state) in states.iter().enumerate() {
        part.execute(params![id, at, ord(n), state])?;
    }
    Ok(())
}

fn read_answers(
    conn: &Connection,
    (of, owner): Tables,
    id: RecordId,
) -> rusqlite::Result<Vec<AnswerGiven>> {
    // One row a state, in order; an answer without states has one row with state null.
    let sql = format!(
        "SELECT a.ord, a.trait, a.kind, a.measure, s.state
         FROM {of}answer a
         LEFT JOIN {of}answer_state s ON s.{owner} = a.{owner} AND s.answer = a.ord
         WHERE a.{owner} = ?1 ORDER BY a.ord, s.ord"
    );
    let mut statement = conn.prepare_cached(&sql)?;
    let mut found = statement.query([id])?;
    let mut answers: Vec<AnswerGiven> = Vec::new();
    let mut last = 0_i64;
    while let Some(row) = found.next()? {
        let at: i64 = row.get(0)?;
        if at != last {
            let kind: String = row.get(2)?;
            let value = match kind.as_str() {
                "states" => ValueGiven::States(Vec::new()),
                "measure" => ValueGiven::Measure(row.get(3)?),
                "cannot_tell" => ValueGiven::CannotTell,
                _ => return Err(no_such_word("kind of answer", kind)),
            };
            answers.push(AnswerGiven {
                r#trait: row.get(1)?,
                value,
            });
            last = at;
        }
        if let (
            Some(AnswerGiven {
                value: ValueGiven::States(states),
                ..
            }),
            Some(state),
        ) = (answers.last_mut(), row.get(4)?)
        {
            states.push(state);
        }
    }
    Ok(answers)
}
