//! How often a rule decides rightly, and after how many points, by simulation.
//!
//! In: a rule, a true field (share, correlation, cells per point). Out: shares of walks that
//! end in each answer, and points per walk.
//! Units: shares from 0 to 1, points.
//! Source: simulation as [`super::BINNS_NYROP`] prefer it.
//! Not here: Wald's approximation (`wald`); fields whose points are alike among themselves; take the true correlation
//! larger to see what patchiness does.

use super::assess::{MOST_CELLS, Outcome, side};
use super::frames::Draws;
use super::rule::check_rho;
use super::{SequentialError, StopRule};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use serde::Serialize;

/// How many walks, and the seed that makes them come out the same again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Simulation {
    /// Number of walks: 1 to 1 000 000.
    pub walks: u32,
    /// Seed of the random numbers.
    pub seed: u64,
}

impl Default for Simulation {
    /// 10 000 walks (a share of 0.10 is then known within 0.006), seed 2026.
    fn default() -> Self {
        Self {
            walks: 10_000,
            seed: 2026,
        }
    }
}

impl Simulation {
    pub(super) fn check(self) -> Result<(), SequentialError> {
        match self.walks {
            1..=1_000_000 => Ok(()),
            walks => Err(SequentialError::BadWalks { walks }),
        }
    }

    pub(super) fn numbers(self) -> Uniforms {
        Uniforms(ChaCha8Rng::seed_from_u64(self.seed))
    }
}

/// Random numbers from 0 to below 1, the same on every machine.
pub(super) struct Uniforms(ChaCha8Rng);

impl Uniforms {
    pub(super) fn next(&mut self) -> f64 {
        // 53 bits fill a double exactly.
        (self.0.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// A field as it might really be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Truth {
    /// True frequency, share from 0 to 1.
    pub share: f64,
    /// True correlation of cells within a point, 0 to 0.9.
    pub rho: f64,
    /// Cells read at each point, 1 to 10 000.
    pub cells: u32,
}

impl Truth {
    pub(super) fn check(&self) -> Result<(), SequentialError> {
        if !(0.0..=1.0).contains(&self.share) {
            return Err(SequentialError::BadShare { share: self.share });
        }
        check_rho(self.rho)?;
        if !(1..=MOST_CELLS).contains(&self.cells) {
            return Err(SequentialError::BadCells {
                place: 0,
                occupied: 0,
                cells: self.cells,
            });
        }
        Ok(())
    }
}

/// How a rule fares in one field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Operating {
    /// The field.
    pub truth: Truth,
    /// Share of walks that end with "enough".
    pub enough: f64,
    /// Share of walks that end with "too few".
    pub too_few: f64,
    /// Share of walks that reach the maximum undecided.
    pub undecided: f64,
    /// Points per walk, mean.
    pub mean_points: f64,
    /// Points per walk, median.
    pub median_points: u32,
    /// Points that 9 of 10 walks keep within.
    pub p90_points: u32,
    /// Walks simulated.
    pub walks: u32,
}

impl Operating {
    /// Standard error of a simulated share.
    pub fn noise(&self, share: f64) -> f64 {
        (share * (1.0 - share) / f64::from(self.walks)).sqrt()
    }
}

/// Simulates a rule in a field.
///
/// # Errors
/// [`SequentialError`]: rule, field or number of walks make no sense.
pub fn operate(
    rule: &StopRule,
    truth: Truth,
    simulation: Simulation,
) -> Result<Operating, SequentialError> {
    rule.check()?;
    truth.check()?;
    simulation.check()?;
    let draws = Draws::new(rule, truth.share, truth.rho, truth.cells);
    let ends = Ends::of(rule, &draws, (0.0, 0), simulation);
    Ok(Operating {
        truth,
        enough: ends.share(Outcome::Enough),
        too_few: ends.share(Outcome::TooFew),
        undecided: ends.share(Outcome::Undecided),
        mean_points: ends.mean(),
        median_points: ends.quantile(0.5),
        p90_points: ends.quantile(0.9),
        walks: simulation.walks,
    })
}

/// How many walks ended in which way after how many points.
pub(super) struct Ends {
    /// Index 0 = ended at the start; three counts in the order of `slot`.
    by_points: Vec<[u32; 3]>,
    walks: u32,
}

fn slot(outcome: Outcome) -> usize {
    match outcome {
        Outcome::Enough => 0,
        Outcome::TooFew => 1,
        Outcome::GoOn | Outcome::Undecided => 2,
    }
}

impl Ends {
    /// Walks on from a log ratio reached after some points; `by_points` counts further ones.
    pub(super) fn of(
        rule: &StopRule,
        draws: &Draws,
        (reached, points_read): (f64, u32),
        simulation: Simulation,
    ) -> Self {
        let mut uniforms = simulation.numbers();
        let left = rule.most_points.saturating_sub(points_read);
        let (lower, upper) = rule.bounds();
        let mut by_points = vec![[0; 3]; left as usize + 1];
        for _ in 0..simulation.walks {
            let mut log_ratio = reached;
            let mut further = 0;
            let outcome = loop {
                if further == left {
                    break Outcome::Undecided;
                }
                log_ratio += draws.log_ratio(uniforms.next());
                further += 1;
                let is_between = lower < log_ratio && log_ratio < upper;
                if is_between || points_read + further < rule.least_points {
                    continue;
                }
                if let Some(outcome) = side(rule, log_ratio) {
                    break outcome;
                }
            };
            by_points[further as usize][slot(outcome)] += 1;
        }
        Self {
            by_points,
            walks: simulation.walks,
        }
    }

    pub(super) fn share(&self, outcome: Outcome) -> f64 {
        let sum: u32 = self.by_points.iter().map(|ends| ends[slot(outcome)]).sum();
        f64::from(sum) / f64::from(self.walks)
    }

    fn mean(&self) -> f64 {
        let points: f64 = self
            .by_points
            .iter()
            .enumerate()
            .map(|(points, ends)| points as f64 * f64::from(ends.iter().sum::<u32>()))
            .sum();
        points / f64::from(self.walks)
    }

    /// The least number of points that at least this share of walks keep within.
    pub(super) fn quantile(&self, share: f64) -> u32 {
        let mut sum = 0;
        for (points, ends) in self.by_points.iter().enumerate() {
            sum += ends.iter().sum::<u32>();
            if f64::from(sum) >= share * f64::from(self.walks) {
                return points as u32;
            }
        }
        self.by_points.len().saturating_sub(1) as u32
    }
}
