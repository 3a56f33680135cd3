//! Which determinations the office's list shows, and in which order.
//!
//! First what settling would change most: the chance that the count has a plant on the wrong side
//! times the readings that rest on it (`rests`). Where that is the same, outcomes that give no one
//! name come first, then *leaning*, then *settled*; within each the lowest probability of the leading
//! name. The engine's outcome at the time is what sorts, so that the order does not move while a
//! reviewer works through it.
//!
//! Questions to the book grow with plantings, visits and corrections, not with determinations.

use std::collections::HashMap;

use standbook_fieldbook::record::{Determination, Opinion};
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::names::{Standing, standing};
use super::rests::{Rests, Weight};
use crate::app::App;
use crate::form::Form;
use crate::stand::resolve::{Unknowns, in_order};

/// What a reviewer asked for.
#[derive(Debug, Clone, Default)]
pub(super) struct Wanted {
    /// The visit; none: all.
    pub visit: Option<RecordId>,
    /// `open`: without a second opinion; `disputed`; else all.
    pub which: String,
    /// The scout's name; empty: anybody's.
    pub scout: String,
    /// The current name, as a taxon id; empty: any.
    pub taxon: String,
    /// The outcome then, as an id; empty: any.
    pub outcome: String,
    /// Whether names are hidden from a reviewer who looks blind.
    pub blind: bool,
}

impl Wanted {
    /// As an address asks, apart from the visit.
    pub fn read(query: &Form, visit: Option<RecordId>) -> Wanted {
        let get = |name: &str| query.get(name).to_owned();
        Wanted {
            visit,
            which: get("which"),
            scout: get("scout"),
            taxon: get("taxon"),
            outcome: get("outcome"),
            blind: query.get("names") == "hidden",
        }
    }

    /// The query that asks the same; ends with `&` or is empty.
    pub fn query(&self) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        let visit = self.visit.map(|id| id.to_string()).unwrap_or_default();
        let names = String::from(if self.blind { "hidden" } else { "" });
        for (name, value) in [
            ("visit", &visit),
            ("which", &self.which),
            ("scout", &self.scout),
            ("taxon", &self.taxon),
            ("outcome", &self.outcome),
            ("names", &names),
        ] {
            if !value.is_empty() {
                query.append_pair(name, value);
            }
        }
        let query = query.finish();
        if query.is_empty() { query } else { query + "&" }
    }

    fn fits(&self, plant: &Entry<Determination>, stands: &Standing, second: bool) -> bool {
        let which = match self.which.as_str() {
            "open" => !second,
            "disputed" => stands.disputed,
            _ => true,
        };
        let taxon = self.taxon.is_empty() || stands.called.taxon() == Some(&self.taxon);
        let outcome = self.outcome.is_empty() || plant.body.evidence.outcome == self.outcome;
        let scout = self.scout.is_empty() || plant.author.trim() == self.scout;
        which && taxon && outcome && scout
    }
}

/// A determination of the list.
pub(super) struct Listed {
    /// The determination.
    pub plant: Entry<Determination>,
    /// How its name stands.
    pub stands: Standing,
    /// What settling it would change.
    pub weight: Weight,
}

/// Those wanted, in order. `rests` by visit; `visit_of` gives the visit of a point.
pub(super) fn ranked(
    app: &App,
    wanted: &Wanted,
    rests: &HashMap<RecordId, Rests>,
    mut visit_of: impl FnMut(RecordId) -> Result<Option<RecordId>, BookError>,
) -> Result<Vec<Listed>, BookError> {
    let determinations = match wanted.visit {
        Some(visit) => app.book.determinations(visit)?,
        None => app.book.determinations_all()?,
    };
    let unknowns = Unknowns::read(app, determinations.iter().filter_map(|d| d.body.unknown))?;
    let mut by_about: HashMap<RecordId, Vec<Entry<Opinion>>> = HashMap::new();
    for opinion in in_order(app.book.opinions_all()?) {
        by_about
            .entry(opinion.body.about)
            .or_default()
            .push(opinion);
    }
    let nothing = Rests::default();
    let mut list = Vec::new();
    for plant in determinations {
        let opinions = match plant.supersedes {
            None => by_about.remove(&plant.id).unwrap_or_default(),
            // Opinions may be on earlier versions: ask for the whole chain.
            Some(_) => in_order(app.book.opinions(plant.id)?),
        };
        let unknown = plant.body.unknown.and_then(|id| unknowns.get(id));
        let stands = standing(&app.key, &plant, &opinions, unknown);
        let second = !opinions.is_empty() || unknown.is_some_and(|u| !u.opinions.is_empty());
        if !wanted.fits(&plant, &stands, second) {
            continue;
        }
        let visit = visit_of(plant.body.point)?;
        let rests = visit.and_then(|visit| rests.get(&visit));
        let weight = rests.unwrap_or(&nothing).weight(
            &plant.author,
            plant.body.taxon.as_deref(),
            &plant.body.evidence.ranking,
            unknown.map(|known| known.entry.id),
        );
        list.push(Listed {
            plant,
            stands,
            weight,
        });
    }
    list.sort_by(|a, b| {
        let (a_rank, a_top) = sureness(&a.plant.body);
        let (b_rank, b_top) = sureness(&b.plant.body);
        b.weight
            .share()
            .total_cmp(&a.weight.share())
            .then(a_rank.cmp(&b_rank))
            .then(a_top.total_cmp(&b_top))
            .then(a.plant.id.cmp(&b.plant.id))
    });
    Ok(list)
}

/// 0 for outcomes without one name, 1 for leaning, 2 for settled.
fn sureness(determination: &Determination) -> (u8, f64) {
    let rank = match determination.evidence.outcome.as_str() {
        "settled" => 2,
        "leaning" => 1,
        _ => 0,
    };
    (rank, top_probability(determination))
}

/// Probability of the leading name, 0 to 1.
pub(super) fn top_probability(determination: &Determination) -> f64 {
    determination
        .evidence
        .ranking
        .first()
        .map_or(0.0, |top| top.probability)
}
