//! Agreement of several readers who all saw the same subjects.
//!
//! In: for every subject, how many readers gave each answer. Out: raw agreement, agreement by
//! chance and Fleiss' kappa. Units: votes; shares from 0 to 1.
//! Source: Fleiss 1971 ([`super::KAPPA`]). With two readers it is *not* Cohen's kappa: it
//! pools what the readers answer (R package irr, help on kappam.fleiss).
//! Not here: a standard error; with a handful of readers it would say little.

use super::{AgreementError, Band, NoKappa};
use serde::Serialize;

/// Agreement of several readers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Votes {
    /// Subjects: plants or cells.
    pub subjects: usize,
    /// Readers of every subject.
    pub readers: u64,
    /// Share of all votes that each answer had.
    pub shares: Vec<f64>,
    /// Raw agreement: share of pairs of readers that agree.
    pub observed: f64,
    /// Agreement by chance, share.
    pub expected: f64,
    /// Fleiss' kappa, or why it has no value.
    pub kappa: Result<f64, NoKappa>,
    /// Landis and Koch's band; `None` without kappa.
    pub band: Option<Band>,
}

/// Fleiss' kappa with everything that belongs beside it. `votes`: subjects by answers.
///
/// # Errors
/// [`AgreementError`]: no subjects, one reader, or subjects with unlike numbers of answers or
/// votes.
pub fn fleiss(votes: &[Vec<u64>]) -> Result<Votes, AgreementError> {
    let Some(subject) = votes.first() else {
        return Err(AgreementError::NothingReadTwice);
    };
    let answers = subject.len();
    let sum = |row: &[u64]| row.iter().fold(0_u64, |sum, &n| sum.saturating_add(n));
    let readers = sum(subject);
    for (index, row) in votes.iter().enumerate() {
        if row.len() != answers {
            return Err(AgreementError::Ragged {
                row: index + 1,
                found: row.len(),
                wanted: answers,
            });
        }
        if sum(row) != readers {
            return Err(AgreementError::UnevenVotes {
                subject: index + 1,
                found: sum(row),
                wanted: readers,
            });
        }
    }
    match readers {
        0 => return Err(AgreementError::NothingReadTwice),
        1 => return Err(AgreementError::OneReader),
        _ => {}
    }
    let (subjects, n) = (votes.len() as f64, readers as f64);
    let totals: Vec<f64> = (0..answers)
        .map(|answer| votes.iter().map(|row| row[answer] as f64).sum())
        .collect();
    let shares: Vec<f64> = totals.iter().map(|total| total / (subjects * n)).collect();
    let agreeing: f64 = votes
        .iter()
        .flatten()
        .map(|&count| count as f64 * (count as f64 - 1.0))
        .sum();
    let observed = agreeing / (subjects * n * (n - 1.0));
    let expected: f64 = shares.iter().map(|share| share * share).sum();
    // Asked of the votes, since rounding may leave `expected` just below 1.
    let is_one_answer = totals.contains(&(subjects * n));
    let kappa = if is_one_answer {
        Err(NoKappa::OneCategory)
    } else {
        Ok((observed - expected) / (1.0 - expected))
    };
    Ok(Votes {
        subjects: votes.len(),
        readers,
        shares,
        observed,
        expected,
        band: kappa.ok().map(Band::of),
        kappa,
    })
}
