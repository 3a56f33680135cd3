//! A specimen on a page: its views, what can be read off each, and figures with words or without.
//!
//! In: a specimen, a view, a trait. Out: figures. Before the answer none says what it shows; after it the
//! place of a trait is marked.

use standbook_drawing::{Shown, View};
use standbook_key::{LeafStage, Trait};
use standbook_practice::specimen::Specimen;

use crate::app::App;

/// A figure on a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Figure {
    /// An `svg` element, or the `img` of a photo.
    pub html: String,
    /// What stands under it.
    pub caption: String,
}

/// Traits that are seen in the close-up of a base and nowhere else.
const BASE: &[&str] = &[
    "tiller_base",
    "vernation",
    "sheath_keel",
    "sheath_closure",
    "base_color",
];

/// The same of a collar.
const COLLAR: &[&str] = &[
    "ligule_type",
    "ligule_length",
    "ligule_edge",
    "ligule_texture",
    "auricles",
    "collar_hairs",
    "sheath_edge_hairs",
];

/// The same of the seed, on plants that have made more than their first leaves; on younger ones the husk
/// is drawn at the root as well.
const SEED: &[&str] = &["seed_attached"];

/// The parts that a plant of a stage can miss, with the traits seen on each only.
pub(super) fn parts(stage: LeafStage) -> &'static [&'static [&'static str]] {
    match stage {
        LeafStage::OneLeaf => &[],
        LeafStage::FewLeaves => &[BASE, COLLAR],
        LeafStage::Tillering | LeafStage::Heading => &[BASE, COLLAR, SEED],
    }
}

/// The view of a part that is missed.
pub(super) fn view_of_part(part: usize) -> View {
    match part {
        0 => View::Base,
        1 => View::Collar,
        _ => View::Seed,
    }
}

/// The views of a plant of a stage: near ones first, in which a trait is read more easily. A plant of one
/// leaf has no shoot of several leaves to cut, and no collar to pull back.
pub(super) fn views(stage: LeafStage) -> Vec<View> {
    let whole = View::Seedling(stage);
    match stage {
        LeafStage::OneLeaf => vec![View::Seed, whole],
        _ => vec![View::Base, View::Collar, View::Seed, whole],
    }
}

/// What is drawn, for people.
pub(super) fn view_words(view: View) -> &'static str {
    match view {
        View::Seedling(_) => "The whole plant",
        View::Base => "Base of a shoot, and the shoot cut across",
        View::Collar => "Collar, with the blade pulled back",
        View::Seed => "What is at the root",
    }
}

/// What a specimen shows, as drawings take it.
pub(super) fn shown(specimen: &Specimen) -> Shown {
    specimen
        .shows
        .iter()
        .map(|(k, v)| (k.clone(), v.clone()))
        .collect()
}

/// Whether a trait can be read off a view of this very specimen: with any other of its states the drawing
/// would differ. Colours can't, for drawings have none.
pub(super) fn can_read(view: View, specimen: &Specimen, one: &Trait) -> bool {
    let id = one.id.as_str();
    let number = u64::from(specimen.seed);
    let plant = shown(specimen);
    if !one.decides || one.states().len() < 2 || plant.of(id).is_none() {
        return false;
    }
    let Some(own) = view.draw(&plant, number) else {
        return false;
    };
    view.marked(&plant, number, id).is_some()
        && one.states().iter().all(|state| {
            if plant.is(id, state.id.as_str()) {
                return true;
            }
            let mut other = specimen.clone();
            other.shows.insert(id.to_owned(), state.id.to_string());
            view.draw(&shown(&other), number).as_ref() != Some(&own)
        })
}

/// The view in which a trait is best read off a specimen.
pub(super) fn view_for(specimen: &Specimen, one: &Trait) -> Option<View> {
    let mut views = views(specimen.stage).into_iter();
    views.find(|view| can_read(*view, specimen, one))
}

/// A view of a specimen about which nothing is said. `place` makes it unique on the page.
pub(super) fn plain(specimen: &Specimen, view: View, place: &str) -> Option<Figure> {
    let drawing = view.draw(&shown(specimen), u64::from(specimen.seed))?;
    let what = view_words(view);
    let html = drawing.inline(
        place,
        &format!("A drawn plant. {what}"),
        "What it shows is what is asked.",
    );
    Some(Figure {
        html,
        caption: what.to_owned(),
    })
}

/// A view of a specimen with the place of a trait marked, and said in words.
pub(super) fn marked(
    app: &App,
    specimen: &Specimen,
    view: View,
    one: &Trait,
    place: &str,
) -> Option<Figure> {
    let number = u64::from(specimen.seed);
    let drawing = view.marked(&shown(specimen), number, one.id.as_str())?;
    let (common, _) = crate::words::taxon_name(app, &specimen.taxon);
    let state = specimen
        .shows_of(one.id.as_str())
        .and_then(|id| one.states().get(one.state_index(id)?))
        .map_or("", |state| state.name.as_str());
    let html = drawing.inline(
        place,
        &format!("{common}: {}, {state}", one.name),
        &format!("A broken line goes round the place: {}", one.where_on_plant),
    );
    Some(Figure {
        html,
        caption: format!("{}: {state}", one.name),
    })
}
