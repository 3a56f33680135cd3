//! What there is to practise, and how much each thing matters to this scout now.
//!
//! In: the key, what the next visit's planting was sown with, everything she answered. Out: pairs of
//! look-alikes, single grasses, traits and the frame, each with what is remembered of it and why it
//! matters. Which of them comes next is `standbook_practice::next`'s business.
//!
//! What matters: pairs that she has mixed up, grasses of the next planting, and genera that are named
//! wrongly most often (foxtails, crabgrasses, barnyardgrass: of students' own collected weeds 73.1 % were
//! named right, these among the worst; source: field practice as summed up for this project). By how much
//! is a choice (`MIXED_UP`, `SOWN`, `HARD_GENUS`, `CONFUSED`). Of traits, those that decide most of the pairs.

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::Practice;
use standbook_identify::Table;
use standbook_identify::look_alikes::{at_most_confused, contrasts};
use standbook_key::{Key, LeafStage};
use standbook_practice::next::Item;

use super::asked::{Asked, are_look_alikes, is_hard};
use super::history::History;
use super::remembered::{Thing, id_of, pair_of, remembered};
use crate::plant::TELLING_DB;

/// At which most traits can be seen and plants are still young.
const STAGE: LeafStage = LeafStage::Tillering;

/// Each time that two grasses were mixed up makes their pair matter so much more, up to `MOST_MIXED_UP`.
const MIXED_UP: f64 = 0.75;
const MOST_MIXED_UP: u32 = 4;
/// A grass of the next planting.
const SOWN: f64 = 1.0;
/// A grass of a hard genus.
const HARD_GENUS: f64 = 0.5;
/// A pair of which every plant would be confused; half is the most there is.
const CONFUSED: f64 = 2.0;
/// The trait that decides the most pairs, beside one that decides none.
const DECIDES: f64 = 1.5;
/// The whole frame: plants are overlooked more often than misnamed.
const FRAME: f64 = 2.0;

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
    let pairs = pairs(key, table, asked, &mixed_up);
    let offer = |thing: Thing, matters: f64, mixed_up: u32| {
        let concerns = match &thing {
            Thing::Pair(one, other) => vec![one.clone(), other.clone()],
            Thing::Name(it) | Thing::Trait(it, _) => vec![it.clone()],
            Thing::Frame(..) => vec![],
        };
        let hard = concerns
            .iter()
            .any(|name| key.taxon(name).is_some_and(is_hard));
        let sown = asked.of_planting && concerns.iter().any(|name| asked.planted.contains(name));
        let id = id_of(&thing);
        Offer {
            item: Item {
                matters: matters
                    + if sown { SOWN } else { 0.0 }
                    + if hard { HARD_GENUS } else { 0.0 },
                memory: remembered.get(&id).copied(),
                concerns,
                id,
            },
            thing,
            mixed_up,
            sown,
        }
    };
    let mut all: Vec<Offer> = pairs
        .iter()
        .map(|pair| {
            let matters = 1.0
                + MIXED_UP * f64::from(pair.mixed_up.min(MOST_MIXED_UP))
                + CONFUSED * pair.confused;
            offer(pair.thing(), matters, pair.mixed_up)
        })
        .collect();
    let names = asked.planted.iter().chain(&asked.others);
    all.extend(names.map(|name| offer(Thing::Name(name.clone()), 1.0, 0)));
    let decides = |id: &str| pairs.iter().filter(|pair| pair.decided_by == id).count();
    let most = pairs.iter().map(|pair| decides(&pair.decided_by)).max();
    all.extend(traits(key, asked).into_iter().map(|(id, taxa)| {
        #[expect(clippy::cast_precision_loss, reason = "numbers of pairs")]
        let share = decides(&id) as f64 / most.unwrap_or(1) as f64;
        offer(Thing::Trait(id, taxa), 1.0 + DECIDES * share, 0)
    }));
    let list = |names: &BTreeSet<String>| names.iter().cloned().collect();
    all.push(offer(
        Thing::Frame(list(&asked.planted), list(&asked.others)),
        FRAME,
        0,
    ));
    all
}

/// Two look-alikes that a look can tell apart.
struct Pair {
    one: String,
    other: String,
    /// The trait that tells most.
    decided_by: String,
    /// At most this share is confused after every look.
    confused: f64,
    /// How often she took one for the other.
    mixed_up: u32,
}

impl Pair {
    fn thing(&self) -> Thing {
        Thing::Pair(self.one.clone(), self.other.clone())
    }
}

/// Pairs of a planted grass with what it is taken for, and pairs that she has mixed up herself.
fn pairs(
    key: &Key,
    table: &Table,
    asked: &Asked,
    mixed_up: &BTreeMap<(String, String), u32>,
) -> Vec<Pair> {
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
    let told = |(one, other): (String, String)| {
        let row = |name: &str| key.taxon(name).and_then(|_| table.row_index(name));
        let rows = (row(&one)?, row(&other)?);
        let best = contrasts(table, rows.0, rows.1, Some(STAGE))
            .into_iter()
            .next()?;
        (best.decibans >= TELLING_DB).then(|| Pair {
            decided_by: table.traits[best.trait_index].id.to_string(),
            confused: at_most_confused(table, rows.0, rows.1, STAGE),
            mixed_up: mixed_up
                .get(&(one.clone(), other.clone()))
                .copied()
                .unwrap_or(0),
            one,
            other,
        })
    };
    all.into_iter().filter_map(told).collect()
}

/// Traits that decide, have drawings, and are recorded of at least one grass that is asked about, with
/// those grasses.
fn traits(key: &Key, asked: &Asked) -> Vec<(String, Vec<String>)> {
    key.traits
        .iter()
        .filter(|one| one.decides && one.visible_at(STAGE))
        .filter(|one| {
            let mut states = one.states().iter();
            let drawn = |state: &str| standbook_drawing::state(one.id.as_str(), state).is_some();
            !one.states().is_empty() && states.all(|state| drawn(state.id.as_str()))
        })
        .filter_map(|one| {
            let id = one.id.as_str();
            let is_recorded = |name: &String| {
                key.taxon(name)
                    .is_some_and(|taxon| !taxon.facts(id).is_empty())
            };
            let names = asked.planted.iter().chain(&asked.others);
            let recorded: Vec<String> = names.filter(|name| is_recorded(name)).cloned().collect();
            (!recorded.is_empty()).then(|| (id.to_owned(), recorded))
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
