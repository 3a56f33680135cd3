//! See the trait: which state does this plant show?
//!
//! In: a trait and a plant, drawn or photographed. Out: what is true of it, and where that is seen.

use standbook_drawing::View;
use standbook_key::{LeafStage, Trait};
use standbook_practice::specimen::Specimen;

use super::drawn::{Figure, plain, view_for};
use super::photo::Photographed;
use super::posed::Stop;
use crate::app::App;
use crate::picture;

/// A plant whose trait is asked for.
#[derive(Debug)]
pub(super) struct See {
    /// The trait.
    pub trait_id: String,
    /// The state that it shows.
    pub truth: String,
    /// The plant.
    pub plant: Plant,
}

/// A plant as it is shown.
#[derive(Debug)]
pub(super) enum Plant {
    /// Drawn, in the view in which the trait is read.
    Drawn(Specimen, View),
    /// The part alone, close up: of traits that no view of a whole plant or part can show.
    Close(Specimen),
    /// A photo of a plant of the book.
    Photo(Photographed),
}

/// An answer to press.
#[derive(Debug, Clone)]
pub(super) struct Choice {
    /// Value of the field.
    pub value: String,
    /// Name.
    pub name: String,
    /// What it looks like, in a line; may be empty.
    pub looks: String,
    /// Its drawing, with the book open.
    pub drawing: Option<String>,
}

impl See {
    /// A drawn plant. Of plants that happen not to have the trait (a ligule's edge, where the ligule is a
    /// row of hairs) the next is taken, up to [`TRIES`].
    pub fn drawn(
        app: &App,
        trait_id: &str,
        taxon: &str,
        stage: LeafStage,
        seed: u32,
    ) -> Result<See, Stop> {
        let one = trait_of(app, trait_id)?;
        if !one.visible_at(stage) {
            return Err(Stop::cannot(format!(
                "{} can\u{2019}t be seen on a plant of this stage ({}).",
                capital(&one.name),
                stage.name()
            )));
        }
        let mut close = None;
        for seed in tries(seed) {
            let specimen = Specimen::grown(&app.key, &app.table, taxon, stage, seed)?;
            let Some(truth) = specimen.shows_of(trait_id).map(str::to_owned) else {
                continue;
            };
            let see = |plant| See {
                trait_id: trait_id.to_owned(),
                truth: truth.clone(),
                plant,
            };
            match view_for(&specimen, one) {
                Some(view) => return Ok(see(Plant::Drawn(specimen, view))),
                None if standbook_drawing::state(trait_id, &truth).is_some() && one.decides => {
                    close.get_or_insert(see(Plant::Close(specimen)));
                }
                None => {}
            }
        }
        close.ok_or_else(|| {
            let (common, _) = crate::words::taxon_name(app, taxon);
            Stop::cannot(format!(
                "{} can\u{2019}t be read off a drawing of {common}, or nothing is recorded of it.",
                capital(&one.name)
            ))
        })
    }

    /// A photographed plant.
    pub fn photo(app: &App, trait_id: &str, photo: &str, plant: &str) -> Result<See, Stop> {
        let one = trait_of(app, trait_id)?;
        let plant = Photographed::find(app, photo, plant)?;
        let Some(truth) = plant
            .state_of(trait_id)
            .filter(|id| one.state_index(id).is_some())
        else {
            return Err(Stop::cannot(format!(
                "No reviewer said of this plant what it shows: {}.",
                one.name
            )));
        };
        Ok(See {
            trait_id: trait_id.to_owned(),
            truth,
            plant: Plant::Photo(plant),
        })
    }

    /// The plant as it is shown before the answer.
    pub fn figures(&self, at: &str) -> Vec<Figure> {
        match &self.plant {
            Plant::Drawn(specimen, view) => plain(specimen, *view, at).into_iter().collect(),
            Plant::Close(_) => self
                .close_up(at, "A drawn plant. The part, close up")
                .into_iter()
                .collect(),
            Plant::Photo(photo) => vec![photo.figure()],
        }
    }

    /// The part alone.
    pub fn close_up(&self, place: &str, title: &str) -> Option<Figure> {
        let drawing = standbook_drawing::state(&self.trait_id, &self.truth)?;
        Some(Figure {
            html: drawing.inline(place, title, "What it shows is what is asked."),
            caption: "The part, close up".to_owned(),
        })
    }

    /// What can be answered, in the key's order; with drawings when the book is open, except where
    /// they would be the very drawing that is asked about.
    pub fn choices(&self, one: &Trait, with_book: bool) -> Vec<Choice> {
        let with_book = with_book && !matches!(self.plant, Plant::Close(_));
        let choice = |state: &standbook_key::State| Choice {
            value: state.id.to_string(),
            name: state.name.clone(),
            looks: state.looks.clone(),
            drawing: with_book
                .then(|| picture::of_state(one, state.id.as_str(), "s"))
                .flatten(),
        };
        one.states().iter().map(choice).collect()
    }
}

/// So many specimens are looked at.
const TRIES: u32 = 24;

/// A seed and those that are taken where its plant won't do. By odd steps, so that all differ.
pub(super) fn tries(seed: u32) -> impl Iterator<Item = u32> {
    (0..TRIES).map(move |number| seed.wrapping_add(number.wrapping_mul(0x9e37_79b9)))
}

/// A trait of the key that has states.
pub(super) fn trait_of<'a>(app: &'a App, id: &str) -> Result<&'a Trait, Stop> {
    let found = app.key.trait_by_id(id);
    found
        .filter(|one| one.states().len() > 1)
        .ok_or_else(|| Stop::cannot(format!("`{id}` is no trait of this key that has states.")))
}

/// With a capital in front.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
