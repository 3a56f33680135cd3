//! Taking a book out and bringing it in: JSON Lines, one record a line.
//!
//! Lines are in the order of the ids, so the same records always give the same bytes.
//! `received_at` is written, and kept on import where it is given: export, import into a new book
//! and export again gives identical bytes. A record that the book has already keeps its first
//! receipt. Lines may come in any order, and importing twice, or two exports in either
//! order, gives the same records. Pictures are files and travel by themselves (`photo_folder`).

use std::io::{BufRead, Read, Write};

use crate::book::Book;
use crate::call::{Fault, Kept, Receipt};
use crate::error::{BookError, LineFault};
use crate::id::RecordId;
use crate::kinds::load;
use crate::record::Record;

/// Longest line, bytes; the largest record within the limits has about a fifth of that.
const LINE_BYTES: u64 = 4 * 1024 * 1024;

/// What an import did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Import {
    /// Records that are new.
    pub new: usize,
    /// Records that were there already, with the same content.
    pub already: usize,
}

impl Book {
    /// Writes every record of the book, superseded ones too, as one moment has them. The number of
    /// records comes back.
    pub fn export(&self, mut to: impl Write) -> Result<usize, BookError> {
        // Read in one transaction, written outside SQLite's error type.
        let outcome = self.ask(|conn| {
            let ids: Vec<RecordId> = conn
                .prepare_cached("SELECT id FROM record ORDER BY id")?
                .query_map([], |row| row.get(0))?
                .collect::<Result<_, _>>()?;
            for id in &ids {
                let Some(record) = load(conn, *id)? else {
                    continue;
                };
                let written = serde_json::to_writer(&mut to, &record)
                    .map_err(std::io::Error::from)
                    .and_then(|()| to.write_all(b"\n"));
                if let Err(error) = written {
                    return Ok(Err(error));
                }
            }
            Ok(to.flush().map(|()| ids.len()))
        })?;
        outcome.map_err(|error| BookError::Exchange {
            what: "export",
            detail: error.to_string(),
        })
    }

    /// Brings in records: all of them or, when any line is bad, none, with every bad line named.
    pub fn import(&self, from: impl BufRead) -> Result<Import, BookError> {
        self.bring_in(from, Receipt::AsWritten)
    }

    /// The same into a new book, for a whole book that is taken over as it is: what does not fit
    /// together there is no fault.
    pub(crate) fn take_over(&self, from: impl BufRead) -> Result<Import, BookError> {
        self.bring_in(from, Receipt::TakenOver)
    }

    fn bring_in(&self, from: impl BufRead, receipt: Receipt) -> Result<Import, BookError> {
        let (lines, records, mut faults) = read_lines(from)?;
        if faults.is_empty() {
            match self.send(records, receipt)? {
                Ok(kept) => {
                    let new = kept.iter().filter(|kept| **kept == Kept::New).count();
                    return Ok(Import {
                        new,
                        already: kept.len() - new,
                    });
                }
                Err(found) => {
                    faults = found
                        .into_iter()
                        .map(|(at, fault)| line_fault(lines[at], fault))
                        .collect();
                }
            }
        }
        faults.sort_by_key(|fault| fault.line);
        Err(BookError::Import(faults))
    }
}

type Lines = (Vec<u64>, Vec<Record>, Vec<LineFault>);

fn read_lines(mut from: impl BufRead) -> Result<Lines, BookError> {
    let (mut lines, mut records, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    let mut text = Vec::new();
    for line in 1_u64.. {
        text.clear();
        let read = from
            .by_ref()
            .take(LINE_BYTES + 1)
            .read_until(b'\n', &mut text);
        let read = read.map_err(|error| BookError::Exchange {
            what: "import",
            detail: error.to_string(),
        })?;
        if read == 0 {
            break;
        }
        if text.len() as u64 > LINE_BYTES {
            faults.push(LineFault {
                line,
                problem: format!("it is longer than {LINE_BYTES} bytes, and reading stopped here"),
                mend: "Check that this is an export of a book.".to_owned(),
            });
            break;
        }
        if line == 1 && text.starts_with(b"\xEF\xBB\xBF") {
            text.drain(..3); // byte order mark, put there by an editor
        }
        if text.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        match serde_json::from_slice(&text) {
            Ok(record) => {
                lines.push(line);
                records.push(record);
            }
            Err(error) => faults.push(LineFault {
                line,
                // The line number of the reader counts within this one line.
                problem: error
                    .to_string()
                    .replace(" at line 1 column ", " at column "),
                mend: "Correct this line so that it is one whole record in JSON.".to_owned(),
            }),
        }
    }
    Ok((lines, records, faults))
}

fn line_fault(line: u64, fault: Fault) -> LineFault {
    match fault {
        Fault::Conflict(id) => LineFault {
            line,
            problem: format!("record {id} is in the book already, with different content"),
            mend: "Find out which of the two was changed by hand; a correction needs an id of its own.".to_owned(),
        },
        Fault::Rule(problem) => LineFault {
            line,
            problem: format!("{} {}, {}: {}", problem.kind, problem.record, problem.field, problem.problem),
            mend: problem.mend,
        },
    }
}
