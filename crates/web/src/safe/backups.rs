//! Backups while the server runs: on start, every so many records, and when somebody asks.
//!
//! In: the book, a folder. Out: copies in it; the last one, and why there is none. What goes wrong
//! stands on every page and is tried again; saving never waits for it.

use std::path::{Path, PathBuf};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use standbook_fieldbook::safe::backup::{Care, Found, Made, Rotation, list};
use standbook_fieldbook::{Book, BookError};

/// New records after which a backup is made: an afternoon of a crew.
const EVERY_RECORDS: usize = 500;

/// How often the records are counted.
const LOOK: Duration = Duration::from_secs(5);

/// Backups of the book in use.
#[derive(Debug)]
pub struct Backups {
    folder: PathBuf,
    every: usize,
    /// One at a time.
    making: Mutex<()>,
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Debug, Default)]
struct State {
    trouble: Option<String>,
    stopped: bool,
}

impl Backups {
    /// Backups into `folder`.
    pub fn to(folder: PathBuf) -> Backups {
        Backups {
            folder,
            every: EVERY_RECORDS,
            making: Mutex::new(()),
            state: Mutex::default(),
            changed: Condvar::new(),
        }
    }

    /// Where they go.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// New records after which one is made.
    pub fn every(&self) -> usize {
        self.every
    }

    /// Why the last one failed; `None` when it did not.
    pub fn trouble(&self) -> Option<String> {
        self.state().trouble.clone()
    }

    /// The last one that is whole.
    pub fn last(&self, book: &Book) -> Option<Found> {
        list(&self.folder, book.path()).pop()
    }

    /// Makes one now.
    ///
    /// Errors: those of [`Book::back_up`]; they also stand on every page until one succeeds.
    pub fn make(&self, book: &Book, care: Care) -> Result<Made, BookError> {
        let _one = self.making.lock().unwrap_or_else(PoisonError::into_inner);
        let made = book.back_up(&self.folder, &Rotation::default(), care);
        self.state().trouble = made.as_ref().err().map(ToString::to_string);
        made
    }

    /// Makes them until [`Backups::stop`] is called: on start, unless the last one holds every
    /// record, and every `EVERY_RECORDS` new ones. One that failed is tried again.
    pub fn keep(&self, book: &Book) {
        let mut held = self.last(book).map(|last| last.manifest.records);
        let mut first = true;
        while !self.state().stopped {
            // A page will say what is wrong with the book.
            let due = book
                .count()
                .is_ok_and(|now| is_due(now, held, first, self.every));
            if due {
                let before = self.trouble();
                match self.make(book, Care::Quick) {
                    Ok(made) => held = Some(made.manifest.records),
                    // Said once on the terminal, however often it is tried.
                    Err(error) if before != Some(error.to_string()) => {
                        eprintln!("note: no backup: {error}");
                    }
                    Err(_) => {}
                }
            }
            first &= due && self.trouble().is_some();
            let state = self.state();
            if !state.stopped {
                let waited = self.changed.wait_timeout(state, LOOK);
                drop(waited.unwrap_or_else(PoisonError::into_inner));
            }
        }
    }

    /// Ends [`Backups::keep`], after the copy under way if there is one.
    pub fn stop(&self) {
        self.state().stopped = true;
        self.changed.notify_all();
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Whether a backup is due: the book has `now` records, the last backup `held`.
fn is_due(now: usize, held: Option<usize>, first: bool, every: usize) -> bool {
    match held {
        None => now > 0,
        Some(held) if first => now != held,
        // Fewer: practice was removed, and the newest backup is not to hold it.
        Some(held) => now < held || now >= held + every,
    }
}

#[cfg(test)]
mod tests {
    use super::is_due;

    #[test]
    fn a_backup_is_due_on_start_after_many_records_and_after_a_removal() {
        assert!(!is_due(0, None, true, 500));
        assert!(is_due(1, None, false, 500));
        assert!(is_due(1001, Some(1000), true, 500));
        assert!(!is_due(1000, Some(1000), true, 500));
        assert!(!is_due(1499, Some(1000), false, 500));
        assert!(is_due(1500, Some(1000), false, 500));
        assert!(is_due(999, Some(1000), false, 500));
    }
}
