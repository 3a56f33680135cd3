//! The form of a seed lot: what its tag says.
//!
//! Percentages, counts a pound and pounds, as tags print them. Germination is without dormant
//! seed here; the two are kept apart because sellers and states count them differently.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{NoxiousSeed, Planting, SeedLot};
use standbook_fieldbook::{Body, Entry, RecordId};

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::plot::place::planting_and_site;
use crate::words;

/// Fields that are seldom filled; the form opens them when they are, or are wrong.
const RARE: [&str; 7] = [
    "other_crop_percent",
    "inert_percent",
    "weed_percent",
    "noxious",
    "seeds_per_lb",
    "bulk_lb",
    "note",
];

/// One species to choose.
struct Choice {
    /// Taxon id.
    value: String,
    /// Common name.
    label: String,
    /// Whether it is chosen.
    chosen: bool,
}

/// The form.
#[derive(Template)]
#[template(path = "plot/form_lot.html")]
struct LotPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting it went into.
    planting: Entry<Planting>,
    /// Species of the mix.
    in_mix: Vec<Choice>,
    /// Other species of the key.
    others: Vec<Choice>,
    /// Whether the seldom used fields are open.
    open: bool,
    /// What is filled in.
    filled: Filled,
}

fn choices(app: &App, planting: &Planting, filled: &Filled) -> (Vec<Choice>, Vec<Choice>) {
    let choice = |id: &str| Choice {
        value: id.to_owned(),
        label: words::taxon_name(app, id).0,
        chosen: filled.get("taxon") == id,
    };
    let mixed = |id: &str| planting.mix.iter().any(|item| item.taxon == id);
    let in_mix = planting
        .mix
        .iter()
        .map(|item| choice(&item.taxon))
        .collect();
    let ids = app.key.taxa.iter().map(|taxon| taxon.id.as_str());
    let mut others: Vec<Choice> = ids.filter(|id| !mixed(id)).map(choice).collect();
    others.sort_by_key(|other| other.label.to_lowercase());
    let now = filled.get("taxon");
    // A lot may name a taxon that a newer key no longer has.
    if !now.is_empty() && !mixed(now) && !others.iter().any(|other| other.value == now) {
        others.insert(0, choice(now));
    }
    (in_mix, others)
}

fn page(
    app: &App,
    here: &Here,
    planting: RecordId,
    mut filled: Filled,
) -> Result<Response, Failure> {
    let (planting, _) = planting_and_site(app, planting)?;
    filled.begin(here);
    filled.set("planting", planting.id.to_string());
    let title = filled.title("Seed lot", "Correct a seed lot");
    let (in_mix, others) = choices(app, &planting.body, &filled);
    let open = |field: &&str| filled.form.has(field) || filled.troubles.at(field).is_some();
    let page = LotPage {
        shell: Shell::new(app, here, Tab::Plot, title),
        open: RARE.iter().any(open),
        planting,
        in_mix,
        others,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// An empty form; the address names the planting and may name the species.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    let planting = record_id(query.get("planting"), "planting")?;
    run(app, move |app| {
        let saved = |_| format!("/plantings/{planting}#sown");
        fresh(app, "/lots/new", &query, saved, |mut filled| {
            let taxon = query.get("taxon");
            if app.key.taxon(taxon).is_some() {
                filled.set("taxon", taxon);
            }
            page(app, &here, planting, filled)
        })
    })
    .await
}

/// The form filled in with a lot, to correct it.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "seed lot")?;
    run(app, move |app| {
        let lot = app
            .book
            .seed_lot(id)?
            .ok_or(Failure::NotFound { what: "seed lot" })?;
        let planting = lot.body.planting;
        page(app, &here, planting, fill(lot))
    })
    .await
}

fn fill(lot: Entry<SeedLot>) -> Filled {
    let mut filled = Filled::new();
    filled.set("supersedes", lot.id.to_string());
    let lot = lot.body;
    let noxious: Vec<String> = lot
        .noxious
        .iter()
        .map(|kind| format!("{} {}", kind.name, kind.per_lb))
        .collect();
    for (field, text) in [
        ("taxon", lot.taxon),
        ("lot", lot.lot),
        ("variety", lot.variety),
        ("origin", lot.origin),
        ("tested", lot.tested.unwrap_or_default()),
        ("noxious", noxious.join("\n")),
        ("note", lot.note),
    ] {
        filled.set(field, text);
    }
    for (field, number) in [
        ("purity_percent", lot.purity_percent),
        ("germination_percent", lot.germination_percent),
        ("dormant_percent", lot.dormant_percent),
        ("other_crop_percent", lot.other_crop_percent),
        ("inert_percent", lot.inert_percent),
        ("weed_percent", lot.weed_percent),
        ("seeds_per_lb", lot.seeds_per_lb),
        ("bulk_lb", lot.bulk_lb),
    ] {
        filled.set(field, number.map(|n| n.to_string()).unwrap_or_default());
    }
    filled
}

/// Reads noxious kinds, one a line: the name, then seeds per pound.
fn read_noxious(filled: &mut Filled) -> Vec<NoxiousSeed> {
    let text = filled.read_note("noxious", "The noxious kinds");
    let mut kinds = Vec::new();
    for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let parted = line.rsplit_once(|c: char| c.is_whitespace() || c == ',' || c == ':');
        let read = parted.and_then(|(name, number)| {
            let name = name.trim_end_matches([',', ':', ' ', '\t']).trim();
            let per_lb: f64 = number.parse().ok()?;
            (!name.is_empty() && per_lb > 0.0).then(|| NoxiousSeed {
                name: name.to_owned(),
                per_lb,
            })
        });
        match read {
            Some(kind) => kinds.push(kind),
            None => {
                let cut: String = line.chars().take(40).collect();
                filled.troubles.add(
                    "noxious",
                    format!("\u{201c}{cut}\u{201d} is not a name and a number. Type one kind a line, then seeds per pound, such as: giant foxtail 18. None found: leave it empty."),
                );
            }
        }
    }
    kinds
}

/// Reads the month of the test; tags print it as month and year, the book keeps year and month.
fn read_month(filled: &Filled) -> Option<String> {
    let text = filled.get("tested");
    if text.is_empty() {
        return None;
    }
    if let Some((month, year)) = text.split_once('/')
        && let (Ok(month), true) = (month.trim().parse::<u8>(), year.trim().len() == 4)
    {
        return Some(format!("{}-{month:02}", year.trim()));
    }
    Some(text.to_owned())
}

/// Keeps a seed lot.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    let planting = record_id(form.get("planting"), "planting")?;
    run(app, move |app| {
        let mut filled = Filled::sent(form);
        let taxon = filled.get("taxon").to_owned();
        if !standbook_key::ids::is_id(&taxon) {
            filled.troubles.add(
                "taxon",
                "The species is missing. Choose the one on the tag.",
            );
        }
        let mut percent = |field: &str, what: &str| filled.read_number(field, what, "percent");
        let purity_percent = percent("purity_percent", "Pure seed");
        let germination_percent = percent("germination_percent", "Germination");
        let dormant_percent = percent("dormant_percent", "Dormant or hard seed");
        let other_crop_percent = percent("other_crop_percent", "Other crop seed");
        let inert_percent = percent("inert_percent", "Inert matter");
        let weed_percent = percent("weed_percent", "Weed seed");
        let lot = SeedLot {
            planting,
            taxon,
            lot: filled.read_name("lot", "The lot number"),
            variety: filled.read_line("variety", "The variety"),
            origin: filled.read_line("origin", "The origin"),
            purity_percent,
            germination_percent,
            dormant_percent,
            other_crop_percent,
            inert_percent,
            weed_percent,
            noxious: read_noxious(&mut filled),
            tested: read_month(&filled),
            seeds_per_lb: filled.read_count("seeds_per_lb", "Seeds in a pound", "seeds per pound"),
            bulk_lb: filled.read_number("bulk_lb", "Weight bought", "pounds"),
            note: filled.read_note("note", "The note"),
        };
        let to = |_| format!("/plantings/{planting}#sown");
        match keep_form(
            app,
            &here,
            &mut filled,
            "seed lot",
            Some(Body::SeedLot(lot)),
            to,
        )? {
            Some(saved) => Ok(saved),
            None => page(app, &here, planting, filled),
        }
    })
    .await
}
