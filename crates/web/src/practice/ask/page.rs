//! The page of a question, before the answer.
//!
//! In: a question with its plant, the form as it is filled in. Out: a page in whose bytes nothing says what
//! is true, but the strokes of the drawing.

use askama::Template;
use axum::response::Response;
use standbook_fieldbook::record::PracticeSet;
use standbook_fieldbook::time::now;
use standbook_identify::CANNOT_TELL;

use super::drawn::Figure;
use super::name::{Group, LISTED, SOMETHING_ELSE, groups};
use super::pair::{Pair, Side};
use super::posed::{Posed, Spot, drill_words};
use super::see::{Choice, trait_of};
use crate::app::App;
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::practice::asked::Asked as About;
use crate::practice::sets;
use crate::practice::what_for::what_for;
use crate::words::taxon_name;

/// What is asked, by drill.
enum Body {
    /// States of a trait to press.
    See {
        figures: Vec<Figure>,
        choices: Vec<Choice>,
        drawn: bool,
        /// What to do with the plant, with the book open.
        how: String,
    },
    /// Two plants side by side.
    Pair {
        rows: Vec<(Figure, Figure)>,
        by: Vec<(String, String)>,
        /// The page of the book that holds the two side by side, with the book open.
        book: Option<String>,
    },
    /// Names to press.
    Name {
        figures: Vec<Figure>,
        missing: String,
        form: NamesForm,
    },
}

/// The form in which a plant is named.
#[derive(Template)]
#[template(path = "practice/_names.html")]
pub(crate) struct NamesForm {
    /// Fields that go with it unseen.
    pub fields: Vec<(String, String)>,
    filled: Filled,
    groups: Vec<Group>,
    issued: String,
    cannot_tell: &'static str,
    something_else: &'static str,
    listed: &'static str,
}

impl NamesForm {
    /// Whether there are names to choose from a list.
    fn lists(&self) -> bool {
        self.groups.iter().any(|group| group.listed)
    }
}

#[derive(Template)]
#[template(path = "practice/ask.html")]
struct AskPage {
    shell: Shell,
    drill: &'static str,
    heading: String,
    set: String,
    with_book: bool,
    fields: Vec<(&'static str, String)>,
    filled: Filled,
    issued: String,
    /// The page of the answer that was kept from this form.
    kept: Option<String>,
    body: Body,
    sides: [(Side, &'static str, &'static str); 2],
    cannot_tell: &'static str,
}

/// The page, with the status that its troubles ask for.
pub(super) fn show(
    app: &App,
    here: &Here,
    spot: &Spot,
    posed: &Posed,
    mut filled: Filled,
    kept: Option<String>,
) -> Result<Response, Failure> {
    filled.default_to("scout", here.scout.clone().unwrap_or_default());
    let drill = drill_words(posed.drill());
    let troubles = filled.troubles.clone();
    let page = AskPage {
        shell: Shell::new(app, here, Tab::Practice, drill),
        drill,
        heading: heading(app, posed),
        set: set_words(app, spot, here.scout.as_deref())?,
        with_book: spot.with_book,
        fields: spot.fields(filled.id()),
        issued: issued(&filled),
        kept,
        body: body(app, here, spot, posed, &filled)?,
        filled,
        sides: Side::ALL,
        cannot_tell: CANNOT_TELL,
    };
    respond(&troubles, &page)
}

/// The set and the number of the question in words, with the time that is left; empty outside a set.
pub(super) fn set_words(app: &App, spot: &Spot, scout: Option<&str>) -> Result<String, Failure> {
    let mut words = spot.set_words();
    if let (Some((_, set)), Some(scout)) = (&spot.of_set, scout)
        && let Some(left) = sets::time_left(app, set, scout)?
    {
        words.push_str(&format!(". {left}"));
    }
    Ok(words)
}

/// When the page was first shown.
pub(super) fn issued(filled: &Filled) -> String {
    match filled.get("issued") {
        "" => now(),
        issued => issued.to_owned(),
    }
}

/// The form in which a plant is named; `short` where the page holds much else.
pub(super) fn names_form(
    app: &App,
    here: &Here,
    spot: &Spot,
    filled: &Filled,
    short: bool,
) -> Result<NamesForm, Failure> {
    let fields = spot.fields(filled.id()).into_iter();
    Ok(NamesForm {
        fields: fields
            .map(|(name, value)| (name.to_owned(), value))
            .collect(),
        groups: groups(app, &about(app, here, spot.set())?, short),
        issued: issued(filled),
        filled: filled.clone(),
        cannot_tell: CANNOT_TELL,
        something_else: SOMETHING_ELSE,
        listed: LISTED,
    })
}

pub(super) fn heading(app: &App, posed: &Posed) -> String {
    match posed {
        Posed::See(see) => {
            trait_of(app, &see.trait_id).map_or_else(|_| String::new(), |one| one.question.clone())
        }
        Posed::Pair(pair) => {
            let (common, _) = taxon_name(app, &pair.wanted().taxon);
            format!("Which one is {common}?")
        }
        Posed::Name(_) => "What is this plant?".to_owned(),
    }
}

fn body(
    app: &App,
    here: &Here,
    spot: &Spot,
    posed: &Posed,
    filled: &Filled,
) -> Result<Body, Failure> {
    Ok(match posed {
        Posed::See(see) => {
            let one = app.key.trait_by_id(&see.trait_id);
            let choices = one.map_or_else(Vec::new, |one| see.choices(one, spot.with_book));
            Body::See {
                figures: see.figures("q"),
                drawn: choices.iter().all(|choice| choice.drawing.is_some()),
                choices,
                how: one
                    .filter(|_| spot.with_book)
                    .map_or_else(String::new, |one| one.how.clone()),
            }
        }
        Posed::Pair(pair) => Body::Pair {
            rows: pair.rows("q"),
            by: pair
                .choices
                .iter()
                .filter_map(|id| Some((id.clone(), app.key.trait_by_id(id)?.name.clone())))
                .collect(),
            book: spot.with_book.then(|| book_page(pair)),
        },
        Posed::Name(name) => Body::Name {
            figures: name.figures("q"),
            missing: name.missing_words(),
            form: names_form(app, here, spot, filled, false)?,
        },
    })
}

/// The page that holds two grasses side by side, the same for both ways round.
fn book_page(pair: &Pair) -> String {
    let [left, right] = &pair.plants;
    let (one, other) = match left.taxon < right.taxon {
        true => (&left.taxon, &right.taxon),
        false => (&right.taxon, &left.taxon),
    };
    format!("/key/{one}/or/{other}?stage={}", left.stage.id())
}

/// Which names count as planted: those of the set's planting, or of the one she practises for.
pub(super) fn about(app: &App, here: &Here, set: Option<&PracticeSet>) -> Result<About, Failure> {
    let planting = match set.and_then(|set| set.planting) {
        Some(id) => app.book.planting(id)?,
        None => what_for(app, here)?,
    };
    let planting = planting.as_ref().map(|planting| &planting.body);
    Ok(About::of(&app.key, planting))
}
