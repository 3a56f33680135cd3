//! The compiled table: for every trait a column per state, holding for every taxon the log of
//! how likely an honest scout would report that state.
//!
//! All modelling happens here, when the table is compiled; walking a plant is adding columns
//! (`posterior`). Rows are the taxa of the key in order of their ids and, last, *not in this
//! key*. Numbers are natural logs.

use std::collections::BTreeMap;

use serde::Serialize;
use standbook_key::{
    GroupId, Key, LeafStage, Need, Role, StateId, TaxonId, Trait, TraitClass, TraitId,
};

pub use crate::fingerprint::MODEL;
use crate::fingerprint::fingerprint_of;
use crate::information::plogp;
use crate::misread;
use crate::modelling::Modelling;
use crate::profile::{self, Bins, Kin, Shape};

/// Name of the row for plants that are not in the key.
pub const NOT_IN_KEY: &str = "not_in_key";

/// A compiled key.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Table {
    /// Id of the key it was compiled from.
    pub key_id: String,
    /// Names this table's meaning: 64 hex digits.
    pub fingerprint: String,
    /// The rows: taxa by id, then *not in this key* where the table has an open set.
    pub rows: Vec<Row>,
    /// Log prior of every row.
    pub log_prior: Vec<f64>,
    /// The traits that can be weighed, in key order.
    pub traits: Vec<TraitColumns>,
    /// Sets of traits, by position, that say partly the same, each with its overlap.
    pub together: Vec<(Vec<usize>, f64)>,
    /// The numbers it was compiled with; walking uses its `both`.
    pub modelling: Modelling,
}

/// One row of the table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Row {
    /// Taxon id or [`NOT_IN_KEY`].
    pub id: TaxonId,
    /// Its role; `None` for *not in this key*.
    pub role: Option<Role>,
    /// Its group; `None` for *not in this key*.
    pub group: Option<GroupId>,
}

/// All columns of one trait.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TraitColumns {
    /// Trait id.
    pub id: TraitId,
    /// Its class.
    pub class: TraitClass,
    /// State ids, in order; empty for a measure.
    pub states: Vec<StateId>,
    /// Bins of a measure.
    pub bins: Option<Bins>,
    /// Unit of a measure.
    pub unit: Option<String>,
    /// Seconds one look takes.
    pub effort_s: u32,
    /// What it needs.
    pub needs: Vec<Need>,
    /// Earliest leaf stage.
    pub from_stage: LeafStage,
    /// Latest leaf stage.
    pub until_stage: Option<LeafStage>,
    /// Whether it may decide.
    pub decides: bool,
    /// The trait (by position in the table) and states under which it applies.
    pub applies_to: Option<(usize, Vec<usize>)>,
    /// `columns[state][row]`: natural log of the chance that this state is reported.
    pub columns: Vec<Vec<f64>>,
    /// The same as chances, kept for the expectations of *Look next at*.
    #[serde(skip)]
    pub chances: Vec<Vec<f64>>,
    /// For every row, the entropy of what would be reported, nats.
    #[serde(skip)]
    pub row_entropy: Vec<f64>,
}

impl TraitColumns {
    /// The position of a state.
    pub fn state_index(&self, id: &str) -> Option<usize> {
        self.states.iter().position(|s| *s == *id)
    }

    /// Whether it can be seen on a plant of this stage.
    pub fn visible_at(&self, stage: LeafStage) -> bool {
        self.from_stage <= stage && self.until_stage.is_none_or(|last| stage <= last)
    }

    fn finish(mut self) -> Self {
        self.columns = self
            .chances
            .iter()
            .map(|column| column.iter().map(|p| p.ln()).collect())
            .collect();
        let n_rows = self.chances.first().map_or(0, Vec::len);
        self.row_entropy = (0..n_rows)
            .map(|row| {
                -self
                    .chances
                    .iter()
                    .map(|column| plogp(column[row]))
                    .sum::<f64>()
            })
            .collect();
        self
    }
}

impl Table {
    /// Compiles a key.
    pub fn compile(key: &Key) -> Table {
        Table::compile_with(key, &Modelling::default())
    }

    /// Compiles a key with other numbers than those shipped: for evaluations that ask what one
    /// of them is worth.
    pub fn compile_with(key: &Key, modelling: &Modelling) -> Table {
        Table::compile_by(key, modelling, &|one| misread::matrix(one, modelling))
    }

    /// Compiles a key with misreading as `matrix` gives it for each trait. The fingerprint is that of
    /// the key's own misreading, so a caller with another must give it another name.
    pub(crate) fn compile_by(
        key: &Key,
        modelling: &Modelling,
        matrix: &dyn Fn(&Trait) -> Vec<Vec<f64>>,
    ) -> Table {
        let mut rows: Vec<Row> = key
            .taxa
            .iter()
            .map(|taxon| Row {
                id: taxon.id.clone(),
                role: Some(taxon.role),
                group: Some(taxon.group.clone()),
            })
            .collect();
        rows.push(Row {
            id: TaxonId::new(NOT_IN_KEY),
            role: None,
            group: None,
        });
        let even = (1.0 - modelling.outside) / key.taxa.len().max(1) as f64;
        let mut log_prior = vec![even.ln(); key.taxa.len()];
        log_prior.push(modelling.outside.ln());
        let kin = Kin::of(key);
        let traits: Vec<(&Trait, TraitColumns)> = key
            .traits
            .iter()
            .filter_map(|one| Some((one, columns_of(key, modelling, &kin, one, matrix)?)))
            .collect();
        let by_id: BTreeMap<&str, usize> = traits
            .iter()
            .enumerate()
            .map(|(at, (one, _))| (one.id.as_str(), at))
            .collect();
        let limits: Vec<Option<(usize, Vec<usize>)>> = traits
            .iter()
            .map(|(one, _)| {
                let applies = one.applies_to.as_ref()?;
                let other = *by_id.get(applies.trait_id.as_str())?;
                let states = applies
                    .states
                    .iter()
                    .filter_map(|s| traits[other].1.state_index(s.as_str()))
                    .collect();
                Some((other, states))
            })
            .collect();
        let traits = traits
            .into_iter()
            .zip(limits)
            .map(|((_, columns), applies_to)| TraitColumns {
                applies_to,
                ..columns
            })
            .collect();
        let together = key
            .together
            .iter()
            .map(|set| {
                let places = set
                    .traits
                    .iter()
                    .filter_map(|id| by_id.get(id.as_str()).copied());
                (places.collect(), set.overlap)
            })
            .collect();
        Table {
            key_id: key.id.clone(),
            fingerprint: fingerprint_of(key, modelling),
            rows,
            log_prior,
            traits,
            together,
            modelling: *modelling,
        }
    }

    /// A table without misreading, tempering or open set, from counts: what an ordinary
    /// categorical naive Bayes classifier learns. Made for checks against other programs.
    ///
    /// `class_counts[row]` cases of each class; `counts[trait][state][row]` cases in which
    /// that state was seen; `alpha` is added to each count. All rows and states must be
    /// there; a chance of 0 (alpha 0) becomes a log of minus infinity.
    pub fn from_counts(
        classes: &[&str],
        class_counts: &[f64],
        counts: &[Vec<Vec<f64>>],
        alpha: f64,
    ) -> Table {
        let total: f64 = class_counts.iter().sum();
        let traits = counts
            .iter()
            .enumerate()
            .map(|(at, states)| {
                let n = states.len() as f64;
                let seen: Vec<f64> = (0..classes.len())
                    .map(|row| states.iter().map(|s| s[row]).sum())
                    .collect();
                TraitColumns {
                    id: TraitId::new(format!("t{at}")),
                    class: TraitClass::Other,
                    states: (0..states.len())
                        .map(|s| StateId::new(format!("s{s}")))
                        .collect(),
                    bins: None,
                    unit: None,
                    effort_s: 1,
                    needs: Vec::new(),
                    from_stage: LeafStage::OneLeaf,
                    until_stage: None,
                    decides: true,
                    applies_to: None,
                    columns: Vec::new(),
                    chances: states
                        .iter()
                        .map(|column| {
                            column
                                .iter()
                                .zip(&seen)
                                .map(|(c, seen)| (c + alpha) / (seen + alpha * n))
                                .collect()
                        })
                        .collect(),
                    row_entropy: Vec::new(),
                }
                .finish()
            })
            .collect::<Vec<_>>();
        Table {
            key_id: "counts".to_owned(),
            fingerprint: String::new(),
            rows: classes
                .iter()
                .map(|id| Row {
                    id: TaxonId::new(*id),
                    role: None,
                    group: None,
                })
                .collect(),
            log_prior: class_counts.iter().map(|c| (c / total).ln()).collect(),
            traits,
            together: Vec::new(),
            modelling: Modelling {
                agreement: 0.0,
                ..Modelling::default()
            },
        }
    }

    /// The position of a trait.
    pub fn trait_index(&self, id: &str) -> Option<usize> {
        self.traits.iter().position(|one| one.id == id)
    }

    /// How much one answer weighs when `m` traits of its set are answered, 0 to 1: the number of
    /// answers that m overlapping ones are worth, m / (1 + (m - 1) r), over m. Source: the
    /// effective size of a sample with intraclass correlation r (Kish 1965, *Survey Sampling*).
    pub fn weight(&self, trait_index: usize, m: usize) -> f64 {
        let set = self.set_of(trait_index);
        set.map_or(1.0, |(_, overlap)| {
            1.0 / (1.0 + (m.max(1) - 1) as f64 * overlap)
        })
    }

    /// The set of traits that a trait says partly the same as, itself among them.
    pub fn set_of(&self, trait_index: usize) -> Option<&(Vec<usize>, f64)> {
        self.together
            .iter()
            .find(|(traits, _)| traits.contains(&trait_index))
    }

    /// The position of a row by taxon id or [`NOT_IN_KEY`].
    pub fn row_index(&self, id: &str) -> Option<usize> {
        self.rows.iter().position(|row| row.id == *id)
    }

    /// The row of *not in this key*, where the table has one.
    pub fn not_in_key(&self) -> Option<usize> {
        self.rows
            .len()
            .checked_sub(1)
            .filter(|&last| self.rows[last].id == NOT_IN_KEY)
    }
}

fn columns_of(
    key: &Key,
    modelling: &Modelling,
    kin: &Kin,
    one: &Trait,
    matrix: &dyn Fn(&Trait) -> Vec<Vec<f64>>,
) -> Option<TraitColumns> {
    let shares = profile::shares(key, modelling, kin, one)?;
    let n = shares.shape.len();
    let matrix = matrix(one);
    let mut by_row: Vec<Vec<f64>> = shares
        .taxa
        .iter()
        .map(|truth| misread::reported(one, &matrix, &shares.shape, truth, &shares.typical))
        .collect();
    // A plant outside the key shows what is typical of the key: it is a grass as well.
    by_row.push(misread::reported(
        one,
        &matrix,
        &shares.shape,
        &shares.typical,
        &shares.typical,
    ));
    let columns = TraitColumns {
        id: one.id.clone(),
        class: one.class,
        states: one.states().iter().map(|s| s.id.clone()).collect(),
        bins: match shares.shape {
            Shape::Bins(bins) => Some(bins),
            Shape::States(_) => None,
        },
        unit: one.measure().map(|m| m.unit.clone()),
        effort_s: one.effort_s,
        needs: one.needs.clone(),
        from_stage: one.from_stage,
        until_stage: one.until_stage,
        decides: one.decides,
        applies_to: None,
        columns: Vec::new(),
        chances: (0..n)
            .map(|state| by_row.iter().map(|row| row[state]).collect())
            .collect(),
        row_entropy: Vec::new(),
    };
    Some(columns.finish())
}
