//! `standbook bring-in`: points, frames or determinations of a file, into a visit of a book.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use standbook_fieldbook::{Book, RecordId};
use standbook_identify::Table;
use standbook_import::bring::{self, Looked, Said, State, Target, What};
use standbook_key::fault::short;
use standbook_web::evidence::weighed;

use crate::embedded;
use crate::laid::{LaidOptions, usual};
use crate::text::{head, print, wrapped};
use crate::trouble::Trouble;

/// Lines told at once; the report has them all.
const MOST_TOLD: usize = 50;

/// What the command line says.
#[derive(Debug, clap::Args)]
pub struct Options {
    /// The book
    book: PathBuf,
    /// The file
    file: PathBuf,
    /// What the file holds: points, frames or determinations
    #[arg(long)]
    what: String,
    /// The visit it belongs to, by id; it stands in the address of the visit's page
    #[arg(long)]
    visit: String,
    /// Only look what would come; nothing is written
    #[arg(long)]
    look: bool,
    /// Write the whole report as JSON into this file
    #[arg(long, value_name = "FILE.json")]
    report: Option<PathBuf>,
    /// Who walked, where the file does not say
    #[arg(long, default_value = "")]
    scout: String,
    /// Who brings it in; stands with the records
    #[arg(long, default_value = "")]
    by: String,
    /// The plot, by name, where the file does not say
    #[arg(long)]
    plot: Option<String>,
    /// Make plots and points that the file names and the visit lacks
    #[arg(long)]
    make_missing: bool,
    /// Key folder; without it the key inside the program
    #[arg(long)]
    key: Option<PathBuf>,
    #[command(flatten)]
    laid: LaidOptions,
}

fn wrong_option(message: String, hint: &str) -> Trouble {
    Trouble::CommandLine {
        message,
        hint: hint.to_owned(),
    }
}

/// Looks at the file, and keeps it unless it is only to be looked at.
pub fn bring_in(options: &Options) -> Result<(), Trouble> {
    let what = What::from_id(&options.what).ok_or_else(|| {
        let message = format!(
            "--what `{}` is nothing that can be brought in",
            short(&options.what)
        );
        wrong_option(message, "use points, frames or determinations")
    })?;
    let visit: RecordId = options.visit.parse().map_err(|error| {
        wrong_option(
            format!("--visit {error}"),
            "copy it from the address of the visit's page",
        )
    })?;
    let usual = usual(&options.laid)?;
    let key = embedded::key(options.key.as_deref())?;
    let table = Table::compile(&key);
    let book = Book::open(&options.book).map_err(|e| Trouble::yours(e, ""))?;
    let bytes = std::fs::read(&options.file).map_err(|e| {
        Trouble::yours(
            format!("can't read {}: {e}", options.file.display()),
            "give the file to bring in",
        )
    })?;
    let name = options.file.file_name().unwrap_or(options.file.as_os_str());
    let said = Said {
        what,
        file: name.to_string_lossy().into_owned(),
        by: options.by.clone(),
        scout: options.scout.clone(),
        plot: plot(&book, visit, options.plot.as_deref())?,
        usual,
        make_missing: options.make_missing,
    };
    let target = Target {
        book: &book,
        visit,
        key: &key,
        table: &table,
        weigh: &|evidence, situation| weighed(&table, evidence, situation),
    };
    let looked = bring::look(&target, &said, &bytes).map_err(|e| Trouble::yours(e, ""))?;
    if let Some(path) = &options.report {
        write(path, &looked)?;
    }
    if !looked.faults.is_empty() {
        return Err(told(&said.file, &looked));
    }
    if !options.look {
        bring::keep(&book, &looked).map_err(|e| Trouble::yours(e, ""))?;
    }
    print(say(&looked, options.look).trim_end())
}

/// The plot of the visit's planting that goes by a name.
fn plot(book: &Book, visit: RecordId, name: Option<&str>) -> Result<Option<RecordId>, Trouble> {
    let Some(name) = name else {
        return Ok(None);
    };
    let failed = |e| Trouble::yours(e, "");
    let Some(visit) = book.visit(visit).map_err(failed)? else {
        // The file's own look says what is wrong with the visit.
        return Ok(None);
    };
    let plots = book.plots(visit.body.planting).map_err(failed)?;
    let found = plots
        .iter()
        .find(|plot| plot.body.name.trim().eq_ignore_ascii_case(name.trim()));
    match found {
        Some(plot) => Ok(Some(plot.id)),
        None => {
            let names: Vec<&str> = plots.iter().map(|plot| plot.body.name.as_str()).collect();
            let message = format!("--plot: the planting has no plot `{}`", short(name));
            Err(wrong_option(
                message,
                &format!("its plots are: {}", names.join(", ")),
            ))
        }
    }
}

/// Tells faults on standard error, which may be closed; nothing else can be done then.
fn told(file: &str, looked: &Looked) -> Trouble {
    let mut text = String::new();
    for wrong in looked.faults.iter().take(MOST_TOLD) {
        text += &format!("{file}: {}, {}\n", wrong.at, wrong.said);
    }
    if looked.faults.len() > MOST_TOLD {
        text += &format!("these are the first {MOST_TOLD}\n");
    }
    text += &format!(
        "\n{} fault(s) in {file}; nothing was written\n",
        looked.faults.len()
    );
    let _ = std::io::stderr().write_all(text.as_bytes());
    Trouble::Printed
}

fn say(looked: &Looked, only: bool) -> String {
    let mut out = String::new();
    let (new, already) = (looked.new, looked.already);
    let sum = match (new, only) {
        (0, _) => format!(
            "Nothing new: all {already} record(s) of {} are here already.",
            looked.file
        ),
        (new, true) => format!(
            "{new} record(s) would come from {}; {already} are here already. Nothing was written.",
            looked.file
        ),
        (new, false) => format!(
            "{new} record(s) came from {}; {already} were here already.",
            looked.file
        ),
    };
    wrapped(&mut out, "", "  ", &sum);
    if !looked.notes.is_empty() {
        head(&mut out, "To know");
        for note in &looked.notes {
            wrapped(&mut out, "  ", "    ", note);
        }
    }
    head(&mut out, "Lines");
    for item in looked.items.iter().take(MOST_TOLD) {
        let before = match item.state {
            State::New => "",
            State::Already => " (brought in before)",
        };
        wrapped(
            &mut out,
            "  ",
            "    ",
            &format!("{}: {}{before}", item.at, item.becomes),
        );
    }
    if looked.items.len() > MOST_TOLD {
        let all = looked.items.len();
        wrapped(
            &mut out,
            "  ",
            "    ",
            &format!("and {} more; --report has them all", all - MOST_TOLD),
        );
    }
    out
}

fn write(path: &Path, looked: &Looked) -> Result<(), Trouble> {
    let failed = |e: &dyn std::fmt::Display| {
        Trouble::yours(
            format!("{}: the report can't be written: {e}", path.display()),
            "nothing was brought in; choose another file for the report",
        )
    };
    let mut text = serde_json::to_string_pretty(looked).map_err(|e| failed(&e))?;
    text.push('\n');
    std::fs::write(path, text).map_err(|e| failed(&e))
}
