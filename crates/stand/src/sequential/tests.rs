#![allow(clippy::unwrap_used)]
use super::frames::{log_ratio, log_ratios, probabilities};
use super::*;
use proptest::prelude::*;

mod simulated;

#[track_caller]
fn close(found: f64, wanted: f64, slack: f64) {
    assert!(
        (found - wanted).abs() <= slack,
        "found {found}, wanted {wanted}"
    );
}

fn field_rule() -> StopRule {
    StopRule::between(0.25, 0.40).unwrap()
}

fn looks(frames: &[u32]) -> Vec<Look> {
    (1..)
        .zip(frames)
        .map(|(place, &occupied)| Look {
            place,
            occupied,
            cells: 25,
        })
        .collect()
}

/// S7a: NIST handbook 7.2.6 as printed (-0.939, 1.205, 0.0397; memory), 4 digits recomputed.
/// S7b: own, on the frequencies of Schmer and others 2006; by hand g = ln 2, so the slope is
/// ln 1.25 / ln 2 and the intercepts ln 9 / ln 2.
#[test]
fn s7a_and_b_binomial_lines() {
    let found = binomial_lines(0.01, 0.10, 0.05, 0.10).unwrap();
    close(found.slope, 0.03975, 5e-6);
    close(found.lower_intercept, -0.9389, 5e-5);
    close(found.upper_intercept, 1.2054, 5e-5);
    let found = binomial_lines(0.25, 0.40, 0.10, 0.10).unwrap();
    close(found.slope, 0.321_928, 5e-7);
    close(found.slope, 1.25_f64.ln() / 2_f64.ln(), 1e-15);
    close(found.lower_intercept, -3.169_925, 5e-7);
    close(found.upper_intercept, 3.169_925, 5e-7);
}

/// S7c, S7d: own, recomputed with SciPy 1.17.1. Clumping widens the band by 71 %.
#[test]
fn s7c_and_d_lines_for_counts() {
    let clumped = negative_binomial_lines(0.5, 1.0, 1.0, 0.10, 0.10).unwrap();
    close(clumped.slope, 0.709_511, 5e-7);
    close(clumped.lower_intercept, -5.419_023, 5e-7);
    close(clumped.upper_intercept, 5.419_023, 5e-7);
    let random = poisson_lines(0.5, 1.0, 0.10, 0.10).unwrap();
    close(random.slope, 0.721_348, 5e-7);
    close(random.lower_intercept, -3.169_925, 5e-7);
    close(random.upper_intercept, 3.169_925, 5e-7);
    close(
        clumped.upper_intercept / random.upper_intercept,
        1.71,
        0.005,
    );
    // Without clumps the one becomes the other.
    let even = negative_binomial_lines(0.5, 1.0, 1e9, 0.10, 0.10).unwrap();
    close(even.slope, random.slope, 1e-7);
    close(even.upper_intercept, random.upper_intercept, 1e-6);
}

/// Published: help of the R package sequential.pops 0.1.1, class SPRT: counts 2, 5, 6, 2, 7
/// under means 2 and 4, k 4.6, both rates 0.1 return "accept H1" after 5 bouts.
#[test]
fn a_published_negative_binomial_decision() {
    let lines = negative_binomial_lines(2.0, 4.0, 4.6, 0.1, 0.1).unwrap();
    let mut total = 0.0;
    let found: Vec<_> = (1..)
        .zip([2.0, 5.0, 6.0, 2.0, 7.0])
        .map(|(n, count)| {
            total += count;
            lines.outcome(total, f64::from(n))
        })
        .collect();
    use Outcome::{Enough, GoOn};
    assert_eq!(found, [GoOn, GoOn, GoOn, GoOn, Enough]);
}

/// scipy.stats.betabinom 1.17.1.
#[test]
fn frames_are_beta_binomial() {
    for (share, rho, cells, occupied, wanted) in [
        (0.25, 0.1, 25, 0, 0.03561212101666305),
        (0.25, 0.1, 25, 6, 0.09275014383393951),
        (0.25, 0.1, 25, 25, 3.7544917299953816e-6),
        (0.4, 0.3, 25, 0, 0.06330035061326131),
        (0.4, 0.3, 25, 10, 0.042604587677670176),
        (0.4, 0.3, 25, 25, 0.011841029782365455),
        (0.05, 0.02, 100, 0, 0.06177917698435392),
        (0.05, 0.02, 100, 5, 0.10091504525420843),
        (0.05, 0.02, 100, 20, 0.001135508756895871),
    ] {
        let found = probabilities(share, rho, cells)[occupied];
        close(found / wanted, 1.0, 1e-9);
    }
    for (occupied, wanted) in [
        (0, -2.298989272151191),
        (8, 0.08676244016000378),
        (25, 3.28235115501195),
    ] {
        close(log_ratio(&field_rule(), occupied, 25), wanted, 1e-9);
    }
}

/// Without correlation and with one cell a point, the field rule is S7b's pair of lines.
#[test]
fn independent_cells_follow_walds_lines() {
    let mut rule = field_rule();
    rule.correlation.rho = 0.0;
    rule.least_points = 1;
    rule.most_points = 200;
    let lines = binomial_lines(0.25, 0.40, 0.10, 0.10).unwrap();
    for pattern in [0b0111_0110_u32, 0b1001, 0b0010_0100_1001, u32::MAX, 0] {
        let mut cells = vec![];
        let mut total = 0;
        for bit in 0..32 {
            let occupied = pattern >> bit & 1;
            total += occupied;
            cells.push(Look {
                place: bit + 1,
                occupied,
                cells: 1,
            });
            let found = assess(&rule, &cells).unwrap();
            let wanted = lines.outcome(f64::from(total), f64::from(bit + 1));
            assert_eq!(found.outcome, wanted, "{pattern:b} after {}", bit + 1);
            if wanted != Outcome::GoOn {
                break;
            }
        }
    }
}

#[test]
fn it_says_enough_too_few_go_on_and_undecided() {
    let rule = field_rule();
    let outcome = |frames: &[u32]| assess(&rule, &looks(frames)).unwrap().outcome;
    assert_eq!(outcome(&[]), Outcome::GoOn);
    assert_eq!(outcome(&[15, 14, 20]), Outcome::GoOn); // clear already, but below the least
    assert_eq!(outcome(&[15, 14, 20, 21]), Outcome::Enough); // Oklahoma State's frames
    assert_eq!(outcome(&[0, 2, 1, 0]), Outcome::TooFew);
    assert_eq!(outcome(&[8, 7, 9, 8]), Outcome::GoOn);
    assert_eq!(outcome(&[8; 23]), Outcome::GoOn);
    assert_eq!(outcome(&[8; 24]), Outcome::Undecided);
    let found = assess(&rule, &looks(&[8; 24])).unwrap();
    assert_eq!((found.points_left, found.decided_after), (0, None));
}

#[test]
fn the_first_crossing_decides_and_later_points_are_shown() {
    let found = assess(&field_rule(), &looks(&[15, 14, 20, 21, 0, 0, 0, 0])).unwrap();
    assert_eq!(found.outcome, Outcome::Enough);
    assert_eq!((found.decided_after, found.points), (Some(4), 8));
    assert!(found.later_points_disagree);
    let steady = assess(&field_rule(), &looks(&[15, 14, 20, 21, 15])).unwrap();
    assert!(!steady.later_points_disagree);
    // Points beyond the maximum do not rescue an undecided walk.
    let mut frames = vec![8; 24];
    frames.extend([25; 6]);
    let late = assess(&field_rule(), &looks(&frames)).unwrap();
    assert_eq!(late.outcome, Outcome::Undecided);
    assert_eq!(late.beyond_maximum, [25, 26, 27, 28, 29, 30]);
}

#[test]
fn skipped_and_late_places_are_listed() {
    let at = |place, occupied| Look {
        place,
        occupied,
        cells: 25,
    };
    let found = assess(&field_rule(), &[at(1, 9), at(5, 8), at(3, 7), at(6, 8)]).unwrap();
    assert_eq!(found.skipped, [2, 4]);
    assert_eq!(found.out_of_order, [3]);
    let places: Vec<_> = found.path.iter().map(|step| step.place).collect();
    assert_eq!(places, [1, 3, 5, 6]);
    assert_eq!(found.points, 4);
}

#[test]
fn what_cannot_be_is_refused() {
    let rule = field_rule();
    let refused = |place, occupied, cells| {
        let look = Look {
            place,
            occupied,
            cells,
        };
        assess(&rule, &[look]).unwrap_err()
    };
    assert!(matches!(
        refused(1, 26, 25),
        SequentialError::BadCells { .. }
    ));
    assert!(matches!(refused(1, 0, 0), SequentialError::BadCells { .. }));
    assert!(matches!(
        refused(0, 1, 25),
        SequentialError::BadPlace { .. }
    ));
    let twice = [looks(&[3])[0], looks(&[4])[0]];
    assert_eq!(
        assess(&rule, &twice),
        Err(SequentialError::PlaceTwice { place: 1 })
    );
    for (low, high) in [
        (0.4, 0.25),
        (0.25, 0.25),
        (0.0, 0.4),
        (0.25, 1.0),
        (f64::NAN, 0.4),
    ] {
        assert!(StopRule::between(low, high).is_err(), "{low} {high}");
        assert!(binomial_lines(low, high, 0.1, 0.1).is_err());
    }
    let mut bad = rule;
    bad.wrong_enough = 0.5;
    assert!(matches!(bad.check(), Err(SequentialError::BadRate { .. })));
    let mut bad = rule;
    bad.most_points = 3;
    assert!(matches!(
        bad.check(),
        Err(SequentialError::BadPoints { .. })
    ));
    let mut bad = rule;
    bad.correlation.rho = f64::NAN;
    assert!(matches!(
        bad.check(),
        Err(SequentialError::BadCorrelation { .. })
    ));
    assert!(negative_binomial_lines(1.0, 2.0, 0.0, 0.1, 0.1).is_err());
    assert!(poisson_lines(2.0, 1.0, 0.1, 0.1).is_err());
    let no_walks = Simulation { walks: 0, seed: 1 };
    let field = Truth {
        share: 0.25,
        rho: 0.1,
        cells: 25,
    };
    assert!(operate(&rule, field, no_walks).is_err());
    let nowhere = Truth {
        share: 1.1,
        ..field
    };
    assert!(operate(&rule, nowhere, Simulation::default()).is_err());
}

/// Oklahoma State's frames: (2.34921 - 1) / 24, by hand from S3b.
#[test]
fn the_correlation_of_the_published_frames() {
    let found = correlation_seen(&looks(&[15, 14, 20, 21])).unwrap();
    close(found, 1.34921 / 24.0, 5e-7);
    for frames in [&[][..], &[9], &[0, 0], &[25, 25]] {
        assert_eq!(correlation_seen(&looks(frames)), None);
    }
    assert_eq!(correlation_seen(&looks(&[8, 8, 8])), Some(0.0));
}

/// Wald's formulas at the two ends give back the stated rates, whatever the frame.
#[test]
fn walds_approximation_gives_back_its_rates() {
    for (cells, rho) in [(1, 0.0), (25, 0.1), (100, 0.3)] {
        let mut rule = StopRule::between(0.25, 0.40).unwrap();
        rule.correlation.rho = rho;
        (rule.wrong_enough, rule.wrong_too_few) = (0.05, 0.10);
        let at = |share| wald(&rule, Truth { share, rho, cells }).unwrap();
        close(at(0.25).enough, 0.05, 1e-9);
        close(at(0.40).too_few, 0.10, 1e-9);
        assert!(at(0.3).mean_points > at(0.25).mean_points);
        // Where every point leads the same way.
        close(at(0.0).too_few, 1.0, 1e-12);
        close(at(1.0).enough, 1.0, 1e-12);
    }
    // The binomial formula written out (R package Dodge, SequentialBinomial; Wald 1945):
    // h = 1 at p0, mean number = (L ln B + (1 - L) ln A) / E(z).
    let mut rule = StopRule::between(0.01, 0.04).unwrap();
    rule.correlation.rho = 0.0;
    (rule.wrong_enough, rule.wrong_too_few) = (0.05, 0.05);
    let truth = Truth {
        share: 0.01,
        rho: 0.0,
        cells: 1,
    };
    let step = 0.01 * (0.04_f64 / 0.01).ln() + 0.99 * (0.96_f64 / 0.99).ln();
    let wanted = (0.95 * (0.05_f64 / 0.95).ln() + 0.05 * (0.95_f64 / 0.05).ln()) / step;
    close(wald(&rule, truth).unwrap().mean_points, wanted, 1e-6);
}

proptest! {
    /// The answer does not depend on the order in which readings arrive.
    #[test]
    fn arrival_does_not_matter(frames in proptest::collection::vec(0u32..=25, 0..30), seed in any::<u64>()) {
        let seen = looks(&frames);
        let mut shuffled = seen.clone();
        let mut state = seed;
        for i in (1..shuffled.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            shuffled.swap(i, (state >> 33) as usize % (i + 1));
        }
        let one = assess(&field_rule(), &seen).unwrap();
        let mut other = assess(&field_rule(), &shuffled).unwrap();
        prop_assert!(one.out_of_order.is_empty());
        other.out_of_order.clear();
        prop_assert_eq!(one, other);
    }

    /// More occupied cells never speak less for the upper frequency; chances sum to 1.
    #[test]
    fn more_cells_speak_for_more(low in 0.02..0.5f64, gap in 0.02..0.4f64, rho in 0.0..0.9f64, cells in 1u32..120) {
        let mut rule = StopRule::between(low, low + gap).unwrap();
        rule.correlation.rho = rho;
        let table = log_ratios(&rule, cells);
        prop_assert!(table.windows(2).all(|pair| pair[0] < pair[1]));
        let chances = probabilities(low, rho, cells);
        prop_assert!((chances.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        // Mean and variance of the beta-binomial, closed form.
        let n = f64::from(cells);
        let mean: f64 = (0..).zip(&chances).map(|(c, p)| f64::from(c) * p).sum();
        let square: f64 = (0..).zip(&chances).map(|(c, p)| (f64::from(c) - n * low).powi(2) * p).sum();
        prop_assert!((mean - n * low).abs() < 1e-6 * n);
        prop_assert!((square / (n * low * (1.0 - low) * (1.0 + (n - 1.0) * rho)) - 1.0).abs() < 1e-6);
        // The ratio is that of the likelihoods.
        let above = probabilities(low + gap, rho, cells);
        for occupied in 0..=cells as usize {
            if chances[occupied] > 1e-200 && above[occupied] > 1e-200 {
                let wanted = (above[occupied] / chances[occupied]).ln();
                prop_assert!((table[occupied] - wanted).abs() < 1e-6);
                prop_assert!((log_ratio(&rule, occupied as u32, cells) - wanted).abs() < 1e-6);
            }
        }
    }
}
