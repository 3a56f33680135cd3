#![allow(clippy::unwrap_used)]
use super::*;
use proptest::prelude::*;

const P95: Confidence = Confidence::P95;

#[track_caller]
fn close(found: f64, wanted: f64, slack: f64) {
    assert!(
        (found - wanted).abs() <= slack,
        "found {found}, wanted {wanted}"
    );
}

/// S6a. Published: Colorado DRMS, sample adequacy, table 5A prints 13.20 with a one-tailed
/// 90 % t of 71 degrees (which is the two-tailed 80 % t).
#[test]
fn s6a_the_published_sample_adequacy() {
    let t = quantile::t_two_sided(0.80, 71.0);
    close(t, 1.293_59, 0.000_005);
    let found = spots(188.06_f64.sqrt(), 0.10 * 48.83, t).unwrap();
    close(found, 13.198, 0.0005);
}

/// S6b, S6c. Own, on the red mites of Bliss & Fisher 1953; recomputed with SciPy 1.17.1.
#[test]
fn s6b_and_c_counts() {
    let (mean, k) = (172.0 / 150.0, 1.024_592_4);
    close(clumped_counts(mean, k, 0.25, P95).unwrap(), 113.590, 0.0005);
    close(random_counts(mean, 0.25, P95).unwrap(), 53.6018, 0.00005);
    let wanted = Wanted::Relative(0.25);
    let clumped = for_counts(mean, Some(k), 100, wanted, P95).unwrap();
    assert_eq!((clumped.total, clumped.further), (114, 14));
    assert_eq!(for_counts(mean, None, 0, wanted, P95).unwrap().total, 54);
}

/// S6d. Own, recomputed with SciPy 1.17.1; the design effect is that of S3b.
#[test]
fn s6d_shares() {
    let alone = cells(0.40, 0.10, 1.0, P95).unwrap();
    close(alone, 92.1950, 0.00005);
    assert_eq!(alone.ceil(), 93.0);
    let clustered = cells(0.40, 0.10, 2.34921, P95).unwrap();
    close(clustered, 216.6, 0.05);
    assert_eq!(clustered.ceil(), 217.0);
}

fn spot(occupied: u64) -> CellUnit {
    CellUnit {
        occupied,
        cells: 25,
    }
}

/// Oklahoma State's four frames (S3b): s of the frame shares is 0.1404754. By hand with t
/// from SciPy 1.17.1: n = 10 needs (2.262157 x 0.1404754 / 0.1)^2 = 10.098, too many;
/// n = 11 needs (2.228139 x 0.1404754 / 0.1)^2 = 9.797, which is enough.
#[test]
fn t_is_iterated_to_the_number_it_leads_to() {
    let seen = [15, 14, 20, 21].map(spot);
    let found = for_frequency(&seen, Wanted::HalfWidth(0.10), P95).unwrap();
    assert_eq!((found.total, found.seen, found.further), (11, 4, 7));
    close(found.unrounded, 9.797, 0.0005);
    assert_eq!(found.how, How::SpreadBetweenSpots);
    // The same wish as a share of 0.70.
    let relative = for_frequency(&seen, Wanted::Relative(0.10 / 0.70), P95).unwrap();
    assert_eq!(relative.total, 11);
}

#[test]
fn spots_that_agree_by_luck_do_not_call_the_work_done() {
    let seen = [10, 10, 10].map(spot);
    let found = for_frequency(&seen, Wanted::HalfWidth(0.10), P95).unwrap();
    assert_eq!(found.how, How::IndependentCells);
    assert!(found.total * 25 >= 93, "{found:?}"); // S6d
    let plants = [4, 4, 4].map(|plants| AreaUnit {
        plants,
        area_m2: 0.25,
    });
    let found = for_density(&plants, Wanted::Relative(0.25), P95).unwrap();
    assert_eq!(found.how, How::RandomScatter);
    assert!(found.further > 0);
}

#[test]
fn what_cannot_be_said_is_said() {
    let wanted = Wanted::HalfWidth(0.1);
    let frequency = |spots: &[CellUnit]| for_frequency(spots, wanted, P95).unwrap_err();
    assert_eq!(frequency(&[spot(5)]), CannotSay::OneSpot);
    assert_eq!(frequency(&[spot(0), spot(0)]), CannotSay::NothingFound);
    assert_eq!(frequency(&[spot(25), spot(25)]), CannotSay::AllFull);
    assert!(matches!(frequency(&[spot(26)]), CannotSay::Impossible(_)));
    let seen = [spot(3), spot(9)];
    for value in [0.0, -0.1, f64::NAN, f64::INFINITY] {
        for wanted in [Wanted::HalfWidth(value), Wanted::Relative(value)] {
            let found = for_frequency(&seen, wanted, P95).unwrap_err();
            assert!(matches!(found, CannotSay::BadWish { .. }));
        }
    }
    let tiny = Wanted::HalfWidth(1e-9);
    assert_eq!(for_frequency(&seen, tiny, P95), Err(CannotSay::OutOfReach));
    assert_eq!(
        for_counts(2.0, None, 0, tiny, P95),
        Err(CannotSay::OutOfReach)
    );
    assert_eq!(
        for_counts(0.0, None, 5, wanted, P95),
        Err(CannotSay::NothingFound)
    );
    assert!(for_counts(1.0, Some(0.0), 5, wanted, P95).is_err());
    assert!(for_plan(0.4, 0, 0.1, wanted, P95).is_err());
    assert!(for_plan(1.0, 25, 0.1, wanted, P95).is_err());
    assert!(for_plan(0.4, 25, 1.5, wanted, P95).is_err());
}

#[test]
fn a_plan_counts_whole_frames() {
    // Design effect 1 + 24 x 0.1 = 3.4: 92.1950 x 3.4 / 25 = 12.54.
    let found = for_plan(0.40, 25, 0.1, Wanted::HalfWidth(0.10), P95).unwrap();
    assert_eq!((found.total, found.further), (13, 13));
}

proptest! {
    /// The number found reaches the half-width, and one fewer would not.
    #[test]
    fn the_number_is_the_least_that_reaches_the_wish(
        seen in proptest::collection::vec(0u64..=25, 2..20),
        half in 0.03..0.3f64,
        level in 0usize..3,
    ) {
        let level = Confidence::ALL[level];
        let spots: Vec<_> = seen.iter().map(|&occupied| spot(occupied)).collect();
        if let Ok(found) = for_frequency(&spots, Wanted::HalfWidth(half), level) {
            // Plain arithmetic from the frames, apart from the code under test.
            let n = seen.len() as f64;
            let mean = seen.iter().sum::<u64>() as f64 / n / 25.0;
            let spread = seen.iter().map(|&x| (x as f64 / 25.0 - mean).powi(2)).sum::<f64>() / (n - 1.0);
            let variance = spread.max(mean * (1.0 - mean) / 25.0);
            let reached = |spots: u64| {
                quantile::t_two_sided(level.level(), spots as f64 - 1.0) * (variance / spots as f64).sqrt() <= half * (1.0 + 1e-9)
            };
            prop_assert!(reached(found.total), "{found:?}");
            prop_assert!(found.total == 2 || !reached(found.total - 1) || found.unrounded > found.total as f64 - 1.0 - 1e-6, "{found:?}");
            prop_assert_eq!(found.further, found.total.saturating_sub(seen.len() as u64));
        }
    }

    /// A narrower wish never takes fewer.
    #[test]
    fn a_narrower_wish_takes_more(mean in 0.1..50.0f64, k in 0.1..20.0f64, d in 0.05..0.5f64) {
        let wide = clumped_counts(mean, k, d, P95).unwrap();
        prop_assert!(clumped_counts(mean, k, d * 0.9, P95).unwrap() > wide);
        prop_assert!(random_counts(mean, d, P95).unwrap() < wide);
        // k without end is random scatter.
        let even = clumped_counts(mean, 1e12, d, P95).unwrap();
        prop_assert!((even / random_counts(mean, d, P95).unwrap() - 1.0).abs() < 1e-9);
    }
}
