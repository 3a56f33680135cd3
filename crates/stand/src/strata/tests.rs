//! Checks of the estimate over parts and of the allocation.
#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

#[track_caller]
fn agrees(found: f64, wanted: f64, slack: f64) {
    assert!(
        (found - wanted).abs() <= slack,
        "found {found}, wanted {wanted}"
    );
}

/// The television survey of Scheaffer and others (from memory; strata and sample sizes also in a
/// course page, source id tv_design): hours a week in two towns and the country.
const TOWN_A: [f64; 20] = [
    35., 43., 36., 39., 28., 28., 29., 25., 38., 27., 26., 32., 29., 40., 35., 41., 37., 31., 45.,
    34.,
];
const TOWN_B: [f64; 8] = [27., 15., 4., 41., 49., 25., 10., 30.];
const COUNTRY: [f64; 12] = [8., 14., 12., 15., 30., 32., 21., 20., 34., 7., 11., 24.];

fn survey(finite: bool) -> Vec<Part<Unit>> {
    let part = |households: u64, hours: &[f64]| Part {
        area: households as f64,
        whole_units: finite.then_some(households),
        units: hours
            .iter()
            .map(|&found| Unit { found, size: 1.0 })
            .collect(),
    };
    vec![part(155, &TOWN_A), part(62, &TOWN_B), part(93, &COUNTRY)]
}

/// S8a, 6 digits, recomputed with SciPy 1.17.1 (the textbook prints 27.7, 1.97 and 2.8).
#[test]
fn s8a_a_textbook_survey_in_three_parts() {
    let found = mean(&survey(true), Confidence::P95).unwrap();
    agrees(found.value, 27.675, 5e-7);
    let error = found.standard_error.unwrap();
    agrees(error.powi(2), 1.969519, 5e-7);
    agrees(error, 1.403396, 5e-7);
    agrees(2.0 * error, 2.806791, 1e-6);
    for (spread, wanted) in found.spreads.iter().zip([5.94625, 15.24502, 9.36143]) {
        agrees(spread.unwrap(), wanted, 5e-6);
    }
    let alone: Vec<f64> = survey(true)
        .iter()
        .map(|part| cluster::ratio(&part.units).unwrap().ratio)
        .collect();
    assert_eq!(alone, [33.9, 25.125, 19.0]);
    // Without the correction the doubt is greater.
    let endless = mean(&survey(false), Confidence::P95).unwrap();
    assert_eq!(endless.value, found.value);
    assert!(endless.standard_error.unwrap() > error);
}

/// By hand on S8a: a = W^2 (1 - n/N) s^2 / n is 0.384876, 1.011922, 0.572720; (sum a)^2 over
/// sum a^2 / (n - 1) is 3.879005 / (0.0077963 + 0.1462837 + 0.0298190) = 21.093.
#[test]
fn degrees_of_freedom_lie_between_the_least_and_the_sum() {
    let found = mean(&survey(true), Confidence::P95).unwrap();
    agrees(found.degrees.unwrap(), 21.093, 5e-3);
    let by_t = found.by_t.unwrap();
    // SciPy 1.17.1: t.ppf(0.975, 21.093) = 2.07904.
    agrees(by_t.upper - found.value, 2.07904 * 1.403396, 1e-4);
}

/// Own, by hand: 9 ha at 0.5 and 1 ha at 0.1 is 0.46, however many spots each has.
#[test]
fn areas_weigh_and_numbers_of_spots_do_not() {
    let part = |area, occupied, spots| Part {
        area,
        whole_units: None,
        units: vec![
            CellUnit {
                occupied,
                cells: 20
            };
            spots
        ],
    };
    let found = frequency(&[part(9.0, 10, 3), part(1.0, 2, 12)], Confidence::P95).unwrap();
    agrees(found.mean.value, 0.46, 1e-12);
    let limits = found.limits.unwrap();
    assert_eq!(limits.method, Method::WeighedParts);
    // One part's limits, weighed, are the whole's where the other is left out of it.
    let whole = frequency(&[part(9.0, 10, 3)], Confidence::P95).unwrap();
    let alone = whole.parts[0].limits.unwrap().interval;
    let limits = whole.limits.unwrap().interval;
    agrees(limits.lower, alone.lower, 1e-12);
    agrees(limits.upper, alone.upper, 1e-12);
}

#[test]
fn a_part_with_one_spot_can_be_anything() {
    let spots = |found: &[u64]| -> Vec<CellUnit> {
        found
            .iter()
            .map(|&occupied| CellUnit {
                occupied,
                cells: 25,
            })
            .collect()
    };
    let part = |area, found: &[u64]| Part {
        area,
        whole_units: None,
        units: spots(found),
    };
    let found = frequency(
        &[part(95.0, &[10, 12, 9, 11]), part(5.0, &[20])],
        Confidence::P95,
    )
    .unwrap();
    assert_eq!(found.one_spot(), [2]);
    assert_eq!(found.mean.standard_error, None);
    // 5 % of the area that may be anything: 0.8 of it down, 0.2 up.
    let limits = found.limits.unwrap().interval;
    let alone = found.parts[0].limits.unwrap().interval;
    let value = found.parts[0].value;
    agrees(
        limits.lower,
        found.mean.value - 0.95 * (value - alone.lower) - 0.05 * 0.8,
        1e-12,
    );
    agrees(
        limits.upper,
        found.mean.value + 0.95 * (alone.upper - value) + 0.05 * 0.2,
        1e-12,
    );

    let counted = |plants: &[u64]| Part {
        area: 1.0,
        whole_units: None,
        units: plants
            .iter()
            .map(|&plants| AreaUnit {
                plants,
                area_m2: 1.0,
            })
            .collect(),
    };
    let found = density(&[counted(&[3, 4]), counted(&[8])], Confidence::P95).unwrap();
    agrees(found.mean.value, 5.75, 1e-12);
    assert_eq!(
        found.limits.unwrap_err().to_string(),
        "part 2 has one spot: how much it varies cannot be known, so there are no limits for the whole; lay a second one there"
    );
    let known = density(&[counted(&[3, 4]), counted(&[8, 5])], Confidence::P95).unwrap();
    assert!(known.limits.unwrap().interval.contains(5.0));
}

#[test]
fn impossible_parts_are_named() {
    let good = survey(true);
    assert_eq!(mean(&[], Confidence::P95), Err(StrataError::NoParts));
    let refuse = |change: &dyn Fn(&mut Part<Unit>)| {
        let mut parts = good.clone();
        change(&mut parts[1]);
        mean(&parts, Confidence::P95).unwrap_err().to_string()
    };
    assert!(refuse(&|part| part.area = 0.0).starts_with("part 2: an area of 0"));
    assert!(refuse(&|part| part.area = f64::NAN).starts_with("part 2"));
    assert!(refuse(&|part| part.units.clear()).starts_with("part 2 has no spot"));
    assert!(refuse(&|part| part.whole_units = Some(3)).starts_with("part 2: 8 spots"));
    assert!(refuse(&|part| part.units[2].size = 0.0).starts_with("part 2, unit 3: a size of 0"));
}

fn planned(of: &[(f64, usize, Option<f64>)]) -> Vec<Planned> {
    of.iter()
        .map(|&(area, laid, spread)| Planned { area, laid, spread })
        .collect()
}

/// The survey's own 20, 8 and 12 of 40 are the proportional allocation (tv_design). Neyman's,
/// by hand: N x s = 921.67, 945.19, 870.61, so 13.47, 13.81, 12.72.
#[test]
fn forty_households_of_the_survey() {
    let parts = planned(&[
        (155.0, 0, Some(5.94625)),
        (62.0, 0, Some(15.24502)),
        (93.0, 0, Some(9.36143)),
    ]);
    assert_eq!(
        allocate(&parts, 40, Allocation::Proportional).unwrap(),
        [20, 8, 12]
    );
    assert_eq!(
        allocate(&parts, 40, Allocation::Neyman).unwrap(),
        [13, 14, 13]
    );
}

#[test]
fn spots_already_laid_count_and_every_part_gets_two_first() {
    let parts = planned(&[
        (155.0, 20, Some(5.94625)),
        (62.0, 8, Some(15.24502)),
        (93.0, 1, None),
    ]);
    // The third lacks one to show its spread; then it is taken to vary as the second does.
    assert_eq!(allocate(&parts, 1, Allocation::Neyman).unwrap(), [0, 0, 1]);
    let ten = allocate(&parts, 10, Allocation::Neyman).unwrap();
    assert_eq!(ten, [0, 0, 10]);
    assert_eq!(
        allocate(
            &planned(&[(3.0, 0, None), (1.0, 0, None)]),
            8,
            Allocation::Neyman
        )
        .unwrap(),
        [6, 2]
    );
    // Nothing differs anywhere: by area.
    let even = planned(&[(3.0, 2, Some(0.0)), (1.0, 2, Some(0.0))]);
    assert_eq!(allocate(&even, 4, Allocation::Neyman).unwrap(), [4, 0]);
    assert_eq!(allocate(&even, 0, Allocation::Neyman).unwrap(), [0, 0]);
}

#[test]
fn an_impossible_plan_is_refused() {
    let one = |area, spread| allocate(&planned(&[(area, 0, spread)]), 4, Allocation::Neyman);
    assert!(matches!(
        one(0.0, None),
        Err(StrataError::BadArea { part: 1, .. })
    ));
    assert!(matches!(
        one(1.0, Some(f64::NAN)),
        Err(StrataError::BadSpread { part: 1, .. })
    ));
    assert_eq!(
        allocate(&[], 4, Allocation::Neyman),
        Err(StrataError::NoParts)
    );
    assert!(matches!(
        allocate(&planned(&[(1.0, 0, None)]), usize::MAX, Allocation::Neyman),
        Err(StrataError::TooManySpots { .. })
    ));
}

/// Variance of the mean, without finite correction.
fn variance(parts: &[Planned], given: &[usize]) -> f64 {
    let part = |(part, &given): (&Planned, &usize)| {
        (part.area * part.spread.unwrap_or(0.0)).powi(2) / (part.laid + given) as f64
    };
    parts.iter().zip(given).map(part).sum()
}

proptest! {
    /// Moving one spot from any part to any other never lowers the variance.
    #[test]
    fn no_other_allocation_tells_more(
        parts in prop::collection::vec((0.1..50.0f64, 2usize..9, 0.01..2.0f64), 1..6), further in 0usize..40,
    ) {
        let parts: Vec<Planned> = parts.into_iter().map(|(area, laid, spread)| Planned { area, laid, spread: Some(spread) }).collect();
        let given = allocate(&parts, further, Allocation::Neyman).unwrap();
        prop_assert_eq!(given.iter().sum::<usize>(), further);
        let least = variance(&parts, &given);
        for from in 0..parts.len() {
            for to in 0..parts.len() {
                if given[from] > 0 {
                    let mut other = given.clone();
                    other[from] -= 1;
                    other[to] += 1;
                    prop_assert!(variance(&parts, &other) >= least * (1.0 - 1e-12));
                }
            }
        }
    }

    #[test]
    fn limits_over_parts_hold_the_estimate(
        parts in prop::collection::vec((0.01..100.0f64, prop::collection::vec(0u64..26, 1..7)), 1..5), level in 0usize..3,
    ) {
        let parts: Vec<Part<CellUnit>> = parts.into_iter().map(|(area, found)| Part {
            area,
            whole_units: None,
            units: found.into_iter().map(|occupied| CellUnit { occupied, cells: 25 }).collect(),
        }).collect();
        let found = frequency(&parts, Confidence::ALL[level]).unwrap();
        let interval = found.limits.clone().unwrap().interval;
        prop_assert!(interval.contains(found.mean.value), "{:?}", found);
        prop_assert!(0.0 <= interval.lower && interval.upper <= 1.0);
        prop_assert_eq!(found.mean.standard_error.is_none(), !found.one_spot().is_empty());
    }
}
