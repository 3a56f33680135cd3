//! Files that were looked at, until they are kept or others take their place.
//!
//! They are held in memory: a file that was only looked at leaves nothing on disk.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use standbook_fieldbook::RecordId;
use standbook_import::bring::{Looked, Said};

/// How many are remembered; each may be as large as a file may.
const MOST: usize = 3;

/// A file that was looked at.
#[derive(Debug)]
pub(crate) struct Look {
    /// Names it in addresses.
    pub id: RecordId,
    /// The visit it belongs to.
    pub visit: RecordId,
    /// What a person said about it.
    pub said: Said,
    /// The file.
    pub bytes: Vec<u8>,
    /// What was seen in it.
    pub looked: Looked,
    /// How many records came, once it was kept.
    pub kept: Option<usize>,
    /// Whether the book has changed since it was looked at before.
    pub anew: bool,
}

/// The last few.
#[derive(Debug, Default)]
pub(crate) struct Looks(Mutex<VecDeque<Arc<Look>>>);

impl Looks {
    /// One of them, if it is still remembered.
    pub(super) fn get(&self, id: RecordId) -> Option<Arc<Look>> {
        let looks = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        looks.iter().find(|look| look.id == id).cloned()
    }

    /// Remembers one, in place of an earlier one of its id or of the oldest.
    pub(super) fn put(&self, look: Look) {
        // Each is replaced as a whole: a panic elsewhere leaves the list sound.
        let mut looks = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        looks.retain(|other| other.id != look.id);
        while looks.len() >= MOST {
            looks.pop_front();
        }
        looks.push_back(Arc::new(look));
    }
}
