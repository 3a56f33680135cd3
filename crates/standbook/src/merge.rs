//! `standbook merge`: everything that another book holds, added to a book.

use std::path::{Path, PathBuf};

use standbook_fieldbook::Book;
use standbook_fieldbook::safe::merge::Merged;
use standbook_web::safe::said::parts;

use crate::embedded;
use crate::text::{head, print, wrapped};
use crate::trouble::Trouble;

/// What the command line says.
#[derive(Debug, clap::Args)]
pub struct Options {
    /// The book that takes everything in
    into: PathBuf,
    /// The other book, or an exchange file; it stays as it is
    from: PathBuf,
    /// Write the whole report as JSON into this file
    #[arg(long, value_name = "FILE.json")]
    report: Option<PathBuf>,
    /// Only look what would come; nothing is written
    #[arg(long)]
    look: bool,
}

/// Merges, and says what came and what people have to look at.
pub fn merge(options: &Options) -> Result<(), Trouble> {
    let book = Book::open(&options.into).map_err(|e| Trouble::yours(e, ""))?;
    let merged = book
        .merge(&options.from, options.look)
        .map_err(|e| Trouble::yours(e, ""))?;
    if let Some(path) = &options.report {
        write(path, &merged)?;
    }
    let key = embedded::key(None)?;
    let name = |id: &str| {
        let taxon = key.taxon(id);
        taxon.map_or_else(|| id.to_owned(), |taxon| taxon.common_name.clone())
    };
    let mut out = String::new();
    let (from, into) = (options.from.display(), options.into.display());
    wrapped(&mut out, "", "  ", &format!("{from} into {into}"));
    for part in parts(&merged, &name) {
        head(&mut out, part.title);
        for line in &part.lines {
            wrapped(&mut out, "  ", "    ", line);
        }
    }
    print(out.trim_end())
}

fn write(path: &Path, merged: &Merged) -> Result<(), Trouble> {
    let failed = |e: &dyn std::fmt::Display| {
        Trouble::yours(
            format!("{}: the report can't be written: {e}", path.display()),
            "the books are merged all the same; choose another file and merge again, which adds nothing twice",
        )
    };
    let mut text = serde_json::to_string_pretty(merged).map_err(|e| failed(&e))?;
    text.push('\n');
    std::fs::write(path, text).map_err(|e| failed(&e))
}
