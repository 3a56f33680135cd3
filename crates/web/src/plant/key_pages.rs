//! Reading the key: its taxa, one taxon with every cell and its source, the couplets for print.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_key::couplet::LeadTo;
use standbook_key::{Fact, FactValue, LookAlikeOf, PlantAge, Role, Trait};

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::plant::drawn::{Figure, figures};
use crate::words::taxon_name;

/// A name that leads to its page.
struct Link {
    id: String,
    common: String,
    scientific: String,
}

fn link(app: &App, id: &str) -> Link {
    let (common, scientific) = taxon_name(app, id);
    Link {
        id: id.to_owned(),
        common,
        scientific,
    }
}

/// The list of taxa by group.
#[derive(Template)]
#[template(path = "plant/taxa.html")]
struct TaxaPage {
    shell: Shell,
    title: String,
    scope: String,
    season: String,
    region: String,
    authors: String,
    cautions: Vec<String>,
    groups: Vec<(String, Vec<Link>)>,
    n_couplets: usize,
}

/// `GET /key`
pub async fn taxa(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let key = &app.key;
        html(&TaxaPage {
            shell: Shell::new(app, &here, Tab::Plant, "The key"),
            title: key.title.clone(),
            scope: key.scope.clone(),
            season: key.season.clone(),
            region: key.region.clone(),
            authors: key.authors.join(", "),
            cautions: key.cautions.clone(),
            groups: key
                .groups
                .iter()
                .map(|group| {
                    let taxa = key
                        .taxa
                        .iter()
                        .filter(|t| t.group == group.id)
                        .map(|t| link(app, t.id.as_str()))
                        .collect();
                    (group.name.clone(), taxa)
                })
                .collect(),
            n_couplets: app.couplets.couplets.len(),
        })
    })
    .await
}

/// One thing said on a trait, and by whom.
struct FactRow {
    says: String,
    /// Ids of the sources that say it.
    sources: String,
}

/// What is said on one trait.
struct TraitRows {
    id: String,
    name: String,
    /// Whether it is weighed: then there is a page on why.
    weighed: bool,
    facts: Vec<FactRow>,
}

/// A look-alike in words.
struct LookAlikeRow {
    /// In this key.
    inside: Option<Link>,
    /// Outside it.
    outside: String,
    separates: String,
    source: String,
}

/// One taxon.
#[derive(Template)]
#[template(path = "plant/taxon.html")]
struct TaxonPage {
    shell: Shell,
    id: String,
    /// Taxa that even every look leaves in doubt, hardest first.
    hard: Vec<Link>,
    common: String,
    scientific: String,
    group: String,
    role: &'static str,
    /// The grass as it usually is.
    figures: Vec<Figure>,
    traits: Vec<TraitRows>,
    /// Names of traits on which nothing is recorded.
    unknown: String,
    look_alikes: Vec<LookAlikeRow>,
    /// Id and citation of every source named on the page.
    sources: Vec<(String, String)>,
}

/// `GET /key/{taxon}`
pub async fn taxon(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let key = &app.key;
        let taxon = key.taxon(&id).ok_or(Failure::NotFound { what: "taxon" })?;
        let mut named = std::collections::BTreeSet::new();
        let mut traits = Vec::new();
        let mut unknown = Vec::new();
        for one in &key.traits {
            let facts = taxon.facts(one.id.as_str());
            if facts.is_empty() {
                unknown.push(one.name.clone());
                continue;
            }
            named.extend(facts.iter().map(|f| f.source.clone()));
            traits.push(TraitRows {
                id: one.id.to_string(),
                name: one.name.clone(),
                weighed: app.table.trait_index(one.id.as_str()).is_some(),
                facts: said(one, facts),
            });
        }
        named.extend(taxon.look_alikes.iter().map(|l| l.source.clone()));
        html(&TaxonPage {
            shell: Shell::new(app, &here, Tab::Plant, taxon.common_name.clone()),
            id: taxon.id.to_string(),
            hard: super::pair_page::hard_for(app, &taxon.id)
                .iter()
                .map(|other| link(app, other.as_str()))
                .collect(),
            common: taxon.common_name.clone(),
            scientific: taxon.scientific_name.clone(),
            group: key
                .group(taxon.group.as_str())
                .map_or_else(|| taxon.group.to_string(), |g| g.name.clone()),
            role: match taxon.role {
                Role::Planted => "sown in native plantings",
                Role::Volunteer => "native, comes by itself",
                Role::Weed => "weed",
            },
            figures: figures(app, taxon, "t"),
            traits,
            unknown: unknown.join(", "),
            look_alikes: taxon
                .look_alikes
                .iter()
                .map(|l| {
                    let (inside, outside) = match &l.other {
                        LookAlikeOf::Taxon(id) => (Some(link(app, id.as_str())), String::new()),
                        LookAlikeOf::Outside(name) => (None, name.clone()),
                    };
                    LookAlikeRow {
                        inside,
                        outside,
                        separates: l.separates.clone(),
                        source: l.source.to_string(),
                    }
                })
                .collect(),
            sources: named
                .into_iter()
                .map(|id| {
                    let citation = key
                        .sources
                        .get(&id)
                        .map_or_else(String::new, |s| s.citation.clone());
                    (id.to_string(), citation)
                })
                .collect(),
        })
    })
    .await
}

/// What is said on a trait, the same words once, with everybody who says them.
fn said(one: &Trait, facts: &[Fact]) -> Vec<FactRow> {
    let unit = one.measure().map_or("", |m| m.unit.as_str());
    let name = |state: &str| {
        let found = one.states().iter().find(|s| s.id == *state);
        found.map_or_else(|| state.to_owned(), |s| s.name.clone())
    };
    let mut rows: Vec<FactRow> = Vec::new();
    for fact in facts {
        let age = match fact.plant {
            Some(PlantAge::Seedling) => " (seedling)",
            _ => "",
        };
        let says = format!("{}{age}", fact_words(fact, unit, name));
        match rows.iter_mut().find(|row| row.says == says) {
            Some(row) => row.sources += &format!(", {}", fact.source),
            None => rows.push(FactRow {
                says,
                sources: fact.source.to_string(),
            }),
        }
    }
    rows
}

/// A fact in words, such as `usually rolled`.
pub(super) fn fact_words(fact: &Fact, unit: &str, name: impl Fn(&str) -> String) -> String {
    match &fact.value {
        FactValue::State { state, often } => format!("{} {}", often.word(), name(state.as_str())),
        FactValue::Range { low, high } if *low == 0.0 => format!("up to {high} {unit}"),
        FactValue::Range { low, high } => format!("{low} to {high} {unit}"),
        FactValue::Mark { mark, often } => format!("{}: {mark}", often.word()),
    }
}

/// One lead in print.
struct LeadRow {
    /// `a`, `b`, `c` ...
    letter: char,
    text: String,
    /// Couplet it goes to.
    to: Option<u32>,
    /// Taxa it ends in.
    ends: Vec<Link>,
}

/// One couplet in print.
struct CoupletRow {
    number: u32,
    /// Couplets that lead here, as `3, 7`.
    from: String,
    leads: Vec<LeadRow>,
}

/// All couplets.
#[derive(Template)]
#[template(path = "plant/couplets.html")]
struct CoupletsPage {
    shell: Shell,
    title: String,
    scope: String,
    authored: bool,
    couplets: Vec<CoupletRow>,
    /// Every taxon with its scientific name, by common name.
    names: Vec<Link>,
    cautions: Vec<String>,
    fingerprint: String,
}

/// `GET /key/couplets`
pub async fn couplets(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let back = app.couplets.back_references();
        let mut names: Vec<Link> = app
            .key
            .taxa
            .iter()
            .map(|t| link(app, t.id.as_str()))
            .collect();
        names.sort_by_key(|name| name.common.to_lowercase());
        html(&CoupletsPage {
            shell: Shell::new(app, &here, Tab::Plant, "Couplets"),
            title: app.key.title.clone(),
            scope: app.key.scope.clone(),
            authored: app.couplets_authored,
            couplets: app
                .couplets
                .couplets
                .iter()
                .map(|couplet| CoupletRow {
                    number: couplet.number,
                    from: back.get(&couplet.number).map_or_else(String::new, |from| {
                        from.iter()
                            .map(u32::to_string)
                            .collect::<Vec<_>>()
                            .join(", ")
                    }),
                    leads: ('a'..='z')
                        .zip(&couplet.leads)
                        .map(|(letter, lead)| LeadRow {
                            letter,
                            text: lead.text.clone(),
                            to: match lead.to {
                                LeadTo::Couplet(to) => Some(to),
                                LeadTo::Taxa(_) => None,
                            },
                            ends: match &lead.to {
                                LeadTo::Couplet(_) => Vec::new(),
                                LeadTo::Taxa(taxa) => {
                                    taxa.iter().map(|t| link(app, t.as_str())).collect()
                                }
                            },
                        })
                        .collect(),
                })
                .collect(),
            names,
            cautions: app.key.cautions.clone(),
            fingerprint: app.table.fingerprint.chars().take(12).collect(),
        })
    })
    .await
}
