//! What an outbox sends, and what it is answered.

use axum::http::HeaderValue;
use serde::{Deserialize, Serialize};

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
