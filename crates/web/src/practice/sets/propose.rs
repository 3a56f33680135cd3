//! Questions that a visit gives: its own plants from their photos, and drawn ones of the same kinds.
//!
//! In: plants of a visit whose names stand, a seed. Out: questions in groups, for the trainer to choose from.
//! Drawn ones are, for each kind that was found: name it; tell it from what it is mistaken for; and see the
//! trait that tells the two apart best at that age (`identify::look_alikes`).
//! Offered as chosen are a photo of each plant that a reviewer settled and, of what is drawn, the kinds that
//! were sown.

use std::collections::BTreeMap;

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::Photo;
use standbook_identify::look_alikes::contrasts;
use standbook_key::LeafStage;
use standbook_practice::Question;

use super::settled::Plant;
use super::words::{state_name, trait_name};
use crate::app::App;
use crate::desk::settled::Settled;
use crate::failure::Failure;
use crate::photos::gallery::{Leading, leading};
use crate::plot::place::Place;
use crate::practice::asked::are_look_alikes;
use crate::words::taxon_name;

/// Look-alikes of one kind that are offered as pairs. No source; more would drown the list.
const PAIRS: usize = 2;

/// A question to choose.
pub(super) struct Offer {
    /// As text.
    pub question: String,
    /// For the trainer.
    pub words: String,
    /// Whether it is chosen unless somebody takes it out.
    pub usual: bool,
}

/// Questions that belong together.
pub(super) struct Group {
    /// `big bluestem: north strip, point 3`.
    pub title: String,
    /// How its name is known, or how old the plants are.
    pub more: String,
    /// Its photo.
    pub photo: Option<Leading>,
    /// Its questions.
    pub offers: Vec<Offer>,
}

/// Groups for settled plants with photos, in the order recorded, then one for each kind drawn: those of the mix
/// first.
pub(super) fn groups(
    app: &App,
    plants: &[Plant],
    mix: &[&str],
    seed: u32,
) -> Result<Vec<Group>, Failure> {
    let mut groups = Vec::new();
    for plant in plants.iter().filter(|plant| !plant.photos.is_empty()) {
        if let Some(settled) = &plant.settled {
            groups.push(of_plant(app, plant, settled)?);
        }
    }
    // A grass stands with the age at which it was met first.
    let mut kinds: BTreeMap<(bool, &str), LeafStage> = BTreeMap::new();
    for plant in plants {
        let taxon = plant.taxon.as_str();
        let kind = kinds.entry((!mix.contains(&taxon), taxon));
        kind.or_insert_with(|| plant.stage());
    }
    let mut seeds = (0..).map(|step| seed.wrapping_add(step));
    for ((other, taxon), stage) in kinds {
        groups.push(drawn(app, taxon, stage, !other, &mut seeds));
    }
    Ok(groups)
}

fn of_plant(app: &App, plant: &Plant, settled: &Settled) -> Result<Group, Failure> {
    let mut offers = Vec::new();
    for photo in &plant.photos {
        let (of, id) = (photo.id.to_string(), plant.plant.id.to_string());
        let shows = match photo.body.shows.as_str() {
            "" => "photo".to_owned(),
            part => format!("photo of the {part}"),
        };
        let named = Question::NamePhoto {
            photo: of.clone(),
            plant: id.clone(),
        };
        offers.push(Offer {
            question: named.to_string(),
            words: format!("Name it, by the {shows}"),
            // One photo a plant is asked to be named from: the next would be known by the first.
            usual: is_leading(&plant.photos, photo),
        });
        for one in &app.key.traits {
            let Some(state) = settled.state_of(one.id.as_str()) else {
                continue;
            };
            let seen = Question::SeePhoto {
                trait_id: one.id.to_string(),
                photo: of.clone(),
                plant: id.clone(),
            };
            offers.push(Offer {
                question: seen.to_string(),
                words: format!(
                    "See the trait, in the {shows}: {} (the reviewer saw: {})",
                    one.name,
                    state_name(app, one.id.as_str(), &state)
                ),
                // Whether it is to be seen there, only a person can say.
                usual: false,
            });
        }
    }
    let place = Place::load(app, plant.plant.body.point)?;
    Ok(Group {
        title: format!("{}: {}", taxon_name(app, &plant.taxon).0, place.words()),
        more: settled.why.clone(),
        photo: leading(app, &plant.photos),
        offers,
    })
}

/// Whether this is the photo that stands for the plant elsewhere too.
fn is_leading(photos: &[Entry<Photo>], photo: &Entry<Photo>) -> bool {
    let whole = photos.iter().find(|one| one.body.shows == "whole plant");
    whole
        .or_else(|| photos.first())
        .is_some_and(|one| one.id == photo.id)
}

fn drawn(
    app: &App,
    taxon: &str,
    stage: LeafStage,
    usual: bool,
    seeds: &mut impl Iterator<Item = u32>,
) -> Group {
    let mut seed = || seeds.next().unwrap_or_default();
    let name = taxon_name(app, taxon).0;
    let mut offers = vec![Offer {
        question: Question::NameIt {
            taxon: taxon.to_owned(),
            stage,
            seed: seed(),
        }
        .to_string(),
        words: "Name it".to_owned(),
        usual,
    }];
    let alike = app.key.taxa.iter().map(|other| other.id.as_str());
    let alike = alike.filter(|other| are_look_alikes(&app.key, taxon, other));
    for (at, other) in alike.take(PAIRS).enumerate() {
        let other_name = taxon_name(app, other).0;
        offers.push(Offer {
            question: Question::TellPair {
                one: taxon.to_owned(),
                other: other.to_owned(),
                stage,
                seed: seed(),
            }
            .to_string(),
            words: format!("Tell the pair: {name} and {other_name}"),
            usual,
        });
        if let (0, Some(trait_id)) = (at, telling(app, taxon, other, stage)) {
            offers.push(Offer {
                words: format!(
                    "See the trait: {}, which best tells it from {other_name}",
                    trait_name(app, &trait_id)
                ),
                question: Question::SeeTrait {
                    trait_id,
                    taxon: taxon.to_owned(),
                    stage,
                    seed: seed(),
                }
                .to_string(),
                usual,
            });
        }
    }
    Group {
        title: format!("{name}, drawn"),
        more: match usual {
            true => format!("sown here; {}", stage.name()),
            false => stage.name().to_owned(),
        },
        photo: None,
        offers,
    }
}

/// The trait with states, recorded of the first, that tells two taxa apart best at a stage.
fn telling(app: &App, one: &str, other: &str, stage: LeafStage) -> Option<String> {
    let row = |id: &str| app.table.row_index(id);
    let best = contrasts(&app.table, row(one)?, row(other)?, Some(stage));
    best.into_iter()
        .filter_map(|contrast| app.table.traits.get(contrast.trait_index))
        .filter_map(|columns| app.key.trait_by_id(columns.id.as_str()))
        .find(|one_trait| {
            let recorded = app.key.taxon(one);
            let recorded = recorded.is_some_and(|t| !t.facts(one_trait.id.as_str()).is_empty());
            one_trait.decides && !one_trait.states().is_empty() && recorded
        })
        .map(|found| found.id.to_string())
}
