//! Questions about what the office keeps of plants: specimens, plants to come back to, audits.

use super::Entry;
use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::record::{Audit, ComeBack, Voucher};

impl Book {
    /// The specimens of a determination or an unknown, of any version of it.
    pub fn vouchers(&self, about: RecordId) -> Result<Vec<Entry<Voucher>>, BookError> {
        self.children("about", about)
    }

    /// All specimens of the book.
    pub fn vouchers_all(&self) -> Result<Vec<Entry<Voucher>>, BookError> {
        self.all()
    }

    /// The current version of a specimen; `None` when the id is not that of one.
    pub fn voucher(&self, id: RecordId) -> Result<Option<Entry<Voucher>>, BookError> {
        self.current(id)
    }

    /// The flags to come back to a determination or an unknown, done ones too.
    pub fn come_backs(&self, about: RecordId) -> Result<Vec<Entry<ComeBack>>, BookError> {
        self.children("about", about)
    }

    /// All flags to come back to a plant, done ones too.
    pub fn come_backs_all(&self) -> Result<Vec<Entry<ComeBack>>, BookError> {
        self.all()
    }

    /// The current version of a flag to come back; `None` when the id is not that of one.
    pub fn come_back(&self, id: RecordId) -> Result<Option<Entry<ComeBack>>, BookError> {
        self.current(id)
    }

    /// The audits drawn of a visit.
    pub fn audits(&self, visit: RecordId) -> Result<Vec<Entry<Audit>>, BookError> {
        self.children("visit", visit)
    }

    /// All audits of the book.
    pub fn audits_all(&self) -> Result<Vec<Entry<Audit>>, BookError> {
        self.all()
    }

    /// The current version of an audit; `None` when the id is not that of one.
    pub fn audit(&self, id: RecordId) -> Result<Option<Entry<Audit>>, BookError> {
        self.current(id)
    }
}
