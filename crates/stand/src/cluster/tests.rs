//! Checks of the cluster estimators.
#![allow(clippy::unwrap_used)]
use super::*;
use proptest::prelude::*;

fn cells(units: &[(u64, u64)]) -> Vec<CellUnit> {
    units
        .iter()
        .map(|&(occupied, cells)| CellUnit { occupied, cells })
        .collect()
}

fn quadrats(units: &[(u64, f64)]) -> Vec<AreaUnit> {
    units
        .iter()
        .map(|&(plants, area_m2)| AreaUnit { plants, area_m2 })
        .collect()
}

#[track_caller]
fn agrees(found: f64, wanted: f64, slack: f64) {
    assert!(
        (found - wanted).abs() <= slack,
        "found {found}, wanted {wanted}"
    );
}

/// S3a: three clusters of ten (textbook exercise reproduced on a question page, source id
/// thompson_ex); formulas of Penn State STAT 506, 7.2; 6 digits.
#[test]
fn s3a_totals_of_a_textbook_exercise() {
    let units = [(4.0, 5.0), (12.0, 20.0), (7.0, 10.0)].map(|(found, size)| Unit { found, size });
    let unbiased = unbiased_total(&units, 10).unwrap();
    agrees(unbiased.total, 76.6667, 5e-5);
    agrees(unbiased.variance.unwrap(), 381.111, 5e-4);
    agrees(ratio(&units).unwrap().ratio, 0.657143, 5e-7);
    let by_ratio = ratio_total(&units, 10, 100.0).unwrap();
    agrees(by_ratio.total, 65.7143, 5e-5);
    agrees(by_ratio.variance.unwrap(), 23.3333, 5e-5);
    agrees(by_ratio.standard_error().unwrap(), 4.83046, 5e-6);
}

/// S3b: Oklahoma State's worked example (okstate_eval), four frames of 25 cells; 6 digits.
#[test]
fn s3b_four_frames_support_less_than_a_hundred_cells() {
    let units = cells(&[(15, 25), (14, 25), (20, 25), (21, 25)]);
    let found = frequency(&units, Confidence::P95).unwrap();
    agrees(found.value, 0.70, 1e-12);
    agrees(found.standard_error.unwrap(), 0.0702377, 5e-8);
    // s^2 of the frame fractions = n Var(r) for frames of one size.
    agrees(4.0 * found.standard_error.unwrap().powi(2), 0.0197333, 5e-8);
    agrees(found.design_effect.unwrap(), 2.34921, 5e-6);
    let by_t = found.by_t.unwrap();
    agrees(by_t.lower, 0.476472, 5e-7);
    agrees(by_t.upper, 0.923528, 5e-7);
    // Korn-Graubard by SciPy 1.17.1, with the design effect raised by 1 + 1.34921 / 30 (30 of the
    // cells are empty): n = 100 / (2.34921 * 1.044973) * (1.959964 / 3.182446)^2 = 15.4507,
    // beta.ppf(0.025, 0.7 n, 0.3 n + 1) and beta.ppf(0.975, 0.7 n + 1, 0.3 n).
    let limits = found.limits.unwrap();
    assert_eq!(limits.method, Method::EffectiveCells);
    agrees(limits.interval.lower, 0.4203648, 5e-7);
    agrees(limits.interval.upper, 0.9003438, 5e-7);
    // S1d: what treating the cells as independent would claim.
    agrees(found.if_independent.interval.lower, 0.6041515, 5e-8);
    agrees(found.if_independent.interval.upper, 0.7810511, 5e-8);
}

#[test]
fn one_spot_has_an_estimate_but_no_limits() {
    let found = frequency(&cells(&[(60, 100)]), Confidence::P95).unwrap();
    assert_eq!(found.value, 0.6);
    assert_eq!(found.limits, Err(NoInterval::OneSpot));
    assert_eq!(
        NoInterval::OneSpot.to_string(),
        "one spot: an interval needs at least two"
    );
    let counted = density(&quadrats(&[(3, 0.5)]), Confidence::P95).unwrap();
    assert_eq!(
        (counted.value, counted.limits),
        (6.0, Err(NoInterval::OneSpot))
    );
    agrees(counted.if_independent.interval.upper, 2.0 * 8.7673, 1e-4); // S2d
}

/// Nothing found says less than one find among independent cells would, and the step from none
/// to one is small; both had been 31 % and 2.7 % here.
#[test]
fn none_found_and_one_found_are_nearly_alike() {
    let ten = |found: u64| {
        let mut units = vec![(0, 25); 10];
        units[3].0 = found;
        frequency(&cells(&units), Confidence::P95)
            .unwrap()
            .limits
            .unwrap()
            .interval
    };
    // By SciPy 1.17.1: 250 cells / (1 + 24 * 0.1) * (1.959964 / t)^2, t(9) = 2.262157: n = 55.197;
    // 1 - 0.025^(1/n).
    agrees(ten(0).upper, 0.0646474, 5e-7);
    assert_eq!(ten(0).lower, 0.0);
    assert!(ten(1).lower > 0.0 && ten(1).upper > ten(0).upper);
    assert!(ten(1).upper < 1.3 * ten(0).upper);
    let full = frequency(&cells(&[(25, 25); 10]), Confidence::P95).unwrap();
    let full = full.limits.unwrap().interval;
    assert_eq!(full.upper, 1.0);
    agrees(full.lower, 1.0 - ten(0).upper, 1e-9);
}

/// S2b: none found allows 3.689 plants over the area searched (epitools help); with four spots
/// the quantile of t widens it by (3.182446 / 1.959964)^2.
#[test]
fn no_plants_counted_falls_back_on_random_scatter() {
    let none = density(&quadrats(&[(0, 0.25); 4]), Confidence::P95).unwrap();
    agrees(none.if_independent.interval.upper, 3.689, 5e-4);
    let limits = none.limits.unwrap();
    assert_eq!(limits.method, Method::EffectivePlants);
    agrees(limits.interval.upper, 3.688_879 * 2.636_487, 5e-5);
}

/// The whole formula by SciPy 1.17.1 (gamma.ppf, t.ppf), for clumped, single and uneven counts.
#[test]
fn densities_as_scipy_has_them() {
    use Confidence::{P90, P95, P99};
    let even = |plants: &[u64], area: f64| -> Vec<(u64, f64)> {
        plants.iter().map(|&plants| (plants, area)).collect()
    };
    for (spots, level, lower, upper) in [
        (
            even(&[3, 0, 1, 7, 0, 2, 0, 4], 1.0),
            P95,
            0.533392740,
            5.66710247,
        ),
        (
            even(&[1, 0, 0, 0, 0, 0], 0.5),
            P90,
            0.00251908326,
            2.35203543,
        ),
        (
            vec![(12, 1.0), (30, 2.0), (18, 1.0), (25, 1.5), (9, 0.5)],
            P99,
            5.75506625,
            33.7534545,
        ),
    ] {
        let found = density(&quadrats(&spots), level).unwrap().limits.unwrap();
        agrees(found.interval.lower / lower, 1.0, 5e-9);
        agrees(found.interval.upper / upper, 1.0, 5e-9);
    }
}

#[test]
fn spots_all_alike_do_not_claim_certainty() {
    let found = frequency(&cells(&[(10, 25); 4]), Confidence::P95).unwrap();
    agrees(found.standard_error.unwrap(), 0.0, 1e-12);
    let limits = found.limits.unwrap();
    // S1e: the plain Wilson limits of 40 of 100; ours must lie outside them.
    assert!(limits.interval.lower < 0.3094013 && limits.interval.upper > 0.4979974);
    let counted = density(&quadrats(&[(5, 1.0); 4]), Confidence::P95).unwrap();
    let limits = counted.limits.unwrap();
    assert!(limits.interval.lower < counted.if_independent.interval.lower);
    assert!(limits.interval.upper > counted.if_independent.interval.upper);
}

#[test]
fn impossible_numbers_are_refused_by_unit() {
    let level = Confidence::P95;
    assert_eq!(frequency(&[], level), Err(ClusterError::NoUnits));
    assert_eq!(
        frequency(&cells(&[(1, 25), (26, 25)]), level),
        Err(ClusterError::MoreThanAll {
            unit: 2,
            occupied: 26,
            cells: 25
        })
    );
    assert_eq!(
        frequency(&cells(&[(0, 0)]), level),
        Err(ClusterError::BadSize { unit: 1, size: 0.0 })
    );
    assert!(density(&quadrats(&[(1, f64::NAN)]), level).is_err());
    assert!(density(&quadrats(&[(1, 0.0)]), level).is_err());
    let units = [Unit {
        found: 1.0,
        size: 10.0,
    }; 3];
    assert!(matches!(
        unbiased_total(&units, 2),
        Err(ClusterError::WholeTooSmall { .. })
    ));
    assert!(matches!(
        ratio_total(&units, 3, f64::NAN),
        Err(ClusterError::WholeTooSmall { .. })
    ));
    assert!(
        ratio(&[Unit {
            found: f64::NAN,
            size: 1.0
        }])
        .is_err()
    );
}

proptest! {
    #[test]
    fn frequency_limits_hold_the_estimate_and_stay_within_0_and_1(
        units in prop::collection::vec((1u64..101, 0.0..=1.0f64), 2..30), level in 0usize..3,
    ) {
        let units: Vec<_> = units
            .iter()
            .map(|&(cells, share)| CellUnit { occupied: (share * cells as f64).round() as u64, cells })
            .collect();
        let found = frequency(&units, Confidence::ALL[level]).unwrap();
        let interval = found.limits.unwrap().interval;
        prop_assert!(interval.contains(found.value), "{found:?}");
        // What was found is not absent.
        prop_assert_eq!(found.value > 0.0, interval.lower > 0.0);
        prop_assert!(0.0 <= interval.lower && interval.upper <= 1.0);
        prop_assert!(interval.width() > 0.0);
    }

    #[test]
    fn density_limits_hold_the_estimate(
        units in prop::collection::vec((0u64..50, 0.1..2.0f64), 2..30), level in 0usize..3,
    ) {
        let found = density(&quadrats(&units), Confidence::ALL[level]).unwrap();
        let interval = found.limits.unwrap().interval;
        prop_assert!(interval.contains(found.value), "{found:?}");
        prop_assert!(interval.lower >= 0.0 && interval.width() > 0.0);
        prop_assert_eq!(found.value > 0.0, interval.lower > 0.0);
    }
}
