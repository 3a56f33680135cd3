//! Plants that somebody else looked at again, and what kind of slip each shows.

use std::collections::{BTreeSet, HashMap};

use standbook_fieldbook::record::{Determination, Opinion};
use standbook_fieldbook::{Entry, RecordId};

use super::super::names::fits;
use crate::app::App;
use crate::evidence::again;
use crate::failure::Failure;
use crate::plot::place::Place;
use crate::stand::resolve::{Label, counts_as, genera_sown, in_order};
use standbook_fieldbook::named::Called;
use standbook_fieldbook::named::is_same_person;

/// What a second look shows of a first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Slip {
    /// None: both can be right.
    None,
    /// Another name than what it is, and her own answers don't lead to what it is.
    Misnamed,
    /// Another name than what it is, although her own answers lead to what it is.
    Miskeyed,
    /// No name, although it has one.
    OverCautious,
}

/// A plant that was looked at again.
#[derive(Debug)]
pub(crate) struct Review {
    /// As the scout recorded it.
    pub plant: Entry<Determination>,
    /// What the scout called it.
    pub called: Called,
    /// The first look of somebody else that was blind.
    pub blind: Option<Entry<Opinion>>,
    /// What it is: the latest word of somebody else.
    pub is: Called,
    /// What the scout's answer shows.
    pub slip: Slip,
    /// Whether the scout's name was sown there; `None` without a name.
    pub called_sown: Option<bool>,
    /// Whether the blind reviewer's name was sown there; `None` where that is left open, or nobody
    /// looked blind.
    pub blind_sown: Option<bool>,
}

/// What was sown where a plant grows.
struct Sown {
    taxa: BTreeSet<String>,
    genera: BTreeSet<String>,
}

/// Reads what was looked at again in a visit, or in all.
pub(super) fn read(app: &App, visit: Option<RecordId>) -> Result<Vec<Review>, Failure> {
    read_of(app, app.book.determinations_reviewed(visit)?)
}

/// The same of one scout's plants, in all visits.
pub(crate) fn by(app: &App, scout: &str) -> Result<Vec<Review>, Failure> {
    read_of(app, app.book.determinations_reviewed_of(scout)?)
}

fn read_of(app: &App, plants: Vec<Entry<Determination>>) -> Result<Vec<Review>, Failure> {
    let mut sown_at: HashMap<RecordId, Sown> = HashMap::new();
    let mut reviews = Vec::new();
    for plant in plants {
        let opinions = in_order(app.book.opinions(plant.id)?);
        let mut others = opinions
            .into_iter()
            .filter(|opinion| !is_same_person(&opinion.author, &plant.author))
            .collect::<Vec<_>>();
        let Some(latest) = others.last() else {
            continue;
        };
        let is = Called::by_opinion(&latest.body);
        let point = plant.body.point;
        let sown = match sown_at.entry(point) {
            std::collections::hash_map::Entry::Occupied(known) => known.into_mut(),
            std::collections::hash_map::Entry::Vacant(new) => {
                let planting = Place::load(app, point)?.planting.body;
                new.insert(Sown {
                    taxa: planting.mix.iter().map(|item| item.taxon.clone()).collect(),
                    genera: genera_sown(&app.key, &planting),
                })
            }
        };
        let called = Called::by_scout(&plant.body);
        let at = others.iter().position(|opinion| opinion.body.blind);
        let blind = at.map(|at| others.swap_remove(at));
        reviews.push(Review {
            slip: slip(app, &plant.body, &called, &is),
            called_sown: called.taxon().map(|id| sown.taxa.contains(id)),
            blind_sown: blind
                .as_ref()
                .and_then(|opinion| counts_as(&opinion.body, &sown.genera))
                .map(|label| matches!(label, Label::Taxon(id) if sown.taxa.contains(&id))),
            plant,
            called,
            blind,
            is,
        });
    }
    Ok(reviews)
}

fn slip(app: &App, plant: &Determination, called: &Called, is: &Called) -> Slip {
    match (called, is) {
        (Called::NoName, Called::Taxon(_) | Called::Compare(_) | Called::Genus(_)) => {
            Slip::OverCautious
        }
        _ if fits(called, is, &app.key) => Slip::None,
        _ => {
            let said = again(&app.key, &app.table, &plant.evidence).said;
            let first = said.ranking.first();
            let leads_to = first.map(|(row, _)| app.table.rows[*row].id.as_str());
            match leads_to.is_some() && leads_to == is.taxon() {
                true => Slip::Miskeyed,
                false => Slip::Misnamed,
            }
        }
    }
}
