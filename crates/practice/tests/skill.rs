//! The hit rate beside SciPy, its limits on simulated scouts, and the rule of the office.
#![allow(clippy::unwrap_used)]

use standbook_practice::skill::{Answer, From, HALF_LIFE_DAYS, HitRate, Rule};

fn answers(right: usize, wrong: usize, day: f64) -> Vec<Answer> {
    let answer = |right| Answer {
        right,
        day,
        from: From::WithoutBook,
    };
    let all = std::iter::repeat_n(answer(true), right);
    all.chain(std::iter::repeat_n(answer(false), wrong))
        .collect()
}

/// SciPy 1.17: `scipy.stats.beta.ppf(q, right + 0.5, wrong + 0.5)`.
#[test]
fn limits_are_those_of_the_beta_distribution() {
    for (right, wrong, q, expected) in REFERENCE {
        let rate = HitRate::of(&answers(right, wrong, 0.0), 0.0, HALF_LIFE_DAYS);
        let found = rate.quantile(q);
        assert!(
            (found - expected).abs() < 1e-9,
            "{right} {wrong} {q}: {found}"
        );
    }
}

const REFERENCE: [(usize, usize, f64, f64); 5] = [
    (9, 1, 0.2, 0.7879790748692882),
    (0, 0, 0.2, 0.09549150281252627),
    (20, 0, 0.2, 0.960263383057834),
    (45, 5, 0.025, 0.7946451719769524),
    (3, 7, 0.9, 0.5017811181000884),
];

#[test]
fn an_answer_halves_in_weight_with_every_half_life() {
    let old = answers(8, 2, 0.0);
    let rate = HitRate::of(&old, HALF_LIFE_DAYS, HALF_LIFE_DAYS);
    assert!((rate.right - 4.5).abs() < 1e-12 && (rate.wrong - 1.5).abs() < 1e-12);
    assert!((rate.answers() - 5.0).abs() < 1e-12);
    // What is long past says next to nothing, and the limits are those of the start.
    let faded = HitRate::of(&old, 100.0 * HALF_LIFE_DAYS, HALF_LIFE_DAYS);
    let start = HitRate::of(&[], 0.0, HALF_LIFE_DAYS);
    assert!((faded.quantile(0.2) - start.quantile(0.2)).abs() < 1e-9);
    // A phone's clock ahead of the laptop's makes nothing count more than once.
    assert_eq!(HitRate::of(&old, -50.0, HALF_LIFE_DAYS).answers(), 10.0);
}

/// Scouts of one true rate: the middle 80 % and 95 % of the posterior hold it about as often as they say.
/// Jeffreys' limits swing around the level from rate to rate (Brown, Cai & DasGupta 2001), so the mean over
/// rates drawn evenly is what is asked for.
#[test]
fn limits_hold_the_true_rate_as_often_as_they_say() {
    for level in [0.8, 0.95] {
        for n in [10, 30, 100] {
            let mut rng = fastrand::Rng::with_seed(7 + n);
            let (mut held, runs) = (0_u32, 4_000_u32);
            for _ in 0..runs {
                let rate = 0.5 + rng.f64() / 2.0;
                let right = (0..n).filter(|_| rng.f64() < rate).count();
                let found = answers(right, n as usize - right, 0.0);
                let (low, high) = HitRate::of(&found, 0.0, HALF_LIFE_DAYS).limits(level);
                held += u32::from((low..=high).contains(&rate));
            }
            let share = f64::from(held) / f64::from(runs);
            // Four standard errors of 4,000 runs are 0.025 and 0.014, and the swing some hundredths.
            assert!((share - level).abs() < 0.03, "{level} {n}: {share}");
        }
    }
}

#[test]
fn the_rule_asks_for_enough_right_answers() {
    let rule = Rule::USUAL;
    let of = |right, wrong| HitRate::of(&answers(right, wrong, 0.0), 0.0, HALF_LIFE_DAYS);
    assert!(!rule.is_met(of(5, 0)));
    assert!(rule.is_met(of(20, 0)));
    assert!(!rule.is_met(of(18, 2)));
    // As many as it says, and not one fewer.
    for start in [of(0, 0), of(5, 1), of(18, 2)] {
        let more = rule.short_by(start, 500).unwrap();
        let with = |more: u32| HitRate {
            right: start.right + f64::from(more),
            ..start
        };
        assert!(rule.is_met(with(more)) && (more == 0 || !rule.is_met(with(more - 1))));
    }
    assert_eq!(rule.short_by(of(0, 100), 10), None);
}
