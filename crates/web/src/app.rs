//! What every page needs: the book, the key, its compiled table and its couplets.

use std::sync::Arc;

use standbook_fieldbook::Book;
use standbook_identify::Table;
use standbook_key::Key;
use standbook_key::couplet::Couplets;
use standbook_key::standards::Standards;

use crate::desk::Visits;
use crate::failure::Failure;
use crate::phones::Phones;
use crate::safe::{Backups, Remembered};

/// Shared by all requests.
#[derive(Debug)]
pub struct App {
    /// The book in use.
    pub book: Book,
    /// The key in use.
    pub key: Key,
    /// The key, compiled.
    pub table: Table,
    /// The authored couplets of the key, or grown ones.
    pub couplets: Couplets,
    /// Whether the couplets were written by somebody rather than grown.
    pub couplets_authored: bool,
    /// What a stand is measured against; empty until [`App::judging_by`] gives it some.
    pub standards: Standards,
    /// Whether this is the demo: said on every page.
    pub demo: bool,
    /// The phones that were let in; `None` where the server answers on this machine only.
    pub phones: Option<Phones>,
    /// The backups of the book; `None` where none are made.
    pub backups: Option<Backups>,
    /// What the office's pages remember as long as the program runs.
    pub remembered: Remembered,
    /// What the Desk's list has read of visits.
    pub(crate) visits: Visits,
    /// The name of this machine's device in records.
    pub device: String,
}

impl App {
    /// Compiles the key and puts everything together.
    pub fn new(book: Book, key: Key, demo: bool) -> App {
        let table = Table::compile(&key);
        let couplets = key
            .couplets
            .clone()
            .unwrap_or_else(|| standbook_identify::couplets::grow(&key));
        App {
            couplets_authored: key.couplets.is_some(),
            book,
            table,
            couplets,
            key,
            standards: Standards::default(),
            demo,
            phones: None,
            backups: None,
            remembered: Remembered::default(),
            visits: Visits::default(),
            device: "laptop".to_owned(),
        }
    }

    /// The same, with a door for phones.
    #[must_use]
    pub fn sharing(mut self, phones: Phones) -> App {
        self.phones = Some(phones);
        self
    }

    /// The same, with backups of the book.
    #[must_use]
    pub fn backing_up(mut self, backups: Backups) -> App {
        self.backups = Some(backups);
        self
    }

    /// The same, with thresholds, times and advice to judge by.
    #[must_use]
    pub fn judging_by(mut self, standards: Standards) -> App {
        self.standards = standards;
        self
    }
}

/// The app as handlers get it.
pub type Shared = Arc<App>;

/// Runs blocking work (the book, the engine) off the async threads.
pub async fn run<T, F>(app: Shared, work: F) -> Result<T, Failure>
where
    T: Send + 'static,
    F: FnOnce(&App) -> Result<T, Failure> + Send + 'static,
{
    match tokio::task::spawn_blocking(move || work(&app)).await {
        Ok(done) => done,
        // A panic in the work: the message is on the terminal, the scout gets a way back.
        Err(_) => Err(Failure::Ours),
    }
}
