//! Couplets: a single-access key, authored or grown, and what can be wrong with one.
//!
//! In: numbered couplets whose leads go to other couplets or end in taxa. Out: findings.
//! The graph (couplets as nodes, leads as edges) is checked with petgraph for loops, leads
//! that go nowhere, couplets and taxa that nobody reaches, and leads that contradict what
//! the profiles record.
//!
//! Not here: growing couplets from profiles (crate `identify`), walking them.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::Direction::Incoming;
use petgraph::algo::{tarjan_scc, toposort};
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::Dfs;
use serde::Serialize;

use crate::fault::{Findings, Place};
use crate::ids::{StateId, TaxonId, TraitId};
use crate::model::{FactValue, Often, Taxon};

/// A single-access key: couplets in order; the walk begins at the first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Couplets {
    /// The couplets; never empty, no number twice.
    pub couplets: Vec<Couplet>,
}

impl Couplets {
    /// The couplet with this number.
    pub fn by_number(&self, number: u32) -> Option<&Couplet> {
        self.couplets.iter().find(|c| c.number == number)
    }

    /// For every couplet, the couplets whose leads go to it (back references), ascending.
    pub fn back_references(&self) -> BTreeMap<u32, Vec<u32>> {
        let mut back: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
        for couplet in &self.couplets {
            for lead in &couplet.leads {
                if let LeadTo::Couplet(to) = lead.to {
                    let from = back.entry(to).or_default();
                    if !from.contains(&couplet.number) {
                        from.push(couplet.number);
                    }
                }
            }
        }
        back.values_mut().for_each(|from| from.sort_unstable());
        back
    }
}

/// A numbered choice between two or more leads.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Couplet {
    /// Its number, from 1.
    pub number: u32,
    /// Its leads.
    pub leads: Vec<Lead>,
}

/// One of the ways out of a couplet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lead {
    /// The words of the lead.
    pub text: String,
    /// The reading that takes this lead; without one the text alone decides.
    pub when: Option<LeadTest>,
    /// Where it goes.
    pub to: LeadTo,
}

/// The reading of one trait that takes a lead.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeadTest {
    /// The trait looked at.
    pub trait_id: TraitId,
    /// What is seen.
    pub reading: LeadReading,
}

/// What must be seen to take a lead.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LeadReading {
    /// One of these states; never empty.
    States(Vec<StateId>),
    /// A measure from `low` to `high`, in the trait's unit.
    Range {
        /// Low end.
        low: f64,
        /// High end.
        high: f64,
    },
}

/// Where a lead goes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LeadTo {
    /// Another couplet, by number.
    Couplet(u32),
    /// The end: one taxon, or several that these couplets don't part. Never empty.
    Taxa(Vec<TaxonId>),
}

/// Where a couplet and its leads stand in a file.
#[derive(Debug, Clone)]
pub(crate) struct CoupletPlace {
    pub couplet: Place,
    pub leads: Vec<Place>,
}

/// Finds what is wrong with the graph. `places` runs beside `couplets.couplets`. Unless
/// `complete`, a lead or couplet could not be read, and nothing is said to be missing.
pub(crate) fn check(
    file: &str,
    couplets: &Couplets,
    places: &[CoupletPlace],
    complete: bool,
    taxa: &[Taxon],
    findings: &mut Findings,
) {
    let mut graph: DiGraph<usize, ()> = DiGraph::new();
    let nodes: Vec<NodeIndex> = (0..couplets.couplets.len())
        .map(|at| graph.add_node(at))
        .collect();
    let mut node_of = BTreeMap::new();
    let mut complete = complete;
    for (at, couplet) in couplets.couplets.iter().enumerate() {
        if node_of.insert(couplet.number, at).is_some() {
            // Which of the two the others mean can't be said.
            complete = false;
            findings.fault(
                file,
                places[at].couplet,
                format!("couplet {} stands twice", couplet.number),
                "give each couplet a number of its own",
            );
        }
    }
    for (at, couplet) in couplets.couplets.iter().enumerate() {
        if complete && couplet.leads.len() < 2 {
            findings.fault(
                file,
                places[at].couplet,
                format!(
                    "couplet {} has {}; a choice needs two leads",
                    couplet.number,
                    ["no lead", "one lead only"][couplet.leads.len()]
                ),
                "add the other lead, or send the lead that comes here straight on",
            );
        }
        for (lead, place) in couplet.leads.iter().zip(&places[at].leads) {
            let LeadTo::Couplet(to) = lead.to else {
                continue;
            };
            match node_of.get(&to) {
                Some(&target) => {
                    graph.add_edge(nodes[at], nodes[target], ());
                }
                None if !complete => {}
                None => findings.fault(
                    file,
                    *place,
                    format!("this lead goes to couplet {to}, which does not exist"),
                    "correct the number, or add the couplet",
                ),
            }
        }
    }
    let circles = loops(file, couplets, places, &graph, findings);
    if complete {
        unreached(file, couplets, places, &graph, &nodes, taxa, findings);
    }
    if !circles {
        // In a circle every taxon stands behind every lead; that says nothing of the lead.
        let behind = taxa_behind(couplets, &graph);
        contradictions(file, couplets, places, &behind, taxa, findings);
    }
}

/// Couplets and taxa to which no lead leads.
fn unreached(
    file: &str,
    couplets: &Couplets,
    places: &[CoupletPlace],
    graph: &DiGraph<usize, ()>,
    nodes: &[NodeIndex],
    taxa: &[Taxon],
    findings: &mut Findings,
) {
    let reached = reached_couplets(graph, nodes);
    for (at, couplet) in couplets.couplets.iter().enumerate() {
        // A couplet behind another unreached one is no second fault.
        let behind_another = graph
            .neighbors_directed(nodes[at], Incoming)
            .next()
            .is_some();
        if !reached.contains(&at) && !behind_another {
            findings.fault(
                file,
                places[at].couplet,
                format!("no lead reaches couplet {}", couplet.number),
                "send a lead here, or remove the couplet; the walk begins at the first one",
            );
        }
    }
    unnamed_taxa(file, couplets, taxa, findings);
}

/// Refuses circles; whether there is one.
fn loops(
    file: &str,
    couplets: &Couplets,
    places: &[CoupletPlace],
    graph: &DiGraph<usize, ()>,
    findings: &mut Findings,
) -> bool {
    let mut any = false;
    for circle in tarjan_scc(graph) {
        let to_itself = circle.len() == 1 && graph.contains_edge(circle[0], circle[0]);
        if circle.len() < 2 && !to_itself {
            continue;
        }
        let mut at: Vec<usize> = circle.iter().map(|node| graph[*node]).collect();
        at.sort_unstable();
        let numbers: Vec<String> = at
            .iter()
            .map(|&i| couplets.couplets[i].number.to_string())
            .collect();
        findings.fault(
            file,
            places[at[0]].couplet,
            if to_itself {
                format!("couplet {} leads back to itself", numbers.join(", "))
            } else {
                format!("couplets {} lead in a circle", numbers.join(", "))
            },
            "every lead must go towards an end: correct the lead that goes back",
        );
        any = true;
    }
    any
}

fn reached_couplets(graph: &DiGraph<usize, ()>, nodes: &[NodeIndex]) -> BTreeSet<usize> {
    let mut reached = BTreeSet::new();
    if let Some(first) = nodes.first() {
        let mut walk = Dfs::new(graph, *first);
        while let Some(node) = walk.next(graph) {
            reached.insert(graph[node]);
        }
    }
    reached
}

/// Taxa in which no lead ends. (A lead in an unreached couplet counts: that is told above.)
fn unnamed_taxa(file: &str, couplets: &Couplets, taxa: &[Taxon], findings: &mut Findings) {
    let ends: BTreeSet<&TaxonId> = couplets
        .couplets
        .iter()
        .flat_map(|couplet| &couplet.leads)
        .filter_map(|lead| match &lead.to {
            LeadTo::Taxa(taxa) => Some(taxa),
            LeadTo::Couplet(_) => None,
        })
        .flatten()
        .collect();
    for taxon in taxa {
        if !ends.contains(&taxon.id) {
            findings.fault(
                file,
                Place::START,
                format!("no lead ends in `{}`", taxon.id),
                "add a lead that ends in it, so that the couplets name every taxon of the key",
            );
        }
    }
}

/// A lead contradicts a profile when a taxon behind it has records on the lead's trait, and
/// none of them is what the lead asks for.
fn contradictions(
    file: &str,
    couplets: &Couplets,
    places: &[CoupletPlace],
    behind: &BTreeMap<u32, BTreeSet<&TaxonId>>,
    taxa: &[Taxon],
    findings: &mut Findings,
) {
    let taxon_of: BTreeMap<&TaxonId, &Taxon> = taxa.iter().map(|t| (&t.id, t)).collect();
    for (at, couplet) in couplets.couplets.iter().enumerate() {
        for (lead, place) in couplet.leads.iter().zip(&places[at].leads) {
            let Some(test) = &lead.when else { continue };
            let ends: Vec<&TaxonId> = match &lead.to {
                LeadTo::Taxa(taxa) => taxa.iter().collect(),
                LeadTo::Couplet(to) => behind.get(to).into_iter().flatten().copied().collect(),
            };
            for taxon in ends.into_iter().filter_map(|id| taxon_of.get(id)) {
                if contradicts(taxon, test) {
                    findings.fault(
                        file,
                        *place,
                        format!(
                            "this lead contradicts the profile of `{}`, which records {} as {}",
                            taxon.id,
                            test.trait_id,
                            recorded(taxon, &test.trait_id)
                        ),
                        "correct the lead, or move the taxon to the lead that fits it",
                    );
                }
            }
        }
    }
}

/// For every couplet, the taxa in which a walk from it may end. Each couplet is visited once,
/// after those to which it leads.
fn taxa_behind<'c>(
    couplets: &'c Couplets,
    graph: &DiGraph<usize, ()>,
) -> BTreeMap<u32, BTreeSet<&'c TaxonId>> {
    let mut behind: BTreeMap<u32, BTreeSet<&TaxonId>> = BTreeMap::new();
    let order = toposort(graph, None).unwrap_or_default();
    for node in order.into_iter().rev() {
        let couplet = &couplets.couplets[graph[node]];
        let mut ends = BTreeSet::new();
        for lead in &couplet.leads {
            match &lead.to {
                LeadTo::Taxa(taxa) => ends.extend(taxa),
                LeadTo::Couplet(to) => ends.extend(behind.get(to).into_iter().flatten()),
            }
        }
        behind.insert(couplet.number, ends);
    }
    behind
}

fn contradicts(taxon: &Taxon, test: &LeadTest) -> bool {
    let facts = taxon.facts(test.trait_id.as_str());
    if facts.is_empty() {
        return false;
    }
    // `rarely coarse` alone says nothing of what is usual, so it speaks against no lead.
    let only_rare = facts.iter().all(
        |fact| matches!(&fact.value, FactValue::State { often, .. } if *often == Often::Rarely),
    );
    if only_rare {
        return false;
    }
    !facts.iter().any(|fact| match (&fact.value, &test.reading) {
        (FactValue::State { state, .. }, LeadReading::States(wanted)) => wanted.contains(state),
        (FactValue::Range { low, high }, LeadReading::Range { low: l, high: h }) => {
            low <= h && l <= high
        }
        _ => false,
    })
}

fn recorded(taxon: &Taxon, trait_id: &TraitId) -> String {
    let mut words = BTreeSet::new();
    for fact in taxon.facts(trait_id.as_str()) {
        words.insert(match &fact.value {
            FactValue::State { state, often } if *often == Often::Always => state.to_string(),
            FactValue::State { state, often } => format!("{} {state}", often.word()),
            FactValue::Range { low, high } => format!("{low} to {high}"),
            FactValue::Mark { mark, .. } => mark.clone(),
        });
    }
    words.into_iter().collect::<Vec<_>>().join(", ")
}
