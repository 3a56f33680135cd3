//! Which name a plant goes by, and whether those who looked agree.
//!
//! In: a determination, the opinions about it, the unknown it was made for. Out: the current name,
//! why it is that one, and whether it is disputed.
//!
//! The rule: where the plant is an unknown that somebody gave an opinion on, the latest of those
//! counts; otherwise the latest opinion on the plant; otherwise the scout's name. When they differ is the
//! book's rule (`standbook_fieldbook::named`).

use standbook_fieldbook::Entry;
use standbook_fieldbook::named::{Called, Dispute};
use standbook_fieldbook::record::{Determination, Opinion};
use standbook_key::Key;

use crate::app::App;
use crate::stand::name::{Name, genus_name, taxon_name};
use crate::stand::resolve::{Known, genus_of};
use crate::words::instant_words;

/// What somebody called a plant, for people.
pub(super) fn name_of(called: &Called, app: &App) -> Name {
    let plain = |words: &str| Name {
        common: words.to_owned(),
        scientific: String::new(),
        address: None,
    };
    let doubted = |sign: &str, id: &str| {
        let name = taxon_name(app, id);
        Name {
            common: format!("{sign} {}", name.common),
            scientific: format!("{sign} {}", name.scientific),
            address: name.address,
        }
    };
    match called {
        Called::Taxon(id) => taxon_name(app, id),
        Called::Compare(id) => doubted("cf.", id),
        Called::Near(id) => doubted("aff.", id),
        Called::Genus(genus) => genus_name(genus),
        Called::NotInKey => plain("no name in this key"),
        Called::NoName => plain("no name"),
    }
}

/// Whether two names can both be right of one plant, by the genera of a key.
pub(super) fn fits(one: &Called, other: &Called, key: &Key) -> bool {
    one.fits(other, &|id| genus_in(key, id))
}

fn genus_in(key: &Key, id: &str) -> Option<String> {
    key.taxon(id).map(|taxon| genus_of(taxon).to_owned())
}

/// How a plant's name stands.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Standing {
    /// The current name.
    pub called: Called,
    /// Why it is that one, a sentence.
    pub why: String,
    /// Whether those who looked give different names, and nobody has settled it.
    pub disputed: bool,
    /// The second opinions in a few words.
    pub second: String,
}

/// Says how a plant's name stands. `opinions` are those about the determination, oldest first.
pub(crate) fn standing(
    key: &Key,
    determination: &Entry<Determination>,
    opinions: &[Entry<Opinion>],
    unknown: Option<&Known>,
) -> Standing {
    let scout = Called::by_scout(&determination.body);
    let of_unknown: &[Entry<Opinion>] = unknown.map_or(&[], |known| known.opinions.as_slice());
    let mut all: Vec<&Entry<Opinion>> = opinions.iter().chain(of_unknown).collect();
    all.sort_by(|a, b| a.born_at.cmp(&b.born_at).then(a.id.cmp(&b.id)));

    let opinions_said = all
        .iter()
        .map(|opinion| (opinion.author.as_str(), Called::by_opinion(&opinion.body)));
    let said = std::iter::once((determination.author.as_str(), scout.clone())).chain(opinions_said);
    let dispute = Dispute::of(said, &|id| genus_in(key, id));

    let (called, mut why) = match (unknown, of_unknown.last(), opinions.last()) {
        (Some(known), Some(settled), _) => (
            Called::by_opinion(&settled.body),
            format!(
                "It was recorded as unknown {}, on which {} gave the latest opinion, on {}.",
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
    if let Dispute::EndedBy(by) = &dispute {
        why.push_str(&format!(
            " Two had differed; {by} looked after them and settled it."
        ));
    }
    let second = match (all.last(), &dispute) {
        (None, _) => "no second opinion".to_owned(),
        (Some(_), Dispute::EndedBy(by)) => format!("two differed, settled by {by}"),
        (Some(last), Dispute::Open) => format!("disputed, last word by {}", last.author),
        (Some(last), Dispute::None) if scout == Called::NoName => {
            format!("named by {}", last.author)
        }
        (Some(last), Dispute::None) => format!("second opinion agrees ({})", last.author),
    };
    Standing {
        called,
        why,
        disputed: dispute == Dispute::Open,
        second,
    }
}

#[cfg(test)]
#[path = "names_tests.rs"]
mod tests;
