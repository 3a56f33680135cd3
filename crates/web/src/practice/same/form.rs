//! The office puts a set of same frames together.
//!
//! In: a planting, how many frames, a leaf stage, a seed. Out: a set; the same form gives the same frames.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::record::{Planting, PracticeSet, SetPurpose, SetQuestion};
use standbook_fieldbook::{Entry, RecordId};
use standbook_key::LeafStage;

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::ground::fresh_seed;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::practice::asked::Asked;
use crate::practice::next::frame_of;

/// So many frames are offered: with 25 cells each, kappa of two scouts gets limits about a quarter apart
/// (worked out for kappa 0.7 with a third of the cells marked).
const FRAMES: &str = "6";

/// More than these nobody marks in one sitting.
const MOST_FRAMES: u32 = 30;

/// Leaf stages offered: with heads out a frame is no practice.
const STAGES: [LeafStage; 3] = [
    LeafStage::OneLeaf,
    LeafStage::FewLeaves,
    LeafStage::Tillering,
];

#[derive(Template)]
#[template(path = "practice/same_form.html")]
struct FormPage {
    shell: Shell,
    /// Plantings: id, name, whether chosen.
    plantings: Vec<(RecordId, String, bool)>,
    /// Stages: id, name, whether chosen.
    stages: Vec<(&'static str, &'static str, bool)>,
    filled: Filled,
}

fn address(id: RecordId) -> String {
    format!("/desk/practice/sets/{id}/agreement")
}

/// `GET /desk/practice/same-frames`.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        fresh(
            app,
            "/desk/practice/same-frames",
            &query,
            address,
            |mut filled| {
                filled.begin(&here);
                filled.set("planting", query.get("planting").to_owned());
                filled.set("frames", FRAMES);
                filled.set("stage", LeafStage::FewLeaves.id());
                filled.set("seed", fresh_seed().to_string());
                show(app, &here, filled)
            },
        )
    })
    .await
}

fn show(app: &App, here: &Here, filled: Filled) -> Result<Response, Failure> {
    let chosen = filled.get("planting").parse().ok();
    let plantings = app.book.plantings()?.into_iter();
    let page = FormPage {
        shell: Shell::new(app, here, Tab::Desk, "The same frames for a crew"),
        plantings: plantings
            .map(|one| (one.id, one.body.name, chosen == Some(one.id)))
            .collect(),
        stages: STAGES
            .map(|stage| (stage.id(), stage.name(), filled.get("stage") == stage.id()))
            .into(),
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `POST /desk/practice/same-frames`.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::sent(form);
        filled.begin(&here);
        let body = read(app, &mut filled)?;
        let kept = keep_form(
            app,
            &here,
            &mut filled,
            "set",
            body.map(Into::into),
            address,
        )?;
        match kept {
            Some(response) => Ok(response),
            None => show(app, &here, filled),
        }
    })
    .await
}

/// The set that the form describes; nothing where something is wrong with it.
fn read(app: &App, filled: &mut Filled) -> Result<Option<PracticeSet>, Failure> {
    let title = filled.read_name("title", "The title");
    let planting = match filled.get("planting").parse::<RecordId>() {
        Ok(id) => app.book.planting(id)?,
        Err(_) => None,
    };
    if planting.is_none() {
        filled.troubles.add(
            "planting",
            "No planting is chosen. Choose the one whose grasses are to stand in the frames.",
        );
    }
    let frames = whole(filled, "frames", 1..=MOST_FRAMES, || {
        format!(
            "The number of frames is not a whole number from 1 to {MOST_FRAMES}. Six are a good start."
        )
    });
    let seed = whole(filled, "seed", 0..=u32::MAX, || {
        "The seed is not a whole number from 0 to 4294967295. Any such number will do.".to_owned()
    });
    let stage = LeafStage::from_id(filled.get("stage")).filter(|stage| STAGES.contains(stage));
    if stage.is_none() {
        filled.troubles.add(
            "stage",
            "No leaf stage is chosen. Choose how far most plants have grown.",
        );
    }
    let (Some(planting), Some(frames), Some(seed), Some(stage)) = (planting, frames, seed, stage)
    else {
        return Ok(None);
    };
    let Some(questions) = questions(app, &planting, frames, seed, stage) else {
        filled.troubles.add(
            "planting",
            "The key has none of the grasses of this planting, so they can't be drawn. Choose another planting, or use a key that has them.",
        );
        return Ok(None);
    };
    Ok(Some(PracticeSet {
        title,
        purpose: SetPurpose::SameFrames,
        planting: Some(planting.id),
        visit: None,
        minutes: None,
        questions: questions
            .into_iter()
            .map(|question| SetQuestion {
                question,
                with_book: filled.get("book") == "1",
            })
            .collect(),
    }))
}

fn whole(
    filled: &mut Filled,
    field: &str,
    within: std::ops::RangeInclusive<u32>,
    wrong: impl FnOnce() -> String,
) -> Option<u32> {
    let number = filled.get(field).parse().ok();
    let number = number.filter(|number| within.contains(number));
    if number.is_none() {
        filled.troubles.add(field, wrong());
    }
    number
}

/// Frames of the planting's grasses and what is taken for them: each of its own seed, from the one given
/// on. Nothing where the key has none of the planting's grasses.
fn questions(
    app: &App,
    planting: &Entry<Planting>,
    frames: u32,
    seed: u32,
    stage: LeafStage,
) -> Option<Vec<String>> {
    let asked = Asked::of(&app.key, Some(&planting.body));
    let list = |names: &BTreeSet<String>| names.iter().cloned().collect::<Vec<String>>();
    let (planted, others) = (list(&asked.planted), list(&asked.others));
    let frame = |at: u32| {
        let seed = seed.wrapping_add(at);
        let question = frame_of(app, planted.clone(), &others, stage, seed);
        question.to_string()
    };
    asked.of_planting.then(|| (0..frames).map(frame).collect())
}
