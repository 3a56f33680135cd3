//! The office's way to a scout's page: names in the order of the alphabet and nothing beside them, and
//! the plantings with their rules.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use super::standing::ForCounting;
use super::words::rule_words;
use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};

#[derive(Template)]
#[template(path = "practice/scouts.html")]
struct ScoutsPage {
    shell: Shell,
    /// Address and name.
    scouts: Vec<(String, String)>,
    /// Address, name, rule.
    plantings: Vec<(String, String, String)>,
}

/// A scout's page at the Desk.
pub(super) fn address(name: &str) -> String {
    let coded: String = form_urlencoded::byte_serialize(name.as_bytes()).collect();
    // A plus is a space in a form only; in a path it is a plus.
    format!("/desk/practice/scouts/{}", coded.replace('+', "%20"))
}

/// `GET /desk/practice/scouts`.
pub(super) async fn list(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut names: BTreeMap<String, String> = BTreeMap::new();
        let mut plantings = Vec::new();
        for planting in app.book.plantings()? {
            for visit in app.book.visits(planting.id)? {
                names.extend(visit.body.scouts.into_iter().map(|n| (n.to_lowercase(), n)));
            }
            plantings.push((
                format!("/desk/practice/rule/{}", planting.id),
                planting.body.name,
                match ForCounting::of(app, planting.id)? {
                    Some(rule) => rule_words(&rule.rule, rule.with_book),
                    None => "No rule: nothing is required.".to_owned(),
                },
            ));
        }
        let practised = app.book.practice_scouts()?;
        names.extend(practised.into_iter().map(|n| (n.to_lowercase(), n)));
        html(&ScoutsPage {
            shell: Shell::new(app, &here, Tab::Desk, "Scouts and their practice"),
            scouts: names
                .into_values()
                .map(|name| (address(&name), name))
                .collect(),
            plantings,
        })
    })
    .await
}
