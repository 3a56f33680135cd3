//! Safe for years, in the office: another book merged in, what people have to settle after that, the
//! state of the book, its backups.
//!
//! In: uploads, presses of a button. Out: pages; `backups` is what the program's own thread runs.
//! Not here: what merging, backing up and examining are (crate `fieldbook`).

use std::sync::{Mutex, MutexGuard, PoisonError};

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn;
use axum::routing::{get, post};
use standbook_fieldbook::safe::doctor::Checkup;
use standbook_fieldbook::safe::merge::Merged;

use crate::app::Shared;
use crate::bring_in::Looks;
use crate::phones::office_only;

pub mod backups;
pub mod checkup;
mod merge_page;
pub mod said;
pub(crate) mod settle;
mod state_page;
mod upload;

pub use backups::Backups;

/// What the office's pages remember as long as the program runs.
#[derive(Debug, Default)]
pub struct Remembered {
    checkup: Mutex<Option<Checkup>>,
    merged: Mutex<Option<(String, Merged)>>,
    /// Files that were looked at and wait to be kept.
    pub(crate) looks: Looks,
}

impl Remembered {
    /// The last examination.
    fn checkup(&self) -> MutexGuard<'_, Option<Checkup>> {
        // Each is replaced as a whole: a panic elsewhere leaves the one before.
        self.checkup.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The last merge, with the name of the file.
    fn merged(&self) -> MutexGuard<'_, Option<(String, Merged)>> {
        self.merged.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    // A book's file may be of any size; it goes to disk as it arrives.
    let upload = post(merge_page::merge).layer(DefaultBodyLimit::disable());
    Router::new()
        .route("/desk/merge", get(merge_page::show).merge(upload))
        .route("/desk/settle", get(settle::show).post(settle::settle))
        .route("/desk/book", get(state_page::show))
        .route("/desk/book/examine", post(state_page::examine))
        .route("/desk/book/backup", post(state_page::back_up))
        .route_layer(from_fn(office_only))
}
