//! How evenly plants are spread: what a histogram and a map of the frames show, in numbers.
//!
//! In: what each frame (or spot) held. Out: the index of dispersion with its chi-square test,
//! correlation of cells within a spot, counts of frames by what they held, the share with nothing.
//!
//! The index is the variance over the mean: about 1 where plants are scattered at random, more
//! where they are clumped, less where they are evenly spaced (drilled rows can be). For grids it
//! is the variance over that of independent cells (binomial), which is the design effect.
//!
//! Units: plants or occupied cells per frame; index and correlation have none.
//! Source: Fisher, R. A., Thornton & Mackenzie 1922, index of dispersion (memory); the chi-square
//! tail is checked against SciPy in `tests/beside`. Correlation: analysis of variance, as compared
//! by Ridout, Demetrio & Firth 1999, Biometrics 55:137-148 (memory).
//! Not here: maps and bars (pages), clumping as k (`negative_binomial`).

use crate::cluster::CellUnit;
use serde::Serialize;
use statrs::distribution::{ChiSquared, ContinuousCDF};

/// Spread of counts between frames.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Dispersion {
    /// Frames.
    pub frames: usize,
    /// Variance over the variance expected without clumping; 1 = scattered at random.
    pub index: f64,
    /// Probability of an index as great or greater if nothing is clumped, 0 to 1.
    pub p: f64,
    /// Share of frames with nothing, 0 to 1.
    pub empty: f64,
}

impl Dispersion {
    /// In a word. Chance explains an index this far from 1 less than one time in twenty
    /// for the first and the last (common practice).
    pub fn pattern(&self) -> Pattern {
        if self.p < 0.05 {
            Pattern::Patchy
        } else if self.p > 0.95 {
            Pattern::Even
        } else {
            Pattern::Random
        }
    }
}

/// How plants are spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Pattern {
    /// More varied than chance: here many, there none.
    Patchy,
    /// As varied as chance.
    Random,
    /// Less varied than chance.
    Even,
}

/// Dispersion of counted plants; `None` with fewer than two frames or no plant.
///
/// All frames must be of one size.
pub fn dispersion(plants: &[u64]) -> Option<Dispersion> {
    of(plants, mean(plants))
}

/// Dispersion of occupied cells of grids with `cells` cells each; `None` with fewer than two
/// frames, or with no cell or every cell occupied, or with more occupied than there are.
pub fn dispersion_of_cells(occupied: &[u64], cells: u64) -> Option<Dispersion> {
    if cells == 0 || occupied.iter().any(|&x| x > cells) {
        return None;
    }
    let mean = mean(occupied);
    of(occupied, mean * (1.0 - mean / cells as f64))
}

/// How alike the cells of one spot are, against cells of different spots: 0 = no more than any two
/// cells, 1 = a spot is all full or all empty; below 0 = spots are more even than chance.
///
/// Within minus between spots by analysis of variance; spots may differ in size. `None` with fewer
/// than two spots, with one cell a spot, with an impossible spot, or where every cell is alike. With few
/// spots it is rough.
///
/// `sequential::correlation_seen`, for a rule that stops, reckons from the design effect and comes
/// out nearly the same: 0.056 for the published four placements, 0.054 here.
pub fn correlation_within(spots: &[CellUnit]) -> Option<f64> {
    if spots
        .iter()
        .any(|spot| spot.cells == 0 || spot.occupied > spot.cells)
    {
        return None;
    }
    let n = spots.len() as f64;
    let sum = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
        spots
            .iter()
            .map(|spot| of(spot.occupied as f64, spot.cells as f64))
            .sum()
    };
    let all = sum(&|_, cells| cells);
    let share = sum(&|occupied, _| occupied) / all;
    if n < 2.0 || all <= n {
        return None;
    }
    let between = sum(&|x, m| m * (x / m - share).powi(2)) / (n - 1.0);
    let within = sum(&|x, m| x * (1.0 - x / m)) / (all - n);
    // Cells of a usual spot, a little below their mean where spots differ in size.
    let usual = (all - sum(&|_, m| m * m) / all) / (n - 1.0);
    let whole = between + (usual - 1.0) * within;
    (whole > 0.0).then(|| (between - within) / whole)
}

/// In doubles: sums of absurd counts must not overflow.
fn mean(found: &[u64]) -> f64 {
    found.iter().map(|&x| x as f64).sum::<f64>() / found.len().max(1) as f64
}

/// `expected`: the variance that chance alone would give.
fn of(found: &[u64], expected: f64) -> Option<Dispersion> {
    let free = found.len().checked_sub(1).filter(|&free| free > 0)? as f64;
    if expected <= 0.0 {
        return None;
    }
    let mean = mean(found);
    let squares: f64 = found.iter().map(|&x| (x as f64 - mean).powi(2)).sum();
    let chi_square = squares / expected;
    Some(Dispersion {
        frames: found.len(),
        index: chi_square / free,
        p: ChiSquared::new(free).ok()?.sf(chi_square),
        empty: found.iter().filter(|&&x| x == 0).count() as f64 / found.len() as f64,
    })
}

/// One bar of a histogram: frames that held from `from` to `to`, both included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Bar {
    /// Fewest plants or cells.
    pub from: u64,
    /// Most plants or cells.
    pub to: u64,
    /// Frames.
    pub frames: usize,
}

/// Most bars that are drawn.
const MOST_BARS: u64 = 1000;

/// Frames by what they held: nothing by itself, then at most `bars` bars of one width (1 at
/// least; never more than 1000 bars) up to `most` (the cells of a grid, or the greatest count if
/// that is more). The last bar may be narrower.
pub fn histogram(found: &[u64], most: u64, bars: u64) -> Vec<Bar> {
    let most = found.iter().copied().max().unwrap_or(0).max(most);
    let width = most.div_ceil(bars.clamp(1, MOST_BARS)).max(1);
    let mut drawn = vec![Bar {
        from: 0,
        to: 0,
        frames: 0,
    }];
    let mut from = 1;
    while from <= most {
        let to = from.saturating_add(width - 1).min(most);
        drawn.push(Bar {
            from,
            to,
            frames: 0,
        });
        let Some(next) = to.checked_add(1) else { break };
        from = next;
    }
    for &x in found {
        let at = if x == 0 { 0 } else { (x - 1) / width + 1 };
        if let Some(bar) = usize::try_from(at).ok().and_then(|at| drawn.get_mut(at)) {
            bar.frames += 1;
        }
    }
    drawn
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    /// The four placements that Oklahoma State University Extension prints: 15, 14, 20 and 21
    /// of 25 cells. Their design effect is 2.34921 (example S3b), which is the index over
    /// n/(n-1)-free counting: s2 of shares 0.0197333 over 0.7 x 0.3 / 25.
    #[test]
    fn published_placements() {
        let found = dispersion_of_cells(&[15, 14, 20, 21], 25).unwrap();
        assert!((found.index - 0.019_733_333 / (0.7 * 0.3 / 25.0)).abs() < 1e-6);
        assert_eq!(found.pattern(), Pattern::Random);
        assert!((found.index - 2.34921).abs() < 5e-6);
    }

    /// Mites on apple leaves (Bliss & Fisher 1953): index 2.273647 / 1.146667.
    #[test]
    fn clumped_counts_are_patchy() {
        let mites: Vec<u64> = [70, 38, 17, 10, 9, 3, 2, 1]
            .into_iter()
            .zip(0..)
            .flat_map(|(leaves, mites)| std::iter::repeat_n(mites, leaves))
            .collect();
        let found = dispersion(&mites).unwrap();
        assert!((found.index - 2.273_647 / 1.146_667).abs() < 2e-6);
        assert_eq!(found.pattern(), Pattern::Patchy);
        assert!((found.empty - 70.0 / 150.0).abs() < 1e-12);
    }

    /// By hand for the four placements: shares 0.60, 0.56, 0.80, 0.84 around 0.70; between
    /// 25 x 0.0592 / 3 = 0.493333, within 25 x 0.7808 / 96 = 0.203333, so 0.29 / (0.493333 + 24 x
    /// 0.203333) = 0.0539702.
    #[test]
    fn cells_of_a_spot_are_alike() {
        let spots = |found: &[(u64, u64)]| -> Vec<CellUnit> {
            found
                .iter()
                .map(|&(occupied, cells)| CellUnit { occupied, cells })
                .collect()
        };
        let of = |found: &[(u64, u64)]| correlation_within(&spots(found));
        let placements = of(&[(15, 25), (14, 25), (20, 25), (21, 25)]).unwrap();
        assert!((placements - 0.0539702).abs() < 5e-8, "{placements}");
        // All or nothing, whatever the sizes; and more even than chance.
        assert_eq!(of(&[(25, 25), (0, 25), (0, 100)]), Some(1.0));
        let even = of(&[(10, 25), (10, 25), (10, 25)]).unwrap();
        assert!((even + 1.0 / 24.0).abs() < 1e-12);
        for nothing in [
            &[][..],
            &[(9, 25)],
            &[(1, 1), (0, 1)],
            &[(0, 25), (0, 25)],
            &[(25, 25), (25, 25)],
            &[(26, 25), (1, 25)],
            &[(0, 0), (1, 25)],
        ] {
            assert_eq!(of(nothing), None, "{nothing:?}");
        }
    }

    #[test]
    fn absurd_counts_do_not_hang_or_overflow() {
        assert!(dispersion(&[u64::MAX, u64::MAX, 0]).unwrap().index > 1.0);
        let bars = histogram(&[u64::MAX, 0, 7], u64::MAX, u64::MAX);
        assert!(bars.len() <= 1001);
        assert_eq!(bars.iter().map(|bar| bar.frames).sum::<usize>(), 3);
    }

    #[test]
    fn nothing_to_say() {
        assert_eq!(dispersion(&[]), None);
        assert_eq!(dispersion(&[4]), None);
        assert_eq!(dispersion(&[0, 0]), None);
        assert_eq!(dispersion_of_cells(&[25, 25], 25), None);
        assert_eq!(dispersion_of_cells(&[26, 2], 25), None);
        assert_eq!(
            dispersion(&[5, 5, 5, 5, 5, 5]).unwrap().pattern(),
            Pattern::Even
        );
    }

    #[test]
    fn every_frame_is_in_one_bar() {
        let found = [0, 0, 1, 5, 6, 24, 25];
        let bars = histogram(&found, 25, 5);
        let held: Vec<(u64, u64, usize)> = bars
            .iter()
            .map(|bar| (bar.from, bar.to, bar.frames))
            .collect();
        assert_eq!(
            held,
            [
                (0, 0, 2),
                (1, 5, 2),
                (6, 10, 1),
                (11, 15, 0),
                (16, 20, 0),
                (21, 25, 2)
            ]
        );
        assert_eq!(histogram(&[], 0, 5).len(), 1);
        assert_eq!(
            histogram(&[3, 70], 25, 5)
                .iter()
                .map(|b| b.frames)
                .sum::<usize>(),
            2
        );
    }
}
