//! `standbook doctor`: what is wrong with a book. Writes nothing.

use std::path::PathBuf;

use standbook_fieldbook::safe::doctor::Checkup;
use standbook_identify::Table;
use standbook_web::safe::checkup::examine;
use standbook_web::words::number_of;

use crate::embedded;
use crate::text::{print, wrapped};
use crate::trouble::Trouble;

/// What the command line says.
#[derive(Debug, clap::Args)]
pub struct Options {
    /// The book; it may be in use
    book: PathBuf,
    /// Print one JSON object
    #[arg(long)]
    json: bool,
    /// Key folder, to weigh stored answers again by; without it the key inside the program
    #[arg(long, value_name = "DIR")]
    key: Option<PathBuf>,
}

/// Prints every finding; trouble when there is one.
pub fn doctor(options: &Options) -> Result<(), Trouble> {
    let key = embedded::key(options.key.as_deref())?;
    let table = Table::compile(&key);
    let checkup = examine(&options.book, &key, &table).map_err(|e| Trouble::yours(e, ""))?;
    let text = match options.json {
        true => serde_json::to_string_pretty(&checkup)
            .map_err(|e| Trouble::yours(format!("the findings can't be written: {e}"), ""))?,
        false => in_words(&checkup),
    };
    print(text.trim_end())?;
    match checkup.findings.is_empty() {
        true => Ok(()),
        false => Err(Trouble::Printed),
    }
}

fn in_words(checkup: &Checkup) -> String {
    let mut out = String::new();
    for finding in &checkup.findings {
        wrapped(&mut out, "", "  ", &finding.says);
        for place in &finding.places {
            wrapped(&mut out, "  - ", "    ", place);
        }
        let more = finding.count - finding.places.len();
        if more > 0 {
            wrapped(&mut out, "  - ", "    ", &format!("and {more} more"));
        }
        wrapped(&mut out, "  ", "  ", &finding.mend);
        out.push('\n');
    }
    let figures = &checkup.figures;
    let verdict = match checkup.findings.len() {
        0 => "sound".to_owned(),
        n => number_of(n, "finding"),
    };
    let line = format!(
        "{}: {verdict}. {}, {} of pictures, version {}",
        checkup.book,
        number_of(figures.records, "record"),
        number_of(figures.photo_files, "file"),
        figures.version
    );
    wrapped(&mut out, "", "  ", &line);
    out
}
