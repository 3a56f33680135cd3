//! Draws fields whose truth is known.
//!
//! In: a truth. Out: units as a scout would have read them. Occupied cells are beta-binomial
//! (correlation rho within a spot), counted plants negative binomial (k).
//! Units: shares from 0 to 1; plants per quadrat of 1 m2. Not here: what is made of them.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use standbook_stand::cluster::{AreaUnit, CellUnit};
use statrs::function::gamma::ln_gamma;

/// Draws numbers whose cumulative shares are given.
pub struct Draw {
    rng: ChaCha8Rng,
    upto: Vec<f64>,
}

impl Draw {
    /// `ln_share(x)` for x from 0; ends when nearly everything is covered, or after `most`.
    fn new(seed: u64, most: u64, ln_share: impl Fn(f64) -> f64) -> Draw {
        let mut upto = Vec::new();
        let mut sum = 0.0;
        for x in 0..=most {
            sum += ln_share(x as f64).exp();
            upto.push(sum);
            if sum > 1.0 - 1e-12 {
                break;
            }
        }
        let rng = ChaCha8Rng::seed_from_u64(seed);
        Draw { rng, upto }
    }

    fn next(&mut self) -> u64 {
        let uniform = (self.rng.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
        let at = self.upto.partition_point(|&upto| upto <= uniform);
        at.min(self.upto.len() - 1) as u64
    }
}

/// A field read in grids.
#[derive(Debug, Clone, Copy)]
pub struct Cells {
    pub spots: usize,
    pub cells: u64,
    pub share: f64,
    pub rho: f64,
}

impl Cells {
    pub fn draw(self) -> Draw {
        let Cells {
            spots,
            cells,
            share: p,
            rho,
        } = self;
        let seed = spots as u64 * 1_000_000 + cells * 1_000 + (p * 100.0 + rho * 10_000.0) as u64;
        Draw::new(seed, cells, |x| ln_cells(cells as f64, p, rho, x))
    }

    pub fn units(self, draw: &mut Draw) -> Vec<CellUnit> {
        let cells = self.cells;
        let spot = |_| CellUnit {
            occupied: draw.next(),
            cells,
        };
        (0..self.spots).map(spot).collect()
    }
}

/// A field in which plants were counted.
#[derive(Debug, Clone, Copy)]
pub struct Plants {
    pub spots: usize,
    pub mean: f64,
    pub k: f64,
}

impl Plants {
    pub fn draw(self) -> Draw {
        let Plants { spots, mean, k } = self;
        let seed = spots as u64 * 1_000_000 + (mean * 1_000.0 + k * 10.0) as u64;
        Draw::new(seed, 10_000, |x| ln_plants(mean, k, x))
    }

    pub fn units(self, draw: &mut Draw) -> Vec<AreaUnit> {
        let spot = |_| AreaUnit {
            plants: draw.next(),
            area_m2: 1.0,
        };
        (0..self.spots).map(spot).collect()
    }
}

fn ln_choose(n: f64, x: f64) -> f64 {
    ln_gamma(n + 1.0) - ln_gamma(x + 1.0) - ln_gamma(n - x + 1.0)
}

/// Log-share of x occupied of n cells: beta-binomial, binomial where rho is 0.
fn ln_cells(n: f64, p: f64, rho: f64, x: f64) -> f64 {
    if rho <= 0.0 {
        return ln_choose(n, x) + x * p.ln() + (n - x) * (-p).ln_1p();
    }
    let (a, b) = (p * (1.0 - rho) / rho, (1.0 - p) * (1.0 - rho) / rho);
    let ln_beta = |a: f64, b: f64| ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b);
    ln_choose(n, x) + ln_beta(x + a, n - x + b) - ln_beta(a, b)
}

/// Log-share of x plants: negative binomial.
fn ln_plants(mean: f64, k: f64, x: f64) -> f64 {
    ln_gamma(k + x) - ln_gamma(k) - ln_gamma(x + 1.0)
        + x * (mean / (k + mean)).ln()
        + k * (k / (k + mean)).ln()
}
