//! Small keys drawn from the one that ships, without doubt: every taxon shows its likeliest state.
//!
//! In: a seed. Out: four to fourteen taxa that can be told apart, the questions that part them,
//! and the same as a `Key`. Where nothing is recorded the state is the likeliest of the table, so
//! that all questions can be used; or, the other way of drawing, only questions recorded of all
//! the taxa are used. Taxa that no question parts are taken as one. Measures are left out: their
//! ranges overlap, so they have no state that is the taxon's.

use standbook_identify::Table;
use standbook_key::{Fact, FactValue, Key, LeafStage, Often, SourceId};

use super::common::{key, likeliest, table};
use super::exact::Problem;

/// A small key.
pub struct Small {
    /// Taxa, by position in the whole key.
    pub taxa: Vec<usize>,
    /// Questions, by position in the whole table.
    pub questions: Vec<usize>,
    /// `states[question][taxon]`.
    pub states: Vec<Vec<usize>>,
}

/// What is asked of: where every drawn taxon is recorded, or where the table has a guess.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cells {
    /// Only what is recorded of all taxa.
    Recorded,
    /// All questions.
    Filled,
}

impl Small {
    /// Draws `n` taxa. `None` where fewer than four can be told apart.
    pub fn draw(n: usize, cells: Cells, rng: &mut fastrand::Rng) -> Option<Small> {
        let (key, table) = (key(), table());
        let mut taxa: Vec<usize> = (0..key.taxa.len()).collect();
        rng.shuffle(&mut taxa);
        taxa.truncate(n);
        taxa.sort_unstable();
        let recorded = |question: usize, taxon: usize| {
            let facts = key.taxa[taxon].facts(table.traits[question].id.as_str());
            facts
                .iter()
                .any(|f| matches!(f.value, FactValue::State { .. }))
        };
        let questions: Vec<usize> = (0..table.traits.len())
            .filter(|&question| {
                let columns = &table.traits[question];
                columns.decides
                    && !columns.states.is_empty()
                    && columns.visible_at(LeafStage::FewLeaves)
                    && columns.visible_at(LeafStage::Tillering)
                    && (cells == Cells::Filled || taxa.iter().all(|&x| recorded(question, x)))
            })
            .collect();
        let shown = |question: usize, taxon: usize| {
            let all = 0..table.traits[question].states.len();
            likeliest(table, question, taxon, all).unwrap()
        };
        let row =
            |taxon: &usize| -> Vec<usize> { questions.iter().map(|&q| shown(q, *taxon)).collect() };
        let mut apart: Vec<usize> = Vec::new();
        for taxon in taxa {
            if !apart.iter().any(|other| row(other) == row(&taxon)) {
                apart.push(taxon);
            }
        }
        let states = questions
            .iter()
            .map(|&q| apart.iter().map(|&x| shown(q, x)).collect())
            .collect();
        (apart.len() >= 4).then_some(Small {
            taxa: apart,
            questions,
            states,
        })
    }

    /// The trait of a question.
    pub fn id(&self, question: usize) -> &'static str {
        table().traits[self.questions[question]].id.as_str()
    }

    /// Where a question stands in a table of this small key, compiled or from counts (which names
    /// its traits t0, t1 and so on).
    pub fn place(&self, question: usize, on: &Table) -> usize {
        on.trait_index(self.id(question))
            .or_else(|| on.trait_index(&format!("t{question}")))
            .unwrap()
    }

    /// The question that stands there.
    pub fn question(&self, place: usize, on: &Table) -> usize {
        let mut all = 0..self.questions.len();
        all.find(|&q| self.place(q, on) == place).unwrap()
    }

    /// Seconds one look takes, without choosing and answering.
    pub fn effort_s(&self, question: usize) -> u32 {
        table().traits[self.questions[question]].effort_s
    }

    /// The exact problem, every taxon as likely; `more_s` seconds beyond each look.
    pub fn problem(&self, more_s: f64) -> Problem {
        let n = self.taxa.len();
        Problem {
            shares: vec![1.0 / n as f64; n],
            effort_s: (0..self.questions.len())
                .map(|q| f64::from(self.effort_s(q)) + more_s)
                .collect(),
            states: self.states.clone(),
        }
    }

    /// A table without doubt: every chance is 0 or 1. With roles, so that *Look next at* weighs
    /// the count's question too, as in the field.
    pub fn table(&self, unit: bool, roles: bool) -> Table {
        let n = self.taxa.len();
        let ids: Vec<&str> = self
            .taxa
            .iter()
            .map(|&x| key().taxa[x].id.as_str())
            .collect();
        let counts: Vec<Vec<Vec<f64>>> = self
            .states
            .iter()
            .zip(&self.questions)
            .map(|(shown, &q)| {
                (0..table().traits[q].states.len())
                    .map(|s| shown.iter().map(|x| f64::from(u8::from(*x == s))).collect())
                    .collect()
            })
            .collect();
        let mut small = Table::from_counts(&ids, &vec![1.0; n], &counts, 0.0);
        for (q, columns) in small.traits.iter_mut().enumerate() {
            columns.effort_s = if unit { 1 } else { self.effort_s(q) };
        }
        for (row, taxon) in small.rows.iter_mut().zip(&self.taxa) {
            row.role = roles.then_some(key().taxa[*taxon].role);
        }
        small
    }

    /// The same as a key: one fact a cell, always true, never misread.
    pub fn key(&self, unit: bool) -> Key {
        let whole = key();
        let mut small = whole.clone();
        let keep = |id: &str| {
            let mut known = self.questions.iter();
            known.position(|&q| table().traits[q].id == *id)
        };
        small.together.clear();
        small.couplets = None;
        small.traits.retain(|one| keep(one.id.as_str()).is_some());
        for one in &mut small.traits {
            let q = keep(one.id.as_str()).unwrap();
            one.effort_s = if unit { 1 } else { self.effort_s(q) };
            one.applies_to = None;
            one.misread.rate = 0.0;
            one.misread.taken_for.clear();
        }
        small.taxa = self
            .taxa
            .iter()
            .enumerate()
            .map(|(at, &taxon)| {
                let mut taxon = whole.taxa[taxon].clone();
                taxon.look_alikes.clear();
                taxon.profile = small
                    .traits
                    .iter()
                    .map(|one| {
                        let q = keep(one.id.as_str()).unwrap();
                        let state = one.states()[self.states[q][at]].id.clone();
                        let fact = Fact {
                            value: FactValue::State {
                                state,
                                often: Often::Always,
                            },
                            source: SourceId::new("memory"),
                            plant: None,
                            note: None,
                        };
                        (one.id.clone(), vec![fact])
                    })
                    .collect();
                taxon
            })
            .collect();
        small
    }
}
