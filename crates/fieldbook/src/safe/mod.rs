//! Safe for years: several books become one, a book has copies that can be trusted, and a book can
//! be examined.
//!
//! - `merge`: the union of two books by record id (`source`, `tables`, `union`, `came`, `pictures`).
//! - `both`: what was corrected on two books by people who did not know of each other, and what two
//!   people call by different names. Nothing is chosen in silence.
//! - `backup`: whole copies with a manifest, kept in rotation; and back again (`backup::restore`).
//! - `doctor`: what is wrong with a book. It never writes.
//!
//! What all of them hold: a file that they write has a temporary name until it is whole, on disk and
//! verified; nothing is ever deleted but copies that they made themselves.
//! Not here: replaying determinations (crate `web`, which knows the engine), pages, commands.

pub mod backup;
pub mod both;
mod came;
mod copy;
pub mod differ;
pub mod doctor;
pub mod merge;
pub mod misfit;
mod pictures;
mod scratch;
mod source;
mod tables;
mod union;

use std::path::Path;

pub use scratch::Scratch;

use crate::error::BookError;
use crate::open::folder_of;

/// Room that nothing but saving may use, bytes: what keeps a book safe must not fill its disk.
pub(crate) const RESERVE: u64 = 32_000_000;

/// Whether so many bytes more find room beside a book, and saving still has some after that.
///
/// Errors: [`BookError::Full`].
pub fn room_for(book: &Path, bytes: usize) -> Result<(), BookError> {
    // A system that cannot tell lets the disk itself say so.
    let left = fs4::available_space(folder_of(book)).unwrap_or(u64::MAX);
    match left.saturating_sub(RESERVE) >= u64::try_from(bytes).unwrap_or(u64::MAX) {
        true => Ok(()),
        false => Err(BookError::Full {
            path: book.to_owned(),
        }),
    }
}
