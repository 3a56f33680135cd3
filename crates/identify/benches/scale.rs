//! One answer and the next look for 52, 1,000, 30,000 and 350,000 taxa of 300 traits (the last is
//! every vascular plant), beside what this machine's memory gives one core.
//!
//! `cargo bench -p standbook-identify --bench scale`. Made-up taxa from a fixed seed, two to six
//! states a trait. Wanted: at most 1 ms at 1,000 taxa and 50 ms at 350,000, within twice the time that
//! reading the same bytes takes. Needs about 2 GB of free memory and half a minute.

#![allow(clippy::unwrap_used)]

use std::hint::black_box;
use std::time::Instant;

use standbook_identify::wide::Wide;
use standbook_identify::{Answer, Evidence, Reading, Situation, Table};

const TRAITS: usize = 300;
const PLANTED: usize = 20;
const SIZES: [usize; 4] = [52, 1_000, 30_000, 350_000];
/// Far beyond any last-level cache of today (this project's machine: 260 MB, shared).
const BUFFER_BYTES: usize = 1 << 30;

fn main() {
    // `cargo test --benches` starts this too; it is no test.
    if std::env::args().any(|a| a == "--test") {
        return;
    }
    let bandwidth = read_gb_per_s();
    println!("{TRAITS} traits, one core, {}", features());
    println!("memory: {bandwidth:.1} GB/s read (sum over {BUFFER_BYTES} bytes, best of 7)\n");
    println!(
        "{:>7} {:>7} {:>8} {:>9} {:>9} {:>9} {:>9} {:>9} {:>7} {:>10} {:>9}",
        "taxa",
        "answers",
        "table",
        "traffic",
        "answer",
        "look",
        "both",
        "bandwidth",
        "ratio",
        "both, 1e-6",
        "moved by"
    );
    println!(
        "{:>7} {:>7} {:>8} {:>9} {:>9} {:>9} {:>9} {:>9} {:>7} {:>10} {:>9}",
        "", "", "MB", "MB", "ms", "ms", "ms", "ms", "", "ms", "bits"
    );
    for n in SIZES {
        rows_of_the_report(n, bandwidth);
    }
    println!(
        "\ntraffic: bytes of cells read for all answers and one pass over the looks left, and 10 bytes a taxon"
    );
    println!(
        "bandwidth: time to read as many bytes; ratio: both / bandwidth (below 1: from cache)"
    );
    println!(
        "1e-6: the least likely blocks of 256 rows left out, together at most 1e-6. It pays only"
    );
    println!(
        "where kin stand together; these rows stand in no order. moved by: largest difference"
    );
    println!("in the worth of a look from it. Times: median.");
}

fn rows_of_the_report(n: usize, bandwidth: f64) {
    let mut random = fastrand::Rng::with_seed(20_261_125);
    let wide = synthetic(n, &mut random);
    let mut part = vec![1_u8; n];
    (0..PLANTED).for_each(|_| part[random.usize(..n)] = 0);
    part[n - 1] = 2;
    let situation = Situation::default();
    let mut evidence = Evidence::default();
    for n_answers in 0..=10 {
        let p = wide.posterior(&evidence);
        let looks = wide.looks(&p, &evidence, &situation, &part, 0.0);
        if [1, 6, 10].contains(&n_answers) {
            let rounds = (20_000_000 / (n * TRAITS)).clamp(9, 500);
            let answer = median_ms(rounds, || {
                black_box(wide.posterior(black_box(&evidence)));
            });
            let look = median_ms(rounds, || {
                black_box(wide.looks(black_box(&p), &evidence, &situation, &part, 0.0));
            });
            let both = median_ms(rounds, || {
                let p = wide.posterior(black_box(&evidence));
                black_box(wide.looks(&p, &evidence, &situation, &part, 0.0));
            });
            let pruned = median_ms(rounds, || {
                let p = wide.posterior(black_box(&evidence));
                black_box(wide.looks(&p, &evidence, &situation, &part, 1e-6));
            });
            let fewer = wide.looks(&p, &evidence, &situation, &part, 1e-6);
            let moved = looks
                .iter()
                .filter_map(|a| {
                    let b = fewer.iter().find(|b| b.trait_index == a.trait_index)?;
                    Some(
                        (a.bits_name - b.bits_name).abs() + (a.bits_planted - b.bits_planted).abs(),
                    )
                })
                .fold(0.0, f64::max);
            // Answered traits are not read again; log, weights and part of every taxon are.
            let answered = |at: &usize| evidence.reading(*at).is_some();
            let per_taxon: usize = (0..TRAITS)
                .filter(|at| !answered(at))
                .map(|at| wide.frame().traits[at].states.len())
                .sum();
            let traffic = (n * (per_taxon + n_answers + 10)) as f64;
            let ideal = traffic / bandwidth / 1e6;
            println!(
                "{n:>7} {n_answers:>7} {:>8.1} {:>9.2} {answer:>9.3} {look:>9.3} {both:>9.3} {ideal:>9.3} {:>7.2} {pruned:>10.3} {moved:>9.1e}",
                wide.bytes() as f64 / 1e6,
                traffic / 1e6,
                both / ideal,
            );
        }
        // Every plant is row 0, which reports its likeliest state: state 0 of every trait.
        let Some(next) = looks.first() else { break };
        evidence.add(Answer {
            trait_index: next.trait_index,
            reading: Reading::States(vec![0]),
        });
    }
}

/// A flora that never exists at 64 bits: row by row straight into bytes. A taxon mostly shows one
/// state; row 0 always the first.
fn synthetic(n: usize, random: &mut fastrand::Rng) -> Wide {
    let n_states: Vec<usize> = (0..TRAITS).map(|_| random.usize(2..=6)).collect();
    let empty: Vec<Vec<Vec<f64>>> = n_states.iter().map(|n| vec![Vec::new(); *n]).collect();
    let frame = Table::from_counts(&[], &[], &empty, 1.0);
    let prior = vec![-(n as f32).ln(); n];
    let mut wide = Wide::empty(frame, prior, 0.002, &[]);
    let mut chances = Vec::new();
    for row in 0..n {
        for (at, &n_states) in n_states.iter().enumerate() {
            let sure = 0.6 + 0.38 * random.f64();
            chances.clear();
            chances.resize(n_states, (1.0 - sure) / (n_states - 1) as f64);
            chances[if row == 0 {
                0
            } else {
                random.usize(..n_states)
            }] = sure;
            assert!(wide.set(row, at, &chances));
        }
    }
    wide
}

fn median_ms(rounds: usize, mut run: impl FnMut()) -> f64 {
    run();
    let mut times: Vec<f64> = (0..rounds)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// One core reading forward through memory that no cache holds, GB/s, best of 7.
fn read_gb_per_s() -> f64 {
    let buffer: Vec<u64> = (0..BUFFER_BYTES as u64 / 8).collect();
    (0..7)
        .map(|_| {
            let start = Instant::now();
            let sum = black_box(&buffer)
                .iter()
                .fold(0_u64, |sum, word| sum.wrapping_add(*word));
            black_box(sum);
            BUFFER_BYTES as f64 / start.elapsed().as_secs_f64() / 1e9
        })
        .fold(0.0, f64::max)
}

/// What the compiler was allowed to use.
fn features() -> &'static str {
    if cfg!(target_feature = "avx512f") {
        "built for AVX-512"
    } else if cfg!(target_feature = "avx2") {
        "built for AVX2"
    } else {
        "built for any machine of this architecture"
    }
}
