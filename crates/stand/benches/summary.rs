//! Times what the Stand page waits for: 10 000 frames summed up.
//!
//! A season's worth: 2 500 spots with four frames each, six labels, three groups with unsettled
//! ones; grids of 25 cells, or quadrats in which plants were counted.
//!
//! Run: `cargo bench -p standbook-stand --bench summary`. Wanted: 10 000 frames within 50 ms.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};

use divan::{Bencher, black_box};
use standbook_stand::confidence::Confidence;
use standbook_stand::convert::{Grid, Rule};
use standbook_stand::summary::{Group, Reading, Request, Seen, summarise};
use standbook_stand::{negative_binomial, patch};

fn main() {
    divan::main();
}

const FRAMES: u32 = 10_000;
const LABELS: u8 = 6;

/// The same numbers on every machine: a linear congruential generator (Knuth's constants).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % bound
    }
}

fn frames() -> Vec<Reading<u32, u8>> {
    let mut numbers = Numbers(1);
    let frame = |frame: u32| {
        let mut occupied = BTreeMap::new();
        for label in 0..LABELS {
            // Every label in about a third of the frames, in up to twelve cells.
            if numbers.below(3) == 0 {
                let cells: BTreeSet<u32> = (0..1 + numbers.below(12))
                    .map(|_| 1 + numbers.below(25) as u32)
                    .collect();
                occupied.insert(label, cells);
            }
        }
        Reading {
            spot: frame / 4,
            seen: Seen::Grid {
                grid: Grid::STANDARD,
                occupied,
            },
        }
    };
    (0..FRAMES).map(frame).collect()
}

fn quadrats() -> Vec<Reading<u32, u8>> {
    let mut numbers = Numbers(2);
    let quadrat = |frame: u32| {
        let plants = (0..LABELS).filter_map(|label| {
            let plants = numbers.below(9) as u32;
            (plants < 4).then_some((label, plants))
        });
        Reading {
            spot: frame / 4,
            seen: Seen::Quadrat {
                area_m2: 0.25,
                plants: plants.collect(),
            },
        }
    };
    (0..FRAMES).map(quadrat).collect()
}

fn request() -> Request<u8> {
    let group = |name: &str, members: &[u8]| Group {
        name: name.to_owned(),
        members: members.iter().copied().collect(),
        unsettled: [5].into(),
    };
    Request {
        looked_for: (0..LABELS).collect(),
        groups: vec![
            group("planted", &[0, 1, 2]),
            group("annual weeds", &[3]),
            group("perennial weeds", &[4]),
        ],
        confidence: Confidence::P95,
        rules: Rule::PLAIN.to_vec(),
    }
}

/// Ten thousand grids.
#[divan::bench]
fn ten_thousand_frames(bencher: Bencher<'_, '_>) {
    let (readings, request) = (frames(), request());
    bencher.bench(|| summarise(black_box(&readings), black_box(&request)).unwrap());
}

/// Ten thousand counted quadrats.
#[divan::bench]
fn ten_thousand_quadrats(bencher: Bencher<'_, '_>) {
    let (readings, request) = (quadrats(), request());
    bencher.bench(|| summarise(black_box(&readings), black_box(&request)).unwrap());
}

/// Baseline: one plain pass over the same grids that adds up the occupied cells of every label.
#[divan::bench]
fn one_pass_over_ten_thousand_frames(bencher: Bencher<'_, '_>) {
    let readings = frames();
    bencher.bench(|| {
        let mut sums = [0_u64; LABELS as usize];
        for reading in black_box(&readings) {
            if let Seen::Grid { occupied, .. } = &reading.seen {
                for (&label, cells) in occupied {
                    sums[usize::from(label)] +=
                        cells.iter().map(|&cell| u64::from(cell > 0)).sum::<u64>();
                }
            }
        }
        sums
    });
}

/// How clumped ten thousand counts are: k by maximum likelihood, index of dispersion.
#[divan::bench]
fn clumping_of_ten_thousand_counts(bencher: Bencher<'_, '_>) {
    let mut numbers = Numbers(3);
    let plants: Vec<u64> = (0..FRAMES)
        .map(|_| numbers.below(4) * numbers.below(12))
        .collect();
    bencher.bench(|| {
        let plants = black_box(&plants);
        (
            negative_binomial::fit(plants).unwrap(),
            patch::dispersion(plants).unwrap(),
        )
    });
}
