//! Times what a scout waits for at each point: the answer, and how many more are likely.
//!
//! The worst walks are those at a share halfway between the two frequencies, which take
//! longest to decide.
//!
//! Run: `cargo bench -p standbook-stand --bench sequential`. Wanted: 10 000 walks within 1 s.
#![allow(clippy::unwrap_used)]

use divan::{Bencher, black_box};
use standbook_stand::sequential::{
    Look, Simulation, StopRule, ThresholdRule, Truth, assess, assess_against, forecast,
    forecast_against, operate, operate_against, wald,
};

fn main() {
    divan::main();
}

fn rule() -> StopRule {
    StopRule::between(0.25, 0.40).unwrap()
}

fn halfway(cells: u32) -> Truth {
    Truth {
        share: 0.325,
        rho: 0.1,
        cells,
    }
}

/// 10 000 walks with frames of so many cells.
#[divan::bench(args = [25, 100])]
fn ten_thousand_walks(cells: u32) {
    operate(
        black_box(&rule()),
        black_box(halfway(cells)),
        Simulation::default(),
    )
    .unwrap();
}

/// Baseline: the same 10 000 walks cell by cell, as an urn, without tables.
#[divan::bench]
fn ten_thousand_walks_cell_by_cell() -> f64 {
    baseline::enough(&rule(), halfway(25), 10_000)
}

/// The answer and the forecast after eight points near the middle.
#[divan::bench]
fn answer_and_forecast(bencher: Bencher<'_, '_>) {
    let looks: Vec<Look> = (1..)
        .zip([8, 7, 9, 8, 10, 6, 9, 8])
        .map(|(place, occupied)| Look {
            place,
            occupied,
            cells: 25,
        })
        .collect();
    bencher.bench(|| {
        let found = assess(&rule(), black_box(&looks)).unwrap();
        forecast(&found, &looks, Simulation::default()).unwrap()
    });
}

/// 10 000 walks of the rule for one threshold, in a field exactly at it.
#[divan::bench]
fn ten_thousand_walks_against_a_threshold() {
    let rule = ThresholdRule::around(0.25).unwrap();
    let truth = Truth {
        share: 0.25,
        rho: 0.1,
        cells: 25,
    };
    operate_against(black_box(&rule), black_box(truth), Simulation::default()).unwrap();
}

/// Answer and forecast against one threshold, as the phone's page asks for at every point.
#[divan::bench]
fn answer_and_forecast_against_a_threshold(bencher: Bencher<'_, '_>) {
    let rule = ThresholdRule::around(0.25).unwrap();
    let looks: Vec<Look> = (1..)
        .zip([8, 7, 6, 8])
        .map(|(place, occupied)| Look {
            place,
            occupied,
            cells: 25,
        })
        .collect();
    bencher.bench(|| {
        let found = assess_against(&rule, black_box(&looks)).unwrap();
        forecast_against(&found, &looks, Simulation::default()).unwrap()
    });
}

/// Wald's approximation, which the simulation replaces.
#[divan::bench]
fn walds_approximation() {
    wald(black_box(&rule()), black_box(halfway(25))).unwrap();
}

/// The plainest way to simulate the rule; shares no code with the crate but the rule's numbers.
mod baseline {
    use super::{StopRule, Truth};
    use rand_chacha::ChaCha8Rng;
    use rand_chacha::rand_core::{Rng, SeedableRng};

    pub fn enough(rule: &StopRule, truth: Truth, walks: u32) -> f64 {
        let mut numbers = ChaCha8Rng::seed_from_u64(2026);
        let mut next = || (numbers.next_u64() >> 11) as f64 / (1u64 << 53) as f64;
        let (lower, upper) = rule.bounds();
        let w = truth.rho / (1.0 - truth.rho);
        let v = rule.correlation.rho / (1.0 - rule.correlation.rho);
        let mut enough = 0;
        for _ in 0..walks {
            let mut log_ratio = 0.0;
            for point in 1..=rule.most_points {
                let (mut occupied, mut empty) = (0.0, 0.0);
                for cell in 0..truth.cells {
                    let chance = (truth.share + occupied * w) / (1.0 + f64::from(cell) * w);
                    if next() < chance {
                        log_ratio +=
                            ((rule.p_high + occupied * v) / (rule.p_low + occupied * v)).ln();
                        occupied += 1.0;
                    } else {
                        log_ratio +=
                            ((1.0 - rule.p_high + empty * v) / (1.0 - rule.p_low + empty * v)).ln();
                        empty += 1.0;
                    }
                }
                if point >= rule.least_points && (log_ratio >= upper || log_ratio <= lower) {
                    enough += u32::from(log_ratio >= upper);
                    break;
                }
            }
        }
        f64::from(enough) / f64::from(walks)
    }
}
