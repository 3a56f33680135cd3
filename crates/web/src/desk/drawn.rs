//! What was seen of a plant, drawn: by the scout, and by whoever walked it again.
//!
//! In: a determination. Out: a page with a drawing of every state that somebody named, side by side.
//! It stands apart from the plant's own page, which has to stay light.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Evidence, ValueGiven};

use super::replay::in_words;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::picture;
use crate::plot::place::Place;
use crate::stand::resolve::in_order;

/// One person's answer to one trait.
struct Seen {
    /// Who.
    by: String,
    /// In words.
    answer: String,
    /// Drawings of the states named; none for a measure, or for what nobody drew.
    drawings: Vec<String>,
}

/// One trait.
struct Look {
    question: String,
    seen: Vec<Seen>,
}

#[derive(Template)]
#[template(path = "desk/drawn.html")]
struct DrawnPage {
    shell: Shell,
    /// The plant's own page.
    back: String,
    place: String,
    looks: Vec<Look>,
}

/// `GET /determinations/{id}/drawn`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let what = "determination";
        let found = app.book.determination(record_id(&id, what)?)?;
        let plant = found.ok_or(Failure::NotFound { what })?;
        let mut walks = vec![(plant.author.clone(), plant.body.evidence.clone())];
        for opinion in in_order(app.book.opinions(plant.id)?) {
            walks.extend(opinion.body.evidence.map(|seen| (opinion.author, seen)));
        }
        html(&DrawnPage {
            shell: Shell::new(app, &here, Tab::Desk, "Seen, drawn"),
            back: format!("/determinations/{}", plant.id),
            place: Place::load(app, plant.body.point)?.words(),
            looks: looks(app, &walks),
        })
    })
    .await
}

/// Every trait that anybody looked at, in the order in which it first was.
fn looks(app: &App, walks: &[(String, Evidence)]) -> Vec<Look> {
    let mut known = BTreeSet::new();
    let asked = walks.iter().flat_map(|(_, seen)| &seen.answers);
    let traits = asked.filter(|given| known.insert(given.r#trait.clone()));
    traits
        .map(|first| Look {
            question: in_words(app, first).question,
            seen: walks
                .iter()
                .enumerate()
                .filter_map(|(at, (by, seen))| {
                    let mut given = seen.answers.iter();
                    let given = given.find(|it| it.r#trait == first.r#trait)?;
                    Some(Seen {
                        by: by.clone(),
                        answer: in_words(app, given).answer,
                        drawings: drawings(app, &given.r#trait, &given.value, &format!("w{at}")),
                    })
                })
                .collect(),
        })
        .collect()
}

fn drawings(app: &App, trait_id: &str, value: &ValueGiven, place: &str) -> Vec<String> {
    let (Some(one), ValueGiven::States(states)) = (app.key.trait_by_id(trait_id), value) else {
        return Vec::new();
    };
    let drawn = states.iter();
    drawn
        .filter_map(|state| picture::of_state(one, state, place))
        .collect()
}
