//! The command line of `standbook stand`.
//!
//! In: options as typed. Out: days, how sure; or what is
//! wrong with an option, which ends with exit code 2.
//! Units: as the option's name says. Not here: names of taxa (`super::names`).

use std::path::PathBuf;

use jiff::civil::Date;
use standbook_import::dates::day;
use standbook_key::fault::short;
use standbook_key::standards::Purpose;
use standbook_stand::confidence::Confidence;

use crate::laid::LaidOptions;
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
    #[command(flatten)]
    pub(super) laid: LaidOptions,
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

/// A day given by an option.
pub(super) fn date(option: &str, text: &str) -> Result<Date, Trouble> {
    day(text).ok_or_else(|| {
        wrong_option(
            format!("{option} `{}` is no date", short(text)),
            "write year, month and day, such as 2026-05-12",
        )
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
