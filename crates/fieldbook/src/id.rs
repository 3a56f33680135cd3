//! The id of a record: a UUIDv7 made where the record is born.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Names one record of any kind, in any book, for ever. Text form: 36 lower-case characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct RecordId(Uuid);

/// Text that is not a UUID.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a record id (36 characters, such as 0197f3a2-7c1e-7abc-8def-0123456789ab)")]
pub struct NotAnId(
    /// The text, cut to 60 characters.
    pub String,
);

impl RecordId {
    /// A new id from this machine's clock and randomness.
    pub fn new() -> Self {
        RecordId(Uuid::now_v7())
    }

    /// Wraps a UUID made elsewhere (a phone, a generator with fixed seed).
    pub fn from_uuid(uuid: Uuid) -> Self {
        RecordId(uuid)
    }
}

impl Default for RecordId {
    fn default() -> Self {
        RecordId::new()
    }
}

impl fmt::Display for RecordId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.hyphenated().fmt(f)
    }
}

impl FromStr for RecordId {
    type Err = NotAnId;

    fn from_str(text: &str) -> Result<Self, NotAnId> {
        // Only the 36-character form: one id, one spelling.
        if text.len() == 36 {
            if let Ok(uuid) = Uuid::try_parse(text) {
                return Ok(RecordId(uuid));
            }
        }
        Err(NotAnId(text.chars().take(60).collect()))
    }
}
