//! The form of a planting: what was sown, when and how, and the site in the same breath.
//!
//! Row spacing may be typed in inches and is kept in cm; rates are pounds of pure live seed
//! (PLS) per acre, as on the seeding plan.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{MixItem, Planting, Purpose, SeedingMethod, Site};
use standbook_fieldbook::{Body, Entry, RecordId, limits};
use standbook_key::Role;

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::{Fresh, fresh};
use crate::plot::keep::{Draft, keep, refuse, saved};
use crate::plot::site_form;
use crate::words::{self, CM_PER_INCH};

/// Purposes as forms spell them.
const PURPOSES: [(&str, Purpose); 4] = [
    ("forage", Purpose::Forage),
    ("biomass", Purpose::Biomass),
    ("conservation", Purpose::Conservation),
    ("wildlife", Purpose::Wildlife),
];

/// One species that may be in the mix.
struct MixRow {
    /// Taxon id.
    id: String,
    /// Common name.
    common: String,
    /// Scientific name, may be empty.
    scientific: String,
    /// Whether it is ticked.
    ticked: bool,
    /// Rate as typed, pounds PLS per acre.
    rate: String,
    /// What is wrong with the rate.
    wrong: Option<String>,
}

/// One choice of a list.
struct Choice {
    /// As forms spell it.
    value: String,
    /// For people.
    label: String,
    /// Whether it is chosen.
    chosen: bool,
}

/// The form.
#[derive(Template)]
#[template(path = "plot/form_planting.html")]
struct PlantingPage {
    /// Frame around the page.
    shell: Shell,
    /// What is filled in.
    filled: Filled,
    /// Sites of the book; empty when there is none yet.
    sites: Vec<Choice>,
    /// Whether the site is a new one.
    new_site: bool,
    /// Purposes.
    purposes: Vec<Choice>,
    /// Species with a tick box.
    rows: Vec<MixRow>,
    /// Taxa that may be added.
    others: Vec<Choice>,
}

fn mix_rows(app: &App, filled: &Filled) -> (Vec<MixRow>, Vec<Choice>) {
    let mut ids: Vec<String> = app
        .key
        .taxa
        .iter()
        .filter(|taxon| taxon.role == Role::Planted)
        .map(|taxon| taxon.id.as_str().to_owned())
        .collect();
    ids.sort_by_key(|id| words::taxon_name(app, id).0.to_lowercase());
    for id in filled.form.all("mix") {
        if !ids.iter().any(|known| known == id) {
            ids.push(id.to_owned());
        }
    }
    let mut others: Vec<Choice> = app
        .key
        .taxa
        .iter()
        .filter(|taxon| !ids.iter().any(|id| id == taxon.id.as_str()))
        .map(|taxon| Choice {
            value: taxon.id.as_str().to_owned(),
            label: taxon.common_name.clone(),
            chosen: false,
        })
        .collect();
    others.sort_by_key(|other| other.label.to_lowercase());
    let rows = ids
        .into_iter()
        .map(|id| {
            let (common, scientific) = words::taxon_name(app, &id);
            let field = format!("pls.{id}");
            MixRow {
                common,
                scientific,
                ticked: filled.holds("mix", &id),
                rate: filled.get(&field).to_owned(),
                wrong: filled.troubles.at(&field).map(str::to_owned),
                id,
            }
        })
        .collect();
    (rows, others)
}

fn page(app: &App, here: &Here, mut filled: Filled) -> Result<Response, Failure> {
    filled.default_to("id", RecordId::new().to_string());
    filled.default_to("site_id", RecordId::new().to_string());
    filled.default_to("scout", here.scout.clone().unwrap_or_default());
    filled.default_to("unit", "in");
    let sites: Vec<Choice> = app
        .book
        .sites()?
        .into_iter()
        .map(|site| Choice {
            chosen: filled.get("site") == site.id.to_string(),
            value: site.id.to_string(),
            label: site.body.name,
        })
        .collect();
    let purposes = PURPOSES
        .iter()
        .map(|(value, purpose)| Choice {
            value: (*value).to_owned(),
            label: words::purpose_words(*purpose).to_owned(),
            chosen: filled.get("purpose") == *value,
        })
        .collect();
    let title = match filled.supersedes() {
        Some(_) => "Correct a planting",
        None => "New planting",
    };
    let (rows, others) = mix_rows(app, &filled);
    let page = PlantingPage {
        shell: Shell::new(app, here, Tab::Plot, title),
        new_site: filled.get("site") == "new" || sites.is_empty(),
        sites,
        purposes,
        rows,
        others,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// An empty form; the site may be chosen in the address.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = match fresh(app, "/plantings/new", &query, |id| {
            format!("/plantings/{id}")
        })? {
            Fresh::Form(filled) => *filled,
            Fresh::Elsewhere(there) => return Ok(there),
        };
        if let Ok(site) = query.get("site").parse::<RecordId>()
            && let Some(site) = app.book.site(site)?
        {
            filled.set("site", site.id.to_string());
        }
        page(app, &here, filled)
    })
    .await
}

/// The form filled in with a planting, to correct it.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "planting")?;
    run(app, move |app| {
        let planting = app
            .book
            .planting(id)?
            .ok_or(Failure::NotFound { what: "planting" })?;
        let site = app.book.site(planting.body.site)?;
        page(app, &here, fill(planting, site))
    })
    .await
}

fn fill(planting: Entry<Planting>, site: Option<Entry<Site>>) -> Filled {
    let mut filled = Filled::new();
    filled.set("supersedes", planting.id.to_string());
    filled.set(
        "site",
        site.map_or(planting.body.site, |site| site.id).to_string(),
    );
    filled.set("name", planting.body.name);
    filled.set("seeded_on", planting.body.seeded_on);
    if let Some((value, _)) = PURPOSES.iter().find(|(_, p)| *p == planting.body.purpose) {
        filled.set("purpose", *value);
    }
    match planting.body.method {
        SeedingMethod::Drilled { row_spacing_cm } => {
            filled.set("method", "drilled");
            filled.set("unit", "cm");
            filled.set("row_spacing_cm", row_spacing_cm.to_string());
        }
        SeedingMethod::Broadcast => filled.set("method", "broadcast"),
    }
    for item in planting.body.mix {
        filled.form.0.push(("mix".to_owned(), item.taxon.clone()));
        if let Some(rate) = item.pls_lb_per_acre {
            filled.set(&format!("pls.{}", item.taxon), rate.to_string());
        }
    }
    filled
}

/// Reads how the seed went in.
fn read_method(filled: &mut Filled) -> Option<SeedingMethod> {
    match filled.get("method") {
        "broadcast" => Some(SeedingMethod::Broadcast),
        "drilled" => {
            let inches = filled.get("unit") != "cm";
            let unit = if inches { "inches" } else { "cm" };
            let Some(typed) = filled.read_number("row_spacing_cm", "Row spacing", unit) else {
                if filled.troubles.at("row_spacing_cm").is_none() {
                    filled.troubles.add(
                        "row_spacing_cm",
                        "The row spacing is missing. Type it: densities from row counts need it.",
                    );
                }
                return None;
            };
            let row_spacing_cm = if inches {
                // 7.5 in is 19.05 cm, not 19.049999999999997.
                (typed * CM_PER_INCH * 1e6).round() / 1e6
            } else {
                typed
            };
            if row_spacing_cm > 0.0 && row_spacing_cm <= limits::ROW_SPACING_CM {
                return Some(SeedingMethod::Drilled { row_spacing_cm });
            }
            filled.troubles.add(
                "row_spacing_cm",
                format!(
                    "A row spacing of {typed} {unit} is out of range. Use a number above 0, up to {} cm ({} in).",
                    limits::ROW_SPACING_CM,
                    words::plain((limits::ROW_SPACING_CM / CM_PER_INCH).floor())
                ),
            );
            None
        }
        _ => {
            filled.troubles.add(
                "method",
                "How the seed went in is missing. Choose drilled or broadcast.",
            );
            None
        }
    }
}

/// Reads the mix, in the order of the form.
fn read_mix(app: &App, filled: &mut Filled) -> Vec<MixItem> {
    let ids: Vec<String> = filled.form.all("mix").map(str::to_owned).collect();
    let mut mix: Vec<MixItem> = Vec::new();
    for id in &ids {
        if mix.iter().any(|item| item.taxon == *id) {
            continue;
        }
        let (common, _) = words::taxon_name(app, id);
        // A planting may name a taxon that a newer key no longer has; it just has to look like an id.
        if !standbook_key::ids::is_id(id) {
            let cut: String = id.chars().take(40).collect();
            filled.troubles.add(
                "mix",
                format!("\u{201c}{cut}\u{201d} is no species of this key. Untick it and choose one from the list."),
            );
            continue;
        }
        let field = format!("pls.{id}");
        let rate = filled.read_number(
            &field,
            &format!("The rate of {common}"),
            "pounds PLS per acre",
        );
        if let Some(rate) = rate
            && !(rate > 0.0 && rate <= limits::PLS_LB_PER_ACRE)
        {
            filled.troubles.add(
                &field,
                format!(
                    "The rate of {common}: {rate} is out of range. Use pounds PLS per acre, above 0 and up to {}, or leave it empty.",
                    limits::PLS_LB_PER_ACRE
                ),
            );
        }
        mix.push(MixItem {
            taxon: id.clone(),
            pls_lb_per_acre: rate,
            planned_pls_lb_per_acre: None,
        });
    }
    let rated: Vec<String> = filled
        .form
        .0
        .iter()
        .filter(|(_, value)| !value.trim().is_empty())
        .filter_map(|(name, _)| name.strip_prefix("pls.").map(str::to_owned))
        .filter(|id| !ids.contains(id))
        .collect();
    for id in rated {
        let (common, _) = words::taxon_name(app, &id);
        filled.troubles.add(
            &format!("pls.{id}"),
            format!(
                "You typed a rate for {common} but did not tick it. Tick it, or empty the rate."
            ),
        );
    }
    if mix.is_empty() && filled.troubles.at("mix").is_none() {
        filled.troubles.add(
            "mix",
            "The mix is empty. Tick at least one species that was sown.",
        );
    }
    mix
}

/// Reads the site: one of the book, or a new one with its record.
fn read_site(app: &App, filled: &mut Filled) -> Result<(RecordId, Option<Site>), Failure> {
    if filled.get("site") == "new" {
        let id = filled.id_in("site_id");
        return Ok((id, Some(site_form::read(filled, "site_"))));
    }
    let site = match filled.get("site").parse::<RecordId>() {
        Ok(id) => app.book.site(id)?,
        Err(_) => None,
    };
    Ok(match site {
        Some(site) => (site.id, None),
        None => {
            filled.troubles.add(
                "site",
                "The site is missing. Choose one, or enter a new one.",
            );
            (RecordId::new(), None)
        }
    })
}

/// Keeps a planting, and its site when that is new.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled { form, ..Filled::new() };
        if filled.get("do") == "add" {
            let more = filled.get("more").to_owned();
            if app.key.taxon(&more).is_some() && !filled.holds("mix", &more) {
                filled.form.0.push(("mix".to_owned(), more));
            }
            return page(app, &here, filled);
        }
        let (site, new_site) = read_site(app, &mut filled)?;
        let name = filled.read_name("name", "The name of the planting");
        let purpose = PURPOSES.iter().find(|(value, _)| *value == filled.get("purpose"));
        if purpose.is_none() {
            filled.troubles.add(
                "purpose",
                "What it is for is missing. Choose one: the thresholds of a good stand depend on it.",
            );
        }
        let seeded_on = filled.read_date("seeded_on", "The date of seeding");
        let method = read_method(&mut filled);
        let mix = read_mix(app, &mut filled);
        let scout = filled.read_name("scout", "Your name");
        if let (true, Some((_, purpose)), Some(method)) = (filled.troubles.none(), purpose, method) {
            let planting = Draft {
                id: filled.id(),
                supersedes: filled.supersedes(),
                body: Body::Planting(Planting {
                    site,
                    name,
                    purpose: *purpose,
                    seeded_on,
                    method,
                    mix,
farm_number: String::new(),
tract_number: String::new(),
field_number: String::new(),
stated_area_m2: None,
irrigated: None,
note: String::new(),
                }),
            };
            let to = format!("/plantings/{}", planting.id);
            let mut drafts = vec![planting];
            drafts.extend(new_site.map(|body| Draft {
                id: site,
                supersedes: None,
                body: Body::Site(body),
            }));
            match keep(app, &scout, &drafts) {
                Ok(()) => return Ok(saved(&to, &scout, None)),
                Err(error) => {
                    // Saved before with a new site: from now on it is a site of the book.
                    if app.book.site(site)?.is_some() {
                        filled.set("site", site.to_string());
                    }
                    let error = match error {
                        standbook_fieldbook::BookError::Conflict { .. } => {
                            standbook_fieldbook::BookError::Conflict { id: filled.id() }
                        }
                        other => other,
                    };
                    refuse(app, &mut filled, &error, "planting")?;
                }
            }
        }
        page(app, &here, filled)
    })
    .await
}
