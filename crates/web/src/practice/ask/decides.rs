//! What decides between two grasses in a drawing: the trait, how much it says, and who says so.
//!
//! In: drawn specimens, the name they are to be told from. Out: traits with the weight of evidence of what
//! is really drawn, in decibans; sentences in the words of the key, with their source. A trait that says
//! next to nothing is never called deciding.

use standbook_drawing::View;
use standbook_identify::look_alikes::{at_most_confused, contrasts};
use standbook_identify::profile::{Kin, cell};
use standbook_key::{Fact, FactValue, LeafStage, PlantAge, Taxon, Trait};
use standbook_practice::specimen::Specimen;

use super::drawn::view_for;
use super::see::capital;
use crate::app::App;
use crate::plant::{HARD, TELLING_DB, shows};
use crate::practice::asked::are_look_alikes;

/// A trait that can be read off the drawing, and what it says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tells {
    /// The trait.
    pub trait_id: String,
    /// The view in which it is read.
    pub view: View,
    /// Weight of evidence for what the plants are, decibans; below 0 where it misleads.
    pub decibans: f64,
}

impl Tells {
    /// Whether it decides anything.
    pub fn decides(&self) -> bool {
        self.decibans >= TELLING_DB
    }
}

/// What the readable traits of one specimen say for its own name against another's, most telling first.
pub(super) fn for_one(app: &App, plant: &Specimen, other: &str) -> Vec<Tells> {
    told(app, plant, other, |one, of, against| {
        let state = one.state_index(plant.shows_of(one.id.as_str())?)?;
        let view = view_for(plant, one)?;
        Some((view, decibans(*of.get(state)?, *against.get(state)?)))
    })
}

/// What the traits that can be read off both of two specimens, in the same view, say for each being what
/// it is and not the other, most telling first.
pub(super) fn for_both(app: &App, plants: [&Specimen; 2]) -> Vec<Tells> {
    let [here, there] = plants;
    told(app, here, &there.taxon, |one, of, against| {
        let state = |plant: &Specimen| one.state_index(plant.shows_of(one.id.as_str())?);
        let (mine, others) = (state(here)?, state(there)?);
        let view = view_for(here, one)?;
        let said = decibans(*of.get(mine)?, *against.get(mine)?)
            + decibans(*against.get(others)?, *of.get(others)?);
        (view_for(there, one)? == view).then_some((view, said))
    })
}

fn told(
    app: &App,
    plant: &Specimen,
    other: &str,
    say: impl Fn(&Trait, &[f64], &[f64]) -> Option<(View, f64)>,
) -> Vec<Tells> {
    let row = |taxon: &str| app.table.row_index(taxon);
    let (Some(of), Some(against)) = (row(&plant.taxon), row(other)) else {
        return Vec::new();
    };
    let mut all: Vec<Tells> = contrasts(&app.table, of, against, Some(plant.stage))
        .iter()
        .filter_map(|contrast| {
            let id = app.table.traits.get(contrast.trait_index)?.id.as_str();
            let one = app.key.trait_by_id(id)?;
            let (view, decibans) = say(one, &contrast.one, &contrast.other)?;
            Some(Tells {
                trait_id: id.to_owned(),
                view,
                decibans,
            })
        })
        .collect();
    all.sort_by(|a, b| b.decibans.total_cmp(&a.decibans));
    all
}

/// Weight of evidence of what has one chance by one name and another by another (Good 1950).
fn decibans(of: f64, against: f64) -> f64 {
    10.0 * (of / against).log10()
}

/// The names that a taxon is taken for, hardest first, at most six: by what sources say and by what even
/// every look leaves in doubt at the stage.
pub(super) fn look_alikes(app: &App, taxon: &Taxon, stage: LeafStage) -> Vec<String> {
    let Some(row) = app.table.row_index(taxon.id.as_str()) else {
        return Vec::new();
    };
    let said = |other: &Taxon| are_look_alikes(&app.key, taxon.id.as_str(), other.id.as_str());
    let mut alike: Vec<(f64, &Taxon)> = app
        .key
        .taxa
        .iter()
        .filter(|other| other.id != taxon.id)
        .filter_map(|other| {
            let at = app.table.row_index(other.id.as_str())?;
            let confused = at_most_confused(&app.table, row, at, stage);
            (confused > HARD || said(other)).then_some((confused, other))
        })
        .collect();
    alike.sort_by(|a, b| b.0.total_cmp(&a.0));
    let names = alike.into_iter().map(|(_, other)| other.id.to_string());
    names.take(6).collect()
}

/// What a taxon shows of a trait, with a source: `Indiangrass: mostly open.`
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Says {
    /// The sentence.
    pub words: String,
    /// Who says it, in full; empty where nobody does.
    pub source: String,
}

/// Says what the key has of a taxon and a trait, by the source that speaks best for a state: of seedlings
/// before grown plants, published before memory.
pub(super) fn says(app: &App, taxon: &str, one: &Trait, state: Option<&str>) -> Option<Says> {
    let place = app.key.taxa.iter().position(|of| of.id == *taxon)?;
    let of = app.key.taxa.get(place)?;
    let cell = cell(
        &app.key,
        &app.table.modelling,
        &Kin::of(&app.key),
        one,
        place,
    )?;
    let rank = |fact: &&Fact| {
        let says_it = match &fact.value {
            FactValue::State { state: said, .. } => state.is_none_or(|state| *said == *state),
            _ => true,
        };
        let of_seedlings = fact.plant == Some(PlantAge::Seedling);
        (says_it, fact.source != "memory", of_seedlings)
    };
    // Of equals the first in the file, which is how the key lists them.
    let best = of.facts(one.id.as_str()).iter().rev().max_by_key(rank);
    let source = best.and_then(|fact| app.key.sources.get(&fact.source));
    Some(Says {
        words: format!("{}: {}.", capital(&of.common_name), shows(one, of, &cell)),
        source: source.map_or_else(String::new, |source| source.citation.clone()),
    })
}
