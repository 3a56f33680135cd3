//! How well readers agree: raw agreement, agreement by chance, kappa and the table, always
//! together.
//!
//! In: a table of pairs (two readers), of votes (several readers), or the cells of one frame
//! as two readers saw them. Out: everything a page has to print side by side, since kappa
//! alone misleads: it falls when one answer is very common, however well readers agree.
//!
//! Units: counts; shares from 0 to 1; kappa from -1 to 1.
//!
//! Source: Cohen 1960 with the standard errors of Fleiss, Cohen & Everitt 1969; Fleiss 1971;
//! bands of Landis & Koch 1977. Reference values from statsmodels 0.15.0.
//!
//! Not here: who is right (`misnaming`), what both overlooked (`detect`).

use crate::confidence::{Confidence, Interval};
use crate::method::Source;
use crate::proportion::{self, ProportionError};
use serde::Serialize;
use std::collections::BTreeSet;

mod fleiss;
#[cfg(test)]
mod tests;

pub use fleiss::{Votes, fleiss};

/// Reference values for kappa; papers named by it.
pub const KAPPA: Source = Source {
    id: "sm_inter_rater",
    citation: "Cohen 1960; Fleiss, Cohen & Everitt 1969, Psychological Bulletin 72:323-327; Fleiss 1971, Psychological Bulletin 76:378-382 (papers from memory); reference values of statsmodels 0.15.0",
    url: Some("https://github.com/statsmodels/statsmodels"),
};

/// Why positive and negative agreement stand beside kappa: with marks that are rare, or nearly
/// everywhere, kappa is low however well readers agree.
pub const BOTH_KINDS: Source = Source {
    id: "kappa_paradox",
    citation: "Feinstein & Cicchetti 1990, Journal of Clinical Epidemiology 43:543-549, as in Gerstman, Epidemiology Kept Simple, table 10.6; Cicchetti & Feinstein 1990, 43:551-558 (memory)",
    url: None,
};

/// Words for kappa. A habit of the trade, not a law; Cohen set no cut-offs (memory).
pub const LANDIS_KOCH: Source = Source {
    id: "landis_bands",
    citation: "Landis & Koch 1977, Biometrics 33:159-174, bands as in the R package fmsb, Kappa.test help",
    url: Some("https://rdrr.io/cran/fmsb/man/Kappatest.html"),
};

/// Why there is no agreement to speak of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum AgreementError {
    /// Nothing was read twice.
    #[error("nothing was read twice: have a second reader look at the same plants or cells")]
    NothingReadTwice,
    /// A row of another length.
    #[error("row {row} has {found} columns in place of {wanted}: give every row as many columns")]
    Ragged {
        /// Row, from 1.
        row: usize,
        /// Columns found.
        found: usize,
        /// Columns wanted.
        wanted: usize,
    },
    /// Subjects with other numbers of votes.
    #[error(
        "subject {subject} has {found} votes in place of {wanted}: every subject needs as many readers"
    )]
    UnevenVotes {
        /// Subject, from 1.
        subject: usize,
        /// Votes found.
        found: u64,
        /// Votes wanted.
        wanted: u64,
    },
    /// One reader only.
    #[error("one reader cannot agree with anybody: at least two are needed")]
    OneReader,
    /// A cell that the frame does not have.
    #[error("cell {cell} is not in a frame of {cells} cells: cells count from 1")]
    NoSuchCell {
        /// Cell given.
        cell: u32,
        /// Cells of the frame.
        cells: u32,
    },
}

/// Landis and Koch's bands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Band {
    /// Below 0.
    Poor,
    /// 0 to 0.20.
    Slight,
    /// 0.21 to 0.40.
    Fair,
    /// 0.41 to 0.60.
    Moderate,
    /// 0.61 to 0.80.
    Substantial,
    /// 0.81 to 1.
    AlmostPerfect,
}

impl Band {
    /// The band of a kappa. The published bands leave gaps of 0.01; a kappa there goes to the
    /// upper band, as it would when rounded up.
    pub fn of(kappa: f64) -> Self {
        match kappa {
            k if k < 0.0 => Self::Poor,
            k if k <= 0.20 => Self::Slight,
            k if k <= 0.40 => Self::Fair,
            k if k <= 0.60 => Self::Moderate,
            k if k <= 0.80 => Self::Substantial,
            _ => Self::AlmostPerfect,
        }
    }
}

/// Why kappa has no value, although there is agreement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case")]
pub enum NoKappa {
    /// Every reading has the same answer: agreement by chance is complete, and kappa is 0 / 0.
    #[error("every answer was the same, so kappa has no value: give the raw agreement")]
    OneCategory,
}

/// Kappa of two readers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Kappa {
    /// Kappa, from -1 to 1.
    pub value: f64,
    /// Asymptotic standard error (Fleiss, Cohen & Everitt 1969).
    pub standard_error: f64,
    /// Value plus and minus z standard errors, cut to -1 and 1. `None` if the standard error
    /// is 0, as with complete agreement: the formula then claims a certainty nobody has.
    pub interval: Option<Interval>,
    /// Standard error if there were no agreement beyond chance.
    pub standard_error_by_chance: f64,
    /// `value / standard_error_by_chance`; `None` if that is 0.
    pub z: Option<f64>,
    /// Landis and Koch's band.
    pub band: Band,
}

/// Agreement of two readers, all of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Agreement {
    /// Rows: first reader's answer; columns: second reader's, in one order of answers.
    pub table: Vec<Vec<u64>>,
    /// Pairs of readings.
    pub pairs: u64,
    /// Raw agreement, share.
    pub observed: f64,
    /// Limits of the raw agreement (Wilson, pairs taken as independent, which cells of one
    /// frame are not).
    pub observed_interval: Interval,
    /// Agreement by chance, share.
    pub expected: f64,
    /// Kappa, or why it has no value.
    pub kappa: Result<Kappa, NoKappa>,
}

/// Cohen's kappa with everything that belongs beside it. `table` is square: rows first
/// reader, columns second, answers in one order.
///
/// # Errors
/// [`AgreementError`] if nothing was read twice or a row is too long or short.
pub fn cohen(table: &[Vec<u64>], confidence: Confidence) -> Result<Agreement, AgreementError> {
    let size = table.len();
    for (index, row) in table.iter().enumerate() {
        if row.len() != size {
            return Err(AgreementError::Ragged {
                row: index + 1,
                found: row.len(),
                wanted: size,
            });
        }
    }
    let pairs = table
        .iter()
        .flatten()
        .fold(0_u64, |sum, &count| sum.saturating_add(count));
    let alike = (0..size).fold(0_u64, |sum, i| sum.saturating_add(table[i][i]));
    let observed_interval =
        proportion::wilson(alike, pairs, confidence).map_err(|error| match error {
            // `alike` is part of `pairs`.
            ProportionError::NothingLookedAt | ProportionError::MoreThanAll { .. } => {
                AgreementError::NothingReadTwice
            }
        })?;
    let n = pairs as f64;
    let share = |i: usize, j: usize| table[i][j] as f64 / n;
    let first: Vec<f64> = (0..size)
        .map(|i| (0..size).map(|j| share(i, j)).sum())
        .collect();
    let second: Vec<f64> = (0..size)
        .map(|j| (0..size).map(|i| share(i, j)).sum())
        .collect();
    let observed = alike as f64 / n;
    let expected: f64 = first.iter().zip(&second).map(|(a, b)| a * b).sum();
    // Both readers gave one and the same answer throughout: asked of the counts, since
    // rounding may leave `expected` just below 1.
    let is_one_answer = (0..size).any(|i| table[i][i] == pairs);
    let kappa = if is_one_answer {
        Err(NoKappa::OneCategory)
    } else {
        let value = (observed - expected) / (1.0 - expected);
        let diagonal: f64 = (0..size)
            .map(|i| share(i, i) * (1.0 - (first[i] + second[i]) * (1.0 - value)).powi(2))
            .sum();
        let beside: f64 = (0..size)
            .flat_map(|i| (0..size).map(move |j| (i, j)))
            .filter(|(i, j)| i != j)
            .map(|(i, j)| share(i, j) * (second[i] + first[j]).powi(2))
            .sum();
        let scale = n.sqrt() * (1.0 - expected);
        let variance =
            diagonal + (1.0 - value).powi(2) * beside - (value - expected * (1.0 - value)).powi(2);
        let standard_error = variance.max(0.0).sqrt() / scale;
        let crossed: f64 = first
            .iter()
            .zip(&second)
            .map(|(a, b)| a * b * (a + b))
            .sum();
        let by_chance = (expected + expected * expected - crossed).max(0.0).sqrt() / scale;
        let half = confidence.z() * standard_error;
        Ok(Kappa {
            value,
            standard_error,
            // Rounding leaves some 1e-9 in place of none.
            interval: (standard_error > 1e-7).then(|| Interval {
                lower: (value - half).max(-1.0),
                upper: (value + half).min(1.0),
            }),
            standard_error_by_chance: by_chance,
            z: (by_chance > 0.0).then(|| value / by_chance),
            band: Band::of(value),
        })
    };
    Ok(Agreement {
        table: table.to_vec(),
        pairs,
        observed,
        observed_interval,
        expected,
        kappa,
    })
}

/// Cells of frames that two readers read, for one label.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct CellPairs {
    /// Cells in which both saw it.
    pub both: u64,
    /// Cells in which only the first saw it.
    pub first_only: u64,
    /// Cells in which only the second saw it.
    pub second_only: u64,
    /// Cells in which neither saw it.
    pub neither: u64,
}

impl CellPairs {
    /// Compares two readings of one frame of `cells` cells; cells count from 1.
    ///
    /// # Errors
    /// [`AgreementError::NoSuchCell`] for a cell that the frame does not have.
    pub fn of_frame(
        cells: u32,
        first: &BTreeSet<u32>,
        second: &BTreeSet<u32>,
    ) -> Result<Self, AgreementError> {
        for &cell in first.iter().chain(second) {
            if !(1..=cells).contains(&cell) {
                return Err(AgreementError::NoSuchCell { cell, cells });
            }
        }
        let both = first.intersection(second).count() as u64;
        let first_only = first.len() as u64 - both;
        let second_only = second.len() as u64 - both;
        Ok(Self {
            both,
            first_only,
            second_only,
            neither: u64::from(cells) - both - first_only - second_only,
        })
    }

    /// Both frames' cells together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            both: self.both.saturating_add(other.both),
            first_only: self.first_only.saturating_add(other.first_only),
            second_only: self.second_only.saturating_add(other.second_only),
            neither: self.neither.saturating_add(other.neither),
        }
    }

    /// All cells read twice.
    pub fn cells(self) -> u64 {
        self.both
            .saturating_add(self.first_only)
            .saturating_add(self.second_only)
            .saturating_add(self.neither)
    }

    /// The two by two table: seen, not seen; rows first reader.
    pub fn table(self) -> Vec<Vec<u64>> {
        vec![
            vec![self.both, self.first_only],
            vec![self.second_only, self.neither],
        ]
    }

    /// Agreement on where it was seen, 2 both / (2 both + once seen), a share: what raw
    /// agreement hides when most cells are empty. `None` if nobody saw it anywhere. (Dice
    /// 1945, memory.)
    pub fn positive_agreement(self) -> Option<f64> {
        let twice = 2.0 * self.both as f64;
        let all = twice + self.first_only as f64 + self.second_only as f64;
        (all > 0.0).then(|| twice / all)
    }

    /// Agreement on where it was not seen, 2 neither / (2 neither + once seen), a share: beside
    /// [`Self::positive_agreement`] it says on which of the two readers part ([`BOTH_KINDS`]).
    /// `None` if everybody saw it everywhere.
    pub fn negative_agreement(self) -> Option<f64> {
        let turned = Self {
            both: self.neither,
            neither: self.both,
            ..self
        };
        turned.positive_agreement()
    }

    /// Kappa with everything that belongs beside it.
    ///
    /// # Errors
    /// [`AgreementError::NothingReadTwice`] if there are no cells.
    pub fn agreement(self, confidence: Confidence) -> Result<Agreement, AgreementError> {
        cohen(&self.table(), confidence)
    }
}
