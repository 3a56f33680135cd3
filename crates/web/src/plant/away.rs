//! The walk on the one page that a phone carries out of reach.
//!
//! In: a visit. Out: every look of the key as a card that a script shows and hides, the form
//! that saves a plant, and the words that the script puts answers and names into. What is said of
//! a plant is computed by the script from the table (`static/pocket`); what is kept is worked out
//! again by the laptop from the answers (`save`).

use std::collections::BTreeMap;

use askama::Template;
use serde::Serialize;
use standbook_fieldbook::{BookError, RecordId};
use standbook_key::{LeafStage, Need, TraitClass};

use super::question::{Question, plain};
use super::show::{CLASSES, SaveFields, taxa, unknown_choices};
use super::verdict::Verdict;
use crate::app::App;
use crate::here::Here;
use crate::photos::form::PhotoForm;
use crate::words::outcome_words;

/// Everything of a walk that a script shows and hides.
#[derive(Template)]
#[template(path = "plant/away.html")]
pub(crate) struct AwayPlant {
    looks: Vec<Question>,
    stages: Vec<(&'static str, &'static str, bool)>,
    tools: Vec<(&'static str, &'static str, bool)>,
    /// Where the form of a saved plant goes is the script's to say.
    point: &'static str,
    fields: Vec<(String, String)>,
    corrects: bool,
    verdict: Option<Verdict>,
    unknowns: Vec<(String, String, bool)>,
    next_unknown: u32,
    unknown_id: String,
    taxa: Vec<(String, String)>,
    save: SaveFields,
    photos: PhotoForm,
}

/// For a visit.
pub(crate) fn plant(app: &App, here: &Here, visit: RecordId) -> Result<AwayPlant, BookError> {
    let unknowns = app.book.unknowns(visit)?;
    Ok(AwayPlant {
        looks: (0..app.table.traits.len())
            .map(|at| plain(app, at))
            .collect(),
        stages: LeafStage::ALL
            .iter()
            .map(|&(id, _, name)| (id, name, false))
            .collect(),
        tools: Need::ALL
            .iter()
            .map(|&(id, _, name)| (id, name, true))
            .collect(),
        point: "",
        fields: Vec::new(),
        corrects: false,
        verdict: None,
        unknowns: unknown_choices(&unknowns, None),
        next_unknown: app.book.next_unknown_number(visit)?,
        unknown_id: String::new(),
        taxa: taxa(app),
        save: SaveFields {
            taxon: "none".to_owned(),
            scout: here.scout.clone().unwrap_or_default(),
            ..SaveFields::default()
        },
        // The script names the plant.
        photos: PhotoForm::before_saving(RecordId::new()),
    })
}

/// What the key calls a trait, and what a measure of it may be.
#[derive(Debug, Serialize)]
struct TraitWords {
    name: String,
    class: TraitClass,
    /// Names of the states by id.
    states: BTreeMap<String, String>,
    /// Unit, smallest and largest sensible value.
    measure: Option<(String, f64, f64)>,
}

/// The words of the key, by id.
#[derive(Debug, Serialize)]
pub(crate) struct Words {
    /// Common and scientific names.
    taxa: BTreeMap<String, (String, String)>,
    groups: BTreeMap<String, String>,
    traits: BTreeMap<String, TraitWords>,
    /// Classes of traits in the order of looking.
    classes: [(TraitClass, &'static str); 6],
    outcomes: BTreeMap<&'static str, String>,
    stages: BTreeMap<&'static str, &'static str>,
    tools: BTreeMap<&'static str, &'static str>,
}

/// The words of the key in use.
pub(crate) fn words(app: &App) -> Words {
    let key = &app.key;
    Words {
        taxa: key
            .taxa
            .iter()
            .map(|t| {
                (
                    t.id.to_string(),
                    (t.common_name.clone(), t.scientific_name.clone()),
                )
            })
            .collect(),
        groups: key
            .groups
            .iter()
            .map(|g| (g.id.to_string(), g.name.clone()))
            .collect(),
        traits: key
            .traits
            .iter()
            .map(|one| {
                let states = one.states().iter();
                let words = TraitWords {
                    name: one.name.clone(),
                    class: one.class,
                    states: states
                        .map(|state| (state.id.to_string(), state.name.clone()))
                        .collect(),
                    measure: one.measure().map(|m| (m.unit.clone(), m.lowest, m.highest)),
                };
                (one.id.to_string(), words)
            })
            .collect(),
        classes: CLASSES,
        outcomes: [
            "settled",
            "leaning",
            "split_between",
            "not_in_this_key",
            "too_little_seen",
        ]
        .map(|id| (id, outcome_words(id)))
        .into(),
        stages: LeafStage::ALL
            .iter()
            .map(|&(id, _, name)| (id, name))
            .collect(),
        tools: Need::ALL.iter().map(|&(id, _, name)| (id, name)).collect(),
    }
}
