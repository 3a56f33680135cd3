//! The way back from the table to the sources gives the table's numbers.

#![allow(clippy::unwrap_used)]

mod common;

use common::{key, table};
use standbook_identify::profile::Shape;
use standbook_identify::why::{Why, why};

/// The table's chances, computed anew from the steps that are shown: statements weighed, kin
/// added, misreading applied.
fn by_the_steps(why: &Why) -> Vec<f64> {
    let n = why.shape.len();
    let truth: Vec<f64> = if why.cell.never_applies {
        why.typical.clone()
    } else {
        let said = |s: usize| {
            let of = |st: &standbook_identify::profile::Statement| st.weight * st.shares[s];
            why.cell.statements.iter().map(of).sum::<f64>()
        };
        let all: f64 = (0..n).map(said).sum();
        let kin = if all > 0.0 { why.cell.kin_weight } else { 1.0 };
        (0..n)
            .map(|s| (said(s) + kin * why.cell.kin[s]) / (all + kin))
            .collect()
    };
    match why.shape {
        Shape::Bins(_) => (0..n)
            .map(|s| (1.0 - why.misread_rate) * truth[s] + why.misread_rate * why.typical[s])
            .collect(),
        Shape::States(_) => (0..n)
            .map(|said| {
                (0..n)
                    .map(|shown| truth[shown] * why.misread[shown][said])
                    .sum()
            })
            .collect(),
    }
}

#[test]
fn every_number_of_the_table_can_be_traced() {
    let mut traced = 0;
    for taxon in &key().taxa {
        for columns in &table().traits {
            let why = why(key(), table(), taxon.id.as_str(), columns.id.as_str()).unwrap();
            for (shown, held) in by_the_steps(&why).iter().zip(&why.reported) {
                assert!((shown - held).abs() < 1e-12, "{} {}", taxon.id, columns.id);
                traced += 1;
            }
            // Every published fact of the cell stands in a statement of its source.
            for fact in taxon.facts(columns.id.as_str()) {
                let voice = key().voice_of(&fact.source);
                assert!(why.cell.statements.iter().any(|s| s.source == *voice));
            }
        }
    }
    assert!(traced > 7_500, "{traced}");
}

#[test]
fn what_is_not_weighed_has_no_why() {
    assert!(why(key(), table(), "andropogon_gerardi", "odor_or_other").is_none());
    assert!(why(key(), table(), "no_such_grass", "vernation").is_none());
    assert!(why(key(), table(), "andropogon_gerardi", "no_such_trait").is_none());
}
