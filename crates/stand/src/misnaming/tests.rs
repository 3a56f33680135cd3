#![allow(clippy::unwrap_used)]
use super::*;
use crate::proportion;
use proptest::prelude::*;

const P95: Confidence = Confidence::P95;

#[track_caller]
fn close(found: f64, wanted: f64, slack: f64) {
    assert!(
        (found - wanted).abs() <= slack,
        "found {found}, wanted {wanted}"
    );
}

/// S10a. Published: R package epiR, help of epi.prev (23 of 150, Se 0.96, Sp 0.89), printed
/// as 5.1 per 100; six digits recomputed with SciPy 1.17.1.
#[test]
fn s10a_the_published_rogan_gladen() {
    close(
        rogan_gladen_share(23.0 / 150.0, 0.96, 0.89).unwrap(),
        0.050_980_4,
        5e-8,
    );
    let called = proportion::wilson(23, 150, P95).unwrap();
    let found = rogan_gladen_interval(called, 0.96, 0.89).unwrap();
    close(found.lower, -0.00659, 5e-6);
    close(found.upper, 0.12892, 5e-6);
    let (cut, was_cut) = clip(found);
    assert!(was_cut && cut.lower == 0.0);
    close(cut.upper, 0.13, 0.005);
}

/// S10b: own, recomputed; Se and Sp each from 100 plants.
#[test]
fn s10b_variance_with_the_audits_own_doubt() {
    let called = 23.0 / 150.0;
    let found = variance_estimated(called, 150, (0.96, 100), (0.89, 100)).unwrap();
    close(found, 0.002_419_66, 5e-9);
    close(found.sqrt(), 0.049_190_0, 5e-8);
    // By hand: 0.153333 x 0.846667 / 150 / 0.85^2.
    let known = variance_known(called, 150, 0.96, 0.89).unwrap();
    close(known, 0.000_865_481 / 0.7225, 5e-9);
    assert!(known < found);
}

/// S10c, S10d: own, 7 digits; S10e: exact.
#[test]
fn s10c_to_e_the_inverse() {
    let found = inverse_corrected(&[vec![0.9, 0.2], vec![0.1, 0.8]], &[62.0, 38.0]).unwrap();
    for (row, wanted) in found
        .inverse
        .iter()
        .zip([[1.142_857, -0.285_714], [-0.142_857, 1.285_714]])
    {
        close(row[0], wanted[0], 5e-7);
        close(row[1], wanted[1], 5e-7);
    }
    close(found.values[0], 60.0, 1e-12);
    close(found.values[1], 40.0, 1e-12);
    assert!(!found.clipped);
    // By hand: the largest column sums are 1 and 1.571429.
    close(found.condition, 11.0 / 7.0, 1e-12);

    let d = [
        vec![0.8, 0.1, 0.0],
        vec![0.2, 0.8, 0.1],
        vec![0.0, 0.1, 0.9],
    ];
    let found = inverse_corrected(&d, &[44.0, 41.0, 15.0]).unwrap();
    for (value, wanted) in found.values.iter().zip([50.36364, 37.09091, 12.54545]) {
        close(*value, wanted, 5e-6);
    }

    let e = [
        vec![0.90, 0.10, 0.0],
        vec![0.08, 0.85, 0.15],
        vec![0.02, 0.05, 0.85],
    ];
    let found = inverse_corrected(&e, &[0.480, 0.325, 0.195]).unwrap();
    for (value, wanted) in found.values.iter().zip([0.5, 0.3, 0.2]) {
        close(*value, wanted, 1e-12);
    }
}

#[test]
fn an_inverse_that_goes_below_nothing_says_so() {
    let found = inverse_corrected(&[vec![0.9, 0.2], vec![0.1, 0.8]], &[95.0, 5.0]).unwrap();
    // By hand: 1.142857 x 95 - 0.285714 x 5 = 107.142857; -0.142857 x 95 + 1.285714 x 5 = -7.142857.
    close(found.raw[1], -50.0 / 7.0, 1e-12);
    assert!(found.clipped);
    assert_eq!(found.values[1], 0.0);
    close(found.values[0], 100.0, 1e-12);
}

#[test]
fn a_matrix_that_tells_nothing_apart_is_refused() {
    let alike = [vec![0.7, 0.7], vec![0.3, 0.3]];
    assert_eq!(
        inverse_corrected(&alike, &[60.0, 40.0]),
        Err(MatrixError::Singular)
    );
    let lopsided = [vec![0.9, 0.2], vec![0.2, 0.8]];
    assert!(matches!(
        inverse_corrected(&lopsided, &[1.0, 1.0]),
        Err(MatrixError::BadColumn { column: 1, .. })
    ));
    assert!(matches!(
        inverse_corrected(&[vec![1.0]], &[1.0, 1.0]),
        Err(MatrixError::Ragged { .. })
    ));
    assert!(matches!(
        inverse_corrected(&[vec![1.0]], &[-1.0]),
        Err(MatrixError::BadNumber { .. })
    ));
    assert_eq!(inverse_corrected(&[], &[]), Err(MatrixError::Empty));
}

fn called(value: f64, half: f64) -> Measured {
    Measured {
        value,
        standard_error: Some(half / P95.z()),
        interval: Interval {
            lower: (value - half).max(0.0),
            upper: (value + half).min(1.0),
        },
    }
}

fn audit(right: u64, of: u64, missed: u64, others: u64) -> Audit {
    Audit {
        called_planted: Checked { right, of },
        called_other: Checked {
            right: missed,
            of: others,
        },
    }
}

/// By hand: 0.60 x 36/40 + 0.40 x 5/50 = 0.58. Variance by the delta method with Beta
/// posteriors (36.5, 4.5) and (5.5, 45.5): SciPy's beta.var gives 0.00232597 and 0.00185033.
#[test]
fn calibration_by_hand() {
    let found = calibrated(called(0.60, 0.10), &audit(36, 40, 5, 50), P95).unwrap();
    close(found.value, 0.58, 1e-12);
    let called_error = 0.10 / P95.z();
    let (planted, other) = (
        36.5 * 4.5 / (41.0 * 41.0 * 42.0),
        5.5 * 45.5 / (51.0 * 51.0 * 52.0),
    );
    let wanted =
        (0.8_f64 * 0.8 * called_error * called_error + 0.36 * planted + 0.16 * other).sqrt();
    close(found.standard_error.unwrap(), wanted, 1e-12);
    assert!(found.interval.contains(0.58));
    // Beyond doubt the audit only shrinks the called half-width by 0.9 - 0.1.
    close(
        found.interval_if_audit_were_exact.width(),
        2.0 * 0.08,
        1e-12,
    );
    assert!(found.interval.width() > 0.16 + 0.02);
    assert_eq!((found.audited, found.clipped), (90, false));
    assert_eq!(found.correction, Correction::Calibration);
}

/// 20 right of 20 is not "never wrong": the lower Jeffreys limit is 0.8834 (SciPy 1.17.1,
/// beta.ppf(0.025, 20.5, 0.5)).
#[test]
fn an_audit_without_a_mistake_still_widens() {
    let sure = Checked { right: 20, of: 20 };
    let limits = sure.limits(P95);
    assert_eq!(limits.upper, 1.0);
    close(limits.lower, 0.8834, 5e-4);
    assert!(sure.variance() > 0.0);
    let found = calibrated(called(0.5, 0.1), &audit(20, 20, 0, 20), P95).unwrap();
    assert_eq!(found.value, 0.5);
    assert!(found.interval.width() > found.interval_if_audit_were_exact.width() + 0.01);
}

#[test]
fn a_small_or_impossible_audit_is_withheld_with_the_reason() {
    let withheld = |audit: &Audit| calibrated(called(0.5, 0.1), audit, P95).unwrap_err();
    assert_eq!(
        withheld(&audit(19, 19, 2, 50)),
        Withheld::TooFewAudited {
            kind: Kind::CalledPlanted,
            of: 19,
            least: 20
        }
    );
    assert!(matches!(
        withheld(&audit(30, 40, 0, 0)),
        Withheld::TooFewAudited {
            kind: Kind::CalledOther,
            of: 0,
            ..
        }
    ));
    assert!(matches!(
        withheld(&audit(41, 40, 0, 50)),
        Withheld::MoreThanAll { .. }
    ));
    let outside = Measured::exact(1.2);
    assert!(calibrated(outside, &audit(36, 40, 5, 50), P95).is_err());
}

/// By hand: 0.40 x 0.9 + 0.30 x 0.1 = 0.39.
#[test]
fn cells_are_corrected_with_or_without_those_called_other() {
    let audit = audit(36, 40, 5, 50);
    let both = calibrated_cells(called(0.4, 0.1), Some(called(0.3, 0.05)), &audit, P95).unwrap();
    close(both.value, 0.39, 1e-12);
    assert_eq!(both.correction, Correction::Calibration);
    // Limits move together: 0.3 x 0.9 + 0.25 x 0.1 = 0.295 below.
    close(both.interval_if_audit_were_exact.lower, 0.295, 1e-12);
    let alone = calibrated_cells(called(0.4, 0.1), None, &audit, P95).unwrap();
    close(alone.value, 0.36, 1e-12);
    assert_eq!(
        (alone.correction, alone.audited),
        (Correction::CalibrationCalledOnly, 40)
    );
    let too_much = calibrated_cells(called(0.7, 0.1), Some(called(0.4, 0.1)), &audit, P95);
    assert!(matches!(too_much, Err(Withheld::MoreThanWhole { .. })));
}

#[test]
fn rogan_gladen_with_an_audit_is_wider_cut_and_refuses_coins() {
    let p = 23.0 / 150.0;
    let wilson = proportion::wilson(23, 150, P95).unwrap();
    let measured = Measured {
        value: p,
        standard_error: Some((p * (1.0 - p) / 150.0).sqrt()),
        interval: wilson,
    };
    let (se, sp) = (
        Checked { right: 96, of: 100 },
        Checked { right: 89, of: 100 },
    );
    let found = rogan_gladen(measured, se, sp, P95).unwrap();
    close(found.value, 0.050_980_4, 5e-8);
    // S10b, with posterior variances, which differ in the second digit at most.
    close(found.standard_error.unwrap(), 0.0492, 0.0015);
    close(found.interval_if_audit_were_exact.upper, 0.12892, 5e-6);
    assert!(found.interval.upper > 0.12892 && found.interval.lower == 0.0);

    // Fewer called planted than misnaming alone would give: cut to none, and said.
    let few = rogan_gladen(called(0.05, 0.03), se, sp, P95).unwrap();
    assert!(few.clipped && few.value == 0.0 && few.interval.lower == 0.0);

    let coin = Checked { right: 50, of: 100 };
    assert!(matches!(
        rogan_gladen(called(0.5, 0.1), coin, coin, P95),
        Err(Withheld::NoInformation { .. })
    ));
    let barely = Checked { right: 52, of: 100 };
    assert!(matches!(
        rogan_gladen(called(0.5, 0.1), barely, barely, P95),
        Err(Withheld::NoInformation { .. })
    ));
    assert!(variance_known(0.5, 0, 0.9, 0.9).is_err());
}

/// Three names, by hand: switchgrass 0.5 x 0.9 + 0.3 x 0.1 + 0.2 x 0 = 0.48.
#[test]
fn several_names_by_calibration() {
    let table = [vec![45, 5, 0], vec![3, 24, 3], vec![0, 4, 36]];
    let found = calibrated_shares(&table, &[0.5, 0.3, 0.2]).unwrap();
    close(found[0].value, 0.48, 1e-12);
    close(found[1].value, 0.05 + 0.24 + 0.02, 1e-12);
    close(found[2].value, 0.03 + 0.18, 1e-12);
    assert!(
        found
            .iter()
            .all(|share| share.standard_error_of_audit > 0.0)
    );
    assert_eq!(
        calibrated_shares(&[vec![18, 1], vec![5, 50]], &[0.5, 0.5]),
        Err(MatrixError::TooFewAudited {
            row: 1,
            checked: 19,
            least: 20
        })
    );
    // A name nobody called needs no audit.
    assert!(calibrated_shares(&[vec![0, 0], vec![5, 50]], &[0.0, 1.0]).is_ok());
    assert!(calibrated_shares(&[vec![30, 1]], &[0.5, 0.5]).is_err());
}

#[test]
fn unsettled_unknowns_widen_a_corrected_share() {
    let audit = audit(36, 40, 5, 50);
    let low = calibrated(called(0.30, 0.08), &audit, P95).unwrap();
    let high = calibrated(called(0.45, 0.09), &audit, P95).unwrap();
    let found = over_both_bounds(&low, Some(&high));
    assert_eq!((found.lowest, found.highest), (low.value, high.value));
    assert_eq!(found.interval.lower, low.interval.lower);
    assert_eq!(found.interval.upper, high.interval.upper);
    assert_eq!(over_both_bounds(&high, Some(&low)), found);
    assert_eq!(over_both_bounds(&low, None).interval, low.interval);
}

/// How often the calibrated interval holds the truth: audits drawn from the field itself, 60
/// called planted and 60 others, 400 plants called. 90 and 95 % wanted; observed within 3
/// points, or above.
#[test]
fn the_widened_interval_holds_the_truth_as_often_as_it_says() {
    let mut state = 20_260_701_u64;
    let mut uniform = || {
        // splitmix64: enough for a test, and no more dependencies.
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    };
    let mut draw = |n: u64, chance: f64| (0..n).filter(|_| uniform() < chance).count() as u64;
    for level in [Confidence::P90, P95] {
        // truth, P(called planted | planted), P(called planted | other)
        for (truth, hit, slip) in [(0.5, 0.9, 0.1), (0.2, 0.85, 0.15), (0.7, 0.98, 0.02)] {
            let called_share = truth * hit + (1.0 - truth) * slip;
            let of_planted = truth * hit / called_share;
            let of_other = truth * (1.0 - hit) / (1.0 - called_share);
            let (mut held, rounds) = (0, 2000);
            for _ in 0..rounds {
                let x = draw(400, called_share);
                let p = x as f64 / 400.0;
                let measured = Measured {
                    value: p,
                    standard_error: Some((p * (1.0 - p) / 400.0).sqrt()),
                    interval: proportion::wilson(x, 400, level).unwrap(),
                };
                let table = audit(draw(60, of_planted), 60, draw(60, of_other), 60);
                let found = calibrated(measured, &table, level).unwrap();
                held += u32::from(found.interval.contains(truth));
            }
            let share = f64::from(held) / f64::from(rounds);
            println!("level {:.2} truth {truth}: held {share:.3}", level.level());
            assert!(share >= level.level() - 0.03, "{truth} {share}");
        }
    }
}

proptest! {
    /// What a matrix makes of the truth, its inverse turns back.
    #[test]
    fn the_inverse_returns_the_truth(entries in proptest::collection::vec(0.0..0.25f64, 9), truth in proptest::collection::vec(0.0..1.0f64, 3)) {
        // Columns that sum to 1 with at least half on the diagonal are never singular.
        let confusion: Vec<Vec<f64>> = (0..3).map(|i| (0..3).map(|j| {
            if i == j { 1.0 - (0..3).filter(|&k| k != j).map(|k| entries[3 * k + j]).sum::<f64>() } else { entries[3 * i + j] }
        }).collect()).collect();
        let called: Vec<f64> = confusion.iter().map(|row| row.iter().zip(&truth).map(|(a, b)| a * b).sum()).collect();
        let Ok(found) = inverse_corrected(&confusion, &called) else {
            // Only right at the edge of one half may it fail.
            return Ok(());
        };
        if found.condition < 1e6 {
            for (value, wanted) in found.raw.iter().zip(&truth) {
                prop_assert!((value - wanted).abs() < 1e-7);
            }
        }
    }

    /// Rogan and Gladen's form undoes what misnaming does, and is the 2 by 2 inverse.
    #[test]
    fn rogan_gladen_is_the_inverse_of_two_names(truth in 0.0..1.0f64, se in 0.55..1.0f64, sp in 0.55..1.0f64) {
        let called = truth * se + (1.0 - truth) * (1.0 - sp);
        let found = rogan_gladen_share(called, se, sp).unwrap();
        prop_assert!((found - truth).abs() < 1e-9);
        let matrix = [vec![se, 1.0 - sp], vec![1.0 - se, sp]];
        let inverse = inverse_corrected(&matrix, &[called, 1.0 - called]).unwrap();
        prop_assert!((inverse.raw[0] - found).abs() < 1e-9);
    }

    /// Limits hold the estimate, never leave 0 to 1, and never shrink through the audit.
    #[test]
    fn corrected_limits_are_limits(value in 0.0..1.0f64, half in 0.0..0.5f64, of in 20u64..200, right in 0.0..1.0f64, others in 20u64..200, missed in 0.0..1.0f64) {
        let table = audit((right * of as f64) as u64, of, (missed * others as f64) as u64, others);
        let found = calibrated(called(value, half), &table, P95).unwrap();
        prop_assert!(found.interval.contains(found.value), "{found:?}");
        prop_assert!(0.0 <= found.interval.lower && found.interval.upper <= 1.0);
        prop_assert!(found.interval.lower <= found.interval_if_audit_were_exact.lower);
        prop_assert!(found.interval.upper >= found.interval_if_audit_were_exact.upper);
    }
}
