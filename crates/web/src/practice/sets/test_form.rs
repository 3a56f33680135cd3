//! The form of a field test: so many drawn specimens without the book, then so many with it.
//!
//! In: a planting, numbers, a seed. Out: a `PracticeSet`, drawn (`draw`) and kept before anybody sees it.
//! The shape offered, 10 without the book and 20 with it in two hours, is common practice of published
//! field skill tests (as summed up for this project); every number of it can be changed.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::Entry;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Body, Planting, PracticeSet, SetPurpose, SetQuestion};
use standbook_key::LeafStage;
use standbook_practice::Question;

use super::draw::{Pool, Specimen, draw};
use super::fields;
use crate::app::{App, Shared, run};
use crate::desk::choice::Choice;
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::ground::seed_of;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::practice::asked::Asked;

const ADDRESS: &str = "/desk/practice/tests/new";

/// Specimens without the book, with it, and minutes: the common shape.
const USUAL: [&str; 3] = ["10", "20", "120"];

/// The most specimens of a part. No source; more is a slip of the finger.
const MOST: usize = 100;

#[derive(Template)]
#[template(path = "practice/sets/test_form.html")]
struct FormPage {
    shell: Shell,
    plantings: Vec<Choice>,
    /// Id, name, whether chosen.
    stages: Vec<(&'static str, &'static str, bool)>,
    filled: Filled,
}

fn page(app: &App, here: &Here, mut filled: Filled) -> Result<Response, Failure> {
    filled.begin(here);
    for (field, value) in ["without", "with", "minutes"].into_iter().zip(USUAL) {
        filled.default_to(field, value);
    }
    filled.default_to("stage", LeafStage::FewLeaves.id());
    let seed = seed_of(filled.id());
    filled.default_to("seed", seed.to_string());
    let chosen = filled.get("planting");
    let mut plantings = Vec::new();
    for planting in app.book.plantings()? {
        let site = app.book.site(planting.body.site)?;
        let site = site.map_or_else(String::new, |site| format!("{}, ", site.body.name));
        plantings.push(Choice {
            chosen: planting.id.to_string() == chosen,
            value: planting.id.to_string(),
            words: format!("{site}{}", planting.body.name),
        });
    }
    let page = FormPage {
        shell: Shell::new(app, here, Tab::Desk, "A field test"),
        plantings,
        stages: LeafStage::ALL
            .iter()
            .map(|(id, _, name)| (*id, *name, *id == filled.get("stage")))
            .collect(),
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /desk/practice/tests/new`.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let saved = |id| format!("/desk/practice/sets/{id}");
        fresh(app, ADDRESS, &query, saved, |mut filled| {
            filled.set("planting", query.get("planting"));
            page(app, &here, filled)
        })
    })
    .await
}

/// `POST /desk/practice/tests/new`.
pub(super) async fn make(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::sent(form);
        let body = read(app, &mut filled)?;
        let to = |id| format!("/desk/practice/sets/{id}");
        match keep_form(app, &here, &mut filled, "test", body, to)? {
            Some(response) => Ok(response),
            None => page(app, &here, filled),
        }
    })
    .await
}

fn read(app: &App, filled: &mut Filled) -> Result<Option<Body>, Failure> {
    let planting = read_planting(app, filled)?;
    let without = read_many(filled, "without", "Specimens without the book");
    let with = read_many(filled, "with", "Specimens with the book");
    let minutes = fields::minutes(filled);
    let stage = LeafStage::from_id(filled.get("stage")).unwrap_or(LeafStage::FewLeaves);
    let seed = match filled.get("seed").parse::<u32>() {
        Ok(seed) => seed,
        Err(_) => {
            filled.troubles.add("seed", format!("The seed is no whole number from 0 to {}. Leave the one that is offered, or type one such as 4711.", u32::MAX));
            0
        }
    };
    if let (Some(0), Some(0)) = (without, with) {
        filled.troubles.add(
            "without",
            "A test without a specimen tests nothing. Type how many there are in one of its parts.",
        );
    }
    let (Some(planting), Some(without), Some(with)) = (planting, without, with) else {
        return Ok(None);
    };
    if filled.get("title").is_empty() {
        filled.set(
            "title",
            short(&format!("Field test, {}", planting.body.name)),
        );
    }
    let title = filled.read_name("title", "The title");
    let asked = Asked::of(&app.key, Some(&planting.body));
    if !asked.of_planting {
        filled.troubles.add(
            "planting",
            format!("This key knows nothing that was sown in {}, so no test can be drawn of it. Choose another planting, or put what was sown into its mix.", planting.body.name),
        );
    }
    if !filled.troubles.none() {
        return Ok(None);
    }
    let parts = draw(&Pool::of(&app.key, &asked), &[without, with], seed);
    let questions = parts
        .into_iter()
        .zip([false, true])
        .flat_map(|(part, with_book)| {
            part.into_iter()
                .map(move |specimen| question(specimen, stage, with_book))
        });
    Ok(Some(Body::PracticeSet(PracticeSet {
        title,
        purpose: SetPurpose::FieldTest,
        planting: Some(planting.id),
        visit: None,
        minutes,
        questions: questions.collect(),
    })))
}

fn question(specimen: Specimen, stage: LeafStage, with_book: bool) -> SetQuestion {
    let Specimen { taxon, seed } = specimen;
    SetQuestion {
        question: Question::NameIt { taxon, stage, seed }.to_string(),
        with_book,
    }
}

/// A title that a record takes: names of plantings may be as long as titles are.
fn short(title: &str) -> String {
    let most = standbook_fieldbook::limits::NAME_CHARS;
    title.chars().take(most).collect()
}

fn read_planting(app: &App, filled: &mut Filled) -> Result<Option<Entry<Planting>>, Failure> {
    let found = match filled.get("planting").parse::<RecordId>() {
        Ok(id) => app.book.planting(id)?,
        Err(_) => None,
    };
    if found.is_none() {
        filled.troubles.add(
            "planting",
            "No planting is chosen. Choose the one whose grasses are to be known.",
        );
    }
    Ok(found)
}

fn read_many(filled: &mut Filled, field: &str, what: &str) -> Option<usize> {
    let many = match filled.get(field) {
        "" => Some(0),
        text => text.parse::<usize>().ok().filter(|many| *many <= MOST),
    };
    if many.is_none() {
        filled.troubles.add(
            field,
            format!("{what}: not a whole number from 0 to {MOST}. Type one, such as 10."),
        );
    }
    many
}
