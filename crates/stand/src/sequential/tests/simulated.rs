//! What a rule promises, by simulation and by counting every path.

use super::super::frames::{log_ratios, probabilities};
use super::super::*;
use super::{close, field_rule, looks};

/// Every path of a small rule, counted out: the simulation must come to the same shares.
#[test]
fn the_simulation_agrees_with_counting_every_path() {
    let mut rule = StopRule::between(0.2, 0.6).unwrap();
    rule.least_points = 2;
    rule.most_points = 6;
    for (share, rho) in [(0.2, 0.1), (0.6, 0.1), (0.4, 0.0), (0.35, 0.4)] {
        let chances = probabilities(share, rho, 4);
        let ratios = log_ratios(&rule, 4);
        let (lower, upper) = rule.bounds();
        let mut ends = [0.0; 3];
        let mut points = 0.0;
        // (log ratio, probability, points so far)
        let mut open = vec![(0.0, 1.0, 0)];
        while let Some((ratio, chance, n)) = open.pop() {
            let stop = match ratio {
                r if n >= 2 && r >= upper => Some(0),
                r if n >= 2 && r <= lower => Some(1),
                _ if n == 6 => Some(2),
                _ => None,
            };
            match stop {
                Some(end) => {
                    ends[end] += chance;
                    points += chance * f64::from(n);
                }
                None => {
                    open.extend((0..5).map(|c| (ratio + ratios[c], chance * chances[c], n + 1)))
                }
            }
        }
        let truth = Truth {
            share,
            rho,
            cells: 4,
        };
        let found = operate(&rule, truth, Simulation::default()).unwrap();
        let slack = |share: f64| 4.0 * found.noise(share) + 1e-9;
        close(found.enough, ends[0], slack(ends[0]));
        close(found.too_few, ends[1], slack(ends[1]));
        close(found.undecided, ends[2], slack(ends[2]));
        close(found.mean_points, points, 4.0 * 2.0 / 100.0); // spread of points is below 2
    }
}

/// What the rule promises: with the correlation right, the wrong answers are no more frequent
/// than stated (and noise of the simulation), for every rule a field may want.
#[test]
fn wrong_answers_are_no_more_frequent_than_stated() {
    for (low, high) in [(0.25, 0.40), (0.20, 0.30), (0.10, 0.25), (0.40, 0.60)] {
        for rho in [0.0, 0.05, 0.1, 0.3] {
            for cells in [25, 100] {
                for rate in [0.05, 0.10] {
                    let mut rule = StopRule::between(low, high).unwrap();
                    rule.correlation.rho = rho;
                    (rule.wrong_enough, rule.wrong_too_few) = (rate, rate);
                    let at = |share| {
                        let truth = Truth { share, rho, cells };
                        operate(&rule, truth, Simulation::default()).unwrap()
                    };
                    let (below, above) = (at(low).enough, at(high).too_few);
                    let most = rate + 3.0 * at(low).noise(rate);
                    assert!(below <= most, "{low} {high} {rho} {cells} {rate}: {below}");
                    assert!(above <= most, "{low} {high} {rho} {cells} {rate}: {above}");
                }
            }
        }
    }
}

/// Why the cells of a frame must not be taken as independent: the same rule without its
/// correlation says "enough" wrongly more often than it states, the more so the more clumped
/// the field.
#[test]
fn a_rule_blind_to_clumps_breaks_its_promise() {
    let mut blind = field_rule();
    blind.correlation.rho = 0.0;
    let truth = Truth {
        share: 0.25,
        rho: 0.1,
        cells: 25,
    };
    let found = operate(&blind, truth, Simulation::default()).unwrap();
    assert!(found.enough > 0.10 + 3.0 * found.noise(0.10), "{found:?}");
    let clumped = Truth { rho: 0.3, ..truth };
    let worse = operate(&blind, clumped, Simulation::default()).unwrap();
    assert!(worse.enough > 0.20, "{worse:?}");
    let aware = operate(&field_rule(), truth, Simulation::default()).unwrap();
    assert!(aware.enough <= 0.10 + 3.0 * aware.noise(0.10), "{aware:?}");
}

#[test]
fn the_forecast_says_how_many_more() {
    let seen = looks(&[9, 11, 6, 10]);
    let found = assess(&field_rule(), &seen).unwrap();
    assert_eq!(found.outcome, Outcome::GoOn);
    let ahead = forecast(&found, &seen, Simulation::default())
        .unwrap()
        .unwrap();
    assert_eq!(ahead.most_more, 20);
    assert!(1 <= ahead.median_more && ahead.median_more <= ahead.p90_more);
    assert!(ahead.p90_more <= 20);
    close(ahead.enough + ahead.too_few + ahead.undecided, 1.0, 1e-12);
    // Same seed, same answer.
    assert_eq!(
        forecast(&found, &seen, Simulation::default()).unwrap(),
        Some(ahead)
    );
    // Nothing to go by, or nothing left to do.
    for frames in [&[][..], &[15, 14, 20, 21]] {
        let seen = looks(frames);
        let found = assess(&field_rule(), &seen).unwrap();
        let ahead = forecast(&found, &seen, Simulation::default()).unwrap();
        assert_eq!(ahead, None);
    }
}

/// Walking on from nothing at a known field is what `operate` does: the forecast's machinery
/// must agree with it after the points already read.
#[test]
fn a_forecast_keeps_the_least_number_of_points() {
    let seen = looks(&[20]);
    let found = assess(&field_rule(), &seen).unwrap();
    let ahead = forecast(&found, &seen, Simulation::default())
        .unwrap()
        .unwrap();
    assert_eq!(ahead.median_more, 3); // a clear field, so at the least of 4
    assert!(ahead.enough > 0.9);
}

/// A field exactly at the threshold, or on the wrong side of it, is called above (or below) no
/// more often than stated.
#[test]
fn a_threshold_is_not_called_passed_more_often_than_stated() {
    for threshold in [0.25, 0.40, 0.10] {
        for rho in [0.0, 0.1, 0.3] {
            let mut rule = ThresholdRule::around(threshold).unwrap();
            rule.correlation.rho = rho;
            let at = |share| {
                let truth = Truth {
                    share,
                    rho,
                    cells: 25,
                };
                operate_against(&rule, truth, Simulation::default()).unwrap()
            };
            let found = at(threshold);
            assert!(found.above <= 0.11 && found.below <= 0.11, "{found:?}");
            let ends = found.above + found.below + found.near + found.undecided;
            close(ends, 1.0, 1e-12);
            // Far away it tells, and rightly.
            assert!(at(threshold * 0.2).below > 0.9, "{threshold} {rho}");
            assert!(at(threshold * 0.2).above < 0.01);
            assert!(at(threshold + 0.4).above > 0.9, "{threshold} {rho}");
        }
    }
}

/// The upper test alone is the two-frequency rule: "above" comes exactly when that one says
/// "enough", unless the lower test stopped the walk first.
#[test]
fn a_threshold_says_above_below_near_go_on_and_undecided() {
    let rule = ThresholdRule::around(0.25).unwrap();
    let against = |frames: &[u32]| assess_against(&rule, &looks(frames)).unwrap().against;
    assert_eq!(against(&[]), Against::GoOn);
    assert_eq!(against(&[15, 14, 20, 21]), Against::Above);
    assert_eq!(against(&[0, 1, 0, 0]), Against::Below);
    assert_eq!(against(&[6, 7, 6, 6]), Against::GoOn);
    assert_eq!(against(&[6; 24]), Against::Near);
    let found = assess_against(&rule, &looks(&[15, 14, 20, 21])).unwrap();
    assert_eq!(found.upper.outcome, Outcome::Enough);
    assert_eq!(found.decided_after, Some(4));
    let mut short = rule;
    short.most_points = 5;
    let found = assess_against(&short, &looks(&[6, 7, 6, 7, 6])).unwrap();
    assert_eq!(found.against, Against::Undecided);
    for threshold in [0.0, 1.0, -0.2, f64::NAN] {
        assert!(ThresholdRule::around(threshold).is_err());
    }
    for threshold in [0.02, 0.97] {
        assert!(ThresholdRule::around(threshold).is_ok());
    }
}

#[test]
fn a_threshold_forecast_goes_on_from_where_the_walk_stands() {
    let rule = ThresholdRule::around(0.25).unwrap();
    let seen = looks(&[8, 9, 7, 8]);
    let found = assess_against(&rule, &seen).unwrap();
    assert_eq!(found.against, Against::GoOn);
    let ahead = forecast_against(&found, &seen, Simulation::default())
        .unwrap()
        .unwrap();
    assert_eq!(ahead.most_more, 20);
    let ends = ahead.ahead;
    assert!(1 <= ends.median_points && ends.median_points <= ends.p90_points);
    assert!(ends.p90_points <= 20 && ends.above > ends.below, "{ends:?}");
    let over = looks(&[15, 14, 20, 21]);
    let found = assess_against(&rule, &over).unwrap();
    let ahead = forecast_against(&found, &over, Simulation::default()).unwrap();
    assert_eq!(ahead, None);
}
