//! From what sources say of a taxon to how often it shows each state.
//!
//! In: a key. Out: for every trait that can be weighed, a *shape* (its states, or bins of a
//! measure) and, for every taxon, the shares of that shape, summing to 1.
//!
//! Conventions (the modelling of this project, from memory, open to measurement):
//! * the words stand for shares, [`share_of`];
//! * several facts on one state add up, so agreement sharpens and disagreement blurs;
//! * what the words leave over goes to the fallback of the taxon: its genus, then its group,
//!   then the whole key, each drawn towards the next wider one;
//! * a cell that nobody recorded is the fallback alone: unknown, not absent;
//! * measures are log-uniform over a source's range with soft shoulders; ranges of grown
//!   plants reach lower, since a first-year plant is smaller.
//!
//! Not here: misreading (`misread`), evidence, names.

use standbook_key::{Fact, FactValue, Key, Often, PlantAge, Taxon, Trait};

/// Width of one bin of a measure on the natural-log scale: 0.2 is about 20 %, what a scout
/// can read off a ruler held against a seedling (memory).
const BIN_LN: f64 = 0.2;

/// Standard deviation of a measure's shoulders, ln units (memory).
const SHOULDER_LN: f64 = 0.3;

/// Share of a cell that even `always` leaves open.
const LEFT_OPEN: f64 = 0.03;

/// How many taxa's worth of the next wider level each fallback is drawn towards (memory).
const PULL: f64 = 2.0;

/// The share of plants that a frequency word stands for (convention of this project).
pub fn share_of(often: Often) -> f64 {
    match often {
        Often::Always => 1.0,
        Often::Usually => 0.8,
        Often::Sometimes => 0.3,
        Often::Rarely => 0.05,
    }
}

/// What values a trait takes in the table.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// So many states.
    States(usize),
    /// So many bins of equal width on the log scale, from `lowest` on.
    Bins(Bins),
}

impl Shape {
    /// Number of states or bins.
    pub fn len(&self) -> usize {
        match self {
            Shape::States(n) => *n,
            Shape::Bins(bins) => bins.n,
        }
    }

    /// Whether there is nothing to see.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// Bins of a measure, equally wide on the log scale.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Bins {
    /// Lower end of the first bin, in the trait's unit, above 0.
    pub lowest: f64,
    /// Upper end of the last bin.
    pub highest: f64,
    /// Number of bins.
    pub n: usize,
}

impl Bins {
    fn new(lowest: f64, highest: f64) -> Self {
        // Bounds are checked where keys are read; 200 bins are far beyond any sensible pair.
        let n = ((highest / lowest).ln() / BIN_LN).ceil().clamp(1.0, 200.0) as usize;
        Bins { lowest, highest, n }
    }

    /// The bin of a value; values outside fall into the first or last.
    pub fn bin_of(&self, value: f64) -> usize {
        let at = (value / self.lowest).ln() / (self.highest / self.lowest).ln();
        ((at * self.n as f64).floor().max(0.0) as usize).min(self.n - 1)
    }

    fn center_ln(&self, bin: usize) -> f64 {
        let step = (self.highest / self.lowest).ln() / self.n as f64;
        self.lowest.ln() + (bin as f64 + 0.5) * step
    }
}

/// The shares of every taxon on one trait, and what is typical of the key.
#[derive(Debug, Clone, PartialEq)]
pub struct TraitShares {
    /// What values there are.
    pub shape: Shape,
    /// For every taxon of the key (rows) its shares (columns), summing to 1.
    pub taxa: Vec<Vec<f64>>,
    /// The mean over the key, drawn towards even.
    pub typical: Vec<f64>,
}

/// Who is kin to whom in a key: worked out once, used for every trait.
#[derive(Debug, Clone)]
pub struct Kin {
    /// For every taxon, the others of its group.
    group: Vec<Vec<usize>>,
    /// For every taxon, the others of its genus.
    genus: Vec<Vec<usize>>,
}

impl Kin {
    /// Of a key.
    pub fn of(key: &Key) -> Kin {
        let genera: Vec<&str> = key.taxa.iter().map(genus).collect();
        let others = |alike: &dyn Fn(usize, usize) -> bool| -> Vec<Vec<usize>> {
            let n = key.taxa.len();
            (0..n)
                .map(|a| (0..n).filter(|&b| a != b && alike(a, b)).collect())
                .collect()
        };
        Kin {
            group: others(&|a, b| key.taxa[a].group == key.taxa[b].group),
            genus: others(&|a, b| genera[a] == genera[b]),
        }
    }
}

/// The shares of all taxa on `one`; `None` for notes, which are never weighed.
pub fn shares(key: &Key, kin: &Kin, one: &Trait) -> Option<TraitShares> {
    let shape = match (one.measure(), one.states().len()) {
        (Some(m), _) => Shape::Bins(Bins::new(m.lowest, m.highest)),
        (None, 0) => return None,
        (None, n) => Shape::States(n),
    };
    let recorded: Vec<Option<Recorded>> = key
        .taxa
        .iter()
        .map(|taxon| recorded(one, &shape, taxon))
        .collect();
    let even = vec![1.0 / shape.len() as f64; shape.len()];
    let everyone: Vec<usize> = (0..key.taxa.len()).collect();
    let typical = drawn(&recorded, &everyone, &even);
    let taxa = key
        .taxa
        .iter()
        .enumerate()
        .map(|(at, taxon)| {
            if never_applies(one, taxon) {
                // Nothing to see, so nothing to learn: like the key as a whole.
                return typical.clone();
            }
            let group = drawn(&recorded, &kin.group[at], &typical);
            let fallback = drawn(&recorded, &kin.genus[at], &group);
            match &recorded[at] {
                None => fallback,
                Some(cell) => cell
                    .shares
                    .iter()
                    .zip(&fallback)
                    .map(|(said, back)| (1.0 - cell.open) * said + cell.open * back)
                    .collect(),
            }
        })
        .collect();
    Some(TraitShares {
        shape,
        taxa,
        typical,
    })
}

/// What the facts of one cell say.
struct Recorded {
    /// Shares among what is said, summing to 1.
    shares: Vec<f64>,
    /// Share left open by the words.
    open: f64,
}

fn recorded(one: &Trait, shape: &Shape, taxon: &Taxon) -> Option<Recorded> {
    let facts = taxon.facts(one.id.as_str());
    if facts.is_empty() {
        return None;
    }
    let mut weight = vec![0.0; shape.len()];
    let mut claimed = vec![0.0_f64; shape.len()];
    for fact in facts {
        let trust = trust(fact);
        match (&fact.value, shape) {
            (FactValue::State { state, often }, Shape::States(_)) => {
                let at = one.state_index(state.as_str())?;
                weight[at] += trust * share_of(*often);
                claimed[at] = claimed[at].max(share_of(*often));
            }
            (FactValue::Range { low, high }, Shape::Bins(bins)) => {
                for (at, share) in range_shares(bins, *low, *high, fact.plant)
                    .iter()
                    .enumerate()
                {
                    weight[at] += trust * share;
                    claimed[at] += share;
                }
            }
            _ => {}
        }
    }
    let total: f64 = weight.iter().sum();
    if total <= 0.0 {
        return None;
    }
    let open = (1.0 - claimed.iter().sum::<f64>()).max(LEFT_OPEN);
    Some(Recorded {
        shares: weight.into_iter().map(|w| w / total).collect(),
        open,
    })
}

/// How much a fact counts against others of its cell: plants of the right age more, the
/// compiler's memory less (convention of this project).
fn trust(fact: &Fact) -> f64 {
    let age = if fact.plant == Some(PlantAge::Seedling) {
        1.5
    } else {
        1.0
    };
    let source = if fact.source == "memory" { 0.7 } else { 1.0 };
    age * source
}

fn range_shares(bins: &Bins, low: f64, high: f64, plant: Option<PlantAge>) -> Vec<f64> {
    // A low end of 0 means that only the upper bound is given.
    let low = if low == 0.0 { high / 6.0 } else { low };
    let reach = match plant {
        Some(PlantAge::Seedling) => 1.0,
        Some(PlantAge::Grown) => 0.5,
        None => 0.7,
    };
    let (low, high) = ((low * reach).ln(), high.ln());
    let mut shares: Vec<f64> = (0..bins.n)
        .map(|bin| {
            let x = bins.center_ln(bin);
            let outside = (low - x).max(x - high).max(0.0) / SHOULDER_LN;
            (-0.5 * outside * outside).exp()
        })
        .collect();
    let total: f64 = shares.iter().sum();
    if total > 0.0 {
        shares.iter_mut().for_each(|share| *share /= total);
    }
    shares
}

/// Mean of the recorded cells of `which`, drawn towards `wider`.
fn drawn(recorded: &[Option<Recorded>], which: &[usize], wider: &[f64]) -> Vec<f64> {
    let mut sum: Vec<f64> = wider.iter().map(|w| w * PULL).collect();
    let mut n = PULL;
    for cell in which.iter().filter_map(|&at| recorded[at].as_ref()) {
        // Only what is said counts; what was left open says nothing about kin.
        let said = 1.0 - cell.open;
        for (total, share) in sum.iter_mut().zip(&cell.shares) {
            *total += said * share;
        }
        n += said;
    }
    sum.into_iter().map(|total| total / n).collect()
}

fn genus(taxon: &Taxon) -> &str {
    taxon
        .scientific_name
        .split_whitespace()
        .next()
        .unwrap_or_default()
}

/// Whether the trait never applies to this taxon, by what is recorded of the other trait.
pub(crate) fn never_applies(one: &Trait, taxon: &Taxon) -> bool {
    let Some(applies) = &one.applies_to else {
        return false;
    };
    let facts = taxon.facts(applies.trait_id.as_str());
    !facts.is_empty()
        && !facts.iter().any(|fact| {
            matches!(&fact.value, FactValue::State { state, .. } if applies.states.contains(state))
        })
}
