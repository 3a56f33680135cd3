//! What is laid on the ground: a grid of cells, a quadrat, or a length of drilled row.
//!
//! In: the fields of a form or an address, or a device of the book. Out: the device as typed (a
//! wrong number comes back as it was), and the shape that the book keeps, or what is wrong.
//! Fields: `device` (`grid`, `quadrat`, `row`), then `cells` and `side` (cm); `area` and `unit`
//! (`m2`, `ft2`), or `hoop` and `hoop_unit` (`cm`, `in`) for a ring; `length` and `length_unit`
//! (`m`, `ft`), `spacing` and `spacing_unit` (`cm`, `in`).
//! Source: a ring of diameter d holds pi d^2 / 4; the foot is 0.3048 m, the inch 2.54 cm, exact.
//! Not here: what is counted in it (`draft`).

use standbook_fieldbook::limits;
use standbook_fieldbook::record::{FrameShape, SeedingMethod};

use super::draft::short;
use crate::form::Form;
use crate::plot::filled::Troubles;
use crate::words::{self, CM_PER_INCH, M2_PER_FT2};

/// Cells of the trade's frame.
pub(crate) const CELLS: u32 = 25;
/// Side of its cells, cm.
pub(crate) const CELL_SIDE_CM: f64 = 15.0;
/// Metres in a foot, exact.
pub(crate) const M_PER_FOOT: f64 = 0.3048;

/// What is laid, as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Device {
    /// A grid of cells.
    Grid {
        /// Number of cells.
        cells: String,
        /// Side of a cell, cm.
        side: String,
    },
    /// An area in which plants are counted.
    Quadrat {
        /// Area, in `unit`.
        area: String,
        /// `m2` or `ft2`.
        unit: String,
    },
    /// A length of drilled row along which plants are counted.
    Row {
        /// Length, in `unit`.
        length: String,
        /// `m` or `ft`.
        unit: String,
        /// Distance between rows, in `spacing_unit`.
        spacing: String,
        /// `cm` or `in`.
        spacing_unit: String,
    },
}

/// A length or area in the unit in which it was most likely typed: both texts are exact, and
/// the shorter one is it.
fn as_typed(value: f64, own: &str, factor: f64, other: &str) -> (String, String) {
    let (here, there) = (words::plain(value), words::plain(value / factor));
    let exact = |text: &str, factor: f64| {
        text.parse()
            .is_ok_and(|typed: f64| (typed * factor - value).abs() < 1e-9)
    };
    if exact(&there, factor) && (!exact(&here, 1.0) || there.len() < here.len()) {
        (there, other.to_owned())
    } else if exact(&here, 1.0) {
        (here, own.to_owned())
    } else {
        (value.to_string(), own.to_owned())
    }
}

/// Reads a number above 0, with a comma for the point if somebody likes that.
fn above_zero(text: &str, most: f64) -> Option<f64> {
    let value: f64 = text.replace(',', ".").parse().ok()?;
    (value > 0.0 && value <= most).then_some(value)
}

/// Rounded to ten decimals, so that no digit is an accident of arithmetic.
fn rounded(value: f64) -> f64 {
    (value * 1e10).round() / 1e10
}

impl Device {
    /// The trade's frame.
    pub fn usual() -> Device {
        Device::of(FrameShape::Grid {
            cells: CELLS,
            cell_side_cm: CELL_SIDE_CM,
        })
    }

    /// A device of the book.
    pub fn of(shape: FrameShape) -> Device {
        match shape {
            FrameShape::Grid {
                cells,
                cell_side_cm,
            } => Device::Grid {
                cells: cells.to_string(),
                side: cell_side_cm.to_string(),
            },
            FrameShape::Quadrat { area_m2 } => {
                let (area, unit) = as_typed(area_m2, "m2", M2_PER_FT2, "ft2");
                Device::Quadrat { area, unit }
            }
            FrameShape::Row {
                length_m,
                row_spacing_cm,
            } => {
                let (length, unit) = as_typed(length_m, "m", M_PER_FOOT, "ft");
                let (spacing, spacing_unit) = as_typed(row_spacing_cm, "cm", CM_PER_INCH, "in");
                Device::Row {
                    length,
                    unit,
                    spacing,
                    spacing_unit,
                }
            }
        }
    }

    /// The device a form or an address names, if it names one. A ring that can't be read gives a
    /// quadrat without an area.
    pub fn read(form: &Form) -> Option<Device> {
        match form.get("device") {
            "quadrat" if !form.has("area") && form.has("hoop") => {
                let (area, unit) = ring(form.get("hoop"), form.get("hoop_unit"))
                    .unwrap_or_else(|| (String::new(), "m2".to_owned()));
                Some(Device::Quadrat { area, unit })
            }
            "quadrat" => Some(Device::Quadrat {
                area: form.get("area").to_owned(),
                unit: form.get("unit").to_owned(),
            }),
            "row" => Some(Device::Row {
                length: form.get("length").to_owned(),
                unit: form.get("length_unit").to_owned(),
                spacing: form.get("spacing").to_owned(),
                spacing_unit: form.get("spacing_unit").to_owned(),
            }),
            "grid" => Some(Device::Grid {
                cells: form.get("cells").to_owned(),
                side: form.get("side").to_owned(),
            }),
            _ => None,
        }
    }

    /// A row whose spacing is not said gets that of the planting, where it was drilled.
    pub fn spaced_as(mut self, method: SeedingMethod) -> Device {
        if let Device::Row {
            spacing,
            spacing_unit,
            unit,
            ..
        } = &mut self
        {
            if spacing.is_empty()
                && let SeedingMethod::Drilled { row_spacing_cm } = method
            {
                (*spacing, *spacing_unit) = as_typed(row_spacing_cm, "cm", CM_PER_INCH, "in");
            }
            if spacing_unit.is_empty() {
                "in".clone_into(spacing_unit);
            }
            if unit.is_empty() {
                "ft".clone_into(unit);
            }
        }
        self
    }

    /// Its fields, as forms and addresses spell them.
    pub fn fields(&self) -> Vec<(&'static str, &str)> {
        match self {
            Device::Grid { cells, side } => {
                vec![("device", "grid"), ("cells", cells), ("side", side)]
            }
            Device::Quadrat { area, unit } => {
                vec![("device", "quadrat"), ("area", area), ("unit", unit)]
            }
            Device::Row {
                length,
                unit,
                spacing,
                spacing_unit,
            } => vec![
                ("device", "row"),
                ("length", length),
                ("length_unit", unit),
                ("spacing", spacing),
                ("spacing_unit", spacing_unit),
            ],
        }
    }

    /// Number of cells to draw; 0 where plants are counted, or when what was typed is no such
    /// number.
    pub fn cells(&self) -> u32 {
        match self {
            Device::Grid { cells, .. } => cells
                .parse()
                .ok()
                .filter(|n| (1..=limits::CELLS).contains(n))
                .unwrap_or(0),
            Device::Quadrat { .. } | Device::Row { .. } => 0,
        }
    }

    /// What the ids of its fields begin with, so that forms of several devices fit on one page.
    pub fn letter(&self) -> char {
        match self {
            Device::Grid { .. } => 'k',
            Device::Quadrat { .. } => 'p',
            Device::Row { .. } => 'r',
        }
    }

    /// Area and unit of a quadrat.
    pub fn quadrat(&self) -> Option<(&str, &str)> {
        match self {
            Device::Quadrat { area, unit } => Some((area, unit)),
            _ => None,
        }
    }

    /// Length, its unit, spacing and its unit, of a row.
    pub fn row_laid(&self) -> Option<(&str, &str, &str, &str)> {
        match self {
            Device::Row {
                length,
                unit,
                spacing,
                spacing_unit,
            } => Some((length, unit, spacing, spacing_unit)),
            _ => None,
        }
    }

    /// Whether its cells are marked; otherwise plants are counted.
    pub fn is_grid(&self) -> bool {
        matches!(self, Device::Grid { .. })
    }
}

/// Area of a ring of this diameter, to 0.0001 of its unit: in m2 for centimetres, in ft2 for
/// inches; `None` when it is no diameter.
pub(crate) fn ring(diameter: &str, unit: &str) -> Option<(String, String)> {
    let (per, area_unit) = match unit {
        "in" => (12.0, "ft2"),
        _ => (100.0, "m2"),
    };
    // A hoop of 20 m or more is a slip of the finger.
    let across = above_zero(diameter, 20.0 * per)? / per;
    let area = words::plain(std::f64::consts::PI * across * across / 4.0);
    (area != "0").then(|| (area, area_unit.to_owned()))
}

/// The shape of the book, or what is wrong with it.
pub(crate) fn shape(device: &Device, troubles: &mut Troubles) -> Option<FrameShape> {
    match device {
        Device::Grid { cells, side } => {
            let n = device.cells();
            if n == 0 {
                troubles.add(
                    "cells",
                    format!(
                        "\u{201c}{}\u{201d} is no number of cells. Use a whole number from 1 to {}.",
                        short(cells),
                        limits::CELLS
                    ),
                );
            }
            let cell_side_cm = above_zero(side, limits::CELL_SIDE_CM);
            if cell_side_cm.is_none() {
                troubles.add(
                    "side",
                    format!(
                        "\u{201c}{}\u{201d} is no side of a cell. Use centimetres above 0, up to {}.",
                        short(side),
                        limits::CELL_SIDE_CM
                    ),
                );
            }
            Some(FrameShape::Grid {
                cells: Some(n).filter(|n| *n > 0)?,
                cell_side_cm: cell_side_cm?,
            })
        }
        Device::Quadrat { area, unit } => {
            let units = match unit.as_str() {
                "ft2" => (M2_PER_FT2, "square feet"),
                _ => (1.0, "square metres"),
            };
            let what = ("area", "area of a quadrat");
            let area_m2 = measured(what, area, units, limits::AREA_M2, troubles)?;
            Some(FrameShape::Quadrat { area_m2 })
        }
        Device::Row {
            length,
            unit,
            spacing,
            spacing_unit,
        } => {
            let units = match unit.as_str() {
                "ft" => (M_PER_FOOT, "feet"),
                _ => (1.0, "metres"),
            };
            let what = ("length", "length of row");
            let length_m = measured(what, length, units, limits::ROW_LENGTH_M, troubles);
            let units = match spacing_unit.as_str() {
                "in" => (CM_PER_INCH, "inches"),
                _ => (1.0, "centimetres"),
            };
            let what = ("spacing", "distance between rows");
            let row_spacing_cm = measured(what, spacing, units, limits::ROW_SPACING_CM, troubles);
            Some(FrameShape::Row {
                length_m: length_m?,
                row_spacing_cm: row_spacing_cm?,
            })
        }
    }
}

/// A measure above 0 in the book's unit. `what`: the field and what it is called; `units`: the
/// size of the typed unit in the book's, and its name; `most` is in the book's unit.
fn measured(
    what: (&str, &str),
    text: &str,
    units: (f64, &str),
    most: f64,
    troubles: &mut Troubles,
) -> Option<f64> {
    let ((field, name), (factor, unit)) = (what, units);
    match above_zero(text, most / factor) {
        Some(typed) => Some(rounded(typed * factor)),
        None => {
            let message = if text.is_empty() {
                format!("The {name} is missing. Type it in {unit}.")
            } else {
                format!(
                    "\u{201c}{}\u{201d} is no {name}. Use {unit} above 0, up to {}.",
                    short(text),
                    words::digits(most / factor)
                )
            };
            troubles.add(field, message);
            None
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn words_of(device: &Device) -> String {
        let fields = device.fields();
        let values: Vec<&str> = fields.iter().skip(1).map(|(_, value)| *value).collect();
        values.join(" ")
    }

    #[test]
    fn what_was_typed_in_feet_comes_back_in_feet() {
        let quadrat = |area_m2| words_of(&Device::of(FrameShape::Quadrat { area_m2 }));
        assert_eq!(quadrat(0.25), "0.25 m2");
        assert_eq!(quadrat(1.0), "1 m2");
        // 2.7 ft2 as `shape` keeps it.
        assert_eq!(quadrat(0.250_838_208), "2.7 ft2");
        let row = |length_m, row_spacing_cm| {
            words_of(&Device::of(FrameShape::Row {
                length_m,
                row_spacing_cm,
            }))
        };
        assert_eq!(row(0.3048, 19.05), "1 ft 7.5 in");
        assert_eq!(row(3.048, 20.0), "10 ft 20 cm");
        assert_eq!(row(1.0, 19.0), "1 m 19 cm");
    }

    /// A ring of 56.42 cm holds 0.25 m2: 100 * sqrt(4 * 0.25 / pi) = 56.4190 (worked by hand).
    /// One of 13.54 in holds 1 ft2: 12 * sqrt(4 / pi) = 13.5406.
    #[test]
    fn a_ring_is_measured_across() {
        assert_eq!(ring("56.42", "cm"), Some(("0.25".into(), "m2".into())));
        assert_eq!(ring("13.54", "in"), Some(("0.9999".into(), "ft2".into())));
        for wrong in ["", "-3", "0", "a hoop", "99999", "NaN", "0.01"] {
            assert_eq!(ring(wrong, "cm"), None, "{wrong}");
        }
    }

    #[test]
    fn a_row_takes_the_spacing_of_the_planting() {
        let blank = Device::read(&Form::parse(b"device=row").unwrap()).unwrap();
        let drilled = SeedingMethod::Drilled {
            row_spacing_cm: 19.05,
        };
        assert_eq!(words_of(&blank.clone().spaced_as(drilled)), " ft 7.5 in");
        assert_eq!(
            words_of(&blank.spaced_as(SeedingMethod::Broadcast)),
            " ft  in"
        );
        let mut troubles = Troubles::default();
        let typed = Form::parse(b"device=row&length=10&length_unit=ft&spacing=7,5&spacing_unit=in")
            .unwrap();
        let shape = shape(&Device::read(&typed).unwrap(), &mut troubles);
        assert_eq!(
            shape,
            Some(FrameShape::Row {
                length_m: 3.048,
                row_spacing_cm: 19.05
            })
        );
    }

    #[test]
    fn every_wrong_measure_is_said() {
        for (form, fields) in [
            ("device=row&length=&spacing=0", vec!["length", "spacing"]),
            ("device=row&length=-1&spacing=7", vec!["length"]),
            ("device=quadrat&area=1e999", vec!["area"]),
            ("device=grid&cells=101&side=x", vec!["cells", "side"]),
        ] {
            let mut troubles = Troubles::default();
            let device = Device::read(&Form::parse(form.as_bytes()).unwrap()).unwrap();
            assert_eq!(shape(&device, &mut troubles), None, "{form}");
            let wrong: Vec<&str> = troubles.list.iter().map(|t| t.field.as_str()).collect();
            assert_eq!(wrong, fields, "{form}");
        }
    }
}
