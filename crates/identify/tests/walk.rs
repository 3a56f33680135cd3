//! Walking one plant: what may never depend on the order of answers or on what was not told,
//! and what every result must be whatever was answered.

#![allow(clippy::unwrap_used)]

mod common;

use std::collections::BTreeSet;

use common::any::{all_traits, any_answers, any_mix, config, evidence, planted, same};
use common::{state, table};
use proptest::prelude::*;
use standbook_identify::posterior::contributions;
use standbook_identify::reasons::{if_seen, reasons};
use standbook_identify::{Answer, Assessment, Evidence, Planted, Reading, assess, posterior};

fn judged(evidence: &Evidence) -> Assessment {
    assess(table(), evidence, Planted::ByRole)
}

proptest! {
    #![proptest_config(config(256))]

    /// Also when the states of one trait are given one by one, far apart.
    #[test]
    fn the_order_of_answers_changes_nothing(
        (answers, atoms) in any_answers(all_traits()).prop_flat_map(|answers| {
            let atoms: Vec<Answer> = answers
                .iter()
                .flat_map(|a| match &a.reading {
                    Reading::States(states) => {
                        states.iter().map(|&s| state(a.trait_index, s)).collect()
                    }
                    _ => vec![a.clone()],
                })
                .collect();
            (Just(answers), Just(atoms).prop_shuffle())
        })
    ) {
        let (one, other) = (evidence(&answers), evidence(&atoms));
        same(&posterior(table(), &one), &posterior(table(), &other), 1e-12)?;
        for answer in &answers {
            prop_assert_eq!(one.reading(answer.trait_index), other.reading(answer.trait_index));
        }
    }

    #[test]
    fn cannot_tell_changes_nothing(answers in any_answers(all_traits())) {
        let told: Vec<Answer> = answers
            .iter()
            .filter(|a| a.reading != Reading::CannotTell)
            .cloned()
            .collect();
        let before = posterior(table(), &evidence(&told));
        let mut more = evidence(&answers);
        for trait_index in all_traits() {
            // On an open trait it says nothing, on an answered one it takes nothing back.
            more.add(Answer { trait_index, reading: Reading::CannotTell });
        }
        prop_assert_eq!(before, posterior(table(), &more));
    }

    /// Nonsense in the columns of traits that nobody answered can't be noticed.
    #[test]
    fn an_unanswered_trait_changes_nothing(answers in any_answers(all_traits())) {
        let evidence = evidence(&answers);
        let used: BTreeSet<usize> = contributions(table(), &evidence)
            .iter()
            .map(|c| c.answer.trait_index)
            .collect();
        let mut nonsense = table().clone();
        for (at, columns) in nonsense.traits.iter_mut().enumerate() {
            if !used.contains(&at) {
                columns.columns.iter_mut().flatten().for_each(|x| *x = f64::NAN);
                columns.chances.iter_mut().flatten().for_each(|x| *x = f64::NAN);
            }
        }
        prop_assert_eq!(posterior(table(), &evidence), posterior(&nonsense, &evidence));
        // What is used was answered, or is implied by an answer.
        for at in used {
            let implied = answers.iter().any(|a| {
                table().traits[a.trait_index].applies_to.as_ref().is_some_and(|(t, _)| *t == at)
            });
            prop_assert!(implied || evidence.reading(at).is_some());
        }
    }

    #[test]
    fn probabilities_are_probabilities(
        answers in any_answers(all_traits()),
        mix in any_mix(),
    ) {
        let judged = assess(table(), &evidence(&answers), planted(&mix));
        let p = &judged.posterior;
        prop_assert!(p.iter().all(|p| p.is_finite() && (0.0..=1.0).contains(p)), "{p:?}");
        prop_assert!((p.iter().sum::<f64>() - 1.0).abs() <= 1e-12);
        let shares = judged.shares;
        let all = shares.planted + shares.other + shares.not_in_key;
        prop_assert!((all - 1.0).abs() <= 1e-12, "{shares:?}");
        let groups: f64 = judged.groups.iter().map(|g| g.1).sum();
        prop_assert!((groups + shares.not_in_key - 1.0).abs() <= 1e-12);
        prop_assert!(judged.groups.is_sorted_by(|a, b| a.1 >= b.1));
        prop_assert!(judged.ranking.is_sorted_by(|a, b| a.1 > b.1 || (a.1 == b.1 && a.0 < b.0)));
        let mut rows: Vec<usize> = judged.ranking.iter().map(|r| r.0).collect();
        rows.sort_unstable();
        prop_assert_eq!(rows, (0..table().rows.len()).collect::<Vec<_>>());
        // The names of the outcome are the first of the ranking, never the row of strangers.
        let outside = table().not_in_key().unwrap();
        let names: Vec<usize> =
            judged.ranking.iter().map(|r| r.0).filter(|r| *r != outside).collect();
        prop_assert!(names.starts_with(judged.outcome.rows()));
        prop_assert!(judged.outcome.rows().len() <= 4);
    }

    /// A second state of one trait lies between the two: never more for or against a name
    /// than the better and the worse of them.
    #[test]
    fn a_state_added_to_an_answer(
        (answers, at, a, b) in any_answers(all_traits()).prop_flat_map(|answers| {
            let with_states: Vec<usize> = all_traits()
                .into_iter()
                .filter(|t| table().traits[*t].states.len() > 1)
                .collect();
            (Just(answers), prop::sample::select(with_states)).prop_flat_map(|(answers, at)| {
                let n = table().traits[at].states.len();
                (Just(answers), Just(at), 0..n, 0..n)
            })
        })
    ) {
        let others: Vec<Answer> =
            answers.into_iter().filter(|x| x.trait_index != at).collect();
        let say = |reading: Vec<usize>| {
            let mut all = evidence(&others);
            reading.into_iter().for_each(|s| all.add(state(at, s)));
            let said = contributions(table(), &all);
            let own = said.into_iter().find(|c| c.answer.trait_index == at).unwrap();
            (own.log_likelihood, posterior(table(), &all))
        };
        let (one, _) = say(vec![a]);
        let (other, _) = say(vec![b]);
        let (both, p) = say(vec![a, b]);
        let (again, q) = say(vec![b, a, b]);
        prop_assert_eq!(&both, &again);
        prop_assert_eq!(p, q);
        for row in 0..both.len() {
            let (low, high) = (one[row].min(other[row]), one[row].max(other[row]));
            prop_assert!((low - 1e-12..=high + 1e-12).contains(&both[row]));
        }
    }

    /// Prior odds and the weights of all answers are the odds of two names, each taken by itself.
    #[test]
    fn reasons_add_up(
        answers in any_answers(all_traits()),
        row in 0..53_usize,
        rival in 0..53_usize,
    ) {
        let table = common::by_themselves();
        let judged = assess(&table, &evidence(&answers), Planted::ByRole);
        let decibans: f64 = reasons(&judged, row, rival).iter().map(|r| r.decibans).sum();
        let per_ln = 10.0 / std::f64::consts::LN_10;
        let prior = (table.log_prior[row] - table.log_prior[rival]) * per_ln;
        let (p, q) = (judged.posterior[row], judged.posterior[rival]);
        prop_assume!(p > 1e-200 && q > 1e-200);
        let odds = 10.0 * (p / q).log10();
        prop_assert!((prior + decibans - odds).abs() < 1e-6, "{prior} + {decibans}, {odds}");
    }
}

/// Who describes the edge of a ligule has seen a membrane: the same as saying so, for any edge.
#[test]
fn an_edge_implies_a_ligule() {
    let table = table();
    let at = |id: &str| table.trait_index(id).unwrap();
    let (ligule, edge) = (at("ligule_type"), at("ligule_edge"));
    for s in 0..table.traits[edge].states.len() {
        let implied = evidence(&[state(edge, s)]);
        let said = contributions(table, &implied);
        assert_eq!(said.len(), 2);
        assert!(said[1].implied && !said[0].implied);
        let membranes = ["fringed_membrane", "membrane"]
            .map(|id| table.traits[ligule].state_index(id).unwrap());
        let mut membranes = membranes.to_vec();
        membranes.sort_unstable();
        let aloud = Answer {
            trait_index: ligule,
            reading: Reading::States(membranes),
        };
        let aloud = implied.with(aloud);
        for (a, b) in posterior(table, &implied)
            .iter()
            .zip(posterior(table, &aloud))
        {
            assert!((a - b).abs() < 1e-12);
        }
        // Once the ligule is answered, its own answer counts.
        let none = state(ligule, table.traits[ligule].state_index("absent").unwrap());
        assert_eq!(
            contributions(table, &implied.with(none))
                .iter()
                .filter(|c| c.implied)
                .count(),
            0
        );
    }
}

#[test]
fn what_one_further_look_would_say() {
    let table = table();
    let mut evidence = Evidence::default();
    evidence.add(state(table.trait_index("ligule_type").unwrap(), 0));
    let at = table.trait_index("vernation").unwrap();
    let seen = if_seen(table, &evidence, at, Planted::ByRole);
    assert_eq!(seen.len(), 2);
    for (s, outcome) in seen {
        assert_eq!(outcome, judged(&evidence.with(state(at, s))).outcome);
    }
}
