//! Which determinations the office's list shows, and in which order.
//!
//! First what settling would change most: the chance that the count has a plant on the wrong side
//! times the readings that rest on it (`rests`). Where that is the same, outcomes that give no one
//! name come first, then *leaning*, then *settled*; within each the lowest probability of the leading
//! name. The engine's outcome at the time is what sorts, so that the order does not move while a
//! reviewer works through it.
//!
//! Not here: reading a visit's plants (`visits`).

use std::collections::HashMap;

use standbook_fieldbook::record::Determination;
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::names::Standing;
use super::rests::Weight;
use super::visits::Shown;
use crate::api::PlantInDoubt;
use crate::app::App;
use crate::form::Form;

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
    /// `plot` or `unknown`: what stands together; else one list.
    pub group: String,
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
            group: get("group"),
        }
    }

    /// Whether anything was asked for.
    pub fn is_any(&self) -> bool {
        !self.query().is_empty()
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
            ("group", &self.group),
        ] {
            if !value.is_empty() {
                query.append_pair(name, value);
            }
        }
        let query = query.finish();
        if query.is_empty() { query } else { query + "&" }
    }

    /// What a plant stands under; empty: nothing.
    pub fn group_of<'l>(&self, one: &'l Listed) -> &'l str {
        match self.group.as_str() {
            "plot" => &one.plot,
            "unknown" => one.of_unknown.as_deref().unwrap_or("No unknown"),
            _ => "",
        }
    }

    fn fits(&self, one: &Listed) -> bool {
        let which = match self.which.as_str() {
            "open" => !one.second,
            "disputed" => one.stands.disputed,
            _ => true,
        };
        let plant = &one.plant;
        let taxon = self.taxon.is_empty() || one.stands.called.taxon() == Some(&self.taxon);
        let outcome = self.outcome.is_empty() || plant.body.evidence.outcome == self.outcome;
        let scout = self.scout.is_empty() || plant.author.trim() == self.scout;
        which && taxon && outcome && scout
    }
}

/// A determination of the list.
#[derive(Debug)]
pub(super) struct Listed {
    /// The name of its plot.
    pub plot: String,
    /// The unknown it was made for: `unknown 3: hairy, flat base`.
    pub of_unknown: Option<String>,
    /// The determination, without answers and ranking.
    pub plant: Entry<Determination>,
    /// Probability of the leading name, 0 to 1.
    pub leading: f64,
    /// How its name stands.
    pub stands: Standing,
    /// Whether anybody gave a second opinion.
    pub second: bool,
    /// What settling it would change.
    pub weight: Weight,
}

/// Those wanted of the visits shown, in order.
pub(super) fn ranked<'s>(wanted: &Wanted, shown: &'s Shown) -> Vec<&'s Listed> {
    let all = shown.visits.iter().flat_map(|(_, visit)| &visit.plants);
    let mut list: Vec<&Listed> = all.filter(|one| wanted.fits(one)).collect();
    list.sort_by(|a, b| {
        b.weight
            .share()
            .total_cmp(&a.weight.share())
            .then(sureness(a).cmp(&sureness(b)))
            .then(a.leading.total_cmp(&b.leading))
            .then(a.plant.id.cmp(&b.plant.id))
    });
    // Groups in the order of what stands first in each; within each the order stays.
    let mut places: HashMap<&str, usize> = HashMap::new();
    for one in &list {
        let next = places.len();
        places.entry(wanted.group_of(one)).or_insert(next);
    }
    list.sort_by_key(|one| places.get(wanted.group_of(one)).copied());
    list
}

/// The plants that stand first in the office's list, of one visit or of those it shows.
pub(crate) fn in_doubt(
    app: &App,
    visit: Option<RecordId>,
    limit: usize,
) -> Result<Vec<PlantInDoubt>, BookError> {
    let shown = Shown::read(app, visit)?;
    let list = ranked(&Wanted::default(), &shown);
    Ok(list.into_iter().take(limit).map(in_short).collect())
}

fn in_short(one: &Listed) -> PlantInDoubt {
    PlantInDoubt {
        determination: one.plant.id,
        point: one.plant.body.point,
        called: (&one.stands.called).into(),
        name: one.stands.called.name().map(str::to_owned),
        leading: one.leading,
        outcome: one.plant.body.evidence.outcome.clone(),
        wrong: one.weight.wrong,
        readings: one.weight.readings,
        of: one.weight.of,
        disputed: one.stands.disputed,
        second_opinion: one.second,
    }
}

/// 0 for outcomes without one name, 1 for leaning, 2 for settled.
fn sureness(one: &Listed) -> u8 {
    match one.plant.body.evidence.outcome.as_str() {
        "settled" => 2,
        "leaning" => 1,
        _ => 0,
    }
}
