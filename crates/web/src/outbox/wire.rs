//! What an outbox sends, and what it is answered.

use axum::http::HeaderValue;
use serde::{Deserialize, Serialize};
use standbook_fieldbook::RecordId;

/// Name and version of the form.
pub(super) const FORMAT: &str = "standbook outbox 1";

/// Forms that wait on a phone.
#[derive(Debug, Deserialize)]
pub(super) struct Outbox {
    /// [`FORMAT`].
    pub format: String,
    /// When it was sent, by the phone's clock; spelled like [`Item::made`]. May be empty.
    #[serde(default)]
    pub sent: String,
    /// In the order in which they were saved.
    pub items: Vec<Item>,
    /// Photos with their bytes: only in files, one a file.
    #[serde(default)]
    pub photos: Vec<WrittenPhoto>,
}

/// A form that was saved on a phone.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Item {
    /// Id of the record to be (UUIDv7), as in the form.
    pub id: String,
    /// Where the form goes, such as `/at/ID/count`.
    pub to: String,
    /// Its fields, as a browser sends them (`application/x-www-form-urlencoded`).
    pub fields: String,
    /// When it was saved, by the phone's clock; UTC with milliseconds, RFC 3339.
    pub made: String,
}

/// A photo that a phone announces before it sends it, and with every piece of it.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Announced {
    /// Id of the record to be (UUIDv7, made on the phone).
    pub id: RecordId,
    /// The determination or unknown that it shows; for a view, the photo that it stands in for.
    pub of: RecordId,
    /// Hash of all its bytes, 64 lower-case hex digits.
    pub sha256: String,
    /// How many bytes it has.
    pub bytes: u64,
    /// Which part it shows.
    pub shows: String,
    /// Who took it; empty where nobody had written a name yet.
    pub author: String,
    /// When it was kept, by the phone's clock; UTC with milliseconds, RFC 3339.
    pub made: String,
    /// Whether it is a JPEG made of a photo that few browsers show.
    #[serde(default)]
    pub view: bool,
}

/// A photo in a file.
#[derive(Debug, Deserialize)]
pub(super) struct WrittenPhoto {
    /// As the phone would have announced it.
    #[serde(flatten)]
    pub announced: Announced,
    /// Its bytes in Base64 (RFC 4648, section 4).
    pub content: String,
}

/// Where a photo stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Standing {
    /// What the phone does next.
    pub state: PhotoState,
    /// How many of its bytes are here, from the first.
    pub have: u64,
    /// Where it can be seen; empty unless it is kept.
    pub to: String,
    /// In words, why it is not kept.
    pub why: Vec<String>,
}

/// What the phone does next with a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum PhotoState {
    /// Send the bytes from `have` on.
    More,
    /// Forget it: it is on this machine's disk and in the book.
    Kept,
    /// Send it when its plant has been sent.
    Plant,
    /// Send it again later: it is none the worse.
    Waiting,
    /// Send it again from the start: what arrived is not what was announced.
    Damaged,
    /// Leave it to a person.
    Refused,
}

/// What became of an outbox; every id of it is in one of the lists.
#[derive(Debug, Default, Serialize)]
pub(super) struct Answer {
    /// On this machine's disk.
    pub kept: Vec<Kept>,
    /// A person must mend these.
    pub refused: Vec<Refused>,
    /// Nothing is wrong with these; they must be sent again later.
    pub waiting: Vec<Refused>,
    /// How far the two clocks are apart, in words, where it matters.
    pub clock: Option<String>,
    /// What the last form that was kept has the browser remember: who saved, and where.
    #[serde(skip)]
    pub remember: Vec<HeaderValue>,
}

impl Answer {
    /// Adds what became of another outbox.
    pub fn add(&mut self, other: Answer) {
        self.kept.extend(other.kept);
        self.refused.extend(other.refused);
        self.waiting.extend(other.waiting);
    }
}

/// A form that is kept.
#[derive(Debug, Serialize)]
pub(super) struct Kept {
    pub id: String,
    /// Where its page would have led.
    pub to: String,
}

/// A form that is not kept.
#[derive(Debug, Serialize)]
pub(super) struct Refused {
    pub id: String,
    /// In words, what is wrong and how to mend it.
    pub why: Vec<String>,
}

/// Reads an outbox; in words what it is not.
pub(super) fn read(bytes: &[u8]) -> Result<Outbox, String> {
    let outbox: Outbox = serde_json::from_slice(bytes).map_err(|e| {
        format!("This is no file of unsent records ({e}). Nothing was taken from it. Choose the file that the phone wrote.")
    })?;
    if outbox.format != FORMAT {
        let found: String = outbox.format.chars().take(40).collect();
        return Err(format!(
            "The unsent records have the form \u{201c}{found}\u{201d}, and this program reads \u{201c}{FORMAT}\u{201d}. Nothing was taken. Use the program of the version that the phone was loaded with."
        ));
    }
    Ok(outbox)
}
