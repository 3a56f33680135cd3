//! Compares limits with those of SciPy and statsmodels on random inputs.
//!
//! `reference/intervals.csv` names its versions; `reference/make.py` makes it again.
#![allow(clippy::unwrap_used)]

use standbook_stand::cluster::{self, Unit};
use standbook_stand::confidence::{Confidence, Interval};
use standbook_stand::{count, proportion};

/// Relative slack: nine digits, far more than any page shows.
const SLACK: f64 = 1e-9;

fn pair(text: &str) -> (u64, u64) {
    let (x, n) = text.split_once('/').unwrap();
    (x.parse().unwrap(), n.parse().unwrap())
}

fn ours(kind: &str, level: Confidence, input: &str) -> Interval {
    match kind {
        "wilson" => proportion::wilson(pair(input).0, pair(input).1, level).unwrap(),
        "clopper_pearson" => {
            proportion::clopper_pearson(pair(input).0, pair(input).1, level).unwrap()
        }
        "garwood" => count::garwood(input.parse().unwrap(), level),
        "cluster_t" => {
            let units: Vec<Unit> = input
                .split(' ')
                .map(|text| {
                    let (x, n) = pair(text);
                    Unit {
                        found: x as f64,
                        size: n as f64,
                    }
                })
                .collect();
            cluster::ratio(&units).unwrap().t_interval(level).unwrap()
        }
        other => panic!("unknown kind {other}"),
    }
}

#[test]
fn limits_are_those_of_scipy_and_statsmodels() {
    let mut worst = std::collections::BTreeMap::new();
    let mut rows = 0;
    let table = include_str!("reference/intervals.csv");
    for line in table.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let [kind, level, input, lower, upper] =
            line.split(',').collect::<Vec<_>>().try_into().unwrap();
        let level = match level {
            "0.90" => Confidence::P90,
            "0.95" => Confidence::P95,
            "0.99" => Confidence::P99,
            other => panic!("unknown level {other}"),
        };
        let found = ours(kind, level, input);
        for (found, wanted) in [
            (found.lower, lower.parse::<f64>().unwrap()),
            (found.upper, upper.parse().unwrap()),
        ] {
            // A limit near 0 that is a difference of two larger numbers has no digits to
            // compare: cluster limits are held to the slack of their width instead.
            let scale = match kind {
                "cluster_t" => wanted.abs().max(0.1),
                _ => wanted.abs(),
            };
            let off = if found == wanted {
                0.0
            } else {
                (found - wanted).abs() / scale
            };
            assert!(off <= SLACK, "{line}: found {found:e}, off by {off:e}");
            let entry = worst.entry(kind).or_insert(0.0_f64);
            *entry = entry.max(off);
        }
        rows += 1;
    }
    assert!(rows >= 200, "only {rows} rows: the table was cut short");
    println!("{rows} rows, worst relative difference: {worst:?}");
}
