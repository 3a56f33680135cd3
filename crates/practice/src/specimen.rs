//! A plant of a taxon as it may be found: what sources say varies, varies.
//!
//! In: a key, its table, a taxon, a leaf stage, a seed. Out: of every trait that is recorded, applies and
//! can be seen at the stage the state that this one plant shows, drawn from the recorded shares; for plants
//! to be named now and then one that misses a part or misleads. The same seed is the same plant for
//! ever: every trait draws from a stream of its own, so a trait that the key gets later changes no other.
//!
//! Source of chance: ChaCha with 20 rounds (RFC 8439 in its original form), whose output is fixed by its
//! definition.

use std::collections::BTreeMap;

use rand_chacha::ChaCha20Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use standbook_identify::Table;
use standbook_identify::profile::{Kin, cell, recorded};
use standbook_identify::table::TraitColumns;
use standbook_key::{Key, LeafStage};

/// A state that at most this share of a taxon's plants shows is rare (convention; the key's word
/// *rarely* lies below it).
pub const RARE: f64 = 0.15;

/// So many of the plants to be named miss a part or mislead (convention: often enough that no single look
/// is trusted, seldom enough that looks stay worth it).
pub const ODD: f64 = 0.25;

/// How the plants of one taxon vary: for every trait of a table the shares of its states or bins.
#[derive(Debug, Clone, PartialEq)]
pub struct Variation {
    /// By trait of the table, in its order, as weights. `None` where the trait never applies, or nothing is
    /// known of it.
    shares: Vec<Option<Vec<f64>>>,
    recorded: Vec<bool>,
}

impl Variation {
    /// Of the taxon at a place of the key: what its sources say.
    pub fn recorded(key: &Key, table: &Table, taxon: usize) -> Variation {
        let of = |columns: &TraitColumns| {
            let one = key.trait_by_id(columns.id.as_str())?;
            recorded(key, &table.modelling, one, taxon)
        };
        let shares: Vec<Option<Vec<f64>>> = table.traits.iter().map(of).collect();
        Variation {
            recorded: shares.iter().map(Option::is_some).collect(),
            shares,
        }
    }

    /// The same, and what its kin show where nobody said anything.
    pub fn with_kin(key: &Key, table: &Table, kin: &Kin, taxon: usize) -> Variation {
        let mut variation = Variation::recorded(key, table, taxon);
        for (shares, columns) in variation.shares.iter_mut().zip(&table.traits) {
            if shares.is_none() {
                let cell = key
                    .trait_by_id(columns.id.as_str())
                    .and_then(|one| cell(key, &table.modelling, kin, one, taxon));
                *shares = cell.filter(|cell| !cell.never_applies).map(|cell| cell.kin);
            }
        }
        variation
    }

    /// Whether anybody recorded this trait (by place in the table) of the taxon.
    pub fn is_recorded(&self, trait_index: usize) -> bool {
        self.recorded.get(trait_index).copied().unwrap_or(false)
    }

    /// The share of plants that shows a state or bin, 0 to 1; 0 where the trait never applies.
    pub fn share(&self, trait_index: usize, state: usize) -> f64 {
        let shares = self.shares.get(trait_index).and_then(Option::as_ref);
        shares.map_or(0.0, |shares| {
            let all: f64 = shares.iter().sum();
            shares.get(state).map_or(0.0, |share| share / all)
        })
    }

    /// One plant: of each trait of the table the state or bin it shows, `None` where it has none.
    /// `chance` gives a number from 0 to below 1 for the trait at a place.
    pub fn plant(&self, table: &Table, mut chance: impl FnMut(usize) -> f64) -> Vec<Option<usize>> {
        let mut plant: Vec<Option<usize>> = self
            .shares
            .iter()
            .enumerate()
            .map(|(at, shares)| shares.as_ref().map(|shares| pick(shares, chance(at))))
            .collect();
        // A plant without ligule has no ligule edge.
        for (at, columns) in table.traits.iter().enumerate() {
            if let Some((other, states)) = &columns.applies_to
                && plant[*other].is_none_or(|shown| !states.contains(&shown))
            {
                plant[at] = None;
            }
        }
        plant
    }
}

/// The place of a weight, as likely as it is heavy; `chance` from 0 to below 1.
pub fn pick(weights: &[f64], chance: f64) -> usize {
    let mut left = chance * weights.iter().sum::<f64>();
    for (at, weight) in weights.iter().enumerate() {
        left -= weight;
        if left < 0.0 {
            return at;
        }
    }
    weights.len().saturating_sub(1)
}

/// What is odd about a plant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Odd {
    /// A part is not to be seen: soil hides it, or it is torn off. By place among the parts asked for.
    Missing(usize),
    /// One trait shows what few plants of the taxon show, or what a look-alike shows.
    Misleading {
        /// The trait.
        trait_id: String,
        /// The state that most plants of the taxon show.
        usual: String,
        /// The look-alike whose usual state it shows; `None` where it is rare in the taxon itself.
        like: Option<String>,
    },
}

/// One plant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Specimen {
    /// What it is.
    pub taxon: String,
    /// How far it has grown.
    pub stage: LeafStage,
    /// Which one; also the number under which it is drawn.
    pub seed: u32,
    /// What it shows, by trait: the id of a state, or a measure in the trait's unit as text.
    pub shows: BTreeMap<String, String>,
    /// What is odd about it.
    pub odd: Option<Odd>,
}

/// Why there is no such plant.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoSpecimen {
    /// No such taxon.
    #[error("`{0}` is not a plant of this key")]
    UnknownTaxon(String),
    /// Nothing of it is recorded that shows at the stage.
    #[error("nothing that shows at this stage ({stage}) is recorded of `{taxon}`")]
    NothingShows {
        /// The taxon.
        taxon: String,
        /// The stage, in words.
        stage: &'static str,
    },
}

impl Specimen {
    /// A plant as it grew.
    ///
    /// # Errors
    /// An unknown taxon; nothing recorded that shows at the stage.
    pub fn grown(
        key: &Key,
        table: &Table,
        taxon: &str,
        stage: LeafStage,
        seed: u32,
    ) -> Result<Specimen, NoSpecimen> {
        let variation = variation(key, table, taxon)?;
        let plant = variation.plant(table, |at| {
            chance(seed, taxon, table.traits[at].id.as_str())
        });
        let shows: BTreeMap<String, String> = table
            .traits
            .iter()
            .enumerate()
            .filter(|(at, columns)| variation.is_recorded(*at) && columns.visible_at(stage))
            .filter_map(|(at, columns)| {
                let shown = plant[at]?;
                let value = match &columns.bins {
                    Some(bins) => format!("{:.2}", bins.middle_of(shown)),
                    None => columns.states.get(shown)?.to_string(),
                };
                Some((columns.id.to_string(), value))
            })
            .collect();
        if shows.is_empty() {
            return Err(NoSpecimen::NothingShows {
                taxon: taxon.to_owned(),
                stage: stage.name(),
            });
        }
        Ok(Specimen {
            taxon: taxon.to_owned(),
            stage,
            seed,
            shows,
            odd: None,
        })
    }

    /// A plant to be named: about one in four misses a part or misleads. `parts`: the traits of each part
    /// that can be missing; `alike`: taxa that it is taken for.
    ///
    /// # Errors
    /// As for [`Specimen::grown`].
    pub fn found(
        key: &Key,
        table: &Table,
        taxon: &str,
        stage: LeafStage,
        seed: u32,
        parts: &[&[&str]],
        alike: &[&str],
    ) -> Result<Specimen, NoSpecimen> {
        let mut plant = Specimen::grown(key, table, taxon, stage, seed)?;
        if chance(seed, taxon, "is odd") >= ODD {
            return Ok(plant);
        }
        let variation = variation(key, table, taxon)?;
        if chance(seed, taxon, "misses a part") < 0.5 {
            plant.lose(parts);
        } else {
            let mut ways = plant.ways_to_mislead(key, table, &variation, alike)?;
            if !ways.is_empty() {
                let even = vec![1.0; ways.len()];
                let (state, odd) = ways.swap_remove(pick(&even, chance(seed, taxon, "which way")));
                if let Odd::Misleading { trait_id, .. } = &odd {
                    plant.shows.insert(trait_id.clone(), state);
                }
                plant.odd = Some(odd);
            }
        }
        Ok(plant)
    }

    /// The id of the state that it shows of a trait, or its measure as text.
    pub fn shows_of(&self, trait_id: &str) -> Option<&str> {
        self.shows.get(trait_id).map(String::as_str)
    }

    /// Takes away one of the parts that anything is to be seen on.
    fn lose(&mut self, parts: &[&[&str]]) {
        let there: Vec<usize> = (0..parts.len())
            .filter(|at| parts[*at].iter().any(|id| self.shows.contains_key(*id)))
            .collect();
        let even = vec![1.0; there.len()];
        let which = pick(&even, chance(self.seed, &self.taxon, "which part"));
        if let Some(part) = there.get(which) {
            for id in parts[*part] {
                self.shows.remove(*id);
            }
            self.odd = Some(Odd::Missing(*part));
        }
    }

    /// Every single state with which it would mislead.
    fn ways_to_mislead(
        &self,
        key: &Key,
        table: &Table,
        variation: &Variation,
        alike: &[&str],
    ) -> Result<Vec<(String, Odd)>, NoSpecimen> {
        let mut ways = Vec::new();
        let others: Result<Vec<(&str, Variation)>, NoSpecimen> = alike
            .iter()
            .map(|other| Ok((*other, self::variation(key, table, other)?)))
            .collect();
        let others = others?;
        // A trait on which others hang would take theirs away with it.
        let hangs: Vec<usize> = table
            .traits
            .iter()
            .filter_map(|columns| columns.applies_to.as_ref().map(|(other, _)| *other))
            .collect();
        for (at, columns) in table.traits.iter().enumerate() {
            if !columns.decides
                || columns.bins.is_some()
                || hangs.contains(&at)
                || !self.shows.contains_key(columns.id.as_str())
            {
                continue;
            }
            let usual_of = |variation: &Variation| {
                (0..columns.states.len()).max_by(|a, b| {
                    let share = |state| variation.share(at, state);
                    share(*a).total_cmp(&share(*b)).then(b.cmp(a))
                })
            };
            let Some(usual) = usual_of(variation) else {
                continue;
            };
            for (state, id) in columns.states.iter().enumerate() {
                let share = variation.share(at, state);
                let like = others
                    .iter()
                    .find(|(_, other)| other.is_recorded(at) && usual_of(other) == Some(state));
                if state == usual || share > RARE || (share <= 0.0 && like.is_none()) {
                    continue;
                }
                let odd = Odd::Misleading {
                    trait_id: columns.id.to_string(),
                    usual: columns.states[usual].to_string(),
                    like: like.map(|(other, _)| (*other).to_owned()),
                };
                ways.push((id.to_string(), odd));
            }
        }
        Ok(ways)
    }
}

fn variation(key: &Key, table: &Table, taxon: &str) -> Result<Variation, NoSpecimen> {
    let place = key.taxa.iter().position(|one| one.id == *taxon);
    let place = place.ok_or_else(|| {
        // What comes from an address may be of any length.
        NoSpecimen::UnknownTaxon(taxon.chars().take(60).collect())
    })?;
    Ok(Variation::recorded(key, table, place))
}

/// Begins every stream's key. Changing it changes every plant ever drawn: don't.
const TAG: &[u8; 20] = b"a plant as it grew 1";

/// A number from 0 to below 1 for one thing about one plant, the same for ever.
pub fn chance(seed: u32, taxon: &str, what: &str) -> f64 {
    let mut key = [0_u8; 32];
    key[..20].copy_from_slice(TAG);
    key[20..24].copy_from_slice(&seed.to_le_bytes());
    key[24..].copy_from_slice(&named(&[taxon, what]).to_le_bytes());
    // 53 bits: every double from 0 to 1 that has them.
    (ChaCha20Rng::from_seed(key).next_u64() >> 11) as f64 / (1_u64 << 53) as f64
}

/// A number for names (FNV-1a with 64 bits; Fowler, Noll & Vo, RFC 9923), an end mark after each.
fn named(names: &[&str]) -> u64 {
    let bytes = names.iter().flat_map(|name| name.bytes().chain([0]));
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}
