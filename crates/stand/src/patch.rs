//! How evenly plants are spread: what a histogram and a map of the frames show, in numbers.
//!
//! In: what each frame (or spot) held. Out: the index of dispersion with its chi-square test,
//! counts of frames by what they held, the share with nothing.
//!
//! The index is the variance over the mean: about 1 where plants are scattered at random, more
//! where they are clumped, less where they are evenly spaced (drilled rows can be). For grids it
//! is the variance over that of independent cells (binomial), which is the design effect.
//!
//! Units: plants or occupied cells per frame; the index has none.
//! Source: Fisher, R. A., Thornton & Mackenzie 1922, index of dispersion (memory); the chi-square
//! tail is checked against SciPy in `tests/beside`.
//! Not here: maps and bars (pages), clumping as k (`negative_binomial`).

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
    let mean = plants.iter().sum::<u64>() as f64 / plants.len().max(1) as f64;
    of(plants, mean)
}

/// Dispersion of occupied cells of grids with `cells` cells each; `None` with fewer than two
/// frames, or with no cell or every cell occupied, or with more occupied than there are.
pub fn dispersion_of_cells(occupied: &[u64], cells: u64) -> Option<Dispersion> {
    if cells == 0 || occupied.iter().any(|&x| x > cells) {
        return None;
    }
    let mean = occupied.iter().sum::<u64>() as f64 / occupied.len().max(1) as f64;
    of(occupied, mean * (1.0 - mean / cells as f64))
}

/// `expected`: the variance that chance alone would give.
fn of(found: &[u64], expected: f64) -> Option<Dispersion> {
    let free = found.len().checked_sub(1).filter(|&free| free > 0)? as f64;
    if expected <= 0.0 {
        return None;
    }
    let mean = found.iter().sum::<u64>() as f64 / found.len() as f64;
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

/// Frames by what they held: nothing by itself, then at most `bars` bars of one width (1 at
/// least) up to `most` (the cells of a grid, or the greatest count if that is more).
pub fn histogram(found: &[u64], most: u64, bars: u64) -> Vec<Bar> {
    let most = found.iter().copied().max().unwrap_or(0).max(most);
    let width = most.div_ceil(bars.max(1)).max(1);
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
        from = to + 1;
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
