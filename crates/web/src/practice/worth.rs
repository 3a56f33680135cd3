//! What there is to practise, and how much each thing matters to this scout now.
//!
//! In: the key, what the next visit's planting was sown with, everything she answered. Out: pairs of
//! look-alikes, single grasses, traits and the frame, each with what is remembered of it and why it
//! matters. Which of them comes next is `standbook_practice::next`'s business.
//!
//! What matters: pairs that she has mixed up, grasses of the next planting, and genera that are named
//! wrongly most often (foxtails, crabgrasses, barnyardgrass: of students' own collected weeds 73.1 % were
//! named right, these among the worst; source: field practice as summed up for this project). By how much
//! is a choice (`MIXED_UP`, `SOWN`, `HARD_GENUS`).

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Drill, Planting, Practice};
use standbook_identify::Table;
use standbook_identify::look_alikes::contrasts;
use standbook_key::{Key, LeafStage, LookAlikeOf, Role, Taxon};
use standbook_practice::memory::Memory;
use standbook_practice::next::Item;

use super::history::{History, day_of};
use crate::plant::TELLING_DB;
use crate::stand::resolve::genus_of;

/// Genera that are named wrongly most often.
const HARD_GENERA: [&str; 3] = ["Setaria", "Digitaria", "Echinochloa"];

/// Each time that two grasses were mixed up makes their pair matter so much more, up to `MOST_MIXED_UP`.
const MIXED_UP: f64 = 0.75;
const MOST_MIXED_UP: u32 = 4;
/// A grass of the next planting.
const SOWN: f64 = 1.0;
/// A grass of a hard genus.
const HARD_GENUS: f64 = 0.5;
/// The whole frame: plants are overlooked more often than misnamed.
const FRAME: f64 = 2.0;

/// Something to practise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Thing {
    /// Two look-alikes, in order of their ids.
    Pair(String, String),
    /// One grass.
    Name(String),
    /// A trait, on one of these grasses.
    Trait(String, Vec<String>),
    /// A frame: what is planted, and what else.
    Frame(Vec<String>, Vec<String>),
}

impl Thing {
    /// The drill that practises it.
    pub fn drill(&self) -> Drill {
        match self {
            Thing::Pair(..) => Drill::TellPair,
            Thing::Name(_) => Drill::NameIt,
            Thing::Trait(..) => Drill::SeeTrait,
            Thing::Frame(..) => Drill::CountFrame,
        }
    }
}

/// A thing with what it is worth.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Offer {
    /// For the choice of what comes next.
    pub item: Item,
    /// What it is.
    pub thing: Thing,
    /// How often these two were mixed up.
    pub mixed_up: u32,
    /// Whether it concerns the next planting.
    pub sown: bool,
}

/// What is asked about.
pub(crate) struct Asked {
    /// What counts as planted: the mix, or, without a planting, all that are sown in native plantings.
    pub planted: BTreeSet<String>,
    /// What they may be taken for.
    pub others: BTreeSet<String>,
    /// Whether the planted ones are those of a planting.
    pub of_planting: bool,
}

impl Asked {
    /// Of a planting, or of the whole key.
    pub fn of(key: &Key, planting: Option<&Planting>) -> Asked {
        let mix: BTreeSet<String> = planting
            .iter()
            .flat_map(|planting| &planting.mix)
            .filter(|item| key.taxon(&item.taxon).is_some())
            .map(|item| item.taxon.clone())
            .collect();
        let of_planting = !mix.is_empty();
        let planted = match of_planting {
            true => mix,
            false => key
                .taxa
                .iter()
                .filter(|taxon| taxon.role == Role::Planted)
                .map(|taxon| taxon.id.to_string())
                .collect(),
        };
        let others = key
            .taxa
            .iter()
            .filter(|taxon| !planted.contains(taxon.id.as_str()))
            .filter(|taxon| {
                is_hard(taxon)
                    || planted
                        .iter()
                        .any(|name| are_look_alikes(key, name, taxon.id.as_str()))
            })
            .map(|taxon| taxon.id.to_string())
            .collect();
        Asked {
            planted,
            others,
            of_planting,
        }
    }
}

/// Everything that can be asked now.
pub(crate) fn offers(
    key: &Key,
    table: &Table,
    asked: &Asked,
    history: &History,
    practice: &[Entry<Practice>],
) -> Vec<Offer> {
    let mixed_up = mixed_up(history);
    let remembered = remembered(practice);
    let mut things = pairs(key, table, asked, &mixed_up);
    things.extend(asked.planted.iter().cloned().map(Thing::Name));
    things.extend(asked.others.iter().cloned().map(Thing::Name));
    things.extend(traits(key, asked));
    things.push(Thing::Frame(
        asked.planted.iter().cloned().collect(),
        asked.others.iter().cloned().collect(),
    ));
    things
        .into_iter()
        .map(|thing| offer(key, asked, &mixed_up, &remembered, thing))
        .collect()
}

fn offer(
    key: &Key,
    asked: &Asked,
    mixed_up: &BTreeMap<(String, String), u32>,
    remembered: &BTreeMap<String, Memory>,
    thing: Thing,
) -> Offer {
    let names: Vec<&String> = match &thing {
        Thing::Pair(one, other) => vec![one, other],
        Thing::Name(name) => vec![name],
        Thing::Trait(..) | Thing::Frame(..) => vec![],
    };
    let times = match &thing {
        Thing::Pair(one, other) => mixed_up.get(&pair_of(one, other)).copied().unwrap_or(0),
        _ => 0,
    };
    let sown = asked.of_planting && names.iter().any(|name| asked.planted.contains(*name));
    let hard = names
        .iter()
        .any(|name| key.taxon(name).is_some_and(is_hard));
    let mut matters = match thing {
        Thing::Frame(..) => FRAME,
        _ => 1.0,
    };
    matters += MIXED_UP * f64::from(times.min(MOST_MIXED_UP));
    if sown {
        matters += SOWN;
    }
    if hard {
        matters += HARD_GENUS;
    }
    let id = id_of(&thing);
    Offer {
        item: Item {
            concerns: match &thing {
                Thing::Trait(id, _) => vec![id.clone()],
                _ => names.into_iter().cloned().collect(),
            },
            matters,
            memory: remembered.get(&id).copied(),
            id,
        },
        thing,
        mixed_up: times,
        sown,
    }
}

/// What a thing is called among others.
pub(crate) fn id_of(thing: &Thing) -> String {
    match thing {
        Thing::Pair(one, other) => {
            let (one, other) = pair_of(one, other);
            format!("pair {one} {other}")
        }
        Thing::Name(name) => format!("name {name}"),
        Thing::Trait(id, _) => format!("trait {id}"),
        Thing::Frame(..) => "frame".to_owned(),
    }
}

/// The id of what an answer was about, so that it is not asked again at once.
pub(crate) fn id_of_answer(answer: &Practice) -> Option<String> {
    Some(match (answer.drill, &answer.taxon, &answer.against) {
        (Drill::TellPair, Some(one), Some(other)) => {
            id_of(&Thing::Pair(one.clone(), other.clone()))
        }
        (Drill::NameIt, Some(name), _) => id_of(&Thing::Name(name.clone())),
        (Drill::SeeTrait, ..) => {
            let first = answer.readings.first()?;
            id_of(&Thing::Trait(first.trait_id.clone(), vec![]))
        }
        (Drill::CountFrame, ..) => id_of(&Thing::Frame(vec![], vec![])),
        _ => return None,
    })
}

/// Pairs of a planted grass with what it is taken for, and pairs that she has mixed up herself; only
/// those that a look can tell apart.
fn pairs(
    key: &Key,
    table: &Table,
    asked: &Asked,
    mixed_up: &BTreeMap<(String, String), u32>,
) -> Vec<Thing> {
    let mut all: BTreeSet<(String, String)> = mixed_up.keys().cloned().collect();
    for name in &asked.planted {
        for taxon in &key.taxa {
            let other = taxon.id.as_str();
            let stands_out = is_hard(taxon) && asked.others.contains(other);
            if name != other && (stands_out || are_look_alikes(key, name, other)) {
                all.insert(pair_of(name, other));
            }
        }
    }
    all.into_iter()
        .filter(|(one, other)| {
            let rows = table.row_index(one).zip(table.row_index(other));
            let known = key.taxon(one).is_some() && key.taxon(other).is_some();
            known && rows.is_some_and(|(one, other)| can_be_told(table, one, other))
        })
        .map(|(one, other)| Thing::Pair(one, other))
        .collect()
}

fn can_be_told(table: &Table, one: usize, other: usize) -> bool {
    let stage = Some(LeafStage::Tillering);
    contrasts(table, one, other, stage)
        .first()
        .is_some_and(|best| best.decibans >= TELLING_DB)
}

/// Traits that decide, have drawings, and are recorded of at least one grass that is asked about.
fn traits(key: &Key, asked: &Asked) -> Vec<Thing> {
    key.traits
        .iter()
        .filter(|one| one.decides && one.visible_at(LeafStage::Tillering))
        .filter(|one| {
            let mut states = one.states().iter();
            let drawn = |state: &str| standbook_drawing::state(one.id.as_str(), state).is_some();
            !one.states().is_empty() && states.all(|state| drawn(state.id.as_str()))
        })
        .filter_map(|one| {
            let recorded: Vec<String> = asked
                .planted
                .iter()
                .chain(&asked.others)
                .filter(|name| {
                    key.taxon(name)
                        .is_some_and(|taxon| !taxon.facts(one.id.as_str()).is_empty())
                })
                .cloned()
                .collect();
            (!recorded.is_empty()).then(|| Thing::Trait(one.id.to_string(), recorded))
        })
        .collect()
}

/// How often she took one of two for the other, in practice and in the field.
fn mixed_up(history: &History) -> BTreeMap<(String, String), u32> {
    let mut times = BTreeMap::new();
    for named in &history.names {
        if let Some(called) = named
            .called
            .as_ref()
            .filter(|called| **called != named.truth)
        {
            *times.entry(pair_of(&named.truth, called)).or_default() += 1;
        }
    }
    times
}

/// What is remembered of each thing, by every answer that bears on it, oldest first.
fn remembered(practice: &[Entry<Practice>]) -> BTreeMap<String, Memory> {
    let mut known: BTreeMap<String, Memory> = BTreeMap::new();
    for answer in practice {
        let day = day_of(&answer.born_at);
        for (id, right) in outcomes(&answer.body) {
            let after = match known.get(&id) {
                Some(memory) => memory.answered(right, day),
                None => Memory::first(right, day),
            };
            known.insert(id, after);
        }
    }
    known
}

/// What an answer says of each thing that it bears on.
fn outcomes(answer: &Practice) -> Vec<(String, bool)> {
    let mut found = Vec::new();
    for read in &answer.readings {
        let id = id_of(&Thing::Trait(read.trait_id.clone(), vec![]));
        found.push((id, read.reported.as_ref() == Some(&read.shown)));
    }
    let right = answer.named.is_some() && answer.named == answer.taxon;
    match answer.drill {
        Drill::TellPair => found.extend(id_of_answer(answer).map(|id| (id, right))),
        Drill::NameIt => {
            found.extend(id_of_answer(answer).map(|id| (id, right)));
            // Called by another's name: that pair was not told apart.
            if let (false, Some(one), Some(other)) = (right, &answer.taxon, &answer.named) {
                found.push((id_of(&Thing::Pair(one.clone(), other.clone())), false));
            }
        }
        Drill::CountFrame => {
            let wrong = answer.cells.iter().filter(|cell| {
                (cell.planted, cell.other) != (cell.marked_planted, cell.marked_other)
            });
            // One cell in ten may be wrong: small ones are overlooked by the best.
            let right = wrong.count() * 10 <= answer.cells.len();
            found.extend(id_of_answer(answer).map(|id| (id, right)));
        }
        Drill::SeeTrait => {}
    }
    found
}

fn pair_of(one: &str, other: &str) -> (String, String) {
    match one < other {
        true => (one.to_owned(), other.to_owned()),
        false => (other.to_owned(), one.to_owned()),
    }
}

fn is_hard(taxon: &Taxon) -> bool {
    HARD_GENERA.contains(&genus_of(taxon))
}

/// Whether a source says of either that it is taken for the other.
fn are_look_alikes(key: &Key, one: &str, other: &str) -> bool {
    let says = |of: &str, name: &str| {
        key.taxon(of).is_some_and(|taxon| {
            taxon
                .look_alikes
                .iter()
                .any(|alike| matches!(&alike.other, LookAlikeOf::Taxon(id) if id.as_str() == name))
        })
    };
    says(one, other) || says(other, one)
}
