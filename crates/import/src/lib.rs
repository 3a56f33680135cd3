//! What was made elsewhere or on paper, read line by line into records.
//!
//! In: bytes of a file, or lines typed from a sheet, and the visit they belong to. Out: what each
//! line would become, what is wrong with it and how to mend it, and the records: all of them are
//! kept or none. A line of a file gives the same record whenever and by whomever it is sent.
//!
//! - [`bring::look`] reads a file against a book and writes nothing; [`bring::keep`] keeps what
//!   was looked at.
//! - [`frames`] reads frames without a book; `standbook stand` judges them so.
//! - [`typed`] reads lines such as `1 4 7-9: switchgrass`.
//!
//! Not here: pages, how evidence is weighed (the caller says), outlines of fields (crate `plan`).

pub mod bring;
pub mod dates;
mod decode;
pub use decode::MOST_BYTES;
mod delimited;
pub mod frames;
mod id;
mod lines;
pub mod names;
mod place;
pub mod sheet;
pub mod typed;
mod visited;

pub use lines::Lines;

/// A line from 1, and `column 3 (taxon): what is wrong; how to mend it`.
pub type Fault = (usize, String);
