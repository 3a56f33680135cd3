//! Thresholds in use: those that come with the program, and those people of this book added.
//!
//! In: a threshold as a programme states it, with its source. Out: a record; it goes before the
//! shipped ones from then on. One that is no longer used is withdrawn by a correction.
//! Units: percent of cells of the 25-cell frame; plants per m2 or per ft2 (kept per m2).
//! Not here: comparing (crate `judge`).

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Purpose, Standard, StandardMeasure};
use standbook_fieldbook::{Body, Entry, RecordId};
use standbook_key::standards::{OfWhat, Part, Threshold};

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::keep_form;
use crate::words::{self, M2_PER_FT2, digits};

/// Purposes as forms spell them.
const PURPOSES: [(&str, Purpose, &str); 4] = [
    ("forage", Purpose::Forage, "grazing or hay"),
    ("biomass", Purpose::Biomass, "biomass harvest"),
    ("conservation", Purpose::Conservation, "conservation cover"),
    ("wildlife", Purpose::Wildlife, "wildlife habitat"),
];

/// One threshold.
struct Line {
    /// What people call it.
    name: String,
    /// What it asks for, of what, for what.
    asks: String,
    /// Who says so.
    source: String,
    /// Where that was read; may be empty.
    url: String,
    /// Where to correct it; empty for a shipped one.
    correct: String,
}

#[derive(Template)]
#[template(path = "stand/standards.html")]
struct StandardsPage {
    /// Frame around the page.
    shell: Shell,
    /// Thresholds under headings.
    groups: Vec<(&'static str, Vec<Line>)>,
    /// Purposes: id, words, ticked.
    purposes: Vec<(&'static str, &'static str, bool)>,
    /// Taxa that may be planted: id, name, ticked.
    taxa: Vec<(String, String, bool)>,
    /// The form.
    filled: Filled,
}

impl StandardsPage {
    /// Whether a choice is the one filled in.
    fn is(&self, field: &str, value: &str) -> bool {
        self.filled.get(field) == value
    }
}

fn shipped(app: &App, one: &Threshold) -> Line {
    let of = match &one.of {
        OfWhat::Taxa(taxa) => taxa
            .iter()
            .map(|id| words::taxon_name(app, id.as_str()).0)
            .collect::<Vec<_>>()
            .join(", "),
        OfWhat::PlantedTogether => "everything planted together".to_owned(),
        OfWhat::Group(group) => group.to_string().replace('_', " "),
    };
    let levels: Vec<String> = one
        .levels
        .iter()
        .map(|level| match level.word.as_str() {
            "" => digits(level.at_least),
            word => format!("{} ({word})", digits(level.at_least)),
        })
        .collect();
    let purposes: Vec<&str> = one.purposes.iter().map(|purpose| purpose.name()).collect();
    let mut asks = format!("{} or more {}, of {of}", levels.join(", "), one.unit.name());
    if !purposes.is_empty() {
        asks.push_str(&format!("; for {}", purposes.join(", ")));
    }
    if !one.region.is_empty() {
        asks.push_str(&format!("; {}", one.region));
    }
    if let Some(season) = one.season {
        asks.push_str(&format!("; growing season {season}"));
    }
    let source = app.standards.source(one.source.as_str());
    Line {
        name: one.name.clone(),
        asks,
        source: source.map_or_else(|| one.source.to_string(), |s| s.citation.clone()),
        url: source.and_then(|s| s.url.clone()).unwrap_or_default(),
        correct: String::new(),
    }
}

fn own(app: &App, entry: &Entry<Standard>) -> Line {
    let one = &entry.body;
    let amount = match one.measure {
        StandardMeasure::Frequency => {
            format!("{} % of cells or more", digits(one.at_least * 100.0))
        }
        StandardMeasure::Density => format!(
            "{} plants per m² ({} per ft²) or more",
            digits(one.at_least),
            digits(one.at_least * M2_PER_FT2)
        ),
    };
    let taxa: Vec<String> = one
        .taxa
        .iter()
        .map(|id| words::taxon_name(app, id).0)
        .collect();
    let of = match taxa.is_empty() {
        true => "everything planted together".to_owned(),
        false => taxa.join(", "),
    };
    let purposes: Vec<&str> = one
        .purposes
        .iter()
        .filter_map(|p| PURPOSES.iter().find(|known| known.1 == *p))
        .map(|known| known.2)
        .collect();
    let mut asks = format!("{amount}, of {of}");
    if !purposes.is_empty() {
        asks.push_str(&format!("; for {}", purposes.join(", ")));
    }
    if !one.region.is_empty() {
        asks.push_str(&format!("; {}", one.region));
    }
    if let Some(season) = one.season {
        asks.push_str(&format!("; growing season {season}"));
    }
    Line {
        name: one.name.clone(),
        asks,
        source: format!("{} (entered by {})", one.source, entry.author),
        url: String::new(),
        correct: format!("/stand/standards/{}", entry.id),
    }
}

fn page(app: &App, here: &Here, mut filled: Filled) -> Result<Response, Failure> {
    filled.begin(here);
    if filled.get("id").is_empty() {
        filled.set("id", RecordId::new().to_string());
    }
    let kept = app.book.standards()?;
    let lines = |withdrawn: bool| -> Vec<Line> {
        kept.iter()
            .filter(|entry| entry.body.withdrawn == withdrawn)
            .map(|entry| own(app, entry))
            .collect()
    };
    let of_part = |decides: bool| -> Vec<Line> {
        let all = app.standards.thresholds.iter();
        all.filter(|one| (one.part == Part::Decides) == decides)
            .map(|one| shipped(app, one))
            .collect()
    };
    let ticked = |field: &str, value: &str| filled.form.all(field).any(|v| v == value);
    let page = StandardsPage {
        shell: Shell::new(app, here, Tab::Stand, "Thresholds in use"),
        groups: vec![
            ("Your own", lines(false)),
            ("Shipped, and a verdict may rest on them", of_part(true)),
            ("Shipped, for comparison only", of_part(false)),
            ("Your own, no longer used", lines(true)),
        ],
        purposes: PURPOSES
            .iter()
            .map(|(id, _, name)| (*id, *name, ticked("purpose", id)))
            .collect(),
        taxa: app
            .key
            .taxa
            .iter()
            .filter(|taxon| taxon.role == standbook_key::Role::Planted)
            .map(|taxon| {
                let id = taxon.id.to_string();
                let chosen = ticked("taxon", &id);
                (id, taxon.common_name.clone(), chosen)
            })
            .collect(),
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /stand/standards`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Query(_): Query,
) -> Result<Response, Failure> {
    run(app, move |app| page(app, &here, Filled::new())).await
}

/// `GET /stand/standards/{id}`: the form filled in with one of the book's own.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let id = record_id(&id, "threshold")?;
        let entry = app
            .book
            .standard(id)?
            .ok_or(Failure::NotFound { what: "threshold" })?;
        let one = entry.body;
        let (measure, at_least) = match one.measure {
            StandardMeasure::Frequency => ("frequency", one.at_least * 100.0),
            StandardMeasure::Density => ("m2", one.at_least),
        };
        let mut filled = Filled::new();
        filled.set("supersedes", entry.id.to_string());
        filled.set("name", one.name);
        filled.set("measure", measure);
        filled.set("at_least", words::plain(at_least));
        filled.set("region", one.region);
        filled.set(
            "season",
            one.season.map_or_else(String::new, |n| n.to_string()),
        );
        filled.set("source", one.source);
        filled.set("withdrawn", if one.withdrawn { "yes" } else { "" });
        for purpose in one.purposes {
            if let Some(known) = PURPOSES.iter().find(|known| known.1 == purpose) {
                filled
                    .form
                    .0
                    .push(("purpose".to_owned(), known.0.to_owned()));
            }
        }
        let taxa = one.taxa.into_iter().map(|id| ("taxon".to_owned(), id));
        filled.form.0.extend(taxa);
        page(app, &here, filled)
    })
    .await
}

/// `POST /stand/standards`.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::sent(form);
        let name = filled.read_name("name", "The name");
        let source = filled.get("source").to_owned();
        if source.is_empty() {
            filled.troubles.add("source", "Say who sets this threshold: document, office, date. A number without a source can't be checked.");
        }
        let (measure, most, per) = match filled.get("measure") {
            "frequency" => (Some(StandardMeasure::Frequency), 100.0, 100.0),
            "m2" => (Some(StandardMeasure::Density), 10_000.0, 1.0),
            "ft2" => (Some(StandardMeasure::Density), 1_000.0, M2_PER_FT2),
            _ => (None, 100.0, 1.0),
        };
        if measure.is_none() {
            filled.troubles.add("measure", "Choose what is measured.");
        }
        let at_least = match filled.get("at_least").replace(',', ".").parse::<f64>() {
            Ok(value) if value > 0.0 && value <= most => Some(value / per),
            _ => {
                let message = format!("At least: give a number above 0 and up to {}.", words::plain(most));
                filled.troubles.add("at_least", message);
                None
            }
        };
        let season = match filled.get("season") {
            "" => None,
            text => match text.parse::<u32>() {
                Ok(season) if (1..=100).contains(&season) => Some(season),
                _ => {
                    filled.troubles.add("season", "Growing season: 1 for the first, 2 for the second, or leave it empty.");
                    None
                }
            },
        };
        let body = measure.zip(at_least).map(|(measure, at_least)| Standard {
            name,
            purposes: PURPOSES
                .iter()
                .filter(|(id, ..)| filled.form.all("purpose").any(|p| p == *id))
                .map(|known| known.1)
                .collect(),
            taxa: filled.form.all("taxon").map(str::to_owned).collect(),
            region: filled.get("region").to_owned(),
            measure,
            at_least,
            season,
            source,
            withdrawn: filled.get("withdrawn") == "yes",
        });
        let to = |_| "/stand/standards".to_owned();
        match keep_form(app, &here, &mut filled, "threshold", body.map(Body::Standard), to)? {
            Some(saved) => Ok(saved),
            None => page(app, &here, filled),
        }
    })
    .await
}
