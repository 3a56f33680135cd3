//! Plants of a visit that can be asked about.
//!
//! In: a visit. Out: its plants with a name that nobody disputes and that is a species of the key, without
//! *cf.* or *aff.*: kinds that can be drawn. Those that a reviewer settled besides (`desk::settled`) can be
//! asked about by their own photos.

use standbook_fieldbook::named::Called;
use standbook_fieldbook::record::{Determination, Photo};
use standbook_fieldbook::{Entry, RecordId};
use standbook_key::LeafStage;

use crate::app::App;
use crate::desk::names::standing;
use crate::desk::settled::{Settled, settled};
use crate::failure::Failure;
use crate::stand::resolve::{Unknowns, in_order};

/// A plant whose name stands.
#[derive(Debug, Clone)]
pub(super) struct Plant {
    /// As the scout recorded it.
    pub plant: Entry<Determination>,
    /// What it is.
    pub taxon: String,
    /// What a reviewer settled; `None`: only the scout named it.
    pub settled: Option<Settled>,
    /// In the order taken; may be none.
    pub photos: Vec<Entry<Photo>>,
}

impl Plant {
    /// How far it had grown when it was looked at.
    pub fn stage(&self) -> LeafStage {
        LeafStage::from_id(&self.plant.body.evidence.leaf_stage).unwrap_or(LeafStage::FewLeaves)
    }

    /// Whether it waits for a reviewer: it has photos, and one person's word for its name.
    pub fn waits(&self) -> bool {
        self.settled.is_none() && !self.photos.is_empty()
    }
}

/// Those of a visit, in the order recorded.
pub(super) fn of_visit(app: &App, visit: RecordId) -> Result<Vec<Plant>, Failure> {
    let plants = app.book.determinations(visit)?;
    let unknowns = Unknowns::read(app, plants.iter().filter_map(|plant| plant.body.unknown))?;
    let mut standing_ones = Vec::new();
    for plant in plants {
        let opinions = in_order(app.book.opinions(plant.id)?);
        let unknown = plant.body.unknown.and_then(|id| unknowns.get(id));
        let stands = standing(&app.key, &plant, &opinions, unknown);
        let taxon = match stands.called {
            Called::Taxon(id) if !stands.disputed && app.key.taxon(&id).is_some() => id,
            _ => continue,
        };
        standing_ones.push(Plant {
            settled: settled(app, plant.id)?,
            taxon,
            photos: app.book.photos(plant.id)?,
            plant,
        });
    }
    Ok(standing_ones)
}
