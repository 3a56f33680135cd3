//! Rows of determinations with their answers and ranking.
//!
//! Answers and ranking have tables of their own, so that a person with an SQL tool can ask
//! "who saw hairs on the collar" and so that probabilities stay exact 8-byte numbers.

use rusqlite::types::Type;
use rusqlite::{Connection, Row, params};

use super::{Kind, rows};
use crate::id::RecordId;
use crate::record::{AnswerGiven, Determination, Evidence, PriorUsed, Ranked, ValueGiven};
use crate::sql::{no_such_word, ord};

impl Kind for Determination {
    const TABLE: &'static str = "determination";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let evidence = &self.evidence;
        for (at, answer) in evidence.answers.iter().enumerate() {
            insert_answer(conn, id, ord(at), answer)?;
        }
        let mut part = conn.prepare_cached(
            "INSERT INTO ranking (determination, ord, taxon, probability) VALUES (?1, ?2, ?3, ?4)",
        )?;
        for (at, ranked) in evidence.ranking.iter().enumerate() {
            part.execute(params![id, ord(at), ranked.taxon, ranked.probability])?;
        }
        let tools = serde_json::to_string(&evidence.tools)
            .map_err(|error| rusqlite::Error::ToSqlConversionFailure(Box::new(error)))?;
        let prior = match evidence.prior {
            PriorUsed::Even => "even",
        };
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
            tools,
            prior,
            evidence.outcome
        ])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let tools: String = row.get("tools")?;
        let prior: String = row.get("prior")?;
        Ok(Determination {
            point: row.get("point")?,
            cell: row.get("cell")?,
            unknown: row.get("unknown")?,
            taxon: row.get("taxon")?,
            note: row.get("note")?,
            evidence: Evidence {
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
            },
        })
    }

    fn read_parts(&mut self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        self.evidence.answers = read_answers(conn, id)?;
        let sql = "SELECT taxon, probability FROM ranking WHERE determination = ?1 ORDER BY ord";
        self.evidence.ranking = rows(conn, sql, id, |row| {
            Ok(Ranked {
                taxon: row.get(0)?,
                probability: row.get(1)?,
            })
        })?;
        Ok(())
    }
}

fn insert_answer(
    conn: &Connection,
    id: RecordId,
    at: i64,
    answer: &AnswerGiven,
) -> rusqlite::Result<()> {
    let (kind, measure, states) = match &answer.value {
        ValueGiven::States(states) => ("states", None, states.as_slice()),
        ValueGiven::Measure(measure) => ("measure", Some(*measure), &[][..]),
        ValueGiven::CannotTell => ("cannot_tell", None, &[][..]),
    };
    conn.prepare_cached(
        "INSERT INTO answer (determination, ord, trait, kind, measure) VALUES (?1, ?2, ?3, ?4, ?5)",
    )?
    .execute(params![id, at, answer.r#trait, kind, measure])?;
    let mut part = conn.prepare_cached(
        "INSERT INTO answer_state (determination, answer, ord, state) VALUES (?1, ?2, ?3, ?4)",
    )?;
    for (n, state) in states.iter().enumerate() {
        part.execute(params![id, at, ord(n), state])?;
    }
    Ok(())
}

fn read_answers(conn: &Connection, id: RecordId) -> rusqlite::Result<Vec<AnswerGiven>> {
    // One row a state, in order; an answer without states has one row with state null.
    let sql = "SELECT a.ord, a.trait, a.kind, a.measure, s.state
               FROM answer a
               LEFT JOIN answer_state s ON s.determination = a.determination AND s.answer = a.ord
               WHERE a.determination = ?1 ORDER BY a.ord, s.ord";
    let mut statement = conn.prepare_cached(sql)?;
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
