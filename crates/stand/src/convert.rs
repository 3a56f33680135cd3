//! Plants per m2 from the frequency of occupied cells, by every named rule.
//!
//! In: a frequency (share from 0 to 1), the grid it was read on, how many cells it rests on.
//! Out: plants per m2, or "at least" so many.
//!
//! Source: each rule names its own. The rules disagree by design: the two linear ones count
//! one plant per occupied cell, the zero-class ones ask how many plants leave that many
//! cells empty. Never compare one rule's density with a counted one without saying so.
//!
//! Not here: estimating the clumping `k`; which rule to believe.

use crate::confidence::Interval;
use crate::method::Source;
use serde::Serialize;

/// Vogel and Masters' grid (abstract read).
pub const VOGEL_MASTERS: Source = Source {
    id: "vogel_masters_2001",
    citation: "Vogel, K.P. & Masters, R.A. 2001. Frequency grid - a simple tool for measuring grassland establishment. Journal of Range Management 54:653-655",
    url: Some("http://nativegrasses.utk.edu/Grassland/show.asp?which=1360"),
};

/// The Great Lakes protocol.
pub const GLBRC_175: Source = Source {
    id: "glbrc_175",
    citation: "Great Lakes Bioenergy Research Center, protocol 175 (GLBRC081): Stand counts, perennials; modified 2024",
    url: Some("https://data.sustainability.glbrc.org/protocols/175"),
};

/// How absence, cell size, density and clumping hang together (abstract read).
pub const ABERDEEN: Source = Source {
    id: "aberdeen_1958",
    citation: "Aberdeen, J.E.C. 1958. The effect of quadrat size, plant size, and plant distribution on frequency estimates in plant ecology. Australian Journal of Botany 6:47-58",
    url: Some("https://www.publish.csiro.au/bt/BT9580047"),
};

/// The zero class of the negative binomial, ln(N/N0) = k ln(1 + m/k), solved for m.
pub const FAO_NB: Source = Source {
    id: "fao_nb",
    citation: "FAO, A statistical manual for forestry research, negative binomial example (after Bliss & Fisher 1953, Biometrics 9:176-200)",
    url: Some("http://www.fao.org/docrep/003/X6831E/X6831E15.htm"),
};

/// A grid of square cells.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Grid {
    /// Number of cells, at least 1.
    pub cells: u32,
    /// Side of one cell, cm, above 0.
    pub cell_side_cm: f64,
}

impl Grid {
    /// The trade's frame: 25 cells of 15 cm (Vogel & Masters 2001).
    pub const STANDARD: Self = Self {
        cells: 25,
        cell_side_cm: 15.0,
    };

    /// Area of one cell, m2.
    pub fn cell_area_m2(self) -> f64 {
        (self.cell_side_cm / 100.0).powi(2)
    }

    /// Whether this is the frame the linear rules were made for: 25 cells of 15 cm, give or
    /// take 2.5 mm (6-inch mesh, 15.24 cm, is what such frames are cut from: common practice).
    pub fn is_standard(self) -> bool {
        self.cells == 25 && (self.cell_side_cm - 15.0).abs() <= 0.25
    }
}

/// Smallest clumping taken, no unit. Counted plants and animals seldom go below 0.1 (memory);
/// far below that the formula explodes and its answer means nothing.
const LEAST_K: f64 = 0.05;

/// A rule that turns frequency into density.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// 0.4 plants per m2 for each percent.
    FourTenths,
    /// Occupied cells of 100, divided by 2.25 m2.
    Over225,
    /// Plants scattered at random.
    RandomScatter,
    /// Plants in clumps of known strength.
    Clumped {
        /// Clumping of the negative binomial, no unit: the smaller, the more clumped; 0.05 or more.
        k: f64,
    },
}

/// Why a rule gives no density.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case")]
pub enum ConvertError {
    /// A linear rule on another frame.
    #[error(
        "this rule is for the frame of 25 cells of 15 cm, not for {cells} cells of {cell_side_cm} cm: use a rule that takes the size of the cell"
    )]
    OtherFrame {
        /// Cells of the grid given.
        cells: u32,
        /// Side of its cell, cm.
        cell_side_cm: f64,
    },
    /// A frequency below 0, above 1 or not a number.
    #[error("{frequency} is no frequency: enter a share from 0 to 1")]
    NoFrequency {
        /// The frequency given.
        frequency: f64,
    },
    /// A cell whose side is 0, negative, infinite or not a number.
    #[error("a cell side of {cell_side_cm} cm is impossible: enter a side above 0 cm")]
    BadCell {
        /// Side given, cm.
        cell_side_cm: f64,
    },
    /// A clumping below 0.05, infinite or not a number.
    #[error("a clumping k of {k} cannot be used: enter 0.05 or more, or use random scatter")]
    BadClumping {
        /// The k given.
        k: f64,
    },
    /// A frequency that rests on no cells.
    #[error("no cells were read, so there is nothing to convert: lay at least one frame")]
    NoCells,
}

/// A density, known or bounded from below.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Density {
    /// Plants per m2.
    About(f64),
    /// At least so many plants per m2; the cells are too full to tell how many more.
    AtLeast(f64),
}

impl Density {
    /// The number, in plants per m2; always finite.
    pub fn per_m2(self) -> f64 {
        match self {
            Self::About(value) | Self::AtLeast(value) => value,
        }
    }

    /// Whether the number is only a lower bound.
    pub fn is_at_least(self) -> bool {
        matches!(self, Self::AtLeast(_))
    }
}

/// A density with the limits of its frequency sent through the same rule.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Converted {
    /// The estimate.
    pub estimate: Density,
    /// Lower and upper limit, if the frequency had any. They hold the doubt about the
    /// frequency, not the doubt about the rule.
    pub limits: Option<(Density, Density)>,
}

impl Rule {
    /// The rules that need nothing but the frequency, most cautious first.
    pub const PLAIN: [Self; 3] = [Self::FourTenths, Self::Over225, Self::RandomScatter];

    /// A short name for a table.
    pub fn name(self) -> &'static str {
        match self {
            Self::FourTenths => "0.4 per percent",
            Self::Over225 => "cells of 100 over 2.25 m2",
            Self::RandomScatter => "random scatter",
            Self::Clumped { .. } => "clumped",
        }
    }

    /// The formula in plain signs.
    pub fn formula(self) -> &'static str {
        match self {
            Self::FourTenths => "plants per m2 = 0.4 x frequency in percent",
            Self::Over225 => "plants per m2 = frequency in percent / 2.25",
            Self::RandomScatter => "plants per m2 = -ln(1 - frequency) / cell area in m2",
            Self::Clumped { .. } => {
                "plants per m2 = k ((1 - frequency)^(-1/k) - 1) / cell area in m2"
            }
        }
    }

    /// One sentence on what the rule assumes.
    pub fn how(self) -> &'static str {
        match self {
            Self::FourTenths => {
                "A deliberately cautious rule for the frame of 25 cells of 15 cm: about one plant in each occupied cell, however many there are."
            }
            Self::Over225 => {
                "One plant in each occupied cell of the frame of 25 cells of 15 cm, of which four cover 2.25 m2."
            }
            Self::RandomScatter => {
                "The share of empty cells tells how many plants there are if they are scattered at random (Poisson); clumped plants are more than this."
            }
            Self::Clumped { .. } => {
                "The share of empty cells tells how many plants there are if they stand in clumps of known strength k (negative binomial)."
            }
        }
    }

    /// Where the rule is written down.
    pub fn source(self) -> Source {
        match self {
            Self::FourTenths => VOGEL_MASTERS,
            Self::Over225 => GLBRC_175,
            Self::RandomScatter => ABERDEEN,
            Self::Clumped { .. } => FAO_NB,
        }
    }

    /// Plants per m2 from a frequency (share from 0 to 1) that rests on `cells_read` cells.
    ///
    /// Full cells hide how many plants they hold. A frequency of 1 gives `AtLeast` by every
    /// rule. The zero-class rules also give `AtLeast` for a frequency nearer to 1 than one
    /// cell of those read, with the density that one empty cell would have given: nothing
    /// in the data can tell it from 1. So the result never falls as frequency rises.
    ///
    /// # Errors
    /// [`ConvertError`]; the linear rules refuse every grid but the standard one.
    pub fn density(
        self,
        frequency: f64,
        grid: Grid,
        cells_read: u64,
    ) -> Result<Density, ConvertError> {
        self.check(grid, cells_read)?;
        if !(0.0..=1.0).contains(&frequency) {
            return Err(ConvertError::NoFrequency { frequency });
        }
        let fullest_known = match self {
            Self::FourTenths | Self::Over225 => 1.0,
            Self::RandomScatter | Self::Clumped { .. } => 1.0 - 1.0 / cells_read as f64,
        };
        let value = self.value(frequency.min(fullest_known), grid.cell_area_m2());
        Ok(if frequency >= 1.0 || frequency > fullest_known {
            Density::AtLeast(value)
        } else {
            Density::About(value)
        })
    }

    /// A density with limits: the rule applied to the estimate and to both its limits.
    ///
    /// # Errors
    /// As [`Rule::density`].
    pub fn convert(
        self,
        frequency: f64,
        interval: Option<Interval>,
        grid: Grid,
        cells_read: u64,
    ) -> Result<Converted, ConvertError> {
        let to = |share| self.density(share, grid, cells_read);
        let limits = match interval {
            Some(Interval { lower, upper }) => Some((to(lower)?, to(upper)?)),
            None => None,
        };
        Ok(Converted {
            estimate: to(frequency)?,
            limits,
        })
    }

    fn check(self, grid: Grid, cells_read: u64) -> Result<(), ConvertError> {
        let Grid {
            cells,
            cell_side_cm,
        } = grid;
        match self {
            _ if !(cell_side_cm.is_finite() && cell_side_cm > 0.0) => {
                Err(ConvertError::BadCell { cell_side_cm })
            }
            _ if cells_read == 0 => Err(ConvertError::NoCells),
            Self::FourTenths | Self::Over225 if !grid.is_standard() => {
                Err(ConvertError::OtherFrame {
                    cells,
                    cell_side_cm,
                })
            }
            Self::Clumped { k } if !(k.is_finite() && k >= LEAST_K) => {
                Err(ConvertError::BadClumping { k })
            }
            _ => Ok(()),
        }
    }

    /// The bare formula; `frequency` below 1 for the zero-class rules.
    fn value(self, frequency: f64, cell_area_m2: f64) -> f64 {
        // ln_1p and exp_m1 keep small frequencies exact.
        let value = match self {
            Self::FourTenths => 0.4 * 100.0 * frequency,
            Self::Over225 => 100.0 * frequency / 2.25,
            Self::RandomScatter => -(-frequency).ln_1p() / cell_area_m2,
            Self::Clumped { k } => k * (-(-frequency).ln_1p() / k).exp_m1() / cell_area_m2,
        };
        // More cells than a double can count would let 1 through; never hand out infinity.
        value.min(f64::MAX)
    }
}

#[cfg(test)]
mod tests;
