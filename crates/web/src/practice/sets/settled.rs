//! Plants of a visit that can be asked about: their names stand, and there is a photo.
//!
//! In: a visit. Out: plants with name, photos, and what reviewers saw in each trait. A name stands when
//! nobody disputes it (`desk::names`) and it is a species of the key, without *cf.* or *aff.*: a question
//! needs one right answer.

use std::collections::BTreeMap;

use standbook_fieldbook::named::{Called, is_same_person};
use standbook_fieldbook::record::{Determination, Opinion, Photo, ValueGiven};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_key::LeafStage;

use crate::app::App;
use crate::desk::names::standing;
use crate::stand::resolve::{Unknowns, in_order};

/// A plant that can be asked about.
#[derive(Debug, Clone)]
pub(super) struct Settled {
    /// As the scout recorded it.
    pub plant: Entry<Determination>,
    /// What it is.
    pub taxon: String,
    /// Whether somebody else than the scout looked at it too.
    pub reviewed: bool,
    /// How the name stands, a few words.
    pub second: String,
    /// In the order taken; may be none.
    pub photos: Vec<Entry<Photo>>,
    /// What the latest reviewer who looked said of each trait, where that was one state.
    pub seen: BTreeMap<String, String>,
}

impl Settled {
    /// How far it had grown when it was looked at.
    pub fn stage(&self) -> LeafStage {
        LeafStage::from_id(&self.plant.body.evidence.leaf_stage).unwrap_or(LeafStage::FewLeaves)
    }
}

/// Those of a visit, in the order recorded.
pub(super) fn of_visit(app: &App, visit: RecordId) -> Result<Vec<Settled>, BookError> {
    let plants = app.book.determinations(visit)?;
    let unknowns = Unknowns::read(app, plants.iter().filter_map(|plant| plant.body.unknown))?;
    let mut settled = Vec::new();
    for plant in plants {
        let opinions = in_order(app.book.opinions(plant.id)?);
        let unknown = plant.body.unknown.and_then(|id| unknowns.get(id));
        let stands = standing(&app.key, &plant, &opinions, unknown);
        let taxon = match stands.called {
            Called::Taxon(id) if !stands.disputed && app.key.taxon(&id).is_some() => id,
            _ => continue,
        };
        let of_unknown = unknown.map_or(&[][..], |known| known.opinions.as_slice());
        let mut others: Vec<&Entry<Opinion>> = opinions
            .iter()
            .chain(of_unknown)
            .filter(|opinion| !is_same_person(&opinion.author, &plant.author))
            .collect();
        others.sort_by(|a, b| a.born_at.cmp(&b.born_at).then(a.id.cmp(&b.id)));
        settled.push(Settled {
            taxon,
            reviewed: !others.is_empty(),
            second: stands.second,
            photos: app.book.photos(plant.id)?,
            seen: seen(&others),
            plant,
        });
    }
    Ok(settled)
}

/// Later reviewers write over earlier ones: theirs is the last word.
fn seen(opinions: &[&Entry<Opinion>]) -> BTreeMap<String, String> {
    let mut seen = BTreeMap::new();
    for evidence in opinions.iter().filter_map(|one| one.body.evidence.as_ref()) {
        for answer in &evidence.answers {
            match &answer.value {
                ValueGiven::States(states) if states.len() == 1 => {
                    seen.insert(answer.r#trait.clone(), states.concat());
                }
                // Who saw two states, or could not tell, leaves no one right answer.
                _ => {
                    seen.remove(&answer.r#trait);
                }
            }
        }
    }
    seen
}
