//! Which name a plant goes by, and whether those who looked agree.
//!
//! In: a determination, the opinions about it, the unknown it was made for. Out: the current name,
//! why it is that one, and whether it is disputed.
//!
//! The rule: where the plant is an unknown that has been settled, that settles it; otherwise the
//! latest opinion counts; otherwise the scout's name. Of one person only the last word is
//! weighed when opinions are compared; a scout who gave no name disputes nothing.

use std::collections::BTreeMap;

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Determination, Opinion};

use crate::app::App;
use crate::stand::name::{Name, taxon_name};
use crate::stand::resolve::Known;
use crate::words::instant_words;

/// What somebody called a plant.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Called {
    /// A taxon, by id.
    Taxon(String),
    /// A reviewer: no name of the key fits.
    NotInKey,
    /// A scout: no name.
    NoName,
}

impl Called {
    /// What an opinion calls it.
    pub fn by_opinion(opinion: &Opinion) -> Called {
        match &opinion.taxon {
            Some(id) => Called::Taxon(id.clone()),
            None => Called::NotInKey,
        }
    }

    /// What the scout called it.
    pub fn by_scout(determination: &Determination) -> Called {
        match &determination.taxon {
            Some(id) => Called::Taxon(id.clone()),
            None => Called::NoName,
        }
    }

    /// For people.
    pub fn name(&self, app: &App) -> Name {
        let plain = |words: &str| Name {
            common: words.to_owned(),
            scientific: String::new(),
            address: None,
        };
        match self {
            Called::Taxon(id) => taxon_name(app, id),
            Called::NotInKey => plain("no name in this key"),
            Called::NoName => plain("no name"),
        }
    }
}

/// How a plant's name stands.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Standing {
    /// The current name.
    pub called: Called,
    /// Why it is that one, a sentence.
    pub why: String,
    /// Whether those who looked give different names.
    pub disputed: bool,
    /// The second opinions in a few words.
    pub second: String,
}

/// Says how a plant's name stands. `opinions` are those about the determination, oldest first.
pub(super) fn standing(
    determination: &Entry<Determination>,
    opinions: &[Entry<Opinion>],
    unknown: Option<&Known>,
) -> Standing {
    let scout = Called::by_scout(&determination.body);
    let of_unknown: &[Entry<Opinion>] = unknown.map_or(&[], |known| known.opinions.as_slice());

    let mut last_words: BTreeMap<&str, Called> = BTreeMap::new();
    if scout != Called::NoName {
        last_words.insert(determination.author.trim(), scout.clone());
    }
    let mut all: Vec<&Entry<Opinion>> = opinions.iter().chain(of_unknown).collect();
    all.sort_by(|a, b| a.born_at.cmp(&b.born_at).then(a.id.cmp(&b.id)));
    for opinion in &all {
        last_words.insert(opinion.author.trim(), Called::by_opinion(&opinion.body));
    }
    let mut names: Vec<&Called> = last_words.values().collect();
    names.sort();
    names.dedup();
    let disputed = names.len() > 1;

    let (called, why) = match (unknown, of_unknown.last(), opinions.last()) {
        (Some(known), Some(settled), _) => (
            Called::by_opinion(&settled.body),
            format!(
                "It was recorded as unknown {}, which {} settled on {}.",
                known.entry.body.number,
                settled.author,
                instant_words(&settled.born_at)
            ),
        ),
        (_, _, Some(latest)) => (
            Called::by_opinion(&latest.body),
            format!(
                "The latest opinion names this plant: {}, {}. Frames keep what was counted in them; correct the frame where it matters.",
                latest.author,
                instant_words(&latest.born_at)
            ),
        ),
        _ => (
            scout.clone(),
            format!(
                "No second opinion yet{}.",
                match &determination.body.taxon {
                    Some(_) => format!(": the name that {} gave stands", determination.author),
                    None => format!(", and {} gave no name", determination.author),
                }
            ),
        ),
    };
    let second = match all.last() {
        None => "no second opinion".to_owned(),
        Some(last) if disputed => format!("disputed, last word by {}", last.author),
        Some(last) if scout == Called::NoName => format!("named by {}", last.author),
        Some(last) => format!("second opinion agrees ({})", last.author),
    };
    Standing {
        called,
        why,
        disputed,
        second,
    }
}
