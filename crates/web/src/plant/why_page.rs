//! Why the book expects what it expects of one grass on one trait: facts with their notes and
//! sources, what its kin add, how the trait is misread, and the chances that come of it.
//!
//! In: a taxon and a trait. Out: a page; the same trace as `standbook why`.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_identify::profile::Shape;
use standbook_identify::why::{self, Why};
use standbook_key::{PlantAge, Taxon, Trait};

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::plant::key_pages::fact_words;
use crate::words::percent;

/// One fact, in full.
struct FactRow {
    says: String,
    age: &'static str,
    note: String,
    citation: String,
}

/// One state with its chances.
struct StateRow {
    name: String,
    shown: String,
    reported: String,
    /// What it is taken for, in words; empty for measures.
    taken_for: String,
}

/// One cell of the key, traced.
#[derive(Template)]
#[template(path = "plant/why.html")]
struct WhyPage {
    shell: Shell,
    taxon_id: String,
    common: String,
    question: String,
    never_applies: bool,
    facts: Vec<FactRow>,
    kin: String,
    kin_weight: String,
    states: Vec<StateRow>,
    misread_source: String,
}

/// `GET /key/{taxon}/why/{trait}`
pub async fn why(
    State(app): State<Shared>,
    here: Here,
    Path((taxon, of)): Path<(String, String)>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let key = &app.key;
        let taxon = key
            .taxon(&taxon)
            .ok_or(Failure::NotFound { what: "taxon" })?;
        let none = || Failure::NotFound { what: "trait" };
        let one = key.trait_by_id(&of).ok_or_else(none)?;
        let traced = why::why(key, &app.table, taxon.id.as_str(), &of).ok_or_else(none)?;
        let title = format!("{}: {}", taxon.common_name, one.name);
        html(&page(
            app,
            Shell::new(app, &here, Tab::Plant, title),
            taxon,
            one,
            &traced,
        ))
    })
    .await
}

fn page(app: &App, shell: Shell, taxon: &Taxon, one: &Trait, traced: &Why) -> WhyPage {
    let citation = |id: &standbook_key::SourceId| {
        let source = app.key.sources.get(id);
        source.map_or_else(|| id.to_string(), |s| s.citation.clone())
    };
    let unit = one.measure().map_or("", |m| m.unit.as_str());
    let name_of = |state: &str| {
        let found = one.states().iter().find(|s| s.id == *state);
        found.map_or_else(|| state.to_owned(), |s| s.name.clone())
    };
    let names: Vec<String> = match &traced.shape {
        Shape::States(_) => one.states().iter().map(|s| s.name.clone()).collect(),
        Shape::Bins(bins) => (0..bins.n)
            .map(|bin| format!("about {:.1} {unit}", bins.middle_of(bin)))
            .collect(),
    };
    let shares = |of: &[f64]| -> String {
        let worth = of.iter().zip(&names).filter(|(share, _)| **share >= 0.01);
        let words: Vec<String> = worth
            .map(|(share, name)| format!("{name} {}", percent(*share)))
            .collect();
        words.join(", ")
    };
    WhyPage {
        shell,
        taxon_id: taxon.id.to_string(),
        common: taxon.common_name.clone(),
        question: one.question.clone(),
        never_applies: traced.cell.never_applies,
        facts: taxon
            .facts(one.id.as_str())
            .iter()
            .map(|fact| FactRow {
                says: fact_words(fact, unit, name_of),
                age: match fact.plant {
                    Some(PlantAge::Seedling) => "seedling",
                    Some(PlantAge::Grown) => "grown plant",
                    None => "",
                },
                note: fact.note.clone().unwrap_or_default(),
                citation: citation(&fact.source),
            })
            .collect(),
        kin: shares(&traced.cell.kin),
        kin_weight: format!("{:.1}", traced.cell.kin_weight),
        states: (0..names.len())
            .filter(|&at| !traced.misread.is_empty() || traced.reported[at] >= 0.01)
            .map(|at| StateRow {
                name: names[at].clone(),
                shown: percent(traced.cell.shares[at]),
                reported: percent(traced.reported[at]),
                taken_for: traced.misread.get(at).map_or_else(String::new, |row| {
                    let mut others = row.clone();
                    others[at] = 0.0;
                    shares(&others)
                }),
            })
            .collect(),
        misread_source: citation(&one.misread.source),
    }
}
