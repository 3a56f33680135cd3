//! Which name a plant goes by, and whether those who looked agree.
//!
//! In: a determination, the opinions about it, the unknown it was made for. Out: the current name,
//! why it is that one, and whether it is disputed.
//!
//! The rule: where the plant is an unknown that somebody gave an opinion on, the latest of those
//! counts; otherwise the latest opinion on the plant; otherwise the scout's name. Of one person only the
//! last word is weighed when opinions are compared; a scout who gave no name disputes nothing. A name
//! that says less (a genus, *cf.*) disputes no name that it leaves room for. Where two differ, a third
//! person who looks after them ends the dispute; whoever differs from that opens it again.

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Determination, Opinion, Qualifier};
use standbook_key::Key;

use crate::app::App;
use crate::person::is_same_person;
use crate::stand::name::{Name, genus_name, taxon_name};
use crate::stand::resolve::{Known, genus_of};
use crate::words::instant_words;

/// What somebody called a plant.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Called {
    /// A taxon, by id.
    Taxon(String),
    /// It looks like the taxon, and has to be compared (*cf.*).
    Compare(String),
    /// Near the taxon, but not it (*aff.*).
    Near(String),
    /// Sure of the genus only.
    Genus(String),
    /// A reviewer: no name of the key fits.
    NotInKey,
    /// A scout: no name.
    NoName,
}

impl Called {
    /// What an opinion calls it.
    pub fn by_opinion(opinion: &Opinion) -> Called {
        match (&opinion.taxon, opinion.qualifier, &opinion.genus) {
            (Some(id), None, _) => Called::Taxon(id.clone()),
            (Some(id), Some(Qualifier::Cf), _) => Called::Compare(id.clone()),
            (Some(id), Some(Qualifier::Aff), _) => Called::Near(id.clone()),
            (None, _, Some(genus)) => Called::Genus(genus.clone()),
            (None, _, None) => Called::NotInKey,
        }
    }

    /// What the scout called it.
    pub fn by_scout(determination: &Determination) -> Called {
        match &determination.taxon {
            Some(id) => Called::Taxon(id.clone()),
            None => Called::NoName,
        }
    }

    /// The taxon that it is, surely or by comparison.
    pub fn taxon(&self) -> Option<&str> {
        match self {
            Called::Taxon(id) | Called::Compare(id) => Some(id),
            Called::Near(_) | Called::Genus(_) | Called::NotInKey | Called::NoName => None,
        }
    }

    /// For people.
    pub fn name(&self, app: &App) -> Name {
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
        match self {
            Called::Taxon(id) => taxon_name(app, id),
            Called::Compare(id) => doubted("cf.", id),
            Called::Near(id) => doubted("aff.", id),
            Called::Genus(genus) => genus_name(genus),
            Called::NotInKey => plain("no name in this key"),
            Called::NoName => plain("no name"),
        }
    }

    /// Whether two names can both be right of one plant.
    pub fn fits(&self, other: &Called, key: &Key) -> bool {
        let genus = |called: &Called| match called {
            Called::Genus(genus) => Some(genus.clone()),
            called => called
                .taxon()
                .and_then(|id| key.taxon(id))
                .map(|taxon| genus_of(taxon).to_owned()),
        };
        match (self, other) {
            (Called::NoName, _) | (_, Called::NoName) => true,
            (Called::Genus(_), _) | (_, Called::Genus(_)) => {
                // A plant near a taxon is in its genus or not: nobody said.
                let near = [self, other]
                    .iter()
                    .any(|called| matches!(called, Called::Near(_)));
                near || genus(self) == genus(other)
            }
            // What is near a taxon of the key, but not it, is no name of the key.
            (Called::Near(_), Called::Near(_) | Called::NotInKey)
            | (Called::NotInKey, Called::Near(_)) => true,
            _ => self.taxon().is_some() && self.taxon() == other.taxon() || self == other,
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
    /// Whether those who looked give different names, and nobody has settled it.
    pub disputed: bool,
    /// The second opinions in a few words.
    pub second: String,
}

/// What people last said, in the order in which they first spoke, and who ended a dispute.
struct Heard<'a> {
    key: &'a Key,
    words: Vec<(&'a str, Called)>,
    ended_by: Option<&'a str>,
}

impl<'a> Heard<'a> {
    fn hear(&mut self, who: &'a str, called: Called) {
        let at = self
            .words
            .iter()
            .position(|(other, _)| is_same_person(other, who));
        match at {
            Some(at) => {
                // Whoever ended a dispute may change their mind; another who differs opens it again.
                let same = self.words[at].1.fits(&called, self.key);
                if self.ended_by.is_some_and(|by| !is_same_person(by, who)) && !same {
                    self.ended_by = None;
                }
                self.words[at].1 = called;
            }
            None => {
                self.ended_by = match (self.ended_by, self.differ()) {
                    (Some(by), _) => {
                        let word = self.words.iter().find(|(other, _)| *other == by);
                        // A fourth who agrees with the one who ended it leaves it ended, one who does not
                        // opens it.
                        let agrees = word.is_some_and(|(_, word)| word.fits(&called, self.key));
                        agrees.then_some(by)
                    }
                    (None, true) => Some(who),
                    (None, false) => None,
                };
                self.words.push((who, called));
            }
        }
    }

    /// Whether any two differ.
    fn differ(&self) -> bool {
        self.words.iter().enumerate().any(|(at, (_, one))| {
            self.words[at + 1..]
                .iter()
                .any(|(_, other)| !one.fits(other, self.key))
        })
    }
}

/// Says how a plant's name stands. `opinions` are those about the determination, oldest first.
pub(super) fn standing(
    key: &Key,
    determination: &Entry<Determination>,
    opinions: &[Entry<Opinion>],
    unknown: Option<&Known>,
) -> Standing {
    let scout = Called::by_scout(&determination.body);
    let of_unknown: &[Entry<Opinion>] = unknown.map_or(&[], |known| known.opinions.as_slice());
    let mut all: Vec<&Entry<Opinion>> = opinions.iter().chain(of_unknown).collect();
    all.sort_by(|a, b| a.born_at.cmp(&b.born_at).then(a.id.cmp(&b.id)));

    let mut heard = Heard {
        key,
        words: Vec::new(),
        ended_by: None,
    };
    if scout != Called::NoName {
        heard.hear(&determination.author, scout.clone());
    }
    for opinion in &all {
        heard.hear(&opinion.author, Called::by_opinion(&opinion.body));
    }
    let disputed = heard.differ() && heard.ended_by.is_none();

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
    if let Some(by) = heard.ended_by {
        why.push_str(&format!(
            " Two had differed; {by} looked after them and settled it."
        ));
    }
    let second = match (all.last(), heard.ended_by) {
        (None, _) => "no second opinion".to_owned(),
        (Some(_), Some(by)) => format!("two differed, settled by {by}"),
        (Some(last), None) if disputed => format!("disputed, last word by {}", last.author),
        (Some(last), None) if scout == Called::NoName => format!("named by {}", last.author),
        (Some(last), None) => format!("second opinion agrees ({})", last.author),
    };
    Standing {
        called,
        why,
        disputed,
        second,
    }
}

#[cfg(test)]
#[path = "names_tests.rs"]
mod tests;
