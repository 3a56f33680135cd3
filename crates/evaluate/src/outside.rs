//! Plants that are not in the key: each taxon is left out in turn, and its own descriptions are
//! walked through the key without it.
//!
//! In: a key. Out: how often such a plant comes out as *not in this key* or *too little seen*,
//! how often as a name. Twins (two taxa that every recorded trait gives alike) can't be told
//! from the records; they are listed, not excused.

use standbook_identify::{Evidence, Outcome, Planted, Table, assess};
use standbook_key::Key;

use crate::leave_out::without_taxon;
use crate::published::Description;
use crate::score::Share;

/// One left-out plant.
#[derive(Debug, Clone, PartialEq)]
pub struct Stranger {
    /// The left-out taxon, by position in the whole key.
    pub taxon: usize,
    /// What the key without it said.
    pub outcome: &'static str,
    /// The name it leaned to or settled, if any: a taxon id.
    pub name: Option<String>,
    /// Probability of *not in this key*.
    pub outside: f64,
}

/// How left-out plants came out, as shares of all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StrangerScore {
    /// *Not in this key*.
    pub outside: Share,
    /// *Not in this key*, *too little seen* or *split between*: no name was given.
    pub unnamed: Share,
    /// One name led.
    pub leaning: Share,
    /// A name was settled: wrongly, since the plant's is not there.
    pub settled: Share,
}

impl StrangerScore {
    /// Of many plants.
    pub fn of(strangers: &[Stranger]) -> StrangerScore {
        let share =
            |test: &dyn Fn(&str) -> bool| Share::of(strangers.iter().map(|s| test(s.outcome)));
        StrangerScore {
            outside: share(&|o| o == "not_in_this_key"),
            unnamed: share(&|o| !matches!(o, "settled" | "leaning")),
            leaning: share(&|o| o == "leaning"),
            settled: share(&|o| o == "settled"),
        }
    }
}

/// Walks every description through the key without its taxon.
pub fn strangers(
    key: &Key,
    whole: &Table,
    descriptions: &[Description],
    compile: impl Fn(&Key) -> Table,
) -> Vec<Stranger> {
    let mut sorted: Vec<&Description> = descriptions.iter().collect();
    sorted.sort_by_key(|d| d.taxon);
    let mut strangers = Vec::with_capacity(sorted.len());
    let mut before: Option<(usize, Table)> = None;
    for description in sorted {
        if before
            .as_ref()
            .is_none_or(|(taxon, _)| *taxon != description.taxon)
        {
            let table = compile(&without_taxon(key, description.taxon));
            before = Some((description.taxon, table));
        }
        let Some((_, table)) = &before else { continue };
        strangers.push(stranger(table, whole, description));
    }
    strangers
}

fn stranger(table: &Table, whole: &Table, description: &Description) -> Stranger {
    // Traits and states stand in the same places in both tables: only a taxon is missing.
    debug_assert_eq!(table.traits.len(), whole.traits.len());
    let said = assess(table, &description.evidence, Planted::ByRole);
    let name = match said.outcome {
        Outcome::Settled(row) | Outcome::Leaning(row) => Some(table.rows[row].id.to_string()),
        _ => None,
    };
    Stranger {
        taxon: description.taxon,
        outcome: said.outcome.id(),
        name,
        outside: table.not_in_key().map_or(0.0, |row| said.posterior[row]),
    }
}

/// Every taxon's full description: of each recorded trait the likeliest reading, as a typical
/// plant would show it to a careful eye.
pub fn typical_plants(key: &Key, table: &Table) -> Vec<Description> {
    use standbook_identify::profile::{Kin, Shape, cell};
    use standbook_identify::{Answer, Reading};
    let kin = Kin::of(key);
    (0..key.taxa.len())
        .map(|taxon| {
            let mut evidence = Evidence::default();
            for one in &key.traits {
                let (Some(trait_index), Some(cell)) = (
                    table.trait_index(one.id.as_str()),
                    cell(key, &table.modelling, &kin, one, taxon),
                ) else {
                    continue;
                };
                if cell.statements.is_empty() || cell.never_applies {
                    continue;
                }
                let likeliest = (0..cell.shares.len())
                    .max_by(|&a, &b| cell.shares[a].total_cmp(&cell.shares[b]));
                let reading = match (Shape::of(one), likeliest) {
                    (Some(Shape::Bins(bins)), Some(bin)) => Reading::Measure(bins.middle_of(bin)),
                    (Some(Shape::States(_)), Some(state)) => Reading::States(vec![state]),
                    _ => continue,
                };
                evidence.add(Answer {
                    trait_index,
                    reading,
                });
            }
            Description {
                source: standbook_key::SourceId::new("memory"),
                taxon,
                evidence,
            }
        })
        .collect()
}
