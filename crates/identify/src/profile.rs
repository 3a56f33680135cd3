//! From what sources say of a taxon to how often it shows each state.
//!
//! In: a key and the [`Modelling`]. Out: for every trait that can be weighed, a *shape* (its
//! states, or bins of a measure) and, for every taxon, the shares of that shape, summing to 1.
//!
//! How a cell comes about:
//! * each source makes one *statement*: its words as shares of plants; what its words leave
//!   open counts as not said;
//! * statements add up, so that agreement of sources sharpens a cell and disagreement blurs it;
//! * the taxon's kin count as a part of a statement more: its genus, drawn towards its group,
//!   drawn towards the whole key. In a cell that nobody recorded they are all there is:
//!   unknown, not absent;
//! * measures are even over a source's range on the log scale, with soft shoulders; the low end
//!   may reach further down where the plants were grown, since a first-year plant is smaller.
//!
//! Not here: misreading (`misread`), evidence, names.

use standbook_key::{Fact, FactValue, Key, PlantAge, SourceId, Taxon, Trait};

use crate::modelling::Modelling;

/// Width of one bin of a measure on the natural-log scale: 0.2 is about 20 %, what a scout
/// can read off a ruler held against a seedling (memory).
const BIN_LN: f64 = 0.2;

/// What values a trait takes in the table.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// So many states.
    States(usize),
    /// So many bins of equal width on the log scale, from `lowest` on.
    Bins(Bins),
}

impl Shape {
    /// Of a trait; `None` for notes, which are never weighed.
    pub fn of(one: &Trait) -> Option<Shape> {
        match (one.measure(), one.states().len()) {
            (Some(m), _) => Some(Shape::Bins(Bins::new(m.lowest, m.highest))),
            (None, 0) => None,
            (None, n) => Some(Shape::States(n)),
        }
    }

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

    /// The middle of a bin on the log scale, in the trait's unit.
    pub fn middle_of(&self, bin: usize) -> f64 {
        self.center_ln(bin).exp()
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

/// What one source says of one cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Statement {
    /// The source, or the one that several count with.
    pub source: SourceId,
    /// Shares of the states or bins; they sum to less than 1 by what the words leave open.
    pub shares: Vec<f64>,
    /// How much it counts: 1 for a published source on plants of any age.
    pub weight: f64,
}

/// How the shares of one cell came about: everything [`shares`] does for it, step by step.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// What the sources say, in the key's order.
    pub statements: Vec<Statement>,
    /// Whether the trait never applies to this taxon; then the shares are those of the key.
    pub never_applies: bool,
    /// Mean of its genus drawn towards its group: what its kin show.
    pub kin: Vec<f64>,
    /// How many statements' worth the kin count.
    pub kin_weight: f64,
    /// The shares that came of it, summing to 1.
    pub shares: Vec<f64>,
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
pub fn shares(key: &Key, modelling: &Modelling, kin: &Kin, one: &Trait) -> Option<TraitShares> {
    let shape = Shape::of(one)?;
    let said = Said::of(key, modelling, one, &shape);
    let taxa = (0..key.taxa.len())
        .map(|at| said.shares_of(key, modelling, kin, one, at))
        .collect();
    Some(TraitShares {
        shape,
        taxa,
        typical: said.typical,
    })
}

/// How the cell of the taxon at `at` on `one` came about; `None` for notes.
pub fn cell(key: &Key, modelling: &Modelling, kin: &Kin, one: &Trait, at: usize) -> Option<Cell> {
    let shape = Shape::of(one)?;
    let said = Said::of(key, modelling, one, &shape);
    Some(Cell {
        statements: statements(key, modelling, one, &shape, key.taxa.get(at)?),
        never_applies: never_applies(one, &key.taxa[at]),
        kin: said.kin_of(modelling, kin, at),
        kin_weight: modelling.kin,
        shares: said.shares_of(key, modelling, kin, one, at),
    })
}

/// What sources alone say of the taxon at `at` on `one`, as weights of its states or bins; `None` where
/// nobody said anything, where the trait never applies, and for notes. Without kin, so quickly done.
pub fn recorded(key: &Key, modelling: &Modelling, one: &Trait, at: usize) -> Option<Vec<f64>> {
    let shape = Shape::of(one)?;
    let taxon = key
        .taxa
        .get(at)
        .filter(|taxon| !never_applies(one, taxon))?;
    sum(&statements(key, modelling, one, &shape, taxon), shape.len())
}

/// What is said of one trait over the whole key.
struct Said {
    /// For every taxon, the weighted sum of its statements; `None` where nobody said anything.
    sums: Vec<Option<Vec<f64>>>,
    typical: Vec<f64>,
}

impl Said {
    fn of(key: &Key, modelling: &Modelling, one: &Trait, shape: &Shape) -> Said {
        let sums: Vec<Option<Vec<f64>>> = key
            .taxa
            .iter()
            .map(|taxon| sum(&statements(key, modelling, one, shape, taxon), shape.len()))
            .collect();
        let even = vec![1.0 / shape.len() as f64; shape.len()];
        let everyone: Vec<usize> = (0..key.taxa.len()).collect();
        let typical = drawn(&sums, &everyone, &even, modelling.pull_key);
        Said { sums, typical }
    }

    fn kin_of(&self, modelling: &Modelling, kin: &Kin, at: usize) -> Vec<f64> {
        let group = drawn(
            &self.sums,
            &kin.group[at],
            &self.typical,
            modelling.pull_group,
        );
        drawn(&self.sums, &kin.genus[at], &group, modelling.pull_genus)
    }

    fn shares_of(
        &self,
        key: &Key,
        modelling: &Modelling,
        kin: &Kin,
        one: &Trait,
        at: usize,
    ) -> Vec<f64> {
        if never_applies(one, &key.taxa[at]) {
            // Nothing to see, so nothing to learn: like the key as a whole.
            return self.typical.clone();
        }
        let kin = self.kin_of(modelling, kin, at);
        let Some(said) = &self.sums[at] else {
            return kin;
        };
        let total = modelling.kin + said.iter().sum::<f64>();
        said.iter()
            .zip(&kin)
            .map(|(said, kin)| (said + modelling.kin * kin) / total)
            .collect()
    }
}

/// The statements on one cell, one of each voice: sources that count with one another (the same
/// text, the same author) have one together.
fn statements(
    key: &Key,
    modelling: &Modelling,
    one: &Trait,
    shape: &Shape,
    taxon: &Taxon,
) -> Vec<Statement> {
    let facts = taxon.facts(one.id.as_str());
    let mut voices: Vec<&SourceId> = Vec::new();
    for fact in facts {
        let voice = key.voice_of(&fact.source);
        if !voices.contains(&voice) {
            voices.push(voice);
        }
    }
    voices
        .into_iter()
        .filter_map(|voice| {
            let of_voice: Vec<&Fact> = facts
                .iter()
                .filter(|f| key.voice_of(&f.source) == voice)
                .collect();
            statement(modelling, one, shape, voice, &of_voice)
        })
        .collect()
}

fn statement(
    modelling: &Modelling,
    one: &Trait,
    shape: &Shape,
    source: &SourceId,
    facts: &[&Fact],
) -> Option<Statement> {
    let mut shares = vec![0.0_f64; shape.len()];
    let mut weight = 0.0_f64;
    for fact in facts {
        weight = weight.max(trust(modelling, fact));
        match (&fact.value, shape) {
            (FactValue::State { state, often }, Shape::States(_)) => {
                let at = one.state_index(state.as_str())?;
                shares[at] = shares[at].max(modelling.share_of(*often));
            }
            (FactValue::Range { low, high }, Shape::Bins(bins)) => {
                let range = range_shares(modelling, bins, *low, *high, fact.plant);
                let part = (1.0 - modelling.left_open) / facts.len() as f64;
                for (share, more) in shares.iter_mut().zip(range) {
                    *share += part * more;
                }
            }
            _ => {}
        }
    }
    let total: f64 = shares.iter().sum();
    if total <= 0.0 {
        return None;
    }
    // "Usually bare, usually hairy" of one source are two kinds of its plants, not 160 %.
    let most = 1.0 - modelling.left_open;
    if total > most {
        shares.iter_mut().for_each(|share| *share *= most / total);
    }
    Some(Statement {
        source: source.clone(),
        shares,
        weight,
    })
}

fn sum(statements: &[Statement], n: usize) -> Option<Vec<f64>> {
    if statements.is_empty() {
        return None;
    }
    let mut sum = vec![0.0; n];
    for statement in statements {
        for (total, share) in sum.iter_mut().zip(&statement.shares) {
            *total += statement.weight * share;
        }
    }
    Some(sum)
}

/// How much a fact counts: plants of the right age more, the compilers' memory less.
fn trust(modelling: &Modelling, fact: &Fact) -> f64 {
    let age = if fact.plant == Some(PlantAge::Seedling) {
        modelling.seedling
    } else {
        1.0
    };
    let source = if fact.source == "memory" {
        modelling.memory
    } else {
        1.0
    };
    age * source
}

fn range_shares(
    modelling: &Modelling,
    bins: &Bins,
    low: f64,
    high: f64,
    plant: Option<PlantAge>,
) -> Vec<f64> {
    // A low end of 0 means that only the upper bound is given.
    let low = if low == 0.0 { high / 6.0 } else { low };
    let reach = match plant {
        Some(PlantAge::Seedling) => 1.0,
        Some(PlantAge::Grown) => modelling.reach_grown,
        None => modelling.reach_undated,
    };
    let (low, high) = ((low * reach).ln(), high.ln());
    let mut shares: Vec<f64> = (0..bins.n)
        .map(|bin| {
            let x = bins.center_ln(bin);
            let outside = (low - x).max(x - high).max(0.0) / modelling.shoulder;
            (-0.5 * outside * outside).exp()
        })
        .collect();
    let total: f64 = shares.iter().sum();
    if total > 0.0 {
        shares.iter_mut().for_each(|share| *share /= total);
    }
    shares
}

/// Mean of the recorded cells of `which`, each counted once however many sources it has, drawn
/// towards `wider` with the weight of `pull` taxa.
fn drawn(sums: &[Option<Vec<f64>>], which: &[usize], wider: &[f64], pull: f64) -> Vec<f64> {
    let mut total: Vec<f64> = wider.iter().map(|w| w * pull).collect();
    let mut n = pull;
    for said in which.iter().filter_map(|&at| sums[at].as_ref()) {
        let all: f64 = said.iter().sum();
        // A word such as `sometimes` alone says little of kin; two statements no more than one.
        let counts = all.min(1.0);
        for (total, share) in total.iter_mut().zip(said) {
            *total += counts * share / all;
        }
        n += counts;
    }
    total.into_iter().map(|t| t / n).collect()
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
