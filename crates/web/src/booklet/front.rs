//! The first pages: what this is and for which plants, what to mind, in which order to look.

use standbook_key::{Key, Role, fingerprint};

use super::Contents;
use super::symbols::Symbols;
use crate::plant::CLASSES;
use crate::words::date_words;

/// So much of a fingerprint is enough to tell two keys apart by eye.
const FINGERPRINT_DIGITS: usize = 12;

/// Cautions of the standards that concern whoever walks, digs and looks, in the order in which
/// they are met; those on mowing dates, stock and contracts are the desk's.
const FIELD: [&str; 8] = [
    "permission",
    "entry_interval",
    "heat",
    "ticks",
    "snakes",
    "mower",
    "noxious_duty",
    "boots",
];

/// What neither the key nor the standards say. Usual practice of the trade; no source was looked
/// up.
const USUAL: [&str; 3] = [
    "Before you dig, have buried lines marked: call the utility-location service of the place. \
     Even a trowel can cut a shallow cable.",
    "Put the soil back where it came from and press it down, so that the plants beside it live on.",
    "Knives and trowels are sharp: carry them covered and cut away from yourself. Keep clear of \
     mowers and tractors, and let the driver see you.",
];

/// The cover.
pub struct Cover {
    pub title: String,
    pub scope: String,
    pub season: String,
    pub region: String,
    pub authors: String,
    pub taxa: usize,
    pub planted: usize,
    pub traits: usize,
    pub couplets: usize,
    pub on: String,
    pub key: String,
    pub table: String,
    pub program: &'static str,
}

/// What to mind.
pub struct Cautions {
    /// In the words of the key.
    pub key: Vec<String>,
    /// Of the standards, each with the number of its source.
    pub field: Vec<(String, usize)>,
    /// What those numbers stand for.
    pub sources: Vec<(usize, String)>,
    pub usual: [&'static str; 3],
}

/// A class of traits, in the order in which to look.
pub struct Step {
    pub number: usize,
    pub name: &'static str,
    /// Where on the plant, for the first trait of it, and in words.
    pub drawing: Option<String>,
    pub place: String,
    /// Name and question of each trait.
    pub traits: Vec<(String, String)>,
    /// Traits that only support a name.
    pub supports: Vec<(String, String)>,
}

pub fn cover(contents: &Contents<'_>) -> Cover {
    let key = contents.key;
    let short = |text: &str| text.chars().take(FINGERPRINT_DIGITS).collect();
    Cover {
        title: key.title.clone(),
        scope: key.scope.clone(),
        season: key.season.clone(),
        region: key.region.clone(),
        authors: key.authors.join(", "),
        taxa: key.taxa.len(),
        planted: key.taxa.iter().filter(|t| t.role == Role::Planted).count(),
        traits: key.traits.len(),
        couplets: contents.couplets.couplets.len(),
        on: date_words(contents.on),
        key: short(&fingerprint::of_key(key)),
        table: short(&contents.table.fingerprint),
        program: env!("CARGO_PKG_VERSION"),
    }
}

pub fn cautions(contents: &Contents<'_>) -> Cautions {
    let standards = contents.standards;
    let mut sources: Vec<(usize, String)> = Vec::new();
    let field = FIELD
        .iter()
        .filter_map(|id| standards.cautions.iter().find(|c| c.id == *id))
        .map(|caution| {
            let citation = standards
                .source(caution.source.as_str())
                .map_or_else(|| caution.source.to_string(), |s| s.citation.clone());
            let known = sources.iter().find(|(_, other)| *other == citation);
            let number = known.map_or(sources.len() + 1, |(number, _)| *number);
            if number > sources.len() {
                sources.push((number, citation));
            }
            (caution.words.clone(), number)
        })
        .collect();
    Cautions {
        key: contents.key.cautions.clone(),
        field,
        sources,
        usual: USUAL,
    }
}

pub fn order(key: &Key, symbols: &mut Symbols) -> Vec<Step> {
    let steps = CLASSES.iter().filter_map(|(class, name)| {
        let of_class: Vec<_> = key.traits.iter().filter(|t| t.class == *class).collect();
        let first = of_class.first()?;
        let words = |decides: bool| {
            let some = of_class.iter().filter(|t| t.decides == decides);
            some.map(|t| (t.name.clone(), t.question.clone())).collect()
        };
        Some(Step {
            number: 0,
            name,
            drawing: standbook_drawing::locator(first.id.as_str()).map(|d| symbols.of(&d)),
            place: first.where_on_plant.clone(),
            traits: words(true),
            supports: words(false),
        })
    });
    let mut steps: Vec<Step> = steps.collect();
    for (at, step) in steps.iter_mut().enumerate() {
        step.number = at + 1;
    }
    steps
}
