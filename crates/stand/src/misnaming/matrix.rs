//! Correction of several names at once.
//!
//! In: shares (or numbers) as called, and either audited plants or a confusion matrix. Out:
//! the same for the true names. Units: those of the called numbers.
//! Source: calibration and inverse ("classical") form, [`super::CALIBRATION`].
//! Mind: even a small share of a common weed called "planted" can swamp a rare species
//! (Czaplewski 1992, Misclassification bias in areal estimates, abstract read).
//! Not here: limits for the inverse form, which has none worth having on small audits.

use super::LEAST_AUDITED;
use serde::Serialize;

/// Why several names cannot be corrected. Names count from 1 in the order given.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum MatrixError {
    /// No names at all.
    #[error("there is no name to correct: give at least one")]
    Empty,
    /// A row that is too long or short.
    #[error("row {row} has {found} entries in place of {wanted}: give one for every name")]
    Ragged {
        /// Row, from 1.
        row: usize,
        /// Entries found.
        found: usize,
        /// Entries wanted.
        wanted: usize,
    },
    /// A number that is negative, infinite or none.
    #[error("{value} cannot be a share or number: enter 0 or more")]
    BadNumber {
        /// The number.
        value: f64,
    },
    /// A column that does not sum to 1.
    #[error(
        "what truly is name {column} is called something in {sum} of cases in place of 1: make the column sum to 1"
    )]
    BadColumn {
        /// Column, from 1.
        column: usize,
        /// Its sum.
        sum: f64,
    },
    /// Names that cannot be told apart.
    #[error(
        "two names are called alike so often that nothing tells them apart: put them together into one"
    )]
    Singular,
    /// Too few audited plants of a name that was called.
    #[error("only {checked} plants called name {row} were checked: check at least {least}")]
    TooFewAudited {
        /// Row, from 1.
        row: usize,
        /// Checked.
        checked: u64,
        /// Needed.
        least: u64,
    },
    /// Everything came out as nothing.
    #[error("no name is left above 0 after the correction: the matrix does not fit the field")]
    NothingLeft,
}

/// One true name after calibration.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CalibratedShare {
    /// Corrected number, in the unit of the called ones.
    pub value: f64,
    /// Standard error that comes from the audit alone (half a count added to right and
    /// wrong); the sampling of the field adds to it.
    pub standard_error_of_audit: f64,
}

/// Calibration: true j = sum over i of P(truly j | called i) x called i. `audit`: rows called,
/// columns truly, numbers of plants. `called`: one number for each row.
///
/// The sum stays what it was. A name that was never called needs no audit.
///
/// # Errors
/// [`MatrixError`]: fewer than [`LEAST_AUDITED`] audited of a name that was called, or
/// impossible numbers.
pub fn calibrated_shares(
    audit: &[Vec<u64>],
    called: &[f64],
) -> Result<Vec<CalibratedShare>, MatrixError> {
    numbers(called)?;
    square(audit.len(), called.len(), 1)?;
    let truths = audit.first().map_or(0, Vec::len);
    let mut found = vec![(0.0, 0.0); truths];
    for (index, (row, &share)) in audit.iter().zip(called).enumerate() {
        square(row.len(), truths, index + 1)?;
        if share == 0.0 {
            continue;
        }
        let checked = row.iter().fold(0_u64, |sum, &n| sum.saturating_add(n));
        if checked < LEAST_AUDITED {
            return Err(MatrixError::TooFewAudited {
                row: index + 1,
                checked,
                least: LEAST_AUDITED,
            });
        }
        let all = checked as f64 + 1.0;
        for (truth, &right) in found.iter_mut().zip(row) {
            let half_added = (right as f64 + 0.5) / all;
            truth.0 += share * right as f64 / checked as f64;
            truth.1 += share * share * half_added * (1.0 - half_added) / (all + 1.0);
        }
    }
    Ok(found
        .into_iter()
        .map(|(value, variance)| CalibratedShare {
            value,
            standard_error_of_audit: f64::sqrt(variance),
        })
        .collect())
}

/// What the inverse of a confusion matrix makes of called numbers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Inverted {
    /// C^-1, rows true names.
    pub inverse: Vec<Vec<f64>>,
    /// C^-1 called; may be negative.
    pub raw: Vec<f64>,
    /// `raw` with negative numbers cut to 0 and the rest scaled back to the same sum.
    pub values: Vec<f64>,
    /// Whether something was cut: then the matrix does not quite fit the field.
    pub clipped: bool,
    /// Condition of the matrix in the 1-norm: errors in the called numbers may grow so many
    /// times. 1 is best; above 10 do not lean on it (common practice).
    pub condition: f64,
}

/// Inverse ("classical") form: true = C^-1 called, `confusion[i][j]` = P(called i | truly j),
/// columns summing to 1.
///
/// # Errors
/// [`MatrixError`] for a matrix that is not square, does not sum to 1 by columns (within
/// 1e-6) or is singular, and for impossible numbers.
pub fn inverse_corrected(confusion: &[Vec<f64>], called: &[f64]) -> Result<Inverted, MatrixError> {
    numbers(called)?;
    let size = called.len();
    square(confusion.len(), size, 1)?;
    for (index, row) in confusion.iter().enumerate() {
        square(row.len(), size, index + 1)?;
        numbers(row)?;
    }
    for column in 0..size {
        let sum: f64 = confusion.iter().map(|row| row[column]).sum();
        if (sum - 1.0).abs() > 1e-6 {
            return Err(MatrixError::BadColumn {
                column: column + 1,
                sum,
            });
        }
    }
    let inverse = invert(confusion).ok_or(MatrixError::Singular)?;
    let raw: Vec<f64> = inverse
        .iter()
        .map(|row| row.iter().zip(called).map(|(a, b)| a * b).sum())
        .collect();
    let total: f64 = called.iter().sum();
    // Rounding must not count as a cut.
    let clipped = raw.iter().any(|&value| value < -1e-12 * total);
    let cut: Vec<f64> = raw.iter().map(|value| value.max(0.0)).collect();
    let left: f64 = cut.iter().sum();
    if total > 0.0 && left <= 0.0 {
        return Err(MatrixError::NothingLeft);
    }
    let values = if clipped {
        cut.iter().map(|value| value * total / left).collect()
    } else {
        cut
    };
    Ok(Inverted {
        condition: norm(confusion) * norm(&inverse),
        inverse,
        raw,
        values,
        clipped,
    })
}

fn numbers(values: &[f64]) -> Result<(), MatrixError> {
    match values
        .iter()
        .find(|value| !(value.is_finite() && **value >= 0.0))
    {
        Some(&value) => Err(MatrixError::BadNumber { value }),
        None if values.is_empty() => Err(MatrixError::Empty),
        None => Ok(()),
    }
}

fn square(found: usize, wanted: usize, row: usize) -> Result<(), MatrixError> {
    if found == wanted {
        Ok(())
    } else {
        Err(MatrixError::Ragged { row, found, wanted })
    }
}

/// Largest sum of a column's sizes.
fn norm(matrix: &[Vec<f64>]) -> f64 {
    (0..matrix.len())
        .map(|column| matrix.iter().map(|row| row[column].abs()).sum())
        .fold(0.0, f64::max)
}

/// Gauss-Jordan with the largest pivot of each column; `None` if there is none to speak of.
/// Entries are at most 1, so 1e-9 is nothing.
fn invert(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let size = matrix.len();
    let mut rows: Vec<Vec<f64>> = matrix
        .iter()
        .enumerate()
        .map(|(i, row)| {
            let unit = (0..size).map(|j| if i == j { 1.0 } else { 0.0 });
            row.iter().copied().chain(unit).collect()
        })
        .collect();
    for column in 0..size {
        let best = (column..size)
            .max_by(|&a, &b| rows[a][column].abs().total_cmp(&rows[b][column].abs()))?;
        rows.swap(column, best);
        let pivot = rows[column][column];
        if pivot.abs() < 1e-9 {
            return None;
        }
        rows[column].iter_mut().for_each(|value| *value /= pivot);
        let pivot_row = rows[column].clone();
        for (index, row) in rows.iter_mut().enumerate() {
            let factor = row[column];
            if index != column && factor != 0.0 {
                for (value, above) in row.iter_mut().zip(&pivot_row) {
                    *value -= factor * above;
                }
            }
        }
    }
    Some(rows.into_iter().map(|row| row[size..].to_vec()).collect())
}
