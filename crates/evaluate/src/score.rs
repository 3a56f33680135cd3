//! Scores of named plants: first, first three, planted or not, and whether stated certainty is
//! earned.
//!
//! In: for each plant the assessment and the true row. Out: shares (0 to 1) with their standard
//! errors, and a reliability curve by fifths of the scale.

use standbook_identify::{Assessment, Outcome, Planted, Table};

/// What one plant's naming came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Named {
    /// Place of the true row in the ranking, 0 for the first.
    pub place: usize,
    /// The row ranked first.
    pub first: usize,
    /// Natural log of the probability of the true row.
    pub log_true: f64,
    /// Probability of the row ranked first.
    pub said: f64,
    /// Whether planted or not came out right (the larger of the two shares).
    pub planted_right: bool,
    /// A name was settled, and it was another one.
    pub settled_wrong: bool,
    /// The right name was settled.
    pub settled_right: bool,
}

impl Named {
    /// Of an assessment, the true row being `truth`.
    pub fn of(table: &Table, assessment: &Assessment, truth: usize) -> Named {
        let place = assessment
            .ranking
            .iter()
            .position(|(row, _)| *row == truth)
            .unwrap_or(assessment.ranking.len());
        let (first, said) = assessment.ranking.first().copied().unwrap_or((truth, 0.0));
        let settled = match assessment.outcome {
            Outcome::Settled(row) => Some(row),
            _ => None,
        };
        let planted = assessment.shares.planted > assessment.shares.other;
        Named {
            place,
            first,
            log_true: assessment.posterior[truth].ln(),
            said,
            planted_right: planted == Planted::ByRole.contains(table, truth),
            settled_wrong: settled.is_some_and(|row| row != truth),
            settled_right: settled == Some(truth),
        }
    }
}

/// A share with the number of cases behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Cases.
    pub n: usize,
    /// Of which so many.
    pub yes: usize,
}

impl Share {
    /// Of yes and no.
    pub fn of(cases: impl Iterator<Item = bool>) -> Share {
        let (mut n, mut yes) = (0, 0);
        for case in cases {
            n += 1;
            yes += usize::from(case);
        }
        Share { n, yes }
    }

    /// 0 to 1; 0 where there is no case.
    pub fn value(&self) -> f64 {
        self.yes as f64 / self.n.max(1) as f64
    }

    /// Its standard error, as of independent cases (binomial).
    pub fn standard_error(&self) -> f64 {
        let p = self.value();
        (p * (1.0 - p) / self.n.max(1) as f64).sqrt()
    }
}

/// One fifth of the scale of stated certainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fifth {
    /// Its lower end, 0 to 0.8.
    pub from: f64,
    /// Mean certainty stated in it.
    pub said: f64,
    /// How often the first name was right.
    pub right: Share,
}

/// The scores of many plants.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// The true name stood first.
    pub first: Share,
    /// It stood among the first three.
    pub first_three: Share,
    /// Planted or not was right.
    pub planted: Share,
    /// The right name was settled.
    pub settled_right: Share,
    /// A wrong name was settled.
    pub settled_wrong: Share,
    /// Mean natural log of the true row's probability: 0 is perfect.
    pub mean_log: f64,
    /// Mean certainty stated of the first name.
    pub said: f64,
    /// Stated against earned, by fifths.
    pub reliability: Vec<Fifth>,
}

impl Score {
    /// Of many plants.
    pub fn of(named: &[Named]) -> Score {
        let n = named.len().max(1) as f64;
        let share = |test: &dyn Fn(&Named) -> bool| Share::of(named.iter().map(test));
        Score {
            first: share(&|x| x.place == 0),
            first_three: share(&|x| x.place < 3),
            planted: share(&|x| x.planted_right),
            settled_right: share(&|x| x.settled_right),
            settled_wrong: share(&|x| x.settled_wrong),
            mean_log: named.iter().map(|x| x.log_true).sum::<f64>() / n,
            said: named.iter().map(|x| x.said).sum::<f64>() / n,
            reliability: (0..5).map(|fifth| reliability(named, fifth)).collect(),
        }
    }
}

fn reliability(named: &[Named], fifth: usize) -> Fifth {
    // The last fifth holds certainty itself.
    let in_it = |x: &&Named| ((x.said * 5.0).floor() as usize).min(4) == fifth;
    let cases: Vec<&Named> = named.iter().filter(in_it).collect();
    Fifth {
        from: fifth as f64 / 5.0,
        said: cases.iter().map(|x| x.said).sum::<f64>() / cases.len().max(1) as f64,
        right: Share::of(cases.iter().map(|x| x.place == 0)),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn named(said: f64, place: usize) -> Named {
        Named {
            place,
            first: 0,
            log_true: said.ln(),
            said,
            planted_right: place == 0,
            settled_wrong: false,
            settled_right: false,
        }
    }

    /// Counted by hand: 4 plants, two first, three among three.
    #[test]
    fn shares_and_fifths_by_hand() {
        let all = [named(1.0, 0), named(0.81, 3), named(0.1, 1), named(0.19, 0)];
        let score = Score::of(&all);
        assert_eq!((score.first.yes, score.first_three.yes), (2, 3));
        let counts: Vec<usize> = score.reliability.iter().map(|f| f.right.n).collect();
        assert_eq!(counts, [2, 0, 0, 0, 2]);
        let last = score.reliability.last().unwrap();
        assert!((last.said - 0.905).abs() < 1e-12 && last.right.yes == 1);
        assert!((score.first.standard_error() - 0.25).abs() < 1e-12);
    }
}
