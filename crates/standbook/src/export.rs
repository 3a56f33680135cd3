//! `standbook export`: a book in an open format.

use std::path::PathBuf;

use standbook_export::{Format, Given, Request, find, take_out};
use standbook_fieldbook::Book;
use standbook_web::words::today;

use crate::embedded;
use crate::text::{head, print, wrapped};
use crate::trouble::Trouble;

/// What `--as` takes.
const FORMATS: [&str; Format::ALL.len()] = {
    let mut ids = [""; Format::ALL.len()];
    let mut at = 0;
    while at < ids.len() {
        ids[at] = Format::ALL[at].0;
        at += 1;
    }
    ids
};

/// What the command line says.
#[derive(Debug, clap::Args)]
pub struct Options {
    /// The book; it may be in use, and is never written to
    book: PathBuf,
    /// The format: darwin-core for biodiversity data, geojson for maps, gpx for receivers, csv for
    /// spreadsheets, sqlite for analysis
    #[arg(long = "as", value_name = "FORMAT", value_parser = FORMATS)]
    format: String,
    /// The file to write
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Only one planting: its name, `site, name`, or its id
    #[arg(long, value_name = "NAME-OR-ID")]
    planting: Option<String>,
    /// Only one visit, by its id
    #[arg(long, value_name = "ID")]
    visit: Option<String>,
    /// Move every place to the middle of a grid cell of this side, 10 to 100000 m; outlines stay here, and
    /// so do the names of sites, localities, owners and farm numbers
    #[arg(long, value_name = "METRES")]
    blur: Option<f64>,
    /// With --blur: let the words that say where it is go along
    #[arg(long, requires = "blur")]
    with_locality: bool,
    /// People and devices become numbers, such as `scout 1`
    #[arg(long)]
    without_names: bool,
    /// Notes, descriptions and reasons stay here
    #[arg(long)]
    without_notes: bool,
    /// Take pictures along, without what the camera wrote into them (darwin-core and csv)
    #[arg(long)]
    photos: bool,
    /// Take along what scouts practised and the rules for counting (csv and sqlite)
    #[arg(long)]
    practice: bool,
    /// Country for darwin-core, two letters, such as US
    #[arg(long, value_name = "CODE", default_value = "")]
    country: String,
    /// Key folder that names plants; without it the key inside the program
    #[arg(long, value_name = "DIR")]
    key: Option<PathBuf>,
}

/// Takes the book out and says what is in the file.
pub fn export(options: &Options) -> Result<(), Trouble> {
    let format = Format::from_id(&options.format).ok_or_else(|| Trouble::CommandLine {
        message: format!("there is no format `{}`", options.format),
        hint: format!("choose one of {}", FORMATS.join(", ")),
    })?;
    let key = embedded::key(options.key.as_deref())?;
    let book = Book::open_read_only(&options.book).map_err(|e| Trouble::yours(e, ""))?;
    let yours = |e: standbook_export::ExportError| Trouble::yours(e, "");
    let scope =
        find(&book, options.planting.as_deref(), options.visit.as_deref()).map_err(yours)?;
    let request = Request {
        format,
        scope,
        blur_m: options.blur,
        locality: options.with_locality,
        names: !options.without_names,
        notes: !options.without_notes,
        photos: options.photos,
        practice: options.practice,
        country: options.country.clone(),
    };
    let given = Given {
        key: &key,
        today: &today(),
    };
    let taken = take_out(&book, given, &request, &options.out).map_err(yours)?;
    let mut said = format!("{}\n", options.out.display());
    for (what, many) in &taken.rows {
        wrapped(&mut said, "  ", "    ", &format!("{what}: {many}"));
    }
    if !taken.warnings.is_empty() {
        head(&mut said, "Before you pass it on");
        for warning in &taken.warnings {
            wrapped(&mut said, "  - ", "    ", warning);
        }
    }
    print(said.trim_end())
}
