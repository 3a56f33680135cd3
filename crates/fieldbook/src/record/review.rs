//! What is said and shown about other records: opinions and photos.
//!
//! Units: the size of a photo in bytes.
//! Not here: the pictures themselves, which are files beside the book.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::id::RecordId;

/// A second opinion. It adds; it overwrites nothing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Opinion {
    /// The determination or unknown it is about.
    pub about: RecordId,
    /// The name given: a taxon id of the key, or `None`: no name of the key.
    pub taxon: Option<String>,
    /// The name in the reviewer's words as far as sure (`Setaria sp.`, `cf. ...`); may be empty
    /// when `taxon` says it all.
    pub name_as_written: String,
    /// Why, in the reviewer's words; may be empty.
    pub reasons: String,
}

/// A picture of something recorded; the file lies beside the book under its hash.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// The record it shows.
    pub of: RecordId,
    /// SHA-256 of the file, 64 hex digits.
    pub sha256: String,
    /// `image/jpeg`, `image/png`, `image/webp`, `image/heic` or `image/heif`, found from the bytes.
    pub media_type: String,
    /// Size of the file, bytes.
    pub bytes: u64,
    /// Which part it shows, such as `collar`; may be empty.
    pub shows: String,
}
