//! Drawings with the words of the key: what a page shows of a trait, a state, a grass.
//!
//! In: a key, its table, ids. Out: inline `svg` elements, titled in the words of the trait, for
//! pages that carry the drawing style (the style sheet has it). `place` makes the ids of one
//! drawing unique on a page. Which strokes are drawn is `standbook_drawing`'s business.

use std::collections::BTreeMap;

use standbook_drawing::Shown;
pub use standbook_drawing::View;
use standbook_identify::Table;
use standbook_key::{Key, Taxon, Trait};

/// The specimen on pages that name a grass; practice draws others.
pub const TYPICAL: u64 = 0;

/// The drawing of one state; `None` for measures, notes, and states of a key of one's own that
/// nobody has drawn.
pub fn of_state(one: &Trait, state: &str, place: &str) -> Option<String> {
    let words = &one.states()[one.state_index(state)?];
    let drawing = standbook_drawing::state(one.id.as_str(), state)?;
    let title = format!("{}: {}", one.name, words.name);
    Some(drawing.inline(&format!("{place}-{}-{state}", one.id), &title, &words.looks))
}

/// Where on the plant a trait is looked at.
pub fn where_on_plant(one: &Trait, place: &str) -> Option<String> {
    let drawing = standbook_drawing::locator(one.id.as_str())?;
    let title = format!("Where to look: {}", one.name);
    Some(drawing.inline(
        &format!("{place}-where-{}", one.id),
        &title,
        &one.where_on_plant,
    ))
}

/// What to measure; `None` for traits that are no measure.
pub fn measure(one: &Trait, place: &str) -> Option<String> {
    let drawing = standbook_drawing::measure(one.id.as_str())?;
    let title = format!("What to measure: {}", one.name);
    Some(drawing.inline(&format!("{place}-measure-{}", one.id), &title, &one.how))
}

/// What a taxon usually shows: of every trait on which anything is recorded the likeliest state,
/// or the likeliest value of a measure. What nobody recorded is left out, and is not drawn.
pub fn usual(table: &Table, taxon: &Taxon) -> Shown {
    usual_states(table, taxon).into_iter().collect()
}

/// The same by the ids of traits; a measure as text.
pub fn usual_states(table: &Table, taxon: &Taxon) -> BTreeMap<String, String> {
    let Some(row) = table.row_index(taxon.id.as_str()) else {
        return BTreeMap::new();
    };
    let likeliest = |chances: &[Vec<f64>]| {
        let all = 0..chances.len();
        all.max_by(|a, b| chances[*a][row].total_cmp(&chances[*b][row]).then(b.cmp(a)))
    };
    table
        .traits
        .iter()
        .filter(|columns| !taxon.facts(columns.id.as_str()).is_empty())
        .filter_map(|columns| {
            let at = likeliest(&columns.chances)?;
            let value = match &columns.bins {
                Some(bins) => format!("{:.2}", bins.middle_of(at)),
                None => columns.states.get(at)?.to_string(),
            };
            Some((columns.id.to_string(), value))
        })
        .collect()
}

/// A drawing of a grass as it usually is; `None` where nothing is recorded that could be drawn.
pub fn of_taxon(
    key: &Key,
    table: &Table,
    taxon: &Taxon,
    view: View,
    place: &str,
) -> Option<String> {
    let shown = usual(table, taxon);
    let drawing = view.draw(&shown, TYPICAL)?;
    let (what, traits): (&str, &[&str]) = match view {
        View::Seedling(stage) => (
            stage.name(),
            &["growth_habit", "sheath_hairs", "blade_hairs_upper"],
        ),
        View::Base => (
            "base of the shoot, and the shoot cut across",
            &["tiller_base", "sheath_keel", "vernation"],
        ),
        View::Collar => (
            "collar, with the blade pulled back",
            &["ligule_type", "auricles", "collar_hairs"],
        ),
        View::Seed => ("seed at the root", &["seed_attached"]),
    };
    // Described in the words of the key, and only what is recorded.
    let said = traits.iter().filter_map(|id| {
        let one = key.trait_by_id(id)?;
        let state = &one.states()[one.state_index(shown.of(id)?)?];
        Some(format!("{} {}", one.name, state.name))
    });
    let desc = said.collect::<Vec<_>>().join("; ");
    let title = format!("{}: {what}", taxon.common_name);
    let view = match view {
        View::Seedling(_) => "seedling",
        View::Base => "base",
        View::Collar => "collar",
        View::Seed => "seed",
    };
    Some(drawing.inline(&format!("{place}-{}-{view}", taxon.id), &title, &desc))
}
