//! How the numbers and the verdict of one visit were worked out.
//!
//! In: a planting and a visit. Out: every threshold with its verdict, plants per area by every
//! rule, spot by spot, what is in doubt, methods and sources.
//! Not here: the answer itself (`show`).

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_stand::convert::Rule;

use super::how::{How, how_of_method, how_of_rule, say_sources_once};
use super::numbers::Walked;
use super::part::{self, Part};
use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::report::cite::{Listed, Sources};
use crate::report::gather::{Gathered, Place};
use crate::report::section::Section;
use crate::report::{doubts, seed, tables};
use crate::words::date_words;

#[derive(Template)]
#[template(path = "stand/worked.html")]
struct WorkedPage {
    /// The frame around the page.
    shell: Shell,
    /// The Stand page of the same visit.
    back: String,
    /// Site and planting.
    name: String,
    /// Date of the visit in words.
    on: String,
    /// One part for each kind of frame.
    parts: Vec<Part>,
    /// Thresholds, doubts, field emergence.
    sections: Vec<Section>,
    /// Ways in which intervals were made.
    methods: Vec<How>,
    /// Rules from frequency to density.
    rules: Vec<How>,
    /// Sources cited by number.
    filled: Cited,
}

/// The sources, as the template that the report shares takes them.
struct Cited {
    /// In the order of their numbers.
    sources: Vec<Listed>,
}

/// `GET /stand/{planting}/worked`.
pub(super) async fn worked(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let place = Place::read(app, &id)?;
        let visit = place
            .visit(app, query.get("visit"))?
            .ok_or(Failure::NotFound { what: "visit" })?;
        let name = place.name();
        let back = format!("/stand/{}?visit={}", place.planting.id, visit.id);
        let on = date_words(&visit.body.on);
        let walked = Walked::read(app, place.planting.clone(), &visit)?;
        let readings = walked.readings(&walked.unknowns);
        let summary = walked.summary().map_err(|error| {
            Failure::BadRequest(format!(
                "The stand can't be summed up: {error}. Correct that frame under Count."
            ))
        })?;
        let mut methods = BTreeSet::new();
        let mut parts: Vec<Part> = summary
            .grids
            .iter()
            .map(|grid| part::of_grid(app, &walked, grid, &readings, &mut methods))
            .collect();
        if let Some(quadrats) = &summary.quadrats {
            parts.push(part::of_quadrats(
                app,
                &walked,
                quadrats,
                &readings,
                &mut methods,
            ));
        }
        let gathered = Gathered::of(app, place, visit, &walked)?;
        let mut sources = Sources::default();
        let sections = vec![
            tables::thresholds(&gathered.judgement, &mut sources),
            doubts::doubts(app, &gathered, &mut sources),
            seed::emergence(app, &gathered.judgement),
        ];
        html(&WorkedPage {
            shell: Shell::new(app, &here, Tab::Stand, "How it was worked out"),
            back,
            name,
            on,
            sections: sections.into_iter().filter(|s| !s.is_empty()).collect(),
            methods: say_sources_once(methods.into_iter().map(how_of_method).collect()),
            rules: match summary.grids.is_empty() {
                true => Vec::new(),
                false => Rule::PLAIN.into_iter().map(how_of_rule).collect(),
            },
            parts,
            filled: Cited {
                sources: sources.list(),
            },
        })
    })
    .await
}
