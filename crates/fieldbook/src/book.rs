//! The book: one SQLite file, opened once, shared by all who read and write.
//!
//! In: records. Out: records kept for good, or everything that is wrong with them. All calls
//! block until done: from async code, call them where blocking is allowed.
//! Other parts of `Book`: questions (`read`), pictures (`photo`), files to take out and bring in
//! (`exchange`).

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;

use rusqlite::{Connection, TransactionBehavior};

use crate::call::{Fault, Kept, Receipt, Refusal, keep};
use crate::error::{BookError, from_io, from_sqlite};
use crate::open::{Opened, ReadBy, Want, open, open_read_only, reading};
use crate::read::count;
use crate::record::Record;
use crate::schema::see_as_newest;
use crate::time::now;
use crate::writer::{Answer, Call, CallFailed, Job, start};

/// Idle reading connections kept for the next question: enough for a crew that comes back from the
/// field at once, since opening one costs more than most questions.
const IDLE_READERS: usize = 24;

/// What the writer makes of the records of one call: kept, or faulty with each one's index.
pub(crate) type Judged = Result<Vec<Kept>, Vec<(usize, Fault)>>;

/// A book. Cheap to clone; all clones share one writer and a few readers. The file is folded
/// together and closed when the last clone is dropped.
#[derive(Clone)]
pub struct Book {
    inner: Arc<Inner>,
}

struct Inner {
    path: PathBuf,
    read_by: ReadBy,
    readers: Mutex<Vec<Connection>>,
    counted: Mutex<Option<Counted>>,
    writer: Result<WriterThread, String>,
}

/// How many records there were, as long as nobody has written since.
struct Counted {
    /// The connection to which `version` means something.
    conn: Connection,
    /// SQLite's data_version then: another one says that somebody has written.
    version: i64,
    records: usize,
}

struct WriterThread {
    sender: Option<Sender<Job>>,
    thread: Option<JoinHandle<()>>,
}

impl Drop for Inner {
    fn drop(&mut self) {
        // The writer's connection must be the last to close: that one folds -wal into the book.
        self.readers
            .get_mut()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
        self.counted
            .get_mut()
            .unwrap_or_else(PoisonError::into_inner)
            .take();
        if let Ok(writer) = &mut self.writer {
            writer.sender.take();
            if let Some(thread) = writer.thread.take() {
                let _ = thread.join();
            }
        }
    }
}

impl std::fmt::Debug for Book {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Book")
            .field("path", &self.inner.path)
            .finish_non_exhaustive()
    }
}

impl Book {
    /// Makes a new book. [`BookError::Exists`] when a book is there, [`BookError::NotABook`] when
    /// another file is; an empty file is used.
    pub fn create(path: impl AsRef<Path>) -> Result<Book, BookError> {
        Book::start(path.as_ref(), open(path.as_ref(), Want::Create)?)
    }

    /// Opens a book, and brings it to this program's version if it is older. A book in a place
    /// that cannot be written is opened for viewing, in the version it has: then
    /// [`Book::read_only`] says why and every `append` is refused with [`BookError::ReadOnly`].
    pub fn open(path: impl AsRef<Path>) -> Result<Book, BookError> {
        Book::start(path.as_ref(), open(path.as_ref(), Want::Open)?)
    }

    /// Opens the book, or makes it when there is no file or an empty one.
    pub fn open_or_create(path: impl AsRef<Path>) -> Result<Book, BookError> {
        Book::start(path.as_ref(), open(path.as_ref(), Want::OpenOrCreate)?)
    }

    /// Opens a book for viewing, even where it could be written.
    pub fn open_read_only(path: impl AsRef<Path>) -> Result<Book, BookError> {
        Book::start(path.as_ref(), open_read_only(path.as_ref())?)
    }

    fn start(path: &Path, opened: Opened) -> Result<Book, BookError> {
        let writer = match opened.writer {
            Ok(conn) => {
                let (sender, thread) =
                    start(path.to_owned(), conn).map_err(|error| from_io(path, &error))?;
                Ok(WriterThread {
                    sender: Some(sender),
                    thread: Some(thread),
                })
            }
            Err(why) => Err(why),
        };
        let readers = Mutex::new(Vec::new());
        Ok(Book {
            inner: Arc::new(Inner {
                path: path.to_owned(),
                read_by: opened.read_by,
                readers,
                counted: Mutex::new(None),
                writer,
            }),
        })
    }

    /// The book's file.
    pub fn path(&self) -> &Path {
        &self.inner.path
    }

    /// Why this book is open for viewing only; `None` when it can be written.
    pub fn read_only(&self) -> Option<&str> {
        self.inner.writer.as_ref().err().map(String::as_str)
    }

    /// Keeps records: all of them or none, on disk when this returns.
    ///
    /// Records may come in any order and may refer to each other. The answer says for each, in the
    /// order given, whether it is new or was there already with the same content. `received_at`
    /// of the records is ignored: the book sets it at the first receipt.
    ///
    /// Errors: [`BookError::Conflict`] when an id is taken by other content, [`BookError::Invalid`]
    /// with every rule broken, and whatever the disk does. After any error nothing of this
    /// call is in the book, except after [`BookError::Closed`], where it is not known.
    pub fn append(&self, records: Vec<Record>) -> Result<Vec<Kept>, BookError> {
        match self.send(records, Receipt::Now)? {
            Ok(kept) => Ok(kept),
            Err(faults) => Err(refusal(faults)),
        }
    }

    /// What [`Book::append`] would say of these records; nothing is written. Nobody else writes
    /// meanwhile.
    ///
    /// Errors: as [`Book::append`].
    pub fn would_append(&self, records: &[Record]) -> Result<Vec<Kept>, BookError> {
        let (records, path) = (records.to_vec(), self.path().to_owned());
        let kept = self.with_writer(move |conn| {
            let tx = conn
                .transaction_with_behavior(TransactionBehavior::Immediate)
                .map_err(|error| from_sqlite(&path, &error))?;
            // Dropping the transaction takes everything back.
            match keep(&tx, &records, Receipt::Now, &now()) {
                Ok(kept) => Ok(kept),
                Err(Refusal::Faults(faults)) => Err(refusal(faults)),
                Err(Refusal::Sqlite(error)) => Err(from_sqlite(&path, &error)),
            }
        });
        kept?
    }

    /// As [`Book::append`] for several calls that wait together: they share one sync, and each is
    /// kept or refused by itself, in their order. The answers are in that order too.
    pub fn append_each(&self, calls: Vec<Vec<Record>>) -> Vec<Result<Vec<Kept>, BookError>> {
        let many = calls.len();
        match self.enqueue(calls, Receipt::Now) {
            Ok(answers) => answers
                .iter()
                .map(|answer| self.wait(answer)?.map_err(refusal))
                .collect(),
            Err(error) => vec![Err(error); many],
        }
    }

    /// Sends one call to the writer and waits for the answer; faults come with the record's index.
    pub(crate) fn send(&self, records: Vec<Record>, receipt: Receipt) -> Result<Judged, BookError> {
        let answers = self.enqueue(vec![records], receipt)?;
        let answer = answers.first().ok_or_else(|| self.closed())?;
        self.wait(answer)
    }

    /// Hands calls to the writer; where each will be answered.
    fn enqueue(
        &self,
        calls: Vec<Vec<Record>>,
        receipt: Receipt,
    ) -> Result<Vec<Receiver<Answer>>, BookError> {
        let sender = self.sender()?;
        let mut answers = Vec::new();
        let calls = calls.into_iter().map(|records| {
            let (answer, answered) = sync_channel(1);
            answers.push(answered);
            Call {
                records,
                receipt,
                answer,
            }
        });
        sender
            .send(Job::Keep(calls.collect()))
            .map_err(|_| self.closed())?;
        Ok(answers)
    }

    fn wait(&self, answer: &Receiver<Answer>) -> Result<Judged, BookError> {
        match answer.recv().map_err(|_| self.closed())? {
            Ok(kept) => Ok(Ok(kept)),
            Err(CallFailed::Faults(faults)) => Ok(Err(faults)),
            Err(CallFailed::Book(error)) => Err(error),
        }
    }

    /// Asks one question, or several of one moment: the book does not change meanwhile.
    pub(crate) fn ask<T>(
        &self,
        question: impl FnOnce(&Connection) -> Result<T, rusqlite::Error>,
    ) -> Result<T, BookError> {
        let mut conn = match self.idle_readers().pop() {
            Some(conn) => conn,
            None => self.reading()?,
        };
        let answer = conn
            .transaction_with_behavior(TransactionBehavior::Deferred)
            .and_then(|tx| {
                // A book that can be written was brought to the newest version when it was opened.
                if self.inner.writer.is_err() {
                    see_as_newest(&tx)?;
                }
                question(&tx)
            })
            .map_err(|error| from_sqlite(self.path(), &error))?;
        let mut idle = self.idle_readers();
        if idle.len() < IDLE_READERS {
            idle.push(conn);
        }
        Ok(answer)
    }

    /// How many records there are, superseded ones too. Counting goes through an index as long as the
    /// book, so the number is kept until somebody writes.
    pub fn count(&self) -> Result<usize, BookError> {
        // A panic elsewhere leaves what was counted before, or nothing.
        let counted = self.inner.counted.lock();
        let mut counted = counted.unwrap_or_else(PoisonError::into_inner);
        let conn = match counted.take() {
            Some(known) => {
                let version = data_version(&known.conn);
                if version.is_ok_and(|version| version == known.version) {
                    let records = known.records;
                    *counted = Some(known);
                    return Ok(records);
                }
                known.conn
            }
            None => self.reading()?,
        };
        // The version first: a record that arrives in between is counted now, and once more later.
        let found = data_version(&conn).and_then(|version| Ok((version, count(&conn)?)));
        let (version, records) = found.map_err(|error| from_sqlite(self.path(), &error))?;
        *counted = Some(Counted {
            conn,
            version,
            records,
        });
        Ok(records)
    }

    fn idle_readers(&self) -> std::sync::MutexGuard<'_, Vec<Connection>> {
        // A panic elsewhere leaves at worst one connection too few.
        self.inner
            .readers
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    /// Runs something on the writing connection and waits for it; nobody else writes meanwhile.
    pub(crate) fn with_writer<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Connection) -> T + Send + 'static,
    ) -> Result<T, BookError> {
        let (answer, answered) = sync_channel(1);
        let job = Job::Run(Box::new(move |conn| {
            let _ = answer.send(work(conn));
        }));
        self.sender()?.send(job).map_err(|_| self.closed())?;
        answered.recv().map_err(|_| self.closed())
    }

    fn sender(&self) -> Result<&Sender<Job>, BookError> {
        let writer = self.inner.writer.as_ref();
        let writer = writer.map_err(|why| BookError::ReadOnly {
            path: self.path().to_owned(),
            why: why.clone(),
        })?;
        writer.sender.as_ref().ok_or_else(|| self.closed())
    }

    fn closed(&self) -> BookError {
        BookError::Closed {
            path: self.path().to_owned(),
        }
    }

    /// The same for tests.
    #[cfg(test)]
    pub(crate) fn on_writer<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Connection) -> T + Send + 'static,
    ) -> T {
        self.with_writer(work).expect("a running writer")
    }

    /// A connection of one's own that can only read.
    pub(crate) fn reading(&self) -> Result<Connection, BookError> {
        reading(self.path(), self.inner.read_by)
    }
}

fn data_version(conn: &Connection) -> rusqlite::Result<i64> {
    conn.pragma_query_value(None, "data_version", |row| row.get(0))
}

/// One error for a call: the first conflict, or else every rule broken.
fn refusal(faults: Vec<(usize, Fault)>) -> BookError {
    let mut problems = Vec::new();
    for (_, fault) in faults {
        match fault {
            Fault::Conflict(id) => return BookError::Conflict { id },
            Fault::Rule(problem) => problems.push(problem),
        }
    }
    BookError::Invalid(problems)
}
