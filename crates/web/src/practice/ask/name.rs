//! Name it: a plant, and names to choose from; now and then one that misses a part or misleads.
//!
//! In: a taxon, drawn, or a photographed plant. Out: what it is, its figures, and the names in groups:
//! those planted here, those that are taken for them, the others.

use standbook_key::LeafStage;
use standbook_practice::specimen::{Odd, Specimen};

use super::decides::look_alikes;
use super::drawn::{Figure, parts, plain, view_of_part, view_words, views};
use super::photo::Photographed;
use super::posed::Stop;
use crate::app::App;
use crate::practice::asked::Asked as About;

/// The answer *the name chosen from the list*.
pub(super) const LISTED: &str = "listed";

/// The answer *something that is not planted*: no id of a taxon, and counted as not planted.
pub(crate) const SOMETHING_ELSE: &str = "something_else";

/// A plant to be named.
#[derive(Debug)]
pub(super) enum Name {
    /// A drawn one.
    Drawn(Specimen),
    /// A photo of a plant of the book.
    Photo(Photographed),
}

/// Names under one heading: id, common, scientific.
#[derive(Debug, Clone)]
pub(super) struct Group {
    /// Heading.
    pub title: &'static str,
    /// The names, by common name.
    pub names: Vec<(String, String, String)>,
    /// Whether they are chosen from a list, which is small, rather than pressed.
    pub listed: bool,
}

impl Name {
    /// A drawn plant.
    pub fn drawn(app: &App, taxon: &str, stage: LeafStage, seed: u32) -> Result<Name, Stop> {
        let alike = match app.key.taxon(taxon) {
            Some(taxon) => look_alikes(app, taxon, stage),
            None => Vec::new(),
        };
        let alike: Vec<&str> = alike.iter().map(String::as_str).collect();
        let parts = parts(stage);
        let found = Specimen::found(&app.key, &app.table, taxon, stage, seed, parts, &alike)?;
        Ok(Name::Drawn(found))
    }

    /// A photographed plant.
    pub fn photo(app: &App, photo: &str, plant: &str) -> Result<Name, Stop> {
        Ok(Name::Photo(Photographed::find(app, photo, plant)?))
    }

    /// What it is, id of a taxon.
    pub fn truth(&self) -> &str {
        match self {
            Name::Drawn(specimen) => &specimen.taxon,
            Name::Photo(photo) => &photo.taxon,
        }
    }

    /// The plant as it is shown before the answer: the whole of it first.
    pub fn figures(&self, at: &str) -> Vec<Figure> {
        let specimen = match self {
            Name::Drawn(specimen) => specimen,
            Name::Photo(photo) => return vec![photo.figure()],
        };
        let missing = self.missing();
        views(specimen.stage)
            .into_iter()
            .rev()
            .filter(|view| Some(*view) != missing)
            .enumerate()
            .filter_map(|(number, view)| plain(specimen, view, &format!("{at}{number}")))
            .collect()
    }

    /// What is not to be seen, in words; empty when nothing is missing.
    pub fn missing_words(&self) -> String {
        self.missing().map_or_else(String::new, |view| {
            let what = view_words(view).to_lowercase();
            format!("Not to be seen on this plant: {what}. It is torn off, or soil hides it.")
        })
    }

    /// The view that is left out because the part is missing.
    pub fn missing(&self) -> Option<standbook_drawing::View> {
        match self {
            Name::Drawn(specimen) => match specimen.odd {
                Some(Odd::Missing(part)) => Some(view_of_part(part)),
                _ => None,
            },
            Name::Photo(_) => None,
        }
    }
}

/// The names to choose from: what is planted where she practises for, what is taken for it, the rest.
/// `short`: only what is planted is pressed, on a page that holds much else.
pub(super) fn groups(app: &App, about: &About, short: bool) -> Vec<Group> {
    let group = |title, fits: &dyn Fn(&str) -> bool, listed| {
        let mut names: Vec<(String, String, String)> = app
            .key
            .taxa
            .iter()
            .filter(|taxon| fits(taxon.id.as_str()))
            .map(|taxon| {
                let names = (&taxon.common_name, &taxon.scientific_name);
                (taxon.id.to_string(), names.0.clone(), names.1.clone())
            })
            .collect();
        names.sort_by_key(|(_, common, _)| common.to_lowercase());
        Group {
            title,
            names,
            listed,
        }
    };
    let planted = |id: &str| about.planted.contains(id);
    let alike = |id: &str| about.others.contains(id);
    let mut groups = vec![
        group("Planted", &planted, false),
        group("Taken for them", &alike, short),
        group("Others of the key", &|id| !planted(id) && !alike(id), true),
    ];
    groups.retain(|group| !group.names.is_empty());
    groups
}
