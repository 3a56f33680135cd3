//! The report for the landowner: one page that answers, then everything behind it.
//!
//! In: a planting and a visit. Out: a printable page. The first page fits one sheet of A4 or US
//! Letter; the pages after it hold tables, sources and doubts.
//! Not here: the form of a programme (`packet`).

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_judge::Verdict;

use super::cite::{Listed, Sources, short};
use super::gather::{Gathered, Place};
use super::map::{Drawn, draw};
use super::plain::{Answer, answer, deciding, how_sure};
use super::section::Section;
use super::spots::spots;
use super::step::{Step, next_step};
use super::three::{Number, three};
use super::whisker::{Plot, plot};
use super::{doubts, seed, tables, told};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::words::{date_words, purpose_words, sowing_words};

/// A visit to choose.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct VisitChoice {
    /// Its id.
    pub id: String,
    /// Its date in words.
    pub on: String,
    /// Whether it is the one shown.
    pub shown: bool,
}

/// Links and choices above a report, not printed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Above {
    /// `/stand/{planting}`.
    pub address: String,
    /// `?visit={visit}`; empty without one.
    pub query: String,
    /// Visits, latest first.
    pub visits: Vec<VisitChoice>,
}

impl Above {
    /// For a planting and the visit shown.
    pub fn new(place: &Place, shown: Option<standbook_fieldbook::RecordId>) -> Above {
        let visits = place.visits.iter().rev();
        Above {
            address: format!("/stand/{}", place.planting.id),
            query: shown.map_or_else(String::new, |id| format!("?visit={id}")),
            visits: visits
                .map(|visit| VisitChoice {
                    id: visit.id.to_string(),
                    on: date_words(&visit.body.on),
                    shown: Some(visit.id) == shown,
                })
                .collect(),
        }
    }
}

/// The report's content, once a visit is there.
struct Filled {
    /// Label and text: where, when, who.
    facts: Vec<(&'static str, String)>,
    /// The answer.
    answer: Answer,
    /// `yes`, `no` or `open`, for the mark beside the answer.
    mark: &'static str,
    /// The three numbers.
    numbers: Vec<Number>,
    /// Map or strip.
    drawn: Drawn,
    /// Species with ranges.
    plot: Option<Plot>,
    /// The next step.
    step: Option<Step>,
    /// How sure.
    sure: String,
    /// What could change it.
    change: String,
    /// Who says what is enough, short.
    says_who: String,
    /// Sections from page 2 on, before and after the large map.
    before: Vec<Section>,
    /// See `before`.
    after: Vec<Section>,
    /// Sources, numbered from 1.
    sources: Vec<Listed>,
    /// Date of the report.
    written: String,
}

#[derive(Template)]
#[template(path = "report/report.html")]
struct ReportPage {
    /// The frame around the page.
    shell: Shell,
    /// Links above.
    above: Above,
    /// `Quill Farm, north forty`.
    name: String,
    /// Version of this program.
    version: &'static str,
    /// The content; `None`: nobody has been there.
    filled: Option<Filled>,
}

/// `GET /stand/{planting}/report`.
pub(crate) async fn report(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let place = Place::read(app, &id)?;
        let visit = place.visit(app, query.get("visit"))?;
        let above = Above::new(&place, visit.as_ref().map(|visit| visit.id));
        let name = place.name();
        let filled = match visit {
            Some(visit) => Some(fill(app, &Gathered::read(app, place, visit)?)),
            None => None,
        };
        html(&ReportPage {
            shell: Shell::new(app, &here, Tab::Stand, format!("Report, {name}")),
            above,
            name,
            version: env!("CARGO_PKG_VERSION"),
            filled,
        })
    })
    .await
}

fn facts(gathered: &Gathered) -> Vec<(&'static str, String)> {
    let planting = &gathered.place.planting;
    let site = gathered.place.site.as_ref().map(|site| &site.body);
    let place: Vec<&str> = site
        .map(|site| match (site.county.as_str(), site.state.as_str()) {
            ("", "") => vec![site.locality.as_str()],
            (county, state) => vec![county, state],
        })
        .unwrap_or_default()
        .into_iter()
        .filter(|text| !text.is_empty())
        .collect();
    let mut facts = Vec::new();
    if !place.is_empty() {
        facts.push(("Where", place.join(", ")));
    }
    if let Some(owner) = site
        .map(|site| site.owner.as_str())
        .filter(|o| !o.is_empty())
    {
        facts.push(("Owner", owner.to_owned()));
    }
    facts.push(("Meant for", purpose_words(planting.body.purpose).to_owned()));
    facts.push(("Seeded", sowing_words(planting)));
    facts.push((
        "Counted",
        format!(
            "{} by {}",
            date_words(&gathered.visit.body.on),
            gathered.visit.body.scouts.join(", ")
        ),
    ));
    facts
}

fn fill(app: &App, gathered: &Gathered) -> Filled {
    let judgement = &gathered.judgement;
    let spots = spots(gathered);
    let mut sources = Sources::default();
    let (sure, change) = how_sure(judgement);
    let mut before = tables::species(app, gathered);
    before.push(tables::by_rule(judgement, &mut sources));
    before.push(tables::weeds(app, gathered, &mut sources));
    before.push(tables::thresholds(judgement, &mut sources));
    before.push(doubts::doubts(app, gathered, &mut sources));
    before.push(told::counted(gathered, &spots));
    let lots: Vec<_> = gathered.lots.iter().map(|lot| lot.body.clone()).collect();
    let after = vec![
        told::by_spot(&spots),
        told::pictures(gathered),
        seed::rates(app, gathered),
        seed::lots(app, &lots, &mut sources),
        seed::emergence(app, judgement),
        told::events(gathered),
        told::advice(gathered, &mut sources),
        told::mowing(gathered, &mut sources),
        told::look_again(gathered, &mut sources),
        tables::methods(judgement, &mut sources),
    ];
    let shown = |sections: Vec<Section>| sections.into_iter().filter(|s| !s.is_empty()).collect();
    Filled {
        facts: facts(gathered),
        answer: answer(judgement),
        mark: match judgement.verdict.verdict {
            Verdict::Established => "yes",
            Verdict::Below => "no",
            Verdict::NotDecided => "open",
        },
        numbers: three(judgement, &spots, &tables::staying_weeds(app, gathered)),
        drawn: draw(&gathered.outlines, &spots),
        plot: plot(app, gathered),
        step: next_step(judgement),
        sure,
        change,
        says_who: says_who(gathered),
        before: shown(before),
        after: shown(after),
        sources: sources.list(),
        written: date_words(&gathered.today),
    }
}

/// Who says what is enough, in a line of small print: the first source of every rule that decided.
fn says_who(gathered: &Gathered) -> String {
    let rules = deciding(&gathered.judgement);
    let mut cited: Vec<&str> = Vec::new();
    for source in rules.iter().filter_map(|one| one.sources.first()) {
        if !cited.contains(&source.citation.as_str()) {
            cited.push(&source.citation);
        }
    }
    match cited.as_slice() {
        [] => String::new(),
        [only] => format!("What is enough: {}", short(only)),
        [first, rest @ ..] => format!("What is enough: {} and {} more", short(first), rest.len()),
    }
}
