//! The one thread that writes: it drains its queue into one transaction, so that many waiting
//! calls share one sync, and answers each call when its records are on disk.
//!
//! Each call has a savepoint, so a bad one does not spoil its neighbours. When the whole
//! transaction fails (full disk), every call is tried once more by itself: a huge call
//! must not take the small ones down with it.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, SyncSender};

use rusqlite::{Connection, ErrorCode, TransactionBehavior};

use crate::call::{Fault, Kept, Receipt, Refusal, keep};
use crate::error::{BookError, from_sqlite};
use crate::record::Record;
use crate::removed;
use crate::time::now;

/// Most records in one shared transaction, so that the first caller does not wait too long.
const GROUP_RECORDS: usize = 2_000;

/// Answer to one call.
pub(crate) type Answer = Result<Vec<Kept>, CallFailed>;

/// Why a call failed.
#[derive(Debug)]
pub(crate) enum CallFailed {
    /// Its records are faulty; with the index of each.
    Faults(Vec<(usize, Fault)>),
    /// The book could not be written.
    Book(BookError),
}

/// One call, waiting for its answer.
pub(crate) struct Call {
    pub(crate) records: Vec<Record>,
    pub(crate) receipt: Receipt,
    pub(crate) answer: SyncSender<Answer>,
}

/// What the thread is asked to do.
pub(crate) enum Job {
    /// Keep the records of calls; all of them in one transaction.
    Keep(Vec<Call>),
    /// Do something with the writing connection: merge another book. Tests also fill the disk with
    /// this, or break rules.
    Run(Box<dyn FnOnce(&mut Connection) + Send>),
}

/// Starts the thread. It ends when all senders are gone; the connection then closes.
pub(crate) fn start(
    path: PathBuf,
    conn: Connection,
) -> std::io::Result<(Sender<Job>, std::thread::JoinHandle<()>)> {
    let (sender, receiver) = std::sync::mpsc::channel();
    let thread = std::thread::Builder::new()
        .name("book-writer".to_owned())
        .spawn(move || Writer { path, conn }.run(&receiver))?;
    Ok((sender, thread))
}

struct Writer {
    path: PathBuf,
    conn: Connection,
}

impl Writer {
    fn run(&mut self, queue: &Receiver<Job>) {
        while let Ok(job) = queue.recv() {
            let mut group = Vec::new();
            let mut records = 0;
            let mut next = Some(job);
            while let Some(job) = next.take() {
                match job {
                    Job::Keep(calls) => {
                        records += calls.iter().map(|call| call.records.len()).sum::<usize>();
                        group.extend(calls);
                    }
                    Job::Run(work) => {
                        self.answer(std::mem::take(&mut group));
                        work(&mut self.conn);
                    }
                }
                if records < GROUP_RECORDS {
                    next = queue.try_recv().ok();
                }
            }
            self.answer(group);
        }
    }

    fn answer(&mut self, group: Vec<Call>) {
        if group.is_empty() {
            return;
        }
        let answers = match self.write(&group) {
            Ok(answers) => answers,
            // Another program writes: trying each call again would wait as long each time.
            Err(error)
                if group.len() == 1
                    || error.sqlite_error_code() == Some(ErrorCode::DatabaseBusy) =>
            {
                group.iter().map(|_| Err(self.failed(&error))).collect()
            }
            Err(_) => group.iter().map(|call| self.write_alone(call)).collect(),
        };
        for (call, answer) in group.into_iter().zip(answers) {
            // A caller that no longer waits has nothing to be told.
            let _ = call.answer.send(answer);
        }
    }

    fn write_alone(&mut self, call: &Call) -> Answer {
        match self.write(std::slice::from_ref(call)) {
            Ok(mut answers) => answers
                .pop()
                .unwrap_or_else(|| Err(CallFailed::Book(self.closed()))),
            Err(error) => Err(self.failed(&error)),
        }
    }

    fn failed(&self, error: &rusqlite::Error) -> CallFailed {
        CallFailed::Book(from_sqlite(&self.path, error))
    }

    fn closed(&self) -> BookError {
        BookError::Closed {
            path: self.path.clone(),
        }
    }

    /// All calls in one transaction, a savepoint each; back when it is on disk.
    fn write(&mut self, group: &[Call]) -> rusqlite::Result<Vec<Answer>> {
        let mut tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let received_at = now();
        let mut answers = Vec::with_capacity(group.len());
        for call in group {
            let savepoint = tx.savepoint()?;
            answers.push(
                match keep(&savepoint, &call.records, call.receipt, &received_at) {
                    Ok(kept) => {
                        savepoint.commit()?;
                        Ok(kept)
                    }
                    Err(Refusal::Faults(faults)) => {
                        savepoint.finish()?; // rolls back
                        Err(CallFailed::Faults(faults))
                    }
                    Err(Refusal::Sqlite(error)) => return Err(error),
                },
            );
        }
        let gone = if group.iter().any(|call| removed::concerns(&call.records)) {
            removed::purge(&tx)?
        } else {
            0
        };
        tx.commit()?;
        if gone > 0 {
            removed::forget(&self.conn);
        }
        Ok(answers)
    }
}
