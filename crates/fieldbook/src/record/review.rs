//! What is said and shown about other records: opinions and photos.
//!
//! Units: the size of a photo in bytes.
//! Not here: the pictures themselves, which are files beside the book.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Evidence;
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
    /// How sure `taxon` is; `None`: sure. Only with a taxon.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub qualifier: Option<Qualifier>,
    /// Sure of the genus only, such as `Setaria`; only without a taxon.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub genus: Option<String>,
    /// Whether it was given before the first answer was shown.
    #[serde(default, skip_serializing_if = "is_false")]
    pub blind: bool,
    /// What the reviewer saw; `None` when no plant was walked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub evidence: Option<Evidence>,
}

impl Opinion {
    /// An opinion on something that says nothing yet, to be filled in.
    pub fn on(about: RecordId) -> Opinion {
        Opinion {
            about,
            taxon: None,
            name_as_written: String::new(),
            reasons: String::new(),
            qualifier: None,
            genus: None,
            blind: false,
            evidence: None,
        }
    }
}

#[allow(clippy::trivially_copy_pass_by_ref)] // serde asks for a reference
fn is_false(value: &bool) -> bool {
    !value
}

/// Doubt about a name. Authors mean different things by these signs (Sigovini, Keppel & Tagliapietra
/// 2016, Methods in Ecology and Evolution 7:1217-1225, from memory), so the book says what it means.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Qualifier {
    /// *Confer*: it looks like the taxon, and has to be compared with a sure one.
    Cf,
    /// *Affinis*: near the taxon, but not it.
    Aff,
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
