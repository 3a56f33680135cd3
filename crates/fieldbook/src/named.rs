//! What people called a plant, and whether they differ: the one rule, for pages and for what leaves.
//!
//! In: what each person said, oldest first. Out: whether any two differ, and who ended it.
//!
//! The rule: of one person only the last word is weighed; whoever gave no name disputes nothing. A name
//! that says less (a genus, *cf.*) disputes no name that it leaves room for. Where two differ, a third
//! person who looks after them ends the dispute; whoever differs from that opens it again.
//! Which genus a taxon belongs to is the caller's to say: the book knows no key.

use crate::record::{Determination, Opinion, Qualifier};

/// What somebody called a plant.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Called {
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

    /// The taxon or genus that was named, however surely.
    pub fn name(&self) -> Option<&str> {
        match self {
            Called::Taxon(name)
            | Called::Compare(name)
            | Called::Near(name)
            | Called::Genus(name) => Some(name),
            Called::NotInKey | Called::NoName => None,
        }
    }

    /// Whether two names can both be right of one plant. `genus_of` tells a taxon's genus.
    pub fn fits(&self, other: &Called, genus_of: &GenusOf<'_>) -> bool {
        let genus = |called: &Called| match called {
            Called::Genus(genus) => Some(genus.clone()),
            called => called.taxon().and_then(genus_of),
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

/// Tells the genus of a taxon, `None` for one that is not known.
pub type GenusOf<'g> = dyn Fn(&str) -> Option<String> + 'g;

/// Whether two names are one person's, apart from capitals and the spaces around: the book knows no
/// accounts.
pub fn is_same_person(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

/// Whether those who looked differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Dispute {
    /// All can be right.
    None,
    /// Two give different names, and nobody has settled it.
    Open,
    /// Two gave different names; this person looked after them.
    EndedBy(String),
}

impl Dispute {
    /// Of what people said, oldest first.
    pub fn of<'w>(
        words: impl IntoIterator<Item = (&'w str, Called)>,
        genus_of: &GenusOf<'_>,
    ) -> Dispute {
        let mut heard = Heard {
            genus_of,
            words: Vec::new(),
            ended_by: None,
        };
        for (who, called) in words {
            if called != Called::NoName {
                heard.hear(who, called);
            }
        }
        match heard.ended_by {
            Some(by) => Dispute::EndedBy(by.to_owned()),
            None if heard.differ() => Dispute::Open,
            None => Dispute::None,
        }
    }
}

/// What people last said, in the order in which they first spoke, and who ended a dispute.
struct Heard<'h> {
    genus_of: &'h GenusOf<'h>,
    words: Vec<(&'h str, Called)>,
    ended_by: Option<&'h str>,
}

impl<'h> Heard<'h> {
    fn hear(&mut self, who: &'h str, called: Called) {
        let mut words = self.words.iter();
        match words.position(|(other, _)| is_same_person(other, who)) {
            Some(at) => {
                // Whoever ended a dispute may change their mind; another who differs opens it again.
                let same = self.words[at].1.fits(&called, self.genus_of);
                if self.ended_by.is_some_and(|by| !is_same_person(by, who)) && !same {
                    self.ended_by = None;
                }
                self.words[at].1 = called;
            }
            None => {
                self.ended_by = match (self.ended_by, self.differ()) {
                    (Some(by), _) => {
                        // A fourth who agrees with whoever ended it leaves it ended; one who does not
                        // opens it.
                        let word = self.words.iter().find(|(other, _)| *other == by);
                        let agrees =
                            word.is_some_and(|(_, word)| word.fits(&called, self.genus_of));
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
            let mut rest = self.words[at + 1..].iter();
            rest.any(|(_, other)| !one.fits(other, self.genus_of))
        })
    }
}
