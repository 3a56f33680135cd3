//! Two grasses side by side: what tells them apart, most telling first, with what to do to see
//! it; and the list of pairs that are hard.
//!
//! In: two taxa and a leaf stage. Out: a page. What counts as hard, and how telling a trait is,
//! is worked out in `identify::look_alikes`; published notes are those of the key.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_identify::look_alikes::{at_most_confused, contrasts, hard_pairs};
use standbook_identify::profile::{Cell, Kin, Shape, cell};
use standbook_key::{FactValue, LeafStage, LookAlikeOf, Taxon, TaxonId, Trait};

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::picture::{self, View};
use crate::words::{number_of, percent, taxon_name};

/// A look is worth a card from this expected weight of evidence on, decibans; less hardly helps.
pub(crate) const TELLING_DB: f64 = 2.0;

/// Above this share of plants that may be confused after every look, the page says that the two
/// can't be told apart for sure at the stage.
pub(crate) const NOT_FOR_SURE: f64 = 0.1;

/// Pairs are listed as hard from this share on.
pub(crate) const HARD: f64 = 0.06;

/// So many bytes of drawings a page carries; rows after that lead to the glossary's drawings.
/// Pairs hard to tell apart seldom need as many, pairs easily told apart may.
const DRAWN_BYTES: usize = 18_000;

/// One look at both.
struct PairRow {
    id: String,
    name: String,
    how: String,
    needs: String,
    from: &'static str,
    one: String,
    other: String,
    /// The likeliest state of each, drawn; only where both are recorded and the two differ.
    drawn: Option<(String, String)>,
    /// Whether they are to be seen in the glossary only.
    drawn_elsewhere: bool,
    /// How much it is expected to tell.
    tells: &'static str,
    decibans: String,
    /// Colour and the like.
    supports_only: bool,
}

/// Two grasses side by side.
#[derive(Template)]
#[template(path = "plant/pair.html")]
struct PairPage {
    shell: Shell,
    one: (String, String),
    other: (String, String),
    one_id: String,
    other_id: String,
    /// Both as they usually are at this stage.
    seedlings: Option<(String, String)>,
    /// Stages: id, name, chosen.
    stages: Vec<(&'static str, &'static str, bool)>,
    stage: &'static str,
    confused: String,
    not_for_sure: bool,
    rows: Vec<PairRow>,
    /// Looks that hardly help.
    little: String,
    /// Looks on which neither is recorded.
    unknown: String,
    notes: Vec<(String, String)>,
}

/// `GET /key/{taxon}/or/{other}`
pub async fn pair(
    State(app): State<Shared>,
    here: Here,
    Path((one, other)): Path<(String, String)>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let missing = || Failure::NotFound { what: "taxon" };
        let a = app.key.taxon(&one).ok_or_else(missing)?;
        let b = app.key.taxon(&other).ok_or_else(missing)?;
        if a.id == b.id {
            return Err(missing());
        }
        let stage = LeafStage::from_id(query.get("stage")).unwrap_or(LeafStage::FewLeaves);
        let title = format!("{} or {}", a.common_name, b.common_name);
        html(&page(
            app,
            Shell::new(app, &here, Tab::Plant, title),
            a,
            b,
            stage,
        ))
    })
    .await
}

fn page(app: &App, shell: Shell, a: &Taxon, b: &Taxon, stage: LeafStage) -> PairPage {
    let (table, key) = (&app.table, &app.key);
    let row = |taxon: &Taxon| table.row_index(taxon.id.as_str()).unwrap_or_default();
    let (one, other) = (row(a), row(b));
    let kin = Kin::of(key);
    let seedling = |taxon| picture::of_taxon(key, table, taxon, View::Seedling(stage), "p");
    let seedlings = seedling(a).zip(seedling(b));
    let mut bytes = seedlings.iter().map(pair_bytes).sum::<usize>();
    let (mut rows, mut little, mut unknown) = (Vec::new(), Vec::new(), Vec::new());
    for contrast in contrasts(table, one, other, Some(stage)) {
        let columns = &table.traits[contrast.trait_index];
        let Some(of) = key.trait_by_id(columns.id.as_str()) else {
            continue;
        };
        let cells = [one, other].map(|at| cell(key, &table.modelling, &kin, of, at));
        let [Some(here), Some(there)] = cells else {
            continue;
        };
        if here.statements.is_empty() && there.statements.is_empty() {
            unknown.push(of.name.clone());
            continue;
        }
        if contrast.decibans < TELLING_DB {
            little.push(of.name.clone());
            continue;
        }
        let drawn = both_drawn(of, [(a, &here), (b, &there)]);
        bytes += drawn.iter().map(pair_bytes).sum::<usize>();
        let afford = bytes <= DRAWN_BYTES;
        rows.push(PairRow {
            name: of.name.clone(),
            how: of.how.clone(),
            needs: of
                .needs
                .iter()
                .map(|n| n.name())
                .collect::<Vec<_>>()
                .join(", "),
            from: of.from_stage.name(),
            drawn_elsewhere: drawn.is_some() && !afford,
            drawn: drawn.filter(|_| afford),
            id: of.id.to_string(),
            one: shows(of, a, &here),
            other: shows(of, b, &there),
            tells: match contrast.decibans {
                d if d >= 10.0 => "tells very much",
                d if d >= 5.0 => "tells much",
                _ => "tells something",
            },
            decibans: format!("{:.0}", contrast.decibans),
            supports_only: !of.decides,
        });
    }
    let confused = at_most_confused(table, one, other, stage);
    PairPage {
        shell,
        one: taxon_name(app, a.id.as_str()),
        other: taxon_name(app, b.id.as_str()),
        one_id: a.id.to_string(),
        other_id: b.id.to_string(),
        seedlings,
        stages: LeafStage::ALL
            .iter()
            .map(|(id, of, name)| (*id, *name, *of == stage))
            .collect(),
        stage: stage.name(),
        confused: percent(confused),
        not_for_sure: confused > NOT_FOR_SURE,
        rows,
        little: little.join(", "),
        unknown: unknown.join(", "),
        notes: notes(app, a, b),
    }
}

/// What a taxon shows on a trait, in words: `mostly rolled, at times folded`.
pub(crate) fn shows(one: &Trait, taxon: &Taxon, cell: &Cell) -> String {
    if cell.never_applies {
        return "nothing to see there".to_owned();
    }
    let facts = taxon.facts(one.id.as_str());
    if facts.is_empty() {
        return "not recorded".to_owned();
    }
    if let (Some(measure), Some(Shape::Bins(_))) = (one.measure(), Shape::of(one)) {
        let ranges = facts.iter().filter_map(|fact| match fact.value {
            FactValue::Range { low, high } => Some((low, high)),
            _ => None,
        });
        let (low, high) = ranges.fold((f64::MAX, 0.0_f64), |(low, high), (l, h)| {
            (low.min(l), high.max(h))
        });
        return match low > 0.0 {
            true => format!("{low} to {high} {}", measure.unit),
            false => format!("up to {high} {}", measure.unit),
        };
    }
    let states = likeliest_first(cell);
    let words: Vec<String> = states
        .iter()
        .enumerate()
        .filter(|(place, (_, share))| *place == 0 || *share >= 0.1)
        .map(|(_, (at, share))| {
            let often = match share {
                s if *s >= 0.85 => "nearly always",
                s if *s >= 0.6 => "mostly",
                s if *s >= 0.35 => "often",
                _ => "at times",
            };
            format!("{often} {}", one.states()[*at].name)
        })
        .collect();
    words.join(", ")
}

fn pair_bytes((one, other): &(String, String)) -> usize {
    one.len() + other.len()
}

/// States with their shares, likeliest first.
pub(crate) fn likeliest_first(cell: &Cell) -> Vec<(usize, f64)> {
    let mut states: Vec<(usize, f64)> = cell.shares.iter().copied().enumerate().collect();
    states.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    states
}

/// The likeliest states of two grasses, drawn, where both are recorded and the two differ.
fn both_drawn(one: &Trait, grasses: [(&Taxon, &Cell); 2]) -> Option<(String, String)> {
    let [here, there] = grasses.map(|(taxon, cell)| {
        let recorded = !cell.never_applies && !taxon.facts(one.id.as_str()).is_empty();
        let (at, _) = *likeliest_first(cell).first().filter(|_| recorded)?;
        one.states().get(at)
    });
    let (here, there) = here.zip(there).filter(|(a, b)| a.id != b.id)?;
    let drawn = |state: &standbook_key::State| picture::of_state(one, state.id.as_str(), "p");
    drawn(here).zip(drawn(there))
}

/// What published sources say parts two grasses, whichever they start from, with its source.
fn notes(app: &App, a: &Taxon, b: &Taxon) -> Vec<(String, String)> {
    [(a, b), (b, a)]
        .into_iter()
        .flat_map(|(one, other)| {
            one.look_alikes
                .iter()
                .filter(|l| l.other == LookAlikeOf::Taxon(other.id.clone()))
        })
        .map(|note| {
            let citation = app
                .key
                .sources
                .get(&note.source)
                .map_or_else(|| note.source.to_string(), |s| s.citation.clone());
            (note.separates.clone(), citation)
        })
        .collect()
}

/// The taxa that even every look leaves in doubt with this one, hardest first, at most six.
pub(super) fn hard_for(app: &App, id: &TaxonId) -> Vec<TaxonId> {
    let rows = &app.table.rows;
    hard_pairs(&app.table, LeafStage::FewLeaves, HARD)
        .iter()
        .filter_map(|pair| match (&rows[pair.one].id, &rows[pair.other].id) {
            (one, other) if one == id => Some(other.clone()),
            (one, other) if other == id => Some(one.clone()),
            _ => None,
        })
        .take(6)
        .collect()
}

/// A pair in the list.
struct Hard {
    address: String,
    words: String,
    share: String,
}

/// Hard pairs.
#[derive(Template)]
#[template(path = "plant/alike.html")]
struct AlikePage {
    shell: Shell,
    stage: &'static str,
    hard: Vec<Hard>,
    published: Vec<Hard>,
    n_pairs: String,
}

/// `GET /key/alike`
pub async fn alike(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let table = &app.table;
        let stage = LeafStage::FewLeaves;
        let link = |one: &str, other: &str, confused: f64| Hard {
            address: format!("/key/{one}/or/{other}"),
            words: format!("{} or {}", taxon_name(app, one).0, taxon_name(app, other).0),
            share: percent(confused),
        };
        let pairs = hard_pairs(table, stage, HARD);
        let id = |row: usize| table.rows[row].id.as_str();
        let listed = |a: &str, b: &str| {
            let same = |p: &standbook_identify::look_alikes::HardPair| {
                let (x, y) = (id(p.one), id(p.other));
                (x, y) == (a, b) || (y, x) == (a, b)
            };
            pairs.iter().any(same)
        };
        let mut published: Vec<(String, String)> = Vec::new();
        for taxon in &app.key.taxa {
            for note in &taxon.look_alikes {
                let LookAlikeOf::Taxon(other) = &note.other else {
                    continue;
                };
                let (a, b) = (taxon.id.as_str(), other.as_str());
                let mut pair = (a.min(b).to_owned(), a.max(b).to_owned());
                if !listed(a, b) && !published.contains(&pair) {
                    published.push(std::mem::take(&mut pair));
                }
            }
        }
        published.sort();
        let row = |id: &str| table.row_index(id).unwrap_or_default();
        html(&AlikePage {
            shell: Shell::new(app, &here, Tab::Plant, "Look-alikes"),
            stage: stage.name(),
            n_pairs: number_of(pairs.len(), "pair"),
            hard: pairs
                .iter()
                .map(|p| link(id(p.one), id(p.other), p.confused))
                .collect(),
            published: published
                .iter()
                .map(|(a, b)| link(a, b, at_most_confused(table, row(a), row(b), stage)))
                .collect(),
        })
    })
    .await
}
