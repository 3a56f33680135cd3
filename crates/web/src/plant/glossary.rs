//! The words, drawn: every trait of the key with its states, then the words of the trade.
//!
//! In: the key. Out: one page, complete without a script. A drawing that stands more than once on
//! it is sent once, as a `symbol`.

use std::collections::BTreeMap;
use std::fmt::Write;

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_drawing::Drawing;
use standbook_key::{Key, Trait};

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::picture;
use crate::plant::show::CLASSES;
use crate::plant::terms::{See, TERMS};

/// A state with its drawing.
struct StateEntry {
    name: String,
    looks: String,
    svg: Option<String>,
}

/// A trait with its states.
struct TraitEntry {
    id: String,
    name: String,
    place: String,
    question: String,
    /// Where on the plant.
    locator: Option<String>,
    /// What to measure, and its unit.
    measure: Option<(Option<String>, String)>,
    supports_only: bool,
    states: Vec<StateEntry>,
}

/// Traits of one class.
struct ClassEntry {
    anchor: usize,
    name: &'static str,
    traits: Vec<TraitEntry>,
}

/// A word of the trade.
struct TermEntry {
    word: &'static str,
    means: &'static str,
    /// Its drawing, and the trait that it belongs to: id and name.
    drawn: Option<(String, String, String)>,
}

/// The page.
#[derive(Template)]
#[template(path = "plant/glossary.html")]
struct GlossaryPage {
    shell: Shell,
    title: String,
    symbols: String,
    classes: Vec<ClassEntry>,
    terms: Vec<TermEntry>,
}

/// `GET /key/glossary`
pub async fn glossary(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        html(&page(
            app,
            Shell::new(app, &here, Tab::Plant, "Words, drawn"),
        ))
    })
    .await
}

fn page(app: &App, shell: Shell) -> GlossaryPage {
    let key = &app.key;
    let shared = SharedDrawings::of(key);
    let classes = CLASSES
        .iter()
        .enumerate()
        .map(|(anchor, (class, name))| ClassEntry {
            anchor,
            name,
            traits: key
                .traits
                .iter()
                .filter(|one| one.class == *class)
                .map(|one| trait_entry(one, &shared))
                .collect(),
        })
        .filter(|class| !class.traits.is_empty())
        .collect();
    let terms = TERMS
        .iter()
        .map(|term| TermEntry {
            word: term.word,
            means: term.means,
            drawn: drawn(key, term.see, &shared),
        })
        .collect();
    GlossaryPage {
        shell,
        title: key.title.clone(),
        symbols: shared.symbols(),
        classes,
        terms,
    }
}

fn trait_entry(one: &Trait, shared: &SharedDrawings) -> TraitEntry {
    let id = one.id.as_str();
    TraitEntry {
        id: id.to_owned(),
        name: one.name.clone(),
        place: one.where_on_plant.clone(),
        question: one.question.clone(),
        locator: picture::where_on_plant(one, "g")
            .map(|svg| shared.lighter(svg, standbook_drawing::locator(id))),
        measure: one
            .measure()
            .map(|measure| (picture::measure(one, "g"), measure.unit.clone())),
        supports_only: !one.decides,
        states: one
            .states()
            .iter()
            .map(|state| StateEntry {
                name: state.name.clone(),
                looks: state.looks.clone(),
                svg: picture::of_state(one, state.id.as_str(), "g").map(|svg| {
                    shared.lighter(svg, standbook_drawing::state(id, state.id.as_str()))
                }),
            })
            .collect(),
    }
}

/// The drawing beside a word, for the eye only (its words stand beside it), and its trait.
fn drawn(key: &Key, see: See, shared: &SharedDrawings) -> Option<(String, String, String)> {
    let (one, drawing) = drawing_of(key, see)?;
    let inside = shared.inside(&drawing);
    Some((
        format!(r#"<svg class="drawing" viewBox="0 0 100 100" aria-hidden="true">{inside}</svg>"#),
        one.id.to_string(),
        one.name.clone(),
    ))
}

/// What a word shows; nothing in a key that has no such trait or state.
fn drawing_of(key: &Key, see: See) -> Option<(&Trait, Drawing)> {
    match see {
        See::Nothing => None,
        See::Place(id) => Some((key.trait_by_id(id)?, standbook_drawing::locator(id)?)),
        See::State(id, state) => {
            let one = key.trait_by_id(id)?;
            one.state_index(state)?;
            Some((one, standbook_drawing::state(id, state)?))
        }
    }
}

/// A shared start shorter than this many bytes is not worth a symbol.
const WORTH_A_SYMBOL: usize = 200;

/// What stands more than once on the page.
struct SharedDrawings {
    /// Whole drawings, by their strokes, each with the id of its symbol.
    whole: BTreeMap<String, String>,
    /// The plant on which places are marked: the strokes with which most of those drawings begin.
    plant: String,
}

impl SharedDrawings {
    /// Counts what the page of a key will show.
    fn of(key: &Key) -> SharedDrawings {
        let mut times: BTreeMap<String, usize> = BTreeMap::new();
        let of_traits = key.traits.iter().flat_map(|one| {
            let id = one.id.as_str();
            let states = one.states().iter();
            states
                .filter_map(move |state| standbook_drawing::state(id, state.id.as_str()))
                .chain(standbook_drawing::locator(id))
        });
        let of_terms = TERMS.iter().filter_map(|term| drawing_of(key, term.see));
        for drawing in of_traits.chain(of_terms.map(|(_, drawing)| drawing)) {
            *times.entry(drawing.body().to_owned()).or_default() += 1;
        }
        let often = times.into_iter().filter(|(_, times)| *times > 1);
        let mut places = key
            .traits
            .iter()
            .filter_map(|one| standbook_drawing::locator(one.id.as_str()));
        let plant = match (places.next(), places.next()) {
            (Some(one), Some(other)) => shared_start(one.body(), other.body()).to_owned(),
            _ => String::new(),
        };
        SharedDrawings {
            whole: often
                .enumerate()
                .map(|(at, (body, _))| (body, format!("drawn{at}")))
                .collect(),
            plant,
        }
    }

    /// All symbols.
    fn symbols(&self) -> String {
        let mut all = symbol("plant", &self.plant);
        for (body, id) in &self.whole {
            let _ = write!(all, "{}", symbol(id, &self.planted(body)));
        }
        all
    }

    /// What stands inside the `svg` element of a drawing.
    fn inside(&self, drawing: &Drawing) -> String {
        match self.whole.get(drawing.body()) {
            Some(id) => format!(r##"<use href="#{id}"/>"##),
            None => self.planted(drawing.body()),
        }
    }

    /// Strokes, with the plant on which a place is marked by reference.
    fn planted(&self, body: &str) -> String {
        match body.strip_prefix(self.plant.as_str()) {
            Some(mark) if self.plant.len() >= WORTH_A_SYMBOL => {
                format!(r##"<use href="#plant"/>{mark}"##)
            }
            _ => body.to_owned(),
        }
    }

    /// A drawing with its words, its strokes by reference where they stand elsewhere too.
    fn lighter(&self, svg: String, drawing: Option<Drawing>) -> String {
        match drawing {
            Some(drawing) => svg.replace(drawing.body(), &self.inside(&drawing)),
            None => svg,
        }
    }
}

/// A symbol that carries the class of drawings: what is used from elsewhere is styled as a tree of
/// its own, in which the `svg` around it does not count.
fn symbol(id: &str, body: &str) -> String {
    format!(r#"<symbol id="{id}" viewBox="0 0 100 100"><g class="drawing">{body}</g></symbol>"#)
}

/// The strokes with which both begin.
fn shared_start<'a>(one: &'a str, other: &str) -> &'a str {
    let same = one
        .bytes()
        .zip(other.bytes())
        .take_while(|(a, b)| a == b)
        .count();
    let whole = one.get(..same).and_then(|start| start.rfind("/>"));
    whole.and_then(|end| one.get(..end + 2)).unwrap_or("")
}
