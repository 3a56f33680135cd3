//! Plants that are not in the key: each taxon in turn is taken out of it, and a plant as its
//! profile says is walked all the same.
//!
//! For information and as a ratchet; run with `--nocapture` for the figures. Hard on purpose:
//! the plant left out is mostly a close relation of one that stays.

#![allow(clippy::unwrap_used)]

mod common;

use std::collections::BTreeMap;

use common::{asked, key, key_without, modal_reading, table};
use standbook_identify::look_next::looks;
use standbook_identify::{
    Answer, CountsAs, Evidence, Outcome, Planted, Reading, Situation, Table, assess,
};
use standbook_key::{LeafStage, Role};

/// Of 52 plants outside the key, so many may be settled under a wrong name (measured 12).
const WRONG_SETTLED_IN_FULL: usize = 13;

/// The same when a scout only follows *Look next at*, 12 looks at most (measured 9).
const WRONG_SETTLED_BY_LOOKS: usize = 10;

/// Everything that can be seen of a taxon at tillering, by the key that still has it.
fn seen(row: usize, trait_index: usize) -> Reading {
    modal_reading(key(), table(), &key().taxa[row], row, trait_index).unwrap_or(Reading::CannotTell)
}

fn in_full(table: &Table, row: usize) -> Evidence {
    let answers = (0..table.traits.len())
        .filter(|&at| table.traits[at].visible_at(LeafStage::Tillering))
        .map(|trait_index| Answer {
            trait_index,
            reading: seen(row, trait_index),
        });
    asked(table, answers)
}

fn by_looks(table: &Table, row: usize) -> Evidence {
    let mut evidence = Evidence::default();
    for _ in 0..12 {
        let now = assess(table, &evidence, Planted::ByRole);
        let open = matches!(now.outcome, Outcome::Settled(_) | Outcome::NotInThisKey);
        let situation = Situation::default();
        let next = looks(
            table,
            &now.posterior,
            &evidence,
            &situation,
            Planted::ByRole,
        );
        let Some(look) = next.first().filter(|_| !open) else {
            break;
        };
        evidence.add(Answer {
            trait_index: look.trait_index,
            reading: seen(row, look.trait_index),
        });
    }
    evidence
}

fn wrong_settled(name: &str, walk: impl Fn(&Table, usize) -> Evidence) -> usize {
    let mut outcomes: BTreeMap<&str, usize> = BTreeMap::new();
    let mut counted: BTreeMap<&str, usize> = BTreeMap::new();
    let mut wrong = Vec::new();
    let mut outside = Vec::new();
    for (row, taxon) in key().taxa.iter().enumerate() {
        let table = Table::compile(&key_without(key(), row));
        assert_eq!(table.traits.len(), common::table().traits.len());
        let end = assess(&table, &walk(&table, row), Planted::ByRole);
        *outcomes.entry(end.outcome.id()).or_default() += 1;
        let planted = taxon.role == Role::Planted;
        let side = match end.counts_as {
            CountsAs::Undecided => "undecided",
            CountsAs::Planted if planted => "right",
            CountsAs::SomethingElse if !planted => "right",
            _ => "wrong",
        };
        *counted.entry(side).or_default() += 1;
        outside.push(end.posterior[table.not_in_key().unwrap()]);
        if let Outcome::Settled(name) = end.outcome {
            wrong.push(format!(
                "{} as {} {:.3}",
                taxon.id, table.rows[name].id, end.posterior[name]
            ));
        }
    }
    outside.sort_by(f64::total_cmp);
    println!(
        "{name}: {outcomes:?}; counted {counted:?}; median probability of not in this key {:.3}; settled: {wrong:#?}",
        outside[outside.len() / 2]
    );
    wrong.len()
}

#[test]
fn plants_outside_the_key_in_full() {
    let n = wrong_settled("all that can be seen", in_full);
    assert!(n <= WRONG_SETTLED_IN_FULL, "{n} settled under a wrong name");
}

#[test]
fn plants_outside_the_key_by_looks() {
    let n = wrong_settled("following the looks", by_looks);
    assert!(
        n <= WRONG_SETTLED_BY_LOOKS,
        "{n} settled under a wrong name"
    );
}
