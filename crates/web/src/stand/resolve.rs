//! What a tally counts as, once second opinions have been heard.
//!
//! In: what a scout tallied (a taxon or an unknown) and the opinions about the unknowns. Out: a
//! label to count under. An unknown is settled by the latest opinion about it, by `born_at`;
//! settling it settles every tally and every determination that uses it.
//! Source: design of the book, "settling it settles them".
//! Not here: opinions about one determination; those settle that plant only (`desk::names`).

use std::collections::{BTreeSet, HashMap};

use standbook_fieldbook::record::{Counted, Opinion, Planting, Qualifier, Unknown};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_identify::NOT_IN_KEY;
use standbook_key::{Key, Taxon};

use crate::app::App;

/// What something counts as.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Label {
    /// A taxon, by id.
    Taxon(String),
    /// Settled as far as a genus of which nothing was sown, by its name: never counts as planted.
    Genus(String),
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
    /// Genera of what was sown where it grows; read only where an opinion names a genus.
    sown: BTreeSet<String>,
}

impl Known {
    /// The opinion that settles it: the latest.
    pub fn settled_by(&self) -> Option<&Entry<Opinion>> {
        self.opinions.last()
    }

    /// Whether an opinion says what it counts as.
    pub fn is_settled(&self) -> bool {
        !matches!(self.label(), Label::Unknown(_))
    }

    /// What it counts as.
    fn label(&self) -> Label {
        let settled = self.settled_by();
        settled
            .and_then(|opinion| counts_as(&opinion.body, &self.sown))
            .unwrap_or(Label::Unknown(self.entry.id))
    }
}

/// What an opinion makes a plant count as, where so many genera were sown; `None` where it leaves open
/// whether the plant was sown.
pub(crate) fn counts_as(opinion: &Opinion, sown: &BTreeSet<String>) -> Option<Label> {
    match (&opinion.taxon, opinion.qualifier, &opinion.genus) {
        (Some(id), None | Some(Qualifier::Cf), _) => Some(taxon_label(id)),
        (None, _, Some(genus)) if sown.contains(genus) => None,
        (None, _, Some(genus)) => Some(Label::Genus(genus.clone())),
        (Some(_), Some(Qualifier::Aff), _) | (None, _, None) => Some(Label::NotInKey),
    }
}

fn taxon_label(id: &str) -> Label {
    match id {
        NOT_IN_KEY => Label::NotInKey,
        id => Label::Taxon(id.to_owned()),
    }
}

/// The genus of a taxon of the key: the first word of its scientific name.
pub(crate) fn genus_of(taxon: &Taxon) -> &str {
    taxon.scientific_name.split(' ').next().unwrap_or_default()
}

/// The genera of what was sown, as far as the key knows them.
pub(crate) fn genera_sown(key: &Key, planting: &Planting) -> BTreeSet<String> {
    let sown = planting
        .mix
        .iter()
        .filter_map(|item| key.taxon(&item.taxon));
    sown.map(|taxon| genus_of(taxon).to_owned()).collect()
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
    pub fn read(app: &App, ids: impl IntoIterator<Item = RecordId>) -> Result<Unknowns, BookError> {
        let book = &app.book;
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
            let sown = match opinions.iter().any(|opinion| opinion.body.genus.is_some()) {
                true => sown_around(app, &entry)?,
                false => BTreeSet::new(),
            };
            let at = unknowns.known.len();
            unknowns.by_id.insert(id, at);
            unknowns.by_id.insert(entry.id, at);
            unknowns.known.push(Known {
                entry,
                opinions,
                sown,
            });
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

/// Genera of what was sown where an unknown grows.
fn sown_around(app: &App, unknown: &Entry<Unknown>) -> Result<BTreeSet<String>, BookError> {
    let visit = app.book.visit(unknown.body.visit)?;
    let planting = match visit {
        Some(visit) => app.book.planting(visit.body.planting)?,
        None => None,
    };
    Ok(planting.map_or_else(BTreeSet::new, |planting| {
        genera_sown(&app.key, &planting.body)
    }))
}

/// What something counts as.
pub(crate) fn resolve(what: &Counted, unknowns: &Unknowns) -> Label {
    match what {
        Counted::Taxon(id) => taxon_label(id),
        Counted::Unknown(id) => unknowns.get(*id).map_or(Label::Unknown(*id), Known::label),
    }
}
