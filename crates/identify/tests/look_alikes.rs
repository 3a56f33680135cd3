//! Pairs that are hard to tell apart, and the reasons said for a name.

#![allow(clippy::unwrap_used)]

mod common;

use common::any::all_traits;
use common::{key, state, table};
use standbook_identify::look_alikes::{at_most_confused, contrasts, hard_pairs};
use standbook_identify::reasons::{Rivals, spoke, would_change};
use standbook_identify::{Evidence, Outcome, Planted, Situation, assess, looks, posterior};
use standbook_key::{LeafStage, LookAlikeOf};

fn row(id: &str) -> usize {
    table().row_index(id).unwrap()
}

fn trait_at(id: &str) -> usize {
    table().trait_index(id).unwrap()
}

/// Symmetric, and what looking at it is expected to say by answering: the mean of ln p(one) /
/// p(other) over what would be reported, worked out here through the engine's own posterior.
#[test]
fn a_contrast_is_the_weight_a_look_is_expected_to_give() {
    let (one, other) = (row("andropogon_gerardi"), row("setaria_faberi"));
    let there = contrasts(table(), one, other, None);
    let back = contrasts(table(), other, one, None);
    assert!(there.is_sorted_by(|a, b| a.decibans >= b.decibans));
    for (a, b) in there.iter().zip(&back) {
        assert_eq!(a.trait_index, b.trait_index);
        assert!((a.decibans - b.decibans).abs() < 1e-9);
    }
    let at = trait_at("ligule_type");
    let contrast = there.iter().find(|c| c.trait_index == at).unwrap();
    let by_themselves = common::by_themselves();
    let mut expected = 0.0;
    for s in 0..table().traits[at].states.len() {
        let mut evidence = Evidence::default();
        evidence.add(state(at, s));
        let p = posterior(&by_themselves, &evidence);
        // Both start alike, so their odds after one answer are its weight.
        let weight = 10.0 * (p[one] / p[other]).log10();
        expected += 0.5 * (contrast.one[s] - contrast.other[s]) * weight;
    }
    assert!((contrast.decibans - expected).abs() < 1e-9);
}

/// The bound holds: the exact error of the best rule on two small traits, all answers gone
/// through, is not above it (Kailath 1967).
#[test]
fn the_bound_on_confusion_holds() {
    let (one, other) = (row("setaria_viridis"), row("setaria_pumila"));
    let pair = [trait_at("sheath_keel"), trait_at("vernation")];
    let mut exact = 0.0;
    let mut distance = 0.0;
    for at in pair {
        let columns = &table().traits[at];
        let common = columns.chances.iter().map(|c| (c[one] * c[other]).sqrt());
        distance -= common.sum::<f64>().ln();
    }
    for a in &table().traits[pair[0]].chances {
        for b in &table().traits[pair[1]].chances {
            exact += 0.5 * (a[one] * b[one]).min(a[other] * b[other]);
        }
    }
    let bound = 0.5 * (-distance).exp();
    assert!(exact > 0.01 && exact <= bound, "{exact} {bound}");
    // More looks never make the bound worse.
    let all = at_most_confused(table(), one, other, LeafStage::Tillering);
    assert!(all <= bound);
}

/// Published look-alikes are harder to tell apart than pairs in general.
#[test]
fn published_look_alikes_are_among_the_hard_pairs() {
    let stage = LeafStage::FewLeaves;
    let mut published = Vec::new();
    for taxon in &key().taxa {
        for look_alike in &taxon.look_alikes {
            if let LookAlikeOf::Taxon(other) = &look_alike.other {
                let (a, b) = (row(taxon.id.as_str()), row(other.as_str()));
                published.push(at_most_confused(table(), a, b, stage));
            }
        }
    }
    let mut everyone: Vec<f64> = hard_pairs(table(), stage, 0.0)
        .iter()
        .map(|p| p.confused)
        .collect();
    assert_eq!(everyone.len(), 52 * 51 / 2);
    let median = |v: &mut Vec<f64>| {
        v.sort_by(f64::total_cmp);
        v[v.len() / 2]
    };
    let (of_published, of_all) = (median(&mut published), median(&mut everyone));
    println!("may be confused, medians: published look-alikes {of_published:.4}, all {of_all:.5}");
    assert!(published.len() > 40);
    assert!(of_published > 3.0 * of_all);
}

/// A yellow foxtail by its book: its long hairs at the blade's base speak for it.
#[test]
fn the_loudest_reason_is_the_telling_one() {
    let mut evidence = Evidence::default();
    let hairs = trait_at("blade_hairs_upper");
    let near_base = table().traits[hairs].state_index("near_base").unwrap();
    evidence.add(state(trait_at("ligule_type"), 2));
    evidence.add(state(trait_at("tiller_base"), 2));
    evidence.add(state(hairs, near_base));
    let said = assess(table(), &evidence, Planted::ByRole);
    let foxtail = row("setaria_pumila");
    let all = spoke(table(), &said, foxtail);
    assert_eq!(all.len(), 3);
    assert!(all.iter().all(|s| s.times.is_finite() && s.times > 0.0));
    // Against all rivals together the answers multiply up to the odds.
    let by_themselves = common::by_themselves();
    let p = posterior(&by_themselves, &evidence)[foxtail];
    for one in &all {
        let mut less = Evidence::default();
        for answer in evidence.answers().iter().filter(|a| **a != one.answer) {
            less.add(answer.clone());
        }
        let before = posterior(&by_themselves, &less)[foxtail];
        let times = (p / (1.0 - p)) / (before / (1.0 - before));
        assert!(
            (one.times - times).abs() < 1e-6 * times,
            "{} {times}",
            one.times
        );
    }
    if let Rivals::One(rival) = all[0].rivals {
        assert_ne!(rival, foxtail);
    }
}

#[test]
fn what_would_change_names_another_outcome() {
    let mut evidence = Evidence::default();
    evidence.add(state(trait_at("ligule_type"), 2));
    evidence.add(state(trait_at("tiller_base"), 2));
    let situation = Situation::default();
    for _ in 0..6 {
        let now = assess(table(), &evidence, Planted::ByRole);
        let next = looks(
            table(),
            &now.posterior,
            &evidence,
            &situation,
            Planted::ByRole,
        );
        for change in would_change(table(), &evidence, &now, &next, Planted::ByRole) {
            let more = evidence.with(state(change.trait_index, change.state));
            let after = assess(table(), &more, Planted::ByRole);
            assert_eq!(after.outcome, change.then);
            assert_ne!(after.outcome, now.outcome);
            assert!(matches!(
                after.outcome,
                Outcome::Settled(_) | Outcome::Leaning(_)
            ));
            assert!(change.chance > 0.0 && change.chance < 1.0);
        }
        let unanswered = all_traits()
            .into_iter()
            .find(|&t| evidence.reading(t).is_none() && !table().traits[t].states.is_empty());
        evidence.add(state(unanswered.unwrap(), 0));
    }
}
