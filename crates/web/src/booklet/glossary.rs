//! Every trait with its states, drawn; then the words of the trade.

use standbook_key::Key;

use super::symbols::Symbols;
use crate::plant::terms::{See, TERMS};

/// A trait.
pub struct Entry {
    pub id: String,
    pub name: String,
    pub question: String,
    pub place: String,
    pub how: String,
    pub needs: String,
    /// Where on the plant.
    pub locator: Option<String>,
    pub supports_only: bool,
    /// What to measure, and its unit.
    pub measure: Option<(Option<String>, String)>,
    /// Drawing, name, what it looks like.
    pub states: Vec<(Option<String>, String, String)>,
}

/// A word of the trade, and the trait that shows it: id and name.
pub struct Word {
    pub word: &'static str,
    pub means: &'static str,
    pub see: Option<(String, String)>,
}

pub fn entries(key: &Key, symbols: &mut Symbols) -> Vec<Entry> {
    key.traits
        .iter()
        .map(|one| {
            let id = one.id.as_str();
            let needs: Vec<&str> = one.needs.iter().map(|n| n.name()).collect();
            Entry {
                id: id.to_owned(),
                name: one.name.clone(),
                question: one.question.clone(),
                place: one.where_on_plant.clone(),
                how: one.how.clone(),
                needs: needs.join(", "),
                locator: standbook_drawing::locator(id).map(|d| symbols.of(&d)),
                supports_only: !one.decides,
                measure: one.measure().map(|measure| {
                    let drawing = standbook_drawing::measure(id).map(|d| symbols.of(&d));
                    (drawing, measure.unit.clone())
                }),
                states: one
                    .states()
                    .iter()
                    .map(|state| {
                        let drawing = standbook_drawing::state(id, state.id.as_str());
                        let drawing = drawing.map(|d| symbols.of(&d));
                        (drawing, state.name.clone(), state.looks.clone())
                    })
                    .collect(),
            }
        })
        .collect()
}

pub fn words(key: &Key) -> Vec<Word> {
    TERMS
        .iter()
        .map(|term| {
            let id = match term.see {
                See::Nothing => None,
                See::Place(id) | See::State(id, _) => Some(id),
            };
            let see = id.and_then(|id| key.trait_by_id(id));
            Word {
                word: term.word,
                means: term.means,
                see: see.map(|one| (one.id.to_string(), one.name.clone())),
            }
        })
        .collect()
}
