//! What one scout takes states for, and the table as it is for her eye.
//!
//! In: what was shown to her and what she reported, look by look. Out: misreading matrices of her own,
//! her mix-ups, and a [`Table`] compiled with them. Such a table stands *beside* the key's own and has
//! another fingerprint: what is recorded stays by the key's.
//!
//! The model: what is reported of one true state is multinomial with a Dirichlet prior, the key's row
//! taken as [`PRIOR_LOOKS`] looks; a row of hers is the mean of the posterior. A trait of which fewer
//! than [`LEAST_LOOKS`] looks are known keeps the key's matrix, for a handful says more about chance
//! than about an eye. Measures keep the key's: a drawing has no size that a ruler could be held to.
//! Source: the Dirichlet-multinomial posterior mean (any text on Bayesian statistics; from memory,
//! held against `scipy.stats.dirichlet.mean`). Both numbers are choices of this project.

use std::collections::BTreeMap;

use standbook_key::{Key, Trait, TraitId, fingerprint};

use crate::misread;
use crate::modelling::Modelling;
use crate::table::Table;

/// How many looks at a state the key's own rates count for.
pub const PRIOR_LOOKS: f64 = 20.0;

/// Fewest looks at a trait from which her own rates are used at all.
pub const LEAST_LOOKS: f64 = 20.0;

/// Fewest times that one state was taken for another to be called a habit.
const HABIT: u32 = 2;

/// Looks at one true state that were reported alike.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Looks {
    /// Weighed, as with age.
    weight: f64,
    times: u32,
}

/// Every look of one scout of which it is known what was shown.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Eye {
    /// By trait, then by what was shown and what was reported; ids as they were kept, since a key may
    /// have dropped a state by now.
    looks: BTreeMap<String, BTreeMap<(String, String), Looks>>,
}

/// One state taken for another more often than the key takes for granted.
#[derive(Debug, Clone, PartialEq)]
pub struct MixUp {
    /// Trait id.
    pub trait_id: TraitId,
    /// Position of the state that was shown.
    pub shown: usize,
    /// Position of what was reported.
    pub reported: usize,
    /// How often.
    pub times: u32,
    /// Of so many looks at that state.
    pub of: u32,
    /// Share of looks that her own matrix gives it, 0 to 1.
    pub own: f64,
    /// The same of the key's.
    pub of_key: f64,
}

impl Eye {
    /// Adds one look. `weight` is above 0, 1 for a fresh look; any other number is left out, as a look
    /// that says nothing.
    pub fn saw(&mut self, trait_id: &str, shown: &str, reported: &str, weight: f64) {
        if !(weight.is_finite() && weight > 0.0) {
            return;
        }
        let of_trait = self.looks.entry(trait_id.to_owned()).or_default();
        let looks = of_trait
            .entry((shown.to_owned(), reported.to_owned()))
            .or_default();
        looks.weight += weight;
        looks.times = looks.times.saturating_add(1);
    }

    /// How many looks at a trait there are, of states that the key still has.
    pub fn times(&self, one: &Trait) -> u32 {
        self.counts(one)
            .iter()
            .flatten()
            .fold(0, |sum, looks| sum.saturating_add(looks.times))
    }

    /// Whether her own rates are used for a trait.
    pub fn is_known(&self, one: &Trait) -> bool {
        let weight: f64 = self.counts(one).iter().flatten().map(|l| l.weight).sum();
        one.states().len() > 1 && weight >= LEAST_LOOKS
    }

    /// Her misreading matrix of a trait with states, rows the true state, each summing to 1; the key's
    /// where too little is known.
    pub fn matrix(&self, one: &Trait, modelling: &Modelling) -> Vec<Vec<f64>> {
        let of_key = misread::matrix(one, modelling);
        if !self.is_known(one) {
            return of_key;
        }
        let counts = self.counts(one);
        of_key
            .iter()
            .zip(counts)
            .map(|(prior, seen)| {
                let all = PRIOR_LOOKS + seen.iter().map(|looks| looks.weight).sum::<f64>();
                prior
                    .iter()
                    .zip(seen)
                    .map(|(share, looks)| (PRIOR_LOOKS * share + looks.weight) / all)
                    .collect()
            })
            .collect()
    }

    /// What she takes for something else more often than the key takes for granted, in the order of
    /// the key; only of traits of which enough is known.
    pub fn mix_ups(&self, key: &Key, modelling: &Modelling) -> Vec<MixUp> {
        let known = key.traits.iter().filter(|one| self.is_known(one));
        known
            .flat_map(|one| self.mix_ups_of(one, modelling))
            .collect()
    }

    fn mix_ups_of(&self, one: &Trait, modelling: &Modelling) -> Vec<MixUp> {
        let (own, of_key) = (self.matrix(one, modelling), misread::matrix(one, modelling));
        let mut found = Vec::new();
        for (shown, row) in self.counts(one).iter().enumerate() {
            let of = row.iter().map(|looks| looks.times).sum();
            for (reported, looks) in row.iter().enumerate() {
                let (own, of_key) = (own[shown][reported], of_key[shown][reported]);
                if shown != reported && looks.times >= HABIT && own > of_key {
                    found.push(MixUp {
                        trait_id: one.id.clone(),
                        shown,
                        reported,
                        times: looks.times,
                        of,
                        own,
                        of_key,
                    });
                }
            }
        }
        found
    }

    /// `[shown][reported]` by position; looks at states that the key has no more are left out.
    fn counts(&self, one: &Trait) -> Vec<Vec<Looks>> {
        let n = one.states().len();
        let mut counts = vec![vec![Looks::default(); n]; n];
        for ((shown, reported), looks) in self.looks.get(one.id.as_str()).into_iter().flatten() {
            if let (Some(shown), Some(reported)) =
                (one.state_index(shown), one.state_index(reported))
            {
                counts[shown][reported] = *looks;
            }
        }
        counts
    }

    /// Names what her counts make of a table: the table's own fingerprint where they make nothing of it.
    fn fingerprint(&self, key: &Key, of_table: &str) -> String {
        let known: Vec<_> = key
            .traits
            .iter()
            .filter(|one| self.is_known(one))
            .map(|one| {
                let counts = self.counts(one).into_iter();
                let weights = counts.map(|row| row.iter().map(|l| l.weight).collect::<Vec<_>>());
                (&one.id, weights.collect::<Vec<_>>())
            })
            .collect();
        if known.is_empty() {
            return of_table.to_owned();
        }
        // Plain data: serialising it to memory has no way to fail.
        let bytes = serde_json::to_vec(&(of_table, PRIOR_LOOKS, known)).unwrap_or_default();
        fingerprint::of_bytes(&bytes)
    }
}

impl Table {
    /// Compiles a key for one scout's eye. Without enough looks of hers it is the key's own table.
    pub fn compile_for(key: &Key, eye: &Eye) -> Table {
        let modelling = Modelling::default();
        let mut table = Table::compile_by(key, &modelling, &|one| eye.matrix(one, &modelling));
        table.fingerprint = eye.fingerprint(key, &table.fingerprint);
        table
    }
}
