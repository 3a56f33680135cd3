//! The command line of `standbook stand`.
//!
//! In: options as typed. Out: days, what is laid where the file does not say, how sure; or what is
//! wrong with an option, which ends with exit code 2.
//! Units: as the option's name says. Not here: names of taxa (`super::names`).

use std::path::PathBuf;

use jiff::civil::Date;
use standbook_key::fault::short;
use standbook_key::standards::Purpose;
use standbook_stand::confidence::Confidence;

use super::frames::Usual;
use crate::trouble::Trouble;

/// What the command line says.
#[derive(Debug, clap::Args)]
pub struct Options {
    /// Frames: CSV with the columns `point,frame,cell,taxon` (grids) or `point,frame,taxon,count`
    /// (quadrats, rows); `-` reads standard input. A line without a taxon says: looked, none
    pub(super) frames: PathBuf,
    /// What was sown: taxa of the key by id or name, with commas between
    #[arg(long, value_delimiter = ',')]
    pub(super) planted: Vec<String>,
    /// What the planting is for: forage, biomass, conservation or wildlife; without it
    /// conservation
    #[arg(long)]
    pub(super) purpose: Option<String>,
    /// Day of seeding, such as 2026-05-12
    #[arg(long)]
    pub(super) seeded: Option<String>,
    /// Day of the visit; without it the last day in the column `date`
    #[arg(long, requires = "seeded")]
    pub(super) visited: Option<String>,
    /// State of the field, such as NE or Nebraska, for thresholds that hold there only
    #[arg(long, default_value = "")]
    pub(super) state: String,
    /// The planting is watered
    #[arg(long)]
    pub(super) irrigated: bool,
    /// Cells of a grid, where the file does not say
    #[arg(long, default_value_t = 25)]
    pub(super) cells: u32,
    /// Side of a cell in cm, where the file does not say
    #[arg(long, default_value_t = 15.0)]
    pub(super) cell_side_cm: f64,
    /// Area of a quadrat in m2, where the file does not say
    #[arg(long)]
    pub(super) quadrat_m2: Option<f64>,
    /// Length of counted row in m, where the file does not say
    #[arg(long, requires = "row_spacing_cm", conflicts_with = "quadrat_m2")]
    pub(super) row_m: Option<f64>,
    /// Distance between rows in cm
    #[arg(long)]
    pub(super) row_spacing_cm: Option<f64>,
    /// How sure the intervals are to be: 90, 95 or 99
    #[arg(long, default_value_t = 95)]
    pub(super) confidence: u32,
    /// Key folder; without it the key inside the program
    #[arg(long)]
    pub(super) key: Option<PathBuf>,
    /// Folder with thresholds of your own, added to those inside the program
    #[arg(long)]
    pub(super) standards: Option<PathBuf>,
    /// Print plants per m2 by every conversion for each species too
    #[arg(long)]
    pub(super) by_species: bool,
    /// Print one JSON object, with addresses of sources and numbers unrounded
    #[arg(long)]
    pub(super) json: bool,
}

fn wrong_option(message: String, hint: &str) -> Trouble {
    Trouble::CommandLine {
        message,
        hint: hint.to_owned(),
    }
}

/// How sure the intervals are to be.
pub(super) fn confidence(percent: u32) -> Result<Confidence, Trouble> {
    match percent {
        90 => Ok(Confidence::P90),
        95 => Ok(Confidence::P95),
        99 => Ok(Confidence::P99),
        other => Err(wrong_option(
            format!("there is no table for {other} %"),
            "use --confidence 90, 95 or 99",
        )),
    }
}

/// Years that a planting can lie in.
const YEARS: std::ops::RangeInclusive<i16> = 1900..=2200;

/// A day written as year, month and day; `None` if it is none.
pub(super) fn day(text: &str) -> Option<Date> {
    let day: Date = text.parse().ok()?;
    // The parser takes a time of day too, and drops it; a planting has none.
    (text.len() == 10 && YEARS.contains(&day.year())).then_some(day)
}

/// A day given by an option.
pub(super) fn date(option: &str, text: &str) -> Result<Date, Trouble> {
    day(text).ok_or_else(|| {
        wrong_option(
            format!("{option} `{}` is no date", short(text)),
            "write year, month and day, such as 2026-05-12",
        )
    })
}

/// What is laid where the file does not say.
pub(super) fn usual(options: &Options) -> Result<Usual, Trouble> {
    let above = |name: &str, value: Option<f64>, most: f64| match value {
        Some(value) if !(value > 0.0 && value <= most) => Err(wrong_option(
            format!("{name} {value} can't be"),
            &format!("give a number above 0 and up to {most}"),
        )),
        value => Ok(value),
    };
    above("--cell-side-cm", Some(options.cell_side_cm), 1000.0)?;
    if !(1..=10_000).contains(&options.cells) {
        return Err(wrong_option(
            format!("a grid of {} cells can't be", options.cells),
            "give 1 to 10000",
        ));
    }
    Ok(Usual {
        cells: options.cells,
        cell_side_cm: options.cell_side_cm,
        area_m2: above("--quadrat-m2", options.quadrat_m2, 10_000.0)?,
        row_m: above("--row-m", options.row_m, 1000.0)?,
        row_spacing_cm: above("--row-spacing-cm", options.row_spacing_cm, 500.0)?,
    })
}

/// What the planting is for.
pub(super) fn purpose(text: Option<&str>) -> Result<Purpose, Trouble> {
    let Some(text) = text else {
        return Ok(Purpose::Conservation);
    };
    Purpose::from_id(text).ok_or_else(|| {
        wrong_option(
            format!("`{}` is no purpose", short(text)),
            "use forage, biomass, conservation or wildlife",
        )
    })
}
