//! Taking a book out: everything that it holds, in formats that other programs read.
//!
//! In: a book, a key that names what its ids stand for, a [`Request`]. Out: one file, whole or not at all,
//! written as the book is read: a book of any size leaves in little memory. Formats: [`Format`].
//!
//! Every format goes through `leaving`, which knows what may be seen: places blurred (`blur`), people by
//! number (`people`), pictures without metadata (`pictures`). `settled` says under which name a plant
//! leaves; `tables` is what CSV and SQLite have in common.
//!
//! Not here: pages, command lines, clocks. Other programs read what is written in
//! `tests/beside/exports.py`, which `cargo xtask beside` runs.

mod blur;
mod csv_tables;
mod darwin_core;
mod error;
mod files;
mod formulas;
mod geojson;
mod gpx;
mod ground;
mod leaving;
mod people;
mod pictures;
mod request;
mod settled;
mod sqlite;
mod tables;
mod taxa;
mod wkt;
mod zipped;

#[cfg(test)]
mod tests;

use std::io::{BufWriter, Write};
use std::path::Path;

use standbook_fieldbook::Book;

pub use error::ExportError;
pub use files::whole;
pub use formulas::guarded;
pub use leaving::Given;
pub use request::{BLUR_M, Format, Request, Scope, find, plantings};

use error::Done;
use leaving::Leaving;

/// What left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// Rows by file or table; features, waypoints.
    pub rows: Vec<(String, u64)>,
    /// What whoever takes the file has to know, sentences.
    pub warnings: Vec<String>,
}

/// Takes a book out into a file. What lies there is replaced by a whole one only.
///
/// Errors: [`ExportError`].
pub fn take_out(
    book: &Book,
    given: Given<'_>,
    request: &Request,
    out: &Path,
) -> Result<Taken, ExportError> {
    request.check()?;
    whole(out, |part| match request.format {
        Format::Sqlite => from(book, given, request, |leaving| sqlite::write(leaving, part)),
        _ => {
            let file = files::create(part)?;
            write(
                book,
                given,
                request,
                BufWriter::with_capacity(1 << 16, file),
            )
        }
    })
}

/// Takes a book out to wherever bytes go. An SQLite file is no stream: for that there is [`take_out`].
///
/// Errors: [`ExportError`].
pub fn write(
    book: &Book,
    given: Given<'_>,
    request: &Request,
    to: impl Write,
) -> Result<Taken, ExportError> {
    request.check()?;
    from(book, given, request, |leaving| match request.format {
        Format::DarwinCore => darwin_core::write(leaving, to),
        Format::Csv => csv_tables::write(leaving, to),
        Format::GeoJson => Ok(vec![("features".to_owned(), geojson::write(leaving, to)?)]),
        Format::Gpx => {
            let (seen, planned) = gpx::write(leaving, to)?;
            let rows = [("points of visits", seen), ("points of plans", planned)];
            Ok(rows.map(|(what, many)| (what.to_owned(), many)).to_vec())
        }
        Format::Sqlite => Err(ExportError::Request {
            field: "--as",
            problem: "an SQLite file is no stream".to_owned(),
            mend: "Write it into a file".to_owned(),
        }),
    })
}

fn from(
    book: &Book,
    given: Given<'_>,
    request: &Request,
    work: impl FnOnce(&Leaving) -> Done<Vec<(String, u64)>>,
) -> Done<Taken> {
    book.at_one_moment(|moment| {
        let leaving = Leaving::new(book, moment, request, given)?;
        let rows = work(&leaving)?;
        Ok(Taken {
            rows,
            warnings: leaving.warnings(),
        })
    })
}
