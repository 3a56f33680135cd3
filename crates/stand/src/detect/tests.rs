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

fn pairs(both: u64, first_only: u64, second_only: u64, neither: u64) -> CellPairs {
    CellPairs {
        both,
        first_only,
        second_only,
        neither,
    }
}

/// Published: Simon Fraser University, statistics feature on gull nests: 142 nests found on
/// the first pass, 137 on the second, 95 on both; efficiency 95/142 = 67 %, 205 nests in all
/// (stat.sfu.ca/features/sadragonera.html). Its interval, 193 to 219, is by another formula.
#[test]
fn the_published_nests() {
    let found = detection(pairs(95, 47, 42, 10_000), P95).unwrap();
    close(found.second.value, 0.67, 0.005);
    close(found.lincoln_petersen, 205.0, 0.5);
    // Chapman: 143 x 138 / 96 - 1; variance 143 x 138 x 47 x 42 / (96^2 x 97).
    close(found.occupied, 204.5625, 1e-9);
    close(found.standard_error, 43.576_f64.sqrt(), 1e-3);
    assert_eq!(found.seen, 184);
    assert!((190.0..197.0).contains(&found.interval.lower), "{found:?}");
    assert!((216.0..225.0).contains(&found.interval.upper), "{found:?}");
    assert!(!found.few && !found.clipped);
}

/// By hand: both 40, first only 10, second only 8. First finds 40/48, second 40/50; one look
/// 80/98; two looks 1 - (8/48)(10/50) = 29/30.
#[test]
fn chances_by_hand() {
    let found = detection(pairs(40, 10, 8, 192), P95).unwrap();
    close(found.first.value, 40.0 / 48.0, 1e-12);
    close(found.second.value, 0.8, 1e-12);
    close(found.one_look.value, 80.0 / 98.0, 1e-12);
    close(found.overlooked_by_one.value, 18.0 / 98.0, 1e-12);
    close(found.two_looks.value, 29.0 / 30.0, 1e-12);
    close(found.lincoln_petersen, 60.0, 1e-12);
    close(found.occupied, 51.0 * 49.0 / 41.0 - 1.0, 1e-12);
    close(
        found.overlooked_by_both.value,
        1.0 - 58.0 / found.occupied,
        1e-12,
    );
}

#[test]
fn agreeing_throughout_does_not_prove_that_nothing_was_overlooked() {
    let found = detection(pairs(12, 0, 0, 88), P95).unwrap();
    assert_eq!((found.occupied, found.seen), (12.0, 12));
    assert_eq!(found.one_look.value, 1.0);
    assert!(found.one_look.interval.lower < 0.9);
    assert!(found.interval.upper > 12.0, "{found:?}");
    assert!(found.overlooked_by_both.interval.upper > 0.0);
}

#[test]
fn what_cannot_be_told_is_said() {
    let told = |pairs| detection(pairs, P95).unwrap_err();
    assert_eq!(told(pairs(0, 0, 0, 0)), CannotTell::NothingReadTwice);
    assert_eq!(told(pairs(0, 0, 0, 50)), CannotTell::NothingSeen);
    assert_eq!(
        told(pairs(0, 4, 0, 46)),
        CannotTell::OneSawNothing { found: 4 }
    );
    assert_eq!(
        told(pairs(0, 0, 3, 46)),
        CannotTell::OneSawNothing { found: 3 }
    );
    let CannotTell::NothingInCommon {
        first,
        second,
        one_look_at_most,
    } = told(pairs(0, 10, 6, 84))
    else {
        panic!("expected nothing in common");
    };
    assert_eq!((first, second), (10, 6));
    // Wilson, 0 of 6 at 95 %: z2 / (6 + z2).
    let z2 = P95.z() * P95.z();
    close(one_look_at_most, z2 / (6.0 + z2), 1e-12);
}

#[test]
fn the_number_never_exceeds_the_cells_read() {
    let found = detection(pairs(1, 9, 9, 6), P95).unwrap();
    assert!(found.clipped && found.few);
    assert_eq!(found.occupied, 25.0);
    assert!(found.interval.upper <= 25.0);
}

#[test]
fn a_frequency_seen_through() {
    let look = detection(pairs(40, 10, 8, 192), P95).unwrap().one_look;
    let found = Measured {
        value: 0.40,
        standard_error: None,
        interval: Interval {
            lower: 0.30,
            upper: 0.50,
        },
    };
    let through = seen_through(found, look).unwrap();
    close(through.value, 0.40 * 98.0 / 80.0, 1e-12);
    assert!(through.interval.lower < 0.30 / look.value + 0.01);
    assert!(through.interval.upper > 0.50 / look.value);
    assert!(!through.clipped);
    let full = seen_through(Measured::exact(0.9), look).unwrap();
    assert!(full.clipped && full.value == 1.0 && full.interval.upper == 1.0);
    let blind = Chance {
        value: 0.0,
        interval: Interval {
            lower: 0.0,
            upper: 0.0,
        },
    };
    assert!(seen_through(found, blind).is_err());
}

/// Simulated readers who each find 81.4 % (18.6 % overlooked, Morrison and others 2020,
/// tallgrass prairie): the estimates come out right on average and the limits of the number
/// hold it about as often as they say.
#[test]
fn simulated_readers_are_found_out() {
    let mut state = 7_u64;
    let mut uniform = || {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    };
    let (occupied, cells, finds, rounds) = (80, 250, 0.814, 4000);
    let (mut sum, mut look, mut held, mut look_held) = (0.0, 0.0, 0, 0);
    for _ in 0..rounds {
        let mut seen = pairs(0, 0, 0, cells - occupied);
        for _ in 0..occupied {
            match (uniform() < finds, uniform() < finds) {
                (true, true) => seen.both += 1,
                (true, false) => seen.first_only += 1,
                (false, true) => seen.second_only += 1,
                (false, false) => seen.neither += 1,
            }
        }
        let found = detection(seen, P95).unwrap();
        sum += found.occupied;
        look += found.one_look.value;
        held += u32::from(found.interval.contains(occupied as f64));
        look_held += u32::from(found.one_look.interval.contains(finds));
    }
    let n = f64::from(rounds);
    close(sum / n, 80.0, 0.3);
    close(look / n, finds, 0.005);
    println!(
        "held: number {}, look {}",
        f64::from(held) / n,
        f64::from(look_held) / n
    );
    assert!(f64::from(held) / n > 0.92);
    assert!(f64::from(look_held) / n > 0.92);
}

proptest! {
    #[test]
    fn limits_hold_their_estimates(both in 1u64..200, first in 0u64..100, second in 0u64..100, neither in 0u64..500, level in 0usize..3) {
        let level = Confidence::ALL[level];
        let found = detection(pairs(both, first, second, neither), level).unwrap();
        prop_assert!(found.interval.contains(found.occupied), "{found:?}");
        prop_assert!(found.interval.lower >= found.seen as f64 - 1e-9);
        prop_assert!(found.interval.upper <= found.pairs.cells() as f64);
        for chance in [found.first, found.second, found.one_look, found.two_looks, found.overlooked_by_one, found.overlooked_by_both] {
            prop_assert!(chance.interval.lower - 1e-12 <= chance.value && chance.value <= chance.interval.upper + 1e-12, "{chance:?}");
            prop_assert!((-1e-12..=1.0).contains(&chance.value));
        }
        // Who is called first does not matter for the number.
        let turned = detection(pairs(both, second, first, neither), level).unwrap();
        prop_assert!((turned.occupied - found.occupied).abs() < 1e-9);
        prop_assert_eq!(turned.one_look, found.one_look);
        prop_assert_eq!(turned.first, found.second);
    }
}
