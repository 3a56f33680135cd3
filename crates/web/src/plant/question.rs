//! The look on the walk's page: the question, where on the plant, the states as cards.

use standbook_identify::Planted;
use standbook_key::Trait;

use crate::app::App;
use crate::picture;
use crate::plant::verdict;
use crate::plant::walk::Walk;

/// A state to press.
#[derive(Debug, Clone)]
pub struct StateView {
    /// Value of the field `a`.
    pub value: String,
    /// Name.
    pub name: String,
    /// What it looks like.
    pub looks: String,
    /// Its drawing: an `svg` element; none for a state that nobody has drawn.
    pub drawing: Option<String>,
}

/// The look on the page.
#[derive(Debug, Clone)]
pub struct Question {
    /// Trait id.
    pub id: String,
    /// The question.
    pub question: String,
    /// Where on the plant.
    pub where_on_plant: String,
    /// What to do with the plant.
    pub how: String,
    /// Tools in words; empty when none is needed.
    pub needs: String,
    /// Its states; none for a measure.
    pub states: Vec<StateView>,
    /// Unit of a measure.
    pub unit: Option<String>,
    /// What was typed and could not be taken.
    pub typed: String,
    /// Whether the program proposed it, rather than the scout picked it.
    pub proposed: bool,
    /// What each state would lead to.
    pub would_say: Vec<(String, String)>,
    /// Whether colour: supports, never decides.
    pub supports_only: bool,
    /// Where on the plant, drawn.
    pub locator: Option<String>,
    /// What to measure, drawn.
    pub measure: Option<String>,
    /// How its answers are laid out.
    pub cards: Cards,
    /// Whether it stands on the page for out of reach, which shows and hides it by a script.
    pub away: bool,
}

/// How answers are laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cards {
    /// Words only, one below the other: not every state is drawn.
    Words,
    /// Two drawings across on a phone.
    Pairs,
    /// Three across on a phone, so that all are seen at once.
    Threes,
}

impl Cards {
    /// For the states of one trait.
    fn of(states: &[StateView]) -> Cards {
        match states.len() {
            _ if states.iter().any(|state| state.drawing.is_none()) => Cards::Words,
            3 | 5 | 6 => Cards::Threes,
            _ => Cards::Pairs,
        }
    }

    /// Whether they are drawn.
    pub fn drawn(self) -> bool {
        self != Cards::Words
    }

    /// Its classes in the style sheet.
    pub fn class(self) -> &'static str {
        match self {
            Cards::Words => "answers",
            Cards::Pairs => "answers cards",
            Cards::Threes => "answers cards threes",
        }
    }
}

/// The look at a trait in a walk, with its states as cards.
pub(super) fn question(
    app: &App,
    walk: &Walk,
    at: usize,
    proposed: bool,
    planted: Planted,
) -> Question {
    let plain = plain(app, at);
    Question {
        typed: walk
            .typed
            .as_ref()
            .filter(|(of, _)| *of == plain.id)
            .map(|(_, typed)| typed.clone())
            .unwrap_or_default(),
        proposed,
        would_say: verdict::would_say(app, &walk.evidence, at, planted),
        away: false,
        ..plain
    }
}

/// The look at a trait for a page that a phone carries out of reach: of no walk yet.
pub(super) fn plain(app: &App, at: usize) -> Question {
    let id = app.table.traits[at].id.to_string();
    // A trait of the table is always one of the key it was compiled from.
    let one = app.key.trait_by_id(&id);
    let text = |f: fn(&Trait) -> &str| one.map_or_else(String::new, |t| f(t).to_owned());
    let states = one.map(state_views).unwrap_or_default();
    Question {
        question: text(|t| &t.question),
        where_on_plant: text(|t| &t.where_on_plant),
        how: text(|t| &t.how),
        needs: one.map_or_else(String::new, |t| {
            t.needs
                .iter()
                .map(|n| n.name())
                .collect::<Vec<_>>()
                .join(", ")
        }),
        locator: one.and_then(|t| picture::where_on_plant(t, "w")),
        measure: one.and_then(|t| picture::measure(t, "w")),
        cards: Cards::of(&states),
        states,
        unit: one.and_then(|t| t.measure()).map(|m| m.unit.clone()),
        typed: String::new(),
        proposed: true,
        would_say: Vec::new(),
        supports_only: one.is_some_and(|t| !t.decides),
        away: true,
        id,
    }
}

fn state_views(one: &Trait) -> Vec<StateView> {
    one.states()
        .iter()
        .map(|state| StateView {
            value: format!("{}:{}", one.id, state.id),
            name: state.name.clone(),
            looks: state.looks.clone(),
            drawing: picture::of_state(one, state.id.as_str(), "w"),
        })
        .collect()
}
