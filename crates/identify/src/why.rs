//! Why a number of the table is what it is: the way back from one taxon and trait to cells,
//! sources and misreading.
//!
//! In: a key, its table, a taxon and a trait. Out: every step by which [`Table::compile`] made
//! the chances of that row, and the chances themselves, read from the table. A test holds that
//! the steps give the numbers.

use standbook_key::{Key, TaxonId, TraitId};

use crate::misread;
use crate::profile::{Cell, Kin, Shape, cell, shares};
use crate::table::Table;

/// One row of one trait, step by step.
#[derive(Debug, Clone, PartialEq)]
pub struct Why {
    /// The taxon.
    pub taxon: TaxonId,
    /// The trait.
    pub trait_id: TraitId,
    /// States or bins.
    pub shape: Shape,
    /// From sources and kin to how often the taxon shows each state.
    pub cell: Cell,
    /// What is typical of the key; a slip of the ruler is drawn from it.
    pub typical: Vec<f64>,
    /// Share of looks misread, as the key's rate says, 0 to 1.
    pub misread_rate: f64,
    /// For traits with states: row the true state, column the reported one. Empty for measures.
    pub misread: Vec<Vec<f64>>,
    /// Chance that each state or bin is reported: what the table holds.
    pub reported: Vec<f64>,
}

/// Traces one row; `None` where the key has no such taxon or trait, or the trait is never
/// weighed.
pub fn why(key: &Key, table: &Table, taxon: &str, trait_id: &str) -> Option<Why> {
    let at = key.taxa.iter().position(|t| t.id == *taxon)?;
    let one = key.trait_by_id(trait_id)?;
    let columns = &table.traits[table.trait_index(trait_id)?];
    let row = table.row_index(taxon)?;
    let kin = Kin::of(key);
    let whole = shares(key, &table.modelling, &kin, one)?;
    Some(Why {
        taxon: key.taxa[at].id.clone(),
        trait_id: one.id.clone(),
        cell: cell(key, &table.modelling, &kin, one, at)?,
        typical: whole.typical,
        misread_rate: one.misread.rate,
        misread: match whole.shape {
            Shape::States(_) => misread::matrix(one, &table.modelling),
            Shape::Bins(_) => Vec::new(),
        },
        reported: columns.chances.iter().map(|column| column[row]).collect(),
        shape: whole.shape,
    })
}
