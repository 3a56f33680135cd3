//! What a tally counts as, once second opinions have been heard.
//!
//! In: what a scout tallied (a taxon or an unknown) and the opinions about the unknowns. Out: a
//! label to count under. An unknown is settled by the latest opinion about it, by `born_at`;
//! settling it settles every tally and every determination that uses it.
//! Source: design of the book, "settling it settles them".
//! Not here: opinions about one determination; those settle that plant only (`desk::names`).

use std::collections::HashMap;

use standbook_fieldbook::record::{Counted, Opinion, Unknown};
use standbook_fieldbook::{Book, BookError, Entry, RecordId};
use standbook_identify::NOT_IN_KEY;

/// What something counts as.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Label {
    /// A taxon, by id.
    Taxon(String),
    /// Settled, and no name of the key: never counts as planted.
    NotInKey,
    /// An unknown not settled yet, by the id of its current version.
    Unknown(RecordId),
}

/// An unknown and everything said about it.
#[derive(Debug, Clone)]
pub(crate) struct Known {
    /// The unknown as it stands.
    pub entry: Entry<Unknown>,
    /// Opinions about it, by `born_at`, oldest first.
    pub opinions: Vec<Entry<Opinion>>,
}

impl Known {
    /// The opinion that settles it: the latest.
    pub fn settled_by(&self) -> Option<&Entry<Opinion>> {
        self.opinions.last()
    }
}

/// Unknowns by any of their ids that somebody asked for.
#[derive(Debug, Clone, Default)]
pub(crate) struct Unknowns {
    known: Vec<Known>,
    by_id: HashMap<RecordId, usize>,
}

impl Unknowns {
    /// Reads the unknowns with these ids, of whatever version; ids the book does not have are
    /// left out. Costs two questions for each unknown, not for each tally.
    pub fn read(
        book: &Book,
        ids: impl IntoIterator<Item = RecordId>,
    ) -> Result<Unknowns, BookError> {
        let mut unknowns = Unknowns::default();
        for id in ids {
            if unknowns.by_id.contains_key(&id) {
                continue;
            }
            let Some(entry) = book.unknown(id)? else {
                continue;
            };
            if let Some(&at) = unknowns.by_id.get(&entry.id) {
                unknowns.by_id.insert(id, at);
                continue;
            }
            let opinions = in_order(book.opinions(entry.id)?);
            let at = unknowns.known.len();
            unknowns.by_id.insert(id, at);
            unknowns.by_id.insert(entry.id, at);
            unknowns.known.push(Known { entry, opinions });
        }
        Ok(unknowns)
    }

    /// The unknown with this id, of whatever version.
    pub fn get(&self, id: RecordId) -> Option<&Known> {
        self.by_id.get(&id).and_then(|&at| self.known.get(at))
    }

    /// The same, as if nobody had given an opinion on one of them.
    pub fn as_if_unsettled(&self, id: RecordId) -> Unknowns {
        let mut other = self.clone();
        if let Some(&at) = self.by_id.get(&id) {
            other.known[at].opinions.clear();
        }
        other
    }
}

/// Opinions by `born_at`, then id: oldest first.
pub(crate) fn in_order(mut opinions: Vec<Entry<Opinion>>) -> Vec<Entry<Opinion>> {
    opinions.sort_by(|a, b| a.born_at.cmp(&b.born_at).then(a.id.cmp(&b.id)));
    opinions
}

/// What something counts as.
pub(crate) fn resolve(what: &Counted, unknowns: &Unknowns) -> Label {
    let taxon = |id: &str| match id {
        NOT_IN_KEY => Label::NotInKey,
        id => Label::Taxon(id.to_owned()),
    };
    match what {
        Counted::Taxon(id) => taxon(id),
        Counted::Unknown(id) => match unknowns.get(*id) {
            None => Label::Unknown(*id),
            Some(known) => match known.settled_by() {
                None => Label::Unknown(known.entry.id),
                Some(opinion) => match &opinion.body.taxon {
                    Some(id) => taxon(id),
                    None => Label::NotInKey,
                },
            },
        },
    }
}
