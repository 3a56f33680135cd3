//! Keeps the operating characteristic of the field rule as a table people can read.
//!
//! `operating_characteristic.txt` beside this file is what the code gives, to the digit.
//! After a change that is meant, write it again with
//! `STANDBOOK_WRITE_TABLES=1 cargo test -p standbook-stand --test sequential` and read it.
#![allow(clippy::unwrap_used)]

use standbook_stand::sequential::{
    Simulation, StopRule, ThresholdRule, Truth, operate, operate_against, wald,
};
use std::fmt::Write as _;

fn table() -> String {
    let rule = StopRule::between(0.25, 0.40).unwrap();
    let simulation = Simulation {
        walks: 50_000,
        seed: 2026,
    };
    let mut text = String::from(
        "Field rule: 25 % against 40 % frequency, both error rates 0.10, 25 cells a point,\n\
         correlation within a frame assumed 0.10, at least 4 and at most 24 points.\n\
         50 000 simulated walks of beta-binomial frames (ChaCha8, seed 2026); noise of a share at\n\
         most 0.003. Wald: his approximation, without least and greatest number of points.\n\
         `true rho` is the correlation of the field: where it is above 0.10 the field is more\n\
         clumped than the rule assumes, and the stated 0.10 no longer holds.\n\n\
         true    true   simulated                                    Wald\n\
         share   rho    enough  too few  undec.  mean  median  p90   enough  mean\n",
    );
    let spread = [
        0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.325, 0.35, 0.40, 0.45, 0.50, 0.60, 0.70,
    ]
    .map(|share| (share, 0.10));
    let other = [0.0, 0.05, 0.15, 0.20, 0.30].map(|rho| [(0.25, rho), (0.40, rho)]);
    for (share, rho) in spread.into_iter().chain(other.concat()) {
        let truth = Truth {
            share,
            rho,
            cells: 25,
        };
        let found = operate(&rule, truth, simulation).unwrap();
        let by_wald = wald(&rule, truth).unwrap();
        writeln!(
            text,
            "{share:.3}   {rho:.2}   {:6.3}  {:7.3}  {:6.3}  {:4.1}  {:6}  {:3}   {:6.3}  {:4.1}",
            found.enough,
            found.too_few,
            found.undecided,
            found.mean_points,
            found.median_points,
            found.p90_points,
            by_wald.enough,
            by_wald.mean_points,
        )
        .unwrap();
    }
    for (threshold, shares) in [
        (0.25, [0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.35, 0.40, 0.50]),
        (0.40, [0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50, 0.55, 0.60]),
    ] {
        let rule = ThresholdRule::around(threshold).unwrap();
        writeln!(
            text,
            "\nThreshold rule around {threshold:.2}, gap {:.2}, all else as above.\n\n\
             true    true\n\
             share   rho    above   below  near    undec.  mean  median  p90",
            rule.gap
        )
        .unwrap();
        let spread = shares.map(|share| (share, 0.10));
        let clumped = [(threshold, 0.0), (threshold, 0.20), (threshold, 0.30)];
        for (share, rho) in spread.into_iter().chain(clumped) {
            let truth = Truth {
                share,
                rho,
                cells: 25,
            };
            let found = operate_against(&rule, truth, simulation).unwrap();
            writeln!(
                text,
                "{share:.3}   {rho:.2}   {:5.3}   {:5.3}  {:5.3}   {:5.3}   {:4.1}  {:6}  {:3}",
                found.above,
                found.below,
                found.near,
                found.undecided,
                found.mean_points,
                found.median_points,
                found.p90_points,
            )
            .unwrap();
        }
    }
    text
}

#[test]
fn the_operating_characteristic_is_the_one_on_file() {
    let found = table();
    if std::env::var_os("STANDBOOK_WRITE_TABLES").is_some() {
        let path = concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/tests/operating_characteristic.txt"
        );
        std::fs::write(path, &found).unwrap();
    }
    let wanted = include_str!("operating_characteristic.txt");
    assert!(
        found == wanted || std::env::var_os("STANDBOOK_WRITE_TABLES").is_some(),
        "the table is no longer the one on file:\n{found}"
    );
    println!("{found}");
}
