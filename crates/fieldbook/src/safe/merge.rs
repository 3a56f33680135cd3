//! One book out of two: everything that another book holds is added to this one.
//!
//! In: a book's file or an exchange file. Out: what came, what was here, what people have to look
//! at. The union is by record id, all or nothing. Merging twice adds nothing; in whatever order
//! books are merged, the same records are there and the same are current. A record that is in both
//! and says different things is an error, for a record never changes: somebody changed one by hand.
//!
//! What fits in each book by itself may not fit in both together: two crews that each found an
//! "unknown 3". Such records are taken, since nothing may be lost for that, and are listed.

use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};
use serde::Serialize;

use super::both::{Settling, Twice, settlings, twice};
use super::came::{Counts, count};
use super::differ::{self, Differing};
use super::misfit::{Misfit, misfits};
use super::pictures::{Pictures, bring, named};
use super::source::Source;
use super::union::{add, attach, clashes, detach, foreign_table, path_text, torn_chain};
use crate::book::Book;
use crate::error::{BookError, from_sqlite};
use crate::id::RecordId;
use crate::read::count as records_in;
use crate::removed;

/// What a merge did, or would do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Merged {
    /// Whether it was only looked at: then nothing was written.
    pub looked: bool,
    /// The records.
    #[serde(flatten)]
    pub counts: Counts,
    /// The pictures.
    pub pictures: Pictures,
    /// Records corrected on both books by people who did not know of each other, if this merge
    /// brought one of the corrections.
    pub corrected_twice: Vec<Twice>,
    /// Plants that the last two people who looked call by different names, if this merge brought
    /// one of the opinions.
    pub named_apart: Vec<Settling>,
    /// What fitted in each book and does not fit in both together.
    pub misfits: Vec<Misfit>,
}

/// A record that both books hold and of which they say different things.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Clash {
    /// The record.
    pub record: RecordId,
    /// Its kind here, such as `frame`.
    pub kind: String,
    /// Who entered it, as it stands here.
    pub author: String,
    /// In what they differ; first what this book says.
    pub fields: Vec<Differing>,
}

impl std::fmt::Display for Clash {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {} of {}", self.kind, self.record, self.author)?;
        for (at, field) in self.fields.iter().take(3).enumerate() {
            let sign = if at == 0 { ":" } else { ";" };
            let Differing { field, one, other } = field;
            write!(f, "{sign} {field} is `{one}` here and `{other}` there")?;
        }
        Ok(())
    }
}

impl Book {
    /// Adds everything that the book or exchange file `from` holds; with `look` it only says what
    /// would come. `from` is never written to, and its pictures lie in the folder beside it.
    ///
    /// Errors: [`BookError::Clashes`] when records that both hold differ, [`BookError::Damaged`]
    /// and others about `from`, those of the disk about this book. After any error no record was
    /// added; pictures that were copied by then stay and do no harm.
    pub fn merge(&self, from: &Path, look: bool) -> Result<Merged, BookError> {
        if let Some(why) = self.read_only() {
            return Err(BookError::ReadOnly {
                path: self.path().to_owned(),
                why: why.to_owned(),
            });
        }
        if is_same_file(from, self.path()) {
            return Err(BookError::NotABook {
                path: from.to_owned(),
                why: "it is the very book to merge into".to_owned(),
            });
        }
        let source = Source::take(from, self.path())?;
        let other = path_text(&source.path)?.to_owned();
        // Before a picture is copied; again, when nobody else can write, if records came meanwhile.
        let listed = self.beside(&other, |conn| {
            Ok(match foreign_table(conn)? {
                Some(table) => Err(table),
                None => Ok((clashes(conn)?, named(conn, "came")?, records_in(conn)?)),
            })
        })?;
        let (clashing, pictures, looked_at) = listed.map_err(|table| BookError::NotABook {
            path: from.to_owned(),
            why: format!("its table {table} is not made like a book's"),
        })?;
        self.refuse_clashes(from, &source, clashing)?;
        let pictures = bring(&pictures, &source.photos, &self.photo_folder(), look)?;
        let done = self.with_writer(move |conn| {
            attach(conn, &other)?;
            let done = join(conn, looked_at, look);
            let detached = detach(conn);
            done.and_then(|done| detached.map(|()| done))
        })?;
        match done.map_err(|error| from_sqlite(self.path(), &error))? {
            Joined::Clashing(ids) => {
                self.refuse_clashes(from, &source, ids)?;
                Err(BookError::Closed {
                    path: self.path().to_owned(),
                })
            }
            Joined::Torn(id) => Err(BookError::Damaged {
                path: from.to_owned(),
                detail: format!("correction {id} belongs to another chain than here"),
            }),
            Joined::Done(merged) => Ok(Merged {
                pictures,
                ..*merged
            }),
        }
    }

    /// Asks something of this book and another, read only.
    fn beside<T>(
        &self,
        other: &str,
        question: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T, BookError> {
        let conn = self.reading()?;
        attach(&conn, other)
            .and_then(|()| question(&conn))
            .map_err(|error| from_sqlite(self.path(), &error))
    }

    fn refuse_clashes(
        &self,
        from: &Path,
        source: &Source,
        ids: Vec<RecordId>,
    ) -> Result<(), BookError> {
        if ids.is_empty() {
            return Ok(());
        }
        let other = Book::open_read_only(&source.path)?;
        let mut found = Vec::new();
        for id in ids {
            if let (Some(here), Some(there)) = (self.get(id)?, other.get(id)?) {
                found.push(Clash {
                    record: id,
                    kind: here.body.kind().to_owned(),
                    author: here.author.clone(),
                    fields: differ::records(&here, &there),
                });
            }
        }
        Err(BookError::Clashes {
            from: from.to_owned(),
            clashes: found,
        })
    }
}

fn is_same_file(one: &Path, other: &Path) -> bool {
    let real = |path: &Path| std::fs::canonicalize(path).ok();
    real(one).is_some_and(|one| real(other) == Some(one))
}

enum Joined {
    Clashing(Vec<RecordId>),
    Torn(RecordId),
    Done(Box<Merged>),
}

/// The whole merge in one transaction, which is rolled back when it is only looked at.
/// `looked_at` is how many records there were when clashes were looked for: none is ever changed.
fn join(conn: &mut Connection, looked_at: usize, look: bool) -> rusqlite::Result<Joined> {
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    if records_in(&tx)? != looked_at {
        let clashing = clashes(&tx)?;
        if !clashing.is_empty() {
            return Ok(Joined::Clashing(clashing));
        }
    }
    let gone = add(&tx)?;
    if let Some(id) = torn_chain(&tx)? {
        return Ok(Joined::Torn(id));
    }
    let merged = Merged {
        looked: look,
        counts: count(&tx)?,
        pictures: Pictures::default(),
        corrected_twice: twice(&tx, true)?,
        named_apart: settlings(&tx, true)?,
        misfits: misfits(&tx, "temp.coming")?,
    };
    tx.execute_batch("DROP TABLE temp.coming; DROP TABLE temp.left_out")?;
    if look {
        tx.rollback()?;
    } else {
        tx.commit()?;
        if gone > 0 {
            removed::forget(conn);
        }
    }
    Ok(Joined::Done(Box::new(merged)))
}
