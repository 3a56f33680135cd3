//! Colour supports, it never decides.

#![allow(clippy::unwrap_used)]

mod common;

use common::any::{any_answers, any_mix, config, evidence, planted, traits_that};
use common::{state, table};
use proptest::prelude::*;
use standbook_identify::{CountsAs, Outcome, Planted, Table, assess};
use standbook_key::TaxonId;

proptest! {
    #![proptest_config(config(256))]

    /// Colour alone names nothing and counts nothing.
    #[test]
    fn colour_alone_decides_nothing(
        answers in any_answers(traits_that(false)),
        mix in any_mix(),
    ) {
        let judged = assess(table(), &evidence(&answers), planted(&mix));
        prop_assert!(
            matches!(judged.outcome, Outcome::TooLittleSeen),
            "{:?}",
            judged.outcome
        );
        // Where nothing counts as planted, everything is something else.
        let any_planted = mix.as_ref().is_none_or(|mix| !mix.is_empty());
        let expected = if any_planted { CountsAs::Undecided } else { CountsAs::SomethingElse };
        prop_assert_eq!(judged.counts_as, expected);
    }

    /// On top of other answers colour may weaken what is said, never strengthen it.
    #[test]
    fn colour_never_strengthens(
        deciding in any_answers(traits_that(true)),
        colours in any_answers(traits_that(false)),
        mix in any_mix(),
    ) {
        let without = assess(table(), &evidence(&deciding), planted(&mix));
        let all = [deciding, colours].concat();
        let with = assess(table(), &evidence(&all), planted(&mix));
        let strength = |outcome: &Outcome, row: usize| match outcome {
            Outcome::Settled(name) if *name == row => 2,
            Outcome::Leaning(name) if *name == row => 1,
            _ => 0,
        };
        for &row in with.outcome.rows() {
            prop_assert!(
                strength(&with.outcome, row) <= strength(&without.outcome, row),
                "{:?} with colour, {:?} without",
                with.outcome,
                without.outcome
            );
        }
        if with.outcome == Outcome::NotInThisKey {
            prop_assert_eq!(&without.outcome, &Outcome::NotInThisKey);
        }
        prop_assert!(with.counts_as == CountsAs::Undecided || with.counts_as == without.counts_as);
        // A few names that colour parts stay a few names: together they hold as much.
        if let Outcome::SplitBetween(names) = &with.outcome {
            let held: f64 = names.iter().map(|&r| without.posterior[r]).sum();
            prop_assert!(held >= 0.8);
        }
    }
}

/// A table of six even classes and two traits with the same columns, `counts[state][class]`;
/// the second trait is a colour unless it `decides`.
fn by_colour(decides: bool, counts: &[Vec<f64>]) -> Table {
    let names = ["a", "b", "c", "d", "e", "f"];
    let counts = vec![counts.to_vec(), counts.to_vec()];
    let mut table = Table::from_counts(&names, &[1.0; 6], &counts, 0.0);
    table.traits[1].decides = decides;
    table
}

/// What colour alone would say at 95 %, two names or the planted ones, is not said; the same
/// from a trait that decides is.
#[test]
fn colour_neither_splits_nor_counts() {
    let seen = vec![38.0, 38.0, 1.0, 1.0, 1.0, 1.0];
    let unseen = seen.iter().map(|s| 40.0 - s).collect();
    let counts = [seen, unseen];
    let said = |decides, mix: &[&str]| {
        let mix: Vec<TaxonId> = mix.iter().map(|id| TaxonId::new(*id)).collect();
        let table = by_colour(decides, &counts);
        let judged = assess(&table, &evidence(&[state(1, 0)]), Planted::Mix(&mix));
        (judged.outcome, judged.counts_as)
    };
    let split = Outcome::SplitBetween(vec![0, 1]);
    let silent = (Outcome::TooLittleSeen, CountsAs::Undecided);
    assert_eq!(said(true, &["a", "b"]), (split.clone(), CountsAs::Planted));
    assert_eq!(said(false, &["a", "b"]), silent);
    assert_eq!(said(true, &["c", "d"]), (split, CountsAs::SomethingElse));
    assert_eq!(said(false, &["c", "d"]), silent);
}

/// Two names hold over 90 % with colour and without, though colour turns their order round:
/// that is a split, not too little seen.
#[test]
fn colour_that_parts_two_names_leaves_the_split() {
    let seen = vec![22.0, 32.0, 1.0, 1.0, 1.0, 1.0];
    let other = seen.iter().map(|s| 60.0 - s).collect();
    let mut table = by_colour(false, &[seen, other]);
    table.traits[1].columns[0] = [0.8, 0.2, 0.4, 0.4, 0.4, 0.4].map(f64::ln).to_vec();
    let plain = assess(&table, &evidence(&[state(0, 0)]), Planted::ByRole);
    let parted = assess(
        &table,
        &evidence(&[state(0, 0), state(1, 0)]),
        Planted::ByRole,
    );
    assert_eq!(plain.outcome, Outcome::SplitBetween(vec![1, 0]));
    assert!(parted.posterior[0] > 0.6 && plain.posterior[0] < 0.4);
    assert_eq!(parted.outcome, Outcome::SplitBetween(vec![0, 1]));
}
