//! How often the intervals hold the truth, by simulation; the table is kept in `coverage.txt`.
//!
//! Fields are drawn whose truth is known: occupied cells beta-binomial (correlation rho within a
//! spot), counted plants negative binomial (k). The share of draws whose interval holds the truth
//! should be the nominal one. The kept table is made with many draws by
//! `STANDBOOK_WRITE_TABLES=1 cargo test -p standbook-stand --release --test coverage`; every
//! test run draws fewer of the fields that matter and holds them to two points plus noise.
#![allow(clippy::unwrap_used)]

use std::fmt::Write;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use standbook_stand::cluster::{AreaUnit, CellUnit, Estimate, density, frequency};
use standbook_stand::confidence::{Confidence, Interval};
use statrs::function::gamma::ln_gamma;

/// Draws numbers whose cumulative shares are given.
struct Draw {
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

/// Shares of draws that hold the truth: ours at 90 and 95 %, plain t and independent cells (or
/// scattered plants) at 95 %; and our mean width at 95 %.
struct Held {
    ours: [f64; 2],
    by_t: f64,
    independent: f64,
    width: f64,
}

fn held(truth: f64, draws: u32, mut estimate: impl FnMut() -> [Estimate; 2]) -> Held {
    let mut sums = [0.0; 5];
    for _ in 0..draws {
        let found = estimate();
        let holds = |interval: Interval| f64::from(u8::from(interval.contains(truth)));
        let ours = found.map(|f| f.limits.unwrap().interval);
        let by_t = found[1].by_t.unwrap();
        // A plain t interval is shown cut at 0.
        let more = [
            holds(ours[0]),
            holds(ours[1]),
            holds(by_t),
            holds(found[1].if_independent.interval),
            ours[1].width(),
        ];
        sums.iter_mut().zip(more).for_each(|(sum, one)| *sum += one);
    }
    let [a, b, c, d, e] = sums.map(|sum| sum / f64::from(draws));
    Held {
        ours: [a, b],
        by_t: c,
        independent: d,
        width: e,
    }
}

const LEVELS: [Confidence; 2] = [Confidence::P90, Confidence::P95];

fn cells_held(spots: usize, cells: u64, p: f64, rho: f64, draws: u32) -> Held {
    let seed = spots as u64 * 1_000_000 + cells * 1_000 + (p * 100.0 + rho * 10_000.0) as u64;
    let mut draw = Draw::new(seed, cells, |x| ln_cells(cells as f64, p, rho, x));
    held(p, draws, || {
        let units: Vec<CellUnit> = (0..spots)
            .map(|_| CellUnit {
                occupied: draw.next(),
                cells,
            })
            .collect();
        LEVELS.map(|level| frequency(&units, level).unwrap())
    })
}

fn plants_held(spots: usize, mean: f64, k: f64, draws: u32) -> Held {
    let seed = spots as u64 * 1_000_000 + (mean * 1_000.0 + k * 10.0) as u64;
    let mut draw = Draw::new(seed, 10_000, |x| ln_plants(mean, k, x));
    held(mean, draws, || {
        let units: Vec<AreaUnit> = (0..spots)
            .map(|_| AreaUnit {
                plants: draw.next(),
                area_m2: 1.0,
            })
            .collect();
        LEVELS.map(|level| density(&units, level).unwrap())
    })
}

const HEAD: &str = "held 90  held 95 | t 95  independent 95 | width 95";

fn line(held: &Held) -> String {
    format!(
        "   {:.3}    {:.3} | {:.3}     {:.3}      | {:.3}",
        held.ours[0], held.ours[1], held.by_t, held.independent, held.width
    )
}

#[test]
fn the_kept_table() {
    let path = format!("{}/tests/coverage.txt", env!("CARGO_MANIFEST_DIR"));
    if std::env::var_os("STANDBOOK_WRITE_TABLES").is_none() {
        // The other tests draw anew; here only that there is a table with all rows.
        let kept = std::fs::read_to_string(path).unwrap();
        assert_eq!(
            kept.lines().filter(|l| l.contains(" | ")).count(),
            2 + 6 * 2 * 6 * 4 + 4 * 5 * 4
        );
        return;
    }
    let draws = 4000;
    let mut out = format!(
        "Share of {draws} simulated fields whose interval holds the truth (noise about 0.007).\n\
         Nominal 0.90 and 0.95. Made by tests/coverage.rs, which says how.\n\nOccupied cells\n\
         spots cells  share  rho  {HEAD}\n"
    );
    for spots in [4, 6, 8, 12, 20, 40] {
        for cells in [25, 100] {
            for p in [0.05, 0.15, 0.25, 0.40, 0.60, 0.85] {
                for rho in [0.0, 0.05, 0.15, 0.30] {
                    let held = cells_held(spots, cells, p, rho, draws);
                    writeln!(
                        out,
                        "{spots:5} {cells:5}   {p:.2}  {rho:.2} {}",
                        line(&held)
                    )
                    .unwrap();
                }
            }
        }
    }
    writeln!(
        out,
        "\nCounted plants, quadrats of 1 m2\nspots   mean     k       {HEAD}"
    )
    .unwrap();
    for spots in [8, 12, 20, 40] {
        for mean in [0.3, 1.0, 3.0, 8.0, 20.0] {
            for k in [0.5, 1.0, 3.0, 10.0] {
                let held = plants_held(spots, mean, k, draws);
                writeln!(out, "{spots:5}  {mean:5.1}  {k:4.1}     {}", line(&held)).unwrap();
            }
        }
    }
    std::fs::write(path, out).unwrap();
}

/// Noise of a share from so many draws, three standard errors.
fn noise(nominal: f64, draws: u32) -> f64 {
    3.0 * (nominal * (1.0 - nominal) / f64::from(draws)).sqrt()
}

#[track_caller]
fn holds_its_level(held: &Held, draws: u32, what: &str) {
    for (level, share) in LEVELS.iter().zip(held.ours) {
        let least = level.level() - 0.02 - noise(level.level(), draws);
        assert!(share >= least, "{what}: {share} at {}", level.level());
    }
}

/// Within two points of nominal for 8 spots or more and shares from 15 % up; below that, and very
/// patchy, the table shows by how much it falls short.
#[test]
fn frequencies_hold_their_level() {
    let draws = 500;
    for (spots, cells) in [(8, 25), (12, 25), (12, 100), (40, 25)] {
        for p in [0.15, 0.25, 0.40, 0.85] {
            for rho in [0.0, 0.05, 0.30] {
                let held = cells_held(spots, cells, p, rho, draws);
                holds_its_level(
                    &held,
                    draws,
                    &format!("{spots} spots of {cells}, {p}, rho {rho}"),
                );
            }
        }
    }
}

/// Why cells of a frame must not be taken for independent: at rho 0.15 such an interval misses
/// the truth four times in ten or more.
#[test]
fn independent_cells_would_claim_too_much() {
    let held = cells_held(12, 25, 0.40, 0.15, 500);
    assert!(held.independent < 0.75, "{}", held.independent);
    assert!(held.ours[1] > held.independent + 0.15);
}

/// Within two points for 8 quadrats or more and k from 1 up; for k of 0.5 the table shows by how
/// much it falls short.
#[test]
fn densities_hold_their_level() {
    let draws = 500;
    for spots in [8, 20] {
        for mean in [1.0, 8.0] {
            for k in [1.0, 3.0, 10.0] {
                let held = plants_held(spots, mean, k, draws);
                holds_its_level(
                    &held,
                    draws,
                    &format!("{spots} quadrats, mean {mean}, k {k}"),
                );
            }
        }
    }
}
