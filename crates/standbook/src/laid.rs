//! Options on what was laid where a file of frames does not say, and on how it writes days: the
//! same for every command.
//!
//! Units: as the option's name says.

use standbook_import::dates::DateForm;
use standbook_import::frames::Usual;
use standbook_key::fault::short;

use crate::trouble::Trouble;

/// What was laid.
#[derive(Debug, clap::Args)]
pub struct LaidOptions {
    /// Cells of a grid, where the file does not say
    #[arg(long, default_value_t = 25)]
    cells: u32,
    /// Side of a cell in cm, where the file does not say
    #[arg(long, default_value_t = 15.0)]
    cell_side_cm: f64,
    /// Area of a quadrat in m2, where the file does not say
    #[arg(long)]
    quadrat_m2: Option<f64>,
    /// Length of counted row in m, where the file does not say
    #[arg(long, requires = "row_spacing_cm", conflicts_with = "quadrat_m2")]
    row_m: Option<f64>,
    /// Distance between rows in cm
    #[arg(long)]
    row_spacing_cm: Option<f64>,
    /// How the file writes days: iso, month-first, day-first or serial
    #[arg(long, default_value = "iso")]
    dates: String,
}

/// What is laid where the file does not say, and how days are written.
pub fn usual(options: &LaidOptions) -> Result<Usual, Trouble> {
    let wrong_option = |message: String, hint: &str| Trouble::CommandLine {
        message,
        hint: hint.to_owned(),
    };
    let above = |name: &str, value: Option<f64>, most: f64| match value {
        Some(value) if !(value > 0.0 && value <= most) => Err(wrong_option(
            format!("{name} {value} can't be"),
            &format!("give a number above 0 and up to {most}"),
        )),
        value => Ok(value),
    };
    let dates = DateForm::from_id(&options.dates).ok_or_else(|| {
        wrong_option(
            format!(
                "--dates `{}` is no way to write days",
                short(&options.dates)
            ),
            "use iso, month-first, day-first or serial",
        )
    })?;
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
        dates,
    })
}
