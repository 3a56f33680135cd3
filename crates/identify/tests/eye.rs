//! One scout's eye: no looks give the key's own table, many give her own rates, and rows stay rows.
#![allow(clippy::unwrap_used)]

mod common;

use common::{key, table};
use proptest::prelude::*;
use standbook_identify::evidence::Evidence;
use standbook_identify::eye::{LEAST_LOOKS, PRIOR_LOOKS};
use standbook_identify::{Eye, Modelling, Table, misread, parse, posterior};
use standbook_key::Trait;

const HAIRS: &str = "blade_hairs_upper";

fn hairs() -> &'static Trait {
    key().trait_by_id(HAIRS).unwrap()
}

fn looks(eye: &mut Eye, shown: &str, reported: &str, times: usize) {
    (0..times).for_each(|_| eye.saw(HAIRS, shown, reported, 1.0));
}

#[test]
fn an_eye_of_which_little_is_known_reads_as_the_key_says() {
    assert_eq!(&Table::compile_for(key(), &Eye::default()), table());
    let mut eye = Eye::default();
    looks(&mut eye, "scattered", "none", LEAST_LOOKS as usize - 1);
    assert_eq!(&Table::compile_for(key(), &eye), table());
    assert!(eye.mix_ups(key(), &Modelling::default()).is_empty());
    // One more is enough, and then the table has another name.
    looks(&mut eye, "scattered", "none", 1);
    let own = Table::compile_for(key(), &eye);
    assert_ne!(own.fingerprint, table().fingerprint);
    assert_eq!(eye.mix_ups(key(), &Modelling::default()).len(), 1);
}

#[test]
fn what_the_key_has_no_more_and_what_is_no_weight_count_for_nothing() {
    let mut eye = Eye::default();
    for _ in 0..100 {
        eye.saw(HAIRS, "purple", "none", 1.0);
        eye.saw("no_such_trait", "a", "b", 1.0);
        for weight in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            eye.saw(HAIRS, "scattered", "none", weight);
        }
    }
    assert_eq!(eye.times(hairs()), 0);
    assert_eq!(&Table::compile_for(key(), &eye), table());
}

/// SciPy 1.17, with the key's row (0.0295, 0.0246, 0.9213, 0.0246) as twenty looks:
/// `scipy.stats.dirichlet.mean([20*0.0295+28, 20*0.0246, 20*0.9213+12, 20*0.0246])`.
#[test]
fn a_row_is_the_mean_of_the_dirichlet_posterior() {
    let one = hairs();
    let mut eye = Eye::default();
    looks(&mut eye, "scattered", "scattered", 12);
    looks(&mut eye, "scattered", "none", 28);
    let at = |id: &str| one.state_index(id).unwrap();
    let prior = &misread::matrix(one, &Modelling::default())[at("scattered")];
    let row = &eye.matrix(one, &Modelling::default())[at("scattered")];
    let reference = [0.4765, 0.0082, 0.5071, 0.0082];
    assert_eq!(PRIOR_LOOKS, 20.0);
    for ((found, share), expected) in row.iter().zip(prior).zip(reference) {
        // The key's row is written with four digits here.
        assert!((found - expected).abs() < 2e-5, "{found} of {share}");
    }
    // What was never shown stays as the key has it.
    let none = at("none");
    let of_key = &misread::matrix(one, &Modelling::default())[none];
    for (a, b) in eye.matrix(one, &Modelling::default())[none]
        .iter()
        .zip(of_key)
    {
        assert!((a - b).abs() < 1e-12);
    }
    let mix_ups = eye.mix_ups(key(), &Modelling::default());
    assert_eq!(mix_ups.len(), 1);
    assert_eq!((mix_ups[0].times, mix_ups[0].of), (28, 40));
    assert!(mix_ups[0].own > mix_ups[0].of_key);
}

/// Who overlooks scattered hairs learns little from "none".
#[test]
fn a_look_that_is_often_misread_speaks_less() {
    let mut eye = Eye::default();
    looks(&mut eye, "scattered", "none", 200);
    looks(&mut eye, "velvety", "none", 200);
    let own = Table::compile_for(key(), &eye);
    let answer = parse(key(), table(), HAIRS, "none").unwrap().unwrap();
    let mut evidence = Evidence::default();
    evidence.add(answer);
    let spread = |table: &Table| {
        let odds = posterior(table, &evidence);
        let even = posterior(table, &Evidence::default());
        odds.iter()
            .zip(even)
            .map(|(p, start)| (p / start).ln().abs())
            .fold(0.0, f64::max)
    };
    assert!(spread(&own) < spread(table()));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn every_row_is_a_row(
        seen in proptest::collection::vec((0_usize..4, 0_usize..4, 0.0_f64..1e6), 0..60),
        at in 0_usize..1000,
    ) {
        let with_states: Vec<&Trait> =
            key().traits.iter().filter(|one| one.states().len() > 1).collect();
        let one = with_states[at % with_states.len()];
        let mut eye = Eye::default();
        for (shown, reported, weight) in seen {
            let id = |at: usize| one.states()[at % one.states().len()].id.as_str();
            eye.saw(one.id.as_str(), id(shown), id(reported), weight);
        }
        for row in eye.matrix(one, &Modelling::default()) {
            prop_assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            // Nothing is ever ruled out by an eye.
            prop_assert!(row.iter().all(|share| *share > 0.0 && *share < 1.0));
        }
    }

    #[test]
    fn many_looks_come_near_what_she_reports(parts in proptest::collection::vec(0.05_f64..1.0, 4)) {
        let one = hairs();
        let sum: f64 = parts.iter().sum();
        let mut eye = Eye::default();
        for (state, part) in one.states().iter().zip(&parts) {
            eye.saw(HAIRS, "scattered", state.id.as_str(), 1e6 * part / sum);
        }
        let row = &eye.matrix(one, &Modelling::default())[one.state_index("scattered").unwrap()];
        for (found, part) in row.iter().zip(&parts) {
            prop_assert!((found - part / sum).abs() < 1e-4, "{found} {}", part / sum);
        }
    }
}
