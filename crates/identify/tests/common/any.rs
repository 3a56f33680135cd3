//! Any answers, situation and mix, for properties that must hold for all of them.

use proptest::prelude::*;
use proptest::sample::subsequence;
use standbook_identify::{Answer, Evidence, Planted, Reading, Situation};
use standbook_key::{LeafStage, Need, TaxonId};

use super::{key, table};

/// So many cases, and no files beside the sources.
pub fn config(cases: u32) -> ProptestConfig {
    ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(cases)
    }
}

/// One answer to a trait: one state or several, a measure anywhere in its bounds, can't tell.
pub fn any_answer(trait_index: usize) -> BoxedStrategy<Answer> {
    let columns = &table().traits[trait_index];
    let answer = move |reading| Answer {
        trait_index,
        reading,
    };
    let told = match &columns.bins {
        Some(bins) => (bins.lowest..=bins.highest)
            .prop_map(move |value| answer(Reading::Measure(value)))
            .boxed(),
        None => {
            let all: Vec<usize> = (0..columns.states.len()).collect();
            prop_oneof![
                4 => subsequence(all.clone(), 1),
                1 => subsequence(all, 1..=columns.states.len()),
            ]
            .prop_map(move |states| answer(Reading::States(states)))
            .boxed()
        }
    };
    prop_oneof![9 => told, 1 => Just(answer(Reading::CannotTell))].boxed()
}

/// Answers to any of `traits`, each trait once, in any order.
pub fn any_answers(traits: Vec<usize>) -> impl Strategy<Value = Vec<Answer>> {
    let n = traits.len();
    subsequence(traits, 0..=n)
        .prop_shuffle()
        .prop_flat_map(|traits| traits.into_iter().map(any_answer).collect::<Vec<_>>())
}

/// Every trait of the table.
pub fn all_traits() -> Vec<usize> {
    (0..table().traits.len()).collect()
}

/// The traits that decide, or those that only support.
pub fn traits_that(decide: bool) -> Vec<usize> {
    let decides = |at: &usize| table().traits[*at].decides == decide;
    all_traits().into_iter().filter(decides).collect()
}

/// Answers as evidence, in their order.
pub fn evidence(answers: &[Answer]) -> Evidence {
    let mut evidence = Evidence::default();
    answers.iter().cloned().for_each(|a| evidence.add(a));
    evidence
}

/// Any stage, any tools.
pub fn any_situation() -> impl Strategy<Value = Situation> {
    let tools: Vec<Need> = Need::ALL.iter().map(|n| n.1).collect();
    (0..LeafStage::ALL.len(), subsequence(tools, 0..=4)).prop_map(|(stage, tools)| Situation {
        leaf_stage: LeafStage::ALL[stage].1,
        tools: tools.into_iter().collect(),
    })
}

/// By the role in the key, or a mix of a few taxa.
pub fn any_mix() -> impl Strategy<Value = Option<Vec<TaxonId>>> {
    let ids: Vec<TaxonId> = key().taxa.iter().map(|t| t.id.clone()).collect();
    prop::option::of(subsequence(ids, 0..=6))
}

/// What counts as planted.
pub fn planted(mix: &Option<Vec<TaxonId>>) -> Planted<'_> {
    mix.as_ref().map_or(Planted::ByRole, |m| Planted::Mix(m))
}

/// Two rows of numbers, near each other.
pub fn same(a: &[f64], b: &[f64], within: f64) -> Result<(), TestCaseError> {
    for (row, (x, y)) in a.iter().zip(b).enumerate() {
        prop_assert!((x - y).abs() <= within, "row {row}: {x} and {y}");
    }
    Ok(())
}
