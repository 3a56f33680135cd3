//! The form of a planting: what was sown, when and how, and the site in the same breath.
//!
//! Row spacing may be typed in inches and is kept in cm; rates are pounds of pure live seed
//! (PLS) per acre, as on the seeding plan.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Planting, Purpose, SeedingMethod, Site};
use standbook_fieldbook::{Body, Entry, RecordId, limits};
use standbook_stand::emergence::M2_PER_ACRE;

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::dates;
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::{Draft, keep, refuse, saved};
use crate::plot::mix_fields::{Choice, MixRow, mix_rows, read_mix};
use crate::plot::site_form;
use crate::words::{self, CM_PER_INCH};

/// Purposes as forms spell them.
const PURPOSES: [(&str, Purpose); 4] = [
    ("forage", Purpose::Forage),
    ("biomass", Purpose::Biomass),
    ("conservation", Purpose::Conservation),
    ("wildlife", Purpose::Wildlife),
];

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
    /// Whether the seldom used fields of a new site are open.
    open_site: bool,
    /// Whether the seldom used fields of the planting are open.
    open: bool,
}

/// Seldom used fields of a new site; a form opens them when they are filled or wrong.
const RARE_OF_SITE: [&str; 3] = ["site_locality", "site_owner", "site_permission"];

/// Seldom used fields of a planting.
const RARE: [&str; 6] = [
    "farm_number",
    "tract_number",
    "field_number",
    "area",
    "irrigated",
    "note",
];

fn page(app: &App, here: &Here, mut filled: Filled) -> Result<Response, Failure> {
    filled.begin(here);
    filled.default_to("site_id", RecordId::new().to_string());
    filled.default_to("unit", "in");
    filled.default_to("area_unit", "acres");
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
    let title = filled.title("New planting", "Correct a planting");
    let (rows, others) = mix_rows(app, &filled);
    let open = |field: &&str| filled.form.has(field) || filled.troubles.at(field).is_some();
    let page = PlantingPage {
        open_site: RARE_OF_SITE.iter().any(open),
        open: RARE.iter().any(open),
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
        let saved = |id| format!("/plantings/{id}");
        fresh(app, "/plantings/new", &query, saved, |mut filled| {
            if let Ok(site) = query.get("site").parse::<RecordId>()
                && let Some(site) = app.book.site(site)?
            {
                filled.set("site", site.id.to_string());
            }
            page(app, &here, filled)
        })
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
        for (prefix, rate) in [
            ("pls", item.pls_lb_per_acre),
            ("plan", item.planned_pls_lb_per_acre),
        ] {
            if let Some(rate) = rate {
                filled.set(&format!("{prefix}.{}", item.taxon), rate.to_string());
            }
        }
    }
    filled.set("farm_number", planting.body.farm_number);
    filled.set("tract_number", planting.body.tract_number);
    filled.set("field_number", planting.body.field_number);
    filled.set("note", planting.body.note);
    if let Some((area, unit)) = planting.body.stated_area_m2.map(as_typed) {
        filled.set("area", area);
        filled.set("area_unit", unit);
    }
    let irrigated = match planting.body.irrigated {
        Some(true) => "yes",
        Some(false) => "no",
        None => "",
    };
    filled.set("irrigated", irrigated);
    filled
}

/// An area as somebody may have typed it, with its unit: acres when they come out short,
/// hectares otherwise; either way exactly the area kept.
fn as_typed(m2: f64) -> (String, &'static str) {
    for (unit, m2_per_unit) in AREA_UNITS {
        let short = words::plain(m2 / m2_per_unit);
        let back = short.parse::<f64>().map(|typed| to_m2(typed, m2_per_unit));
        if back.is_ok_and(|back| back == m2) {
            return (short, unit);
        }
    }
    ((m2 / M2_PER_HA).to_string(), "ha")
}

/// Units of an area as forms spell them, with their square metres.
const AREA_UNITS: [(&str, f64); 2] = [("acres", M2_PER_ACRE), ("ha", M2_PER_HA)];

/// Square metres in a hectare.
const M2_PER_HA: f64 = 10_000.0;

/// To the tenth of a square millimetre: 40 acres are 161,874.256896 m2, not ...8960000001.
fn to_m2(typed: f64, m2_per_unit: f64) -> f64 {
    (typed * m2_per_unit * 1e7).round() / 1e7
}

/// Reads the area as somebody stated it.
fn read_area(filled: &mut Filled) -> Option<f64> {
    let (unit, m2_per_unit) = AREA_UNITS[usize::from(filled.get("area_unit") == "ha")];
    let typed = filled.read_number("area", "The area", unit)?;
    let m2 = to_m2(typed, m2_per_unit);
    if m2 > 0.0 && m2 <= limits::STATED_AREA_M2 {
        return Some(m2);
    }
    filled.troubles.add(
        "area",
        format!(
            "An area of {typed} {unit} is out of range. Use a number above 0, up to {} {unit}, or leave it empty.",
            words::plain((limits::STATED_AREA_M2 / m2_per_unit).floor())
        ),
    );
    None
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
        let mut filled = Filled::sent(form);
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
        dates::ask_about_future(&mut filled, "seeded_on", "The date of seeding");
        if let Some(earlier) = filled.supersedes() {
            dates::ask_about_visits_before(&mut filled, &app.book.visits(earlier)?);
        }
        let method = read_method(&mut filled);
        let mix = read_mix(app, &mut filled);
        let stated_area_m2 = read_area(&mut filled);
        let note = filled.read_note("note", "The note");
        let farm_number = filled.read_line("farm_number", "The farm number");
        let tract_number = filled.read_line("tract_number", "The tract number");
        let field_number = filled.read_line("field_number", "The field number");
        let irrigated = match filled.get("irrigated") {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        };
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
                    farm_number,
                    tract_number,
                    field_number,
                    stated_area_m2,
                    irrigated,
                    note,
                }),
            };
            let to = format!("/plantings/{}", planting.id);
            let mut drafts = vec![planting];
            drafts.extend(new_site.map(|body| Draft {
                id: site,
                supersedes: None,
                body: Body::Site(body),
            }));
            match keep(app, &here, &scout, &drafts) {
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
