//! What the checks share: the real key, its table, and what a scout would report of a plant
//! that is exactly as its profile says.

#![allow(dead_code)] // each test file uses its own part

pub mod any;

use std::path::PathBuf;
use std::sync::OnceLock;

use standbook_identify::evidence::{Answer, Evidence, Reading};
use standbook_identify::table::Table;
use standbook_key::{Key, KeyFiles, LeafStage, LookAlikeOf, Taxon, load};

/// The folder of the key that ships.
pub fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year")
}

/// Its files.
pub fn files() -> KeyFiles {
    KeyFiles::read_folder(&folder()).unwrap()
}

/// The key that ships; read once a test program.
pub fn key() -> &'static Key {
    static KEY: OnceLock<Key> = OnceLock::new();
    KEY.get_or_init(|| {
        let loaded = load(&files());
        let faults: Vec<_> = loaded.report.faults().map(ToString::to_string).collect();
        loaded.key.unwrap_or_else(|| panic!("{faults:#?}"))
    })
}

/// Its table.
pub fn table() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    TABLE.get_or_init(|| Table::compile(key()))
}

/// The same where looks count each by itself: stated probabilities are those of the bare table.
pub fn by_themselves() -> Table {
    let mut plain = table().clone();
    plain.modelling.agreement = 0.0;
    plain
}

/// An answer with one state.
pub fn state(trait_index: usize, state: usize) -> Answer {
    Answer {
        trait_index,
        reading: Reading::States(vec![state]),
    }
}

/// The most likely state of a row among `of`; the first of equals.
pub fn likeliest(
    table: &Table,
    trait_index: usize,
    row: usize,
    of: impl IntoIterator<Item = usize>,
) -> Option<usize> {
    let chances = &table.traits[trait_index].chances;
    of.into_iter()
        .fold(None, |best: Option<usize>, s| match best {
            Some(b) if chances[b][row] >= chances[s][row] => Some(b),
            _ => Some(s),
        })
}

/// What is reported of a trait of a plant that is as its profile says: the most likely state,
/// or of a measure the middle of what is most likely; `None` where nothing is recorded. (The
/// middle of all that is recorded would lie, where two sources differ, where neither has any.)
pub fn modal_reading(
    key: &Key,
    table: &Table,
    taxon: &Taxon,
    row: usize,
    at: usize,
) -> Option<Reading> {
    let columns = &table.traits[at];
    if taxon.facts(columns.id.as_str()).is_empty() {
        return None;
    }
    let n = columns.chances.len();
    let modal = likeliest(table, at, row, 0..n)?;
    let Some(bins) = &columns.bins else {
        return Some(Reading::States(vec![modal]));
    };
    let chance = |bin: usize| columns.chances[bin][row];
    let as_likely = |bin: &usize| chance(*bin) >= 0.8 * chance(modal);
    let last = (modal..n).take_while(as_likely).last()?;
    let first = (0..=modal).rev().take_while(as_likely).last()?;
    let middle = (bins.middle_of(first) * bins.middle_of(last)).sqrt();
    let measure = key.trait_by_id(columns.id.as_str()).unwrap().measure()?;
    Some(Reading::Measure(
        middle.clamp(measure.lowest, measure.highest),
    ))
}

/// Everything that can be seen at tillering of a plant that is as its profile says. Traits that
/// don't apply to what was answered are left out, as nobody asks for them.
pub fn modal_evidence(key: &Key, table: &Table, taxon: &Taxon, row: usize) -> Evidence {
    let answers = (0..table.traits.len())
        .filter(|&at| table.traits[at].visible_at(LeafStage::Tillering))
        .filter_map(|trait_index| {
            let reading = modal_reading(key, table, taxon, row, trait_index)?;
            Some(Answer {
                trait_index,
                reading,
            })
        });
    asked(table, answers)
}

/// Evidence from answers, without those to traits that don't apply to the others.
pub fn asked(table: &Table, answers: impl IntoIterator<Item = Answer>) -> Evidence {
    let mut all = Evidence::default();
    answers.into_iter().for_each(|a| all.add(a));
    let mut kept = Evidence::default();
    for answer in all.answers() {
        if standbook_identify::look_next::applies(table, answer.trait_index, &all) {
            kept.add(answer.clone());
        }
    }
    kept
}

/// The evidence with another reading of one trait, at the same place.
pub fn replaced(evidence: &Evidence, answer: &Answer) -> Evidence {
    let mut new = Evidence::default();
    for old in evidence.answers() {
        if old.trait_index == answer.trait_index {
            new.add(answer.clone());
        } else {
            new.add(old.clone());
        }
    }
    new
}

/// The key without one taxon; mentions of it as a look-alike go too.
pub fn key_without(key: &Key, at: usize) -> Key {
    let mut key = key.clone();
    let gone = key.taxa.remove(at);
    for taxon in &mut key.taxa {
        taxon
            .look_alikes
            .retain(|l| !matches!(&l.other, LookAlikeOf::Taxon(id) if *id == gone.id));
    }
    key
}

/// The position of a taxon in a ranking, from 0.
pub fn rank(ranking: &[(usize, f64)], row: usize) -> usize {
    ranking.iter().position(|(r, _)| *r == row).unwrap()
}
