//! Growing a single-access key from the profiles, and walking one with the answers at hand.
//!
//! Growing: in, a key and its table; out, numbered couplets whose leads end in taxa. At every
//! couplet the trait is chosen that parts the taxa left by most bits per second of effort
//! (greedy; over small keys it comes within two hundredths of the best whole key, see
//! `tests/optimum`). A taxon follows every lead whose states its sources, taken together, give to
//! about one plant in eight or more, that of its usual state, and every lead where nothing is
//! recorded of it, so what most of its plants show never loses it. Rarer states are not followed,
//! nor one that a single source of many mentions: the free walk is there for them. The same taxa
//! left, with the same traits still to ask, share one couplet.
//!
//! Walking: in, couplets and evidence; out, the couplet to read next or where the leads ended.
//! Answers given in the free walk are used as far as they go, and the other way round.
//!
//! Not here: measures as leads (no grown couplet asks for a ruler), checking (crate `key`).

use std::collections::{BTreeMap, BTreeSet};

use standbook_key::couplet::{Couplet, Couplets, Lead, LeadReading, LeadTest, LeadTo};
use standbook_key::{FactValue, Key, LeafStage, Often, StateId, TaxonId, Trait};

use crate::evidence::{Evidence, Reading};
use crate::modelling::Modelling;
use crate::profile::{self, Kin};
use crate::table::Table;

/// A couplet is worth asking when it parts the taxa left by this many bits.
const WORTH_BITS: f64 = 0.05;

/// Seconds that reading a couplet takes, beyond the look itself (memory).
pub const READ_S: f64 = 8.0;

/// Longest way through the couplets.
const DEEPEST: usize = 12;

/// A state that fewer plants of a taxon show than this share is not followed. Fitted on 2080
/// plants drawn from the table of the key that ships, misreadings and all: following every state
/// recorded, 19 in a hundred end alone in their own name, at 0.08 23, at 0.12 28, at 0.20 26.
const FOLLOWED: f64 = 0.12;

/// Up to so many taxa, a question that keeps some of them on several sides may still be asked.
const FEW: usize = 2;

/// Grows couplets for first-season plants from the profiles of a key. Only traits that plants of
/// two to four leaves show are asked for: runners, say, would lead a young switchgrass astray.
pub fn grow(key: &Key) -> Couplets {
    let traits: Vec<&Trait> = key
        .traits
        .iter()
        .filter(|t| t.decides && !t.states().is_empty() && t.visible_at(LeafStage::FewLeaves))
        .collect();
    let kin = Kin::of(key);
    let mut grower = Grower {
        key,
        shown: traits.iter().map(|one| shown(key, &kin, one)).collect(),
        traits,
        grown: Vec::new(),
        known: BTreeMap::new(),
    };
    let all: Vec<usize> = (0..key.taxa.len()).collect();
    grower.couplet(all, BTreeSet::new());
    grower.number()
}

/// For every taxon, the states by position that it shows in at least [`FOLLOWED`] of its plants,
/// all sources taken together, and the one it shows most; `None` when nothing but rare states is recorded, which says nothing
/// about the usual one.
fn shown(key: &Key, kin: &Kin, one: &Trait) -> Vec<Option<BTreeSet<usize>>> {
    let shares = profile::shares(key, &Modelling::default(), kin, one);
    let mut all = Vec::with_capacity(key.taxa.len());
    for (at, taxon) in key.taxa.iter().enumerate() {
        let recorded: BTreeSet<usize> = taxon
            .facts(one.id.as_str())
            .iter()
            .filter_map(|fact| match &fact.value {
                FactValue::State { state, often } if *often > Often::Rarely => {
                    one.state_index(state.as_str())
                }
                _ => None,
            })
            .collect();
        let share = |state: usize| {
            let of_taxon = shares.as_ref().and_then(|s| s.taxa.get(at)?.get(state));
            of_taxon.copied().unwrap_or(1.0)
        };
        // Where a source only says that a state is seen sometimes, the usual one is another: the
        // likeliest is followed, recorded or not.
        let states = 0..one.states().len();
        let likeliest = states.max_by(|a, b| share(*a).total_cmp(&share(*b)).then(b.cmp(a)));
        let mut followed: BTreeSet<usize> = recorded
            .iter()
            .copied()
            .filter(|s| share(*s) >= FOLLOWED)
            .collect();
        if !recorded.is_empty() {
            followed.extend(likeliest);
        }
        all.push((!followed.is_empty()).then_some(followed));
    }
    all
}

/// A lead while growing: states of a trait and where they go.
struct GrownLead {
    states: Vec<usize>,
    to: Goal,
}

#[derive(Clone)]
enum Goal {
    Couplet(usize),
    Taxa(Vec<usize>),
}

struct Grower<'k> {
    key: &'k Key,
    traits: Vec<&'k Trait>,
    /// `shown[trait][taxon]`.
    shown: Vec<Vec<Option<BTreeSet<usize>>>>,
    /// Couplets in order of growing: trait and leads.
    grown: Vec<(usize, Vec<GrownLead>)>,
    /// Couplets by the taxa left and the traits used on the way that would still part them.
    known: BTreeMap<(Vec<usize>, BTreeSet<usize>), Goal>,
}

/// States that lead to the same taxa, and those taxa.
type Part = (Vec<usize>, Vec<usize>);

impl Grower<'_> {
    fn couplet(&mut self, left: Vec<usize>, used: BTreeSet<usize>) -> Goal {
        if left.len() == 1 || used.len() >= DEEPEST {
            return Goal::Taxa(left);
        }
        // A question that no longer parts these taxa parts no fewer of them either: whether it was
        // asked makes no difference from here on.
        let parting = |t: &usize| self.parts(*t, &left).len() > 1;
        let memo = (left.clone(), used.iter().copied().filter(parting).collect());
        if let Some(goal) = self.known.get(&memo) {
            return goal.clone();
        }
        let best = (0..self.traits.len())
            .filter(|t| !used.contains(t))
            .filter_map(|t| {
                let parts = self.parts(t, &left);
                let bits = self.bits(t, &parts, &left);
                let effort = f64::from(self.traits[t].effort_s) + READ_S;
                (parts.len() > 1 && bits > WORTH_BITS).then_some((t, parts, bits / effort))
            })
            .max_by(|a, b| a.2.total_cmp(&b.2).then(b.0.cmp(&a.0)));
        let Some((t, parts, _)) = best else {
            return Goal::Taxa(left);
        };
        let at = self.grown.len();
        self.grown.push((t, Vec::new()));
        self.known.insert(memo, Goal::Couplet(at));
        let mut used = used;
        used.insert(t);
        let leads: Vec<GrownLead> = parts
            .into_iter()
            .map(|(states, taxa)| GrownLead {
                states,
                to: self.couplet(taxa, used.clone()),
            })
            .collect();
        self.grown[at].1 = leads;
        Goal::Couplet(at)
    }

    /// The states of a trait that occur among the taxa left, those with the same taxa joined.
    fn parts(&self, t: usize, left: &[usize]) -> Vec<Part> {
        let mut parts: Vec<Part> = Vec::new();
        for state in 0..self.traits[t].states().len() {
            let recorded = |taxon: &usize| {
                self.shown[t][*taxon]
                    .as_ref()
                    .is_some_and(|s| s.contains(&state))
            };
            if !left.iter().any(recorded) {
                continue;
            }
            let taxa: Vec<usize> = left
                .iter()
                .copied()
                .filter(|taxon| self.shown[t][*taxon].is_none() || recorded(taxon))
                .collect();
            match parts.iter_mut().find(|(_, known)| *known == taxa) {
                Some((states, _)) => states.push(state),
                None => parts.push((vec![state], taxa)),
            }
        }
        parts
    }

    /// Bits gained by parting the taxa left. Among many, a taxon behind several leads counts in
    /// full in each, so that a question which keeps the same taxa on every side gains nothing.
    /// Of [`FEW`] it counts by an equal share: there the couplets can't grow much more, and
    /// parting some of the plants is better than ending in all the names.
    fn bits(&self, t: usize, parts: &[Part], left: &[usize]) -> f64 {
        let n = left.len() as f64;
        let share = |taxon: &usize| -> f64 {
            if left.len() > FEW {
                return 1.0;
            }
            let behind = parts.iter().filter(|(_, taxa)| taxa.contains(taxon));
            1.0 / behind.count() as f64
        };
        let after: f64 = parts
            .iter()
            .map(|(_, taxa)| taxa.iter().map(share).sum::<f64>() / n * (taxa.len() as f64).log2())
            .sum();
        (n.log2() - after) * (1.0 - self.traits[t].misread.rate)
    }

    /// Numbers the couplets in reading order (first lead first) and writes them out.
    fn number(self) -> Couplets {
        let mut order = Vec::new();
        let mut numbers = BTreeMap::new();
        let mut open = vec![0];
        while let Some(at) = open.pop() {
            if at >= self.grown.len() || numbers.contains_key(&at) {
                continue;
            }
            order.push(at);
            // 1-based, far below the limit of u32.
            numbers.insert(at, order.len() as u32);
            for lead in self.grown[at].1.iter().rev() {
                if let Goal::Couplet(to) = lead.to {
                    open.push(to);
                }
            }
        }
        let couplets = order
            .iter()
            .map(|&at| {
                let (t, leads) = &self.grown[at];
                let one = self.traits[*t];
                Couplet {
                    number: numbers[&at],
                    leads: leads
                        .iter()
                        .map(|lead| Lead {
                            text: lead_text(one, &lead.states),
                            when: Some(LeadTest {
                                trait_id: one.id.clone(),
                                reading: LeadReading::States(
                                    lead.states
                                        .iter()
                                        .map(|&s| one.states()[s].id.clone())
                                        .collect(),
                                ),
                            }),
                            to: match &lead.to {
                                Goal::Couplet(to) => LeadTo::Couplet(numbers[to]),
                                Goal::Taxa(taxa) => LeadTo::Taxa(
                                    taxa.iter().map(|&x| self.key.taxa[x].id.clone()).collect(),
                                ),
                            },
                        })
                        .collect(),
                }
            })
            .collect();
        Couplets { couplets }
    }
}

fn lead_text(one: &Trait, states: &[usize]) -> String {
    let names: Vec<&str> = states
        .iter()
        .map(|&s| one.states()[s].name.as_str())
        .collect();
    let mut name = one.name.clone();
    if let Some(first) = name.get(..1) {
        name = first.to_uppercase() + &name[1..];
    }
    format!("{name}: {}", names.join(", or "))
}

/// How far the answers lead through couplets.
#[derive(Debug, Clone, PartialEq)]
pub struct CoupletWalk {
    /// Leads taken: couplet number and position of the lead.
    pub path: Vec<(u32, usize)>,
    /// Where they lead.
    pub at: CoupletStep,
}

/// Where a walk through couplets stands.
#[derive(Debug, Clone, PartialEq)]
pub enum CoupletStep {
    /// Read this couplet next.
    Read(u32),
    /// The end: these taxa.
    End(Vec<TaxonId>),
    /// The answers fit no lead, or several, of this couplet: the free walk takes them.
    Stuck(u32),
}

/// Follows `couplets` with the answers given. `chosen` are leads picked by their words alone
/// (couplet number, position of the lead), needed where a lead names no reading.
pub fn walk(
    couplets: &Couplets,
    table: &Table,
    evidence: &Evidence,
    chosen: &[(u32, usize)],
) -> CoupletWalk {
    let mut path = Vec::new();
    let mut number = couplets.couplets.first().map_or(0, |c| c.number);
    // Sound couplets have no loop; the bound keeps an unchecked one from going round for ever.
    for _ in 0..=couplets.couplets.len() {
        let Some(couplet) = couplets.by_number(number) else {
            break;
        };
        let lead = match chosen.iter().find(|(n, _)| *n == number) {
            Some((_, lead)) if *lead < couplet.leads.len() => Some(*lead),
            _ => match lead_for(couplet, table, evidence) {
                Fit::One(lead) => Some(lead),
                Fit::NotAnswered => None,
                Fit::NoneOrSeveral => {
                    return CoupletWalk {
                        path,
                        at: CoupletStep::Stuck(number),
                    };
                }
            },
        };
        let Some(lead) = lead else {
            return CoupletWalk {
                path,
                at: CoupletStep::Read(number),
            };
        };
        path.push((number, lead));
        match &couplet.leads[lead].to {
            LeadTo::Taxa(taxa) => {
                return CoupletWalk {
                    path,
                    at: CoupletStep::End(taxa.clone()),
                };
            }
            LeadTo::Couplet(to) => number = *to,
        }
    }
    CoupletWalk {
        path,
        at: CoupletStep::Stuck(number),
    }
}

enum Fit {
    One(usize),
    NotAnswered,
    NoneOrSeveral,
}

fn lead_for(couplet: &Couplet, table: &Table, evidence: &Evidence) -> Fit {
    let mut fits = Vec::new();
    let mut answered = false;
    for (at, lead) in couplet.leads.iter().enumerate() {
        let Some(test) = &lead.when else { continue };
        let Some(index) = table.trait_index(test.trait_id.as_str()) else {
            continue;
        };
        let fit = match (evidence.reading(index), &test.reading) {
            (None, _) => continue,
            (Some(Reading::States(seen)), LeadReading::States(wanted)) => {
                let state = |s: &usize| -> &StateId { &table.traits[index].states[*s] };
                seen.iter().any(|s| wanted.contains(state(s)))
            }
            (Some(Reading::Measure(value)), LeadReading::Range { low, high }) => {
                (*low..=*high).contains(value)
            }
            _ => false,
        };
        answered = true;
        if fit {
            fits.push(at);
        }
    }
    match (fits.as_slice(), answered) {
        ([one], _) => Fit::One(*one),
        (_, false) => Fit::NotAnswered,
        _ => Fit::NoneOrSeveral,
    }
}
