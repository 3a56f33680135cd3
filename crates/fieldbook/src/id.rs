//! The id of a record: a UUIDv7 made where the record is born.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
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

    /// The instant inside the id as a record's `born_at` wants it; the epoch for a UUID that is
    /// not version 7. A form that carries its record's id thus gives the same record however
    /// often it is sent.
    pub fn born_at(self) -> String {
        let (seconds, nanos) = self
            .0
            .get_timestamp()
            .map_or((0, 0), |stamp| stamp.to_unix());
        let instant = i64::try_from(seconds)
            .ok()
            .and_then(|s| jiff::Timestamp::new(s, i32::try_from(nanos).unwrap_or(0)).ok())
            .unwrap_or(jiff::Timestamp::UNIX_EPOCH);
        crate::time::stamp(instant)
    }

    /// The n-th id after this one, of the same instant: for a form that makes several records and
    /// must make the same ones when it is sent again.
    #[must_use]
    pub fn following(self, n: u8) -> Self {
        RecordId(Uuid::from_u128(self.0.as_u128().wrapping_add(n.into())))
    }

    /// The last twelve digits, hexadecimal: short enough to be typed off a label, and all of them
    /// random, so that two records of a book hardly share them.
    pub fn tail(self) -> String {
        self.to_string().chars().skip(24).collect()
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

impl JsonSchema for RecordId {
    fn schema_name() -> Cow<'static, str> {
        "RecordId".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "format": "uuid",
            "description": "Names one record of any kind, in any book, for ever: a UUID of version 7, made where the record is born.",
        })
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
        if text.len() == 36
            && let Ok(uuid) = Uuid::try_parse(text)
        {
            return Ok(RecordId(uuid));
        }
        Err(NotAnId(text.chars().take(60).collect()))
    }
}
