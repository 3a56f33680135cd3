//! Name it: a plant, and names to choose from; now and then one that misses a part or misleads.
//!
//! In: a taxon, drawn, or a photographed plant. Out: what it is, its figures, and the names in groups:
//! those planted here, those that are taken for them, the others.

use standbook_identify::look_alikes::at_most_confused;
use standbook_key::{LeafStage, LookAlikeOf, Role, Taxon};
use standbook_practice::specimen::{Odd, Specimen};

use super::asked::Stop;
use super::decides::look_alikes;
use super::drawn::{Figure, parts, plain, view_of_part, view_words, views};
use super::photo::Photographed;
use crate::app::App;
use crate::plant::HARD;

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
    /// Whether the page folds it away at first.
    pub folded: bool,
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
    pub fn figures(&self) -> Vec<Figure> {
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
            .filter_map(|(number, view)| plain(specimen, view, &format!("q{number}")))
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

/// The names to choose from. `mix`: ids of what is planted where she works; those the key calls planted
/// where that is not known.
pub(super) fn groups(app: &App, mix: &[String], stage: LeafStage) -> Vec<Group> {
    let is_planted = |taxon: &Taxon| match mix.is_empty() {
        true => taxon.role == Role::Planted,
        false => mix.iter().any(|id| taxon.id == *id),
    };
    let planted: Vec<&Taxon> = app.key.taxa.iter().filter(|t| is_planted(t)).collect();
    let names = |one: &Taxon, other: &Taxon| {
        one.look_alikes
            .iter()
            .any(|note| note.other == LookAlikeOf::Taxon(other.id.clone()))
    };
    let is_alike = |taxon: &Taxon| {
        planted.iter().any(|one| {
            let rows = [one.id.as_str(), taxon.id.as_str()].map(|id| app.table.row_index(id));
            let hard = match rows {
                [Some(a), Some(b)] => at_most_confused(&app.table, a, b, stage) > HARD,
                _ => false,
            };
            hard || names(one, taxon) || names(taxon, one)
        })
    };
    let (alike, others): (Vec<&Taxon>, Vec<&Taxon>) = app
        .key
        .taxa
        .iter()
        .filter(|taxon| !is_planted(taxon))
        .partition(|taxon| is_alike(taxon));
    let group = |title, taxa: Vec<&Taxon>, folded| {
        let mut names: Vec<(String, String, String)> = taxa
            .iter()
            .map(|t| (t.id.to_string(), t.common_name.clone(), t.scientific_name.clone()))
            .collect();
        names.sort_by_key(|(_, common, _)| common.to_lowercase());
        Group {
            title,
            names,
            folded,
        }
    };
    let mut groups = vec![
        group("Planted", planted.clone(), false),
        group("Taken for them", alike, false),
        group("Others of the key", others, true),
    ];
    groups.retain(|group| !group.names.is_empty());
    groups
}
