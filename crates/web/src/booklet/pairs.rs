//! Look-alikes side by side: the hardest pairs of the key, a page each.
//!
//! What is hard and what tells is worked out where the app's own pages have it from
//! (`identify::look_alikes`, `plant::pair_page`).

use standbook_identify::look_alikes::{contrasts, hard_pairs};
use standbook_identify::profile::{Kin, cell};
use standbook_key::{LeafStage, Taxon, Trait};

use super::Contents;
use super::symbols::Symbols;
use crate::picture::{TYPICAL, usual};
use crate::plant::{HARD, NOT_FOR_SURE, TELLING_DB, likeliest_first, shows};
use crate::words::percent;

/// So many pairs are printed.
const PAIRS: usize = 12;

/// So many looks a pair.
const LOOKS: usize = 3;

/// The age at which most plants are looked at first.
const STAGE: LeafStage = LeafStage::FewLeaves;

/// One grass of a pair.
pub struct Side {
    pub common: String,
    pub scientific: String,
    /// Seedling, base, collar; drawn as it usually is.
    pub views: Vec<(&'static str, String)>,
}

/// One look at both.
pub struct Look {
    pub name: String,
    pub how: String,
    /// Drawing and words of each.
    pub both: [(Option<String>, String); 2],
    pub supports_only: bool,
}

/// Two grasses.
pub struct Pair {
    pub sides: [Side; 2],
    /// Share of plants that may be taken for the other after every look.
    pub confused: String,
    pub not_for_sure: bool,
    pub looks: Vec<Look>,
}

pub fn pairs(contents: &Contents<'_>, symbols: &mut Symbols) -> Vec<Pair> {
    let table = contents.table;
    let kin = Kin::of(contents.key);
    hard_pairs(table, STAGE, HARD)
        .iter()
        .take(PAIRS)
        .filter_map(|hard| {
            let rows = [hard.one, hard.other];
            let taxon = |row: usize| contents.key.taxon(table.rows.get(row)?.id.as_str());
            let taxa = [taxon(hard.one)?, taxon(hard.other)?];
            Some(Pair {
                sides: taxa.map(|taxon| side(contents, taxon, symbols)),
                confused: percent(hard.confused),
                not_for_sure: hard.confused > NOT_FOR_SURE,
                looks: looks(contents, &kin, rows, taxa, symbols),
            })
        })
        .collect()
}

fn side(contents: &Contents<'_>, taxon: &Taxon, symbols: &mut Symbols) -> Side {
    let shown = usual(contents.table, taxon);
    Side {
        common: taxon.common_name.clone(),
        scientific: taxon.scientific_name.clone(),
        views: [
            (
                "two to four leaves",
                standbook_drawing::seedling(&shown, STAGE, TYPICAL),
            ),
            ("base, cut", standbook_drawing::base(&shown, TYPICAL)),
            ("collar", standbook_drawing::collar(&shown, TYPICAL)),
        ]
        .map(|(what, drawing)| (what, symbols.of(&drawing)))
        .into(),
    }
}

/// The most telling looks on which anything is recorded of either grass.
fn looks(
    contents: &Contents<'_>,
    kin: &Kin,
    rows: [usize; 2],
    taxa: [&Taxon; 2],
    symbols: &mut Symbols,
) -> Vec<Look> {
    let (key, table) = (contents.key, contents.table);
    let recorded = |one: &Trait, taxon: &Taxon| !taxon.facts(one.id.as_str()).is_empty();
    contrasts(table, rows[0], rows[1], Some(STAGE))
        .iter()
        .filter(|contrast| contrast.decibans >= TELLING_DB)
        .filter_map(|contrast| {
            let columns = table.traits.get(contrast.trait_index)?;
            key.trait_by_id(columns.id.as_str())
        })
        .filter(|one| taxa.iter().any(|taxon| recorded(one, taxon)))
        .take(LOOKS)
        .filter_map(|one| {
            let here = cell(key, &table.modelling, kin, one, rows[0])?;
            let there = cell(key, &table.modelling, kin, one, rows[1])?;
            // Two drawings alike would say that nothing tells them apart: then words alone.
            let [left, right] = [(taxa[0], &here), (taxa[1], &there)].map(|(taxon, cell)| {
                let seen = recorded(one, taxon) && !cell.never_applies;
                let (at, _) = *likeliest_first(cell).first().filter(|_| seen)?;
                one.states().get(at)
            });
            let differ = left.zip(right).filter(|(a, b)| a.id != b.id);
            let drawn = differ.and_then(|(a, b)| {
                let of = |state: &str| standbook_drawing::state(one.id.as_str(), state);
                of(a.id.as_str()).zip(of(b.id.as_str()))
            });
            let (left, right) = drawn.map_or((None, None), |(a, b)| {
                (Some(symbols.of(&a)), Some(symbols.of(&b)))
            });
            Some(Look {
                name: one.name.clone(),
                how: one.how.clone(),
                both: [
                    (left, shows(one, taxa[0], &here)),
                    (right, shows(one, taxa[1], &there)),
                ],
                supports_only: !one.decides,
            })
        })
        .collect()
}
