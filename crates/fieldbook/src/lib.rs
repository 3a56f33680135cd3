//! The SQLite book: append-only records, photos, import and export.
//!
//! In: records as people entered them. Out: the same records, unchanged, and the present
//! state as a view over them. This crate knows no key, no engine and no page; it keeps
//! evidence as records.
//!
//! - [`Book`] is the way in: `append` keeps records, and is back only when they are on disk.
//! - A correction is a new record that names the one it supersedes. All corrections of one
//!   record are its *chain*; of the records of a chain that nobody supersedes, the one with the
//!   greatest (`born_at`, `id`) is *current*.
//! - A reference names the version that was current when it was written. Every question about
//!   "the children of X" therefore means the children of any version in X's chain.
//! - [`Moment`] goes through a whole book in little memory, for what takes it out.
//! - [`safe`] merges books, backs them up and back, and examines them.
//!
//! Not here: how thumbnails are made, estimates, names of traits and taxa.

mod book;
mod call;
mod check;
mod error;
mod exchange;
pub mod id;
mod kinds;
mod links;
mod moment;
pub mod named;
mod open;
mod photo;
mod read;
pub mod record;
mod removed;
pub mod safe;
mod schema;
mod sql;
pub mod time;
mod writer;

#[cfg(test)]
mod tests;

pub use book::Book;
pub use call::Kept;
pub use check::limits;
pub use error::{BookError, LineFault, Problem};
pub use exchange::Import;
pub use id::RecordId;
pub use moment::{Moment, Rooted};
pub use photo::{Made, NewPhoto, PHOTO_MAX_BYTES, photo_type};
pub use read::{
    BeforeSeeding, Entry, InShort, LISTS, List, Listed, Page, Under, VisitLine, VisitStamp,
};
pub use record::{Body, Record};
pub use schema::{APPLICATION_ID, SCHEMA_VERSION};
