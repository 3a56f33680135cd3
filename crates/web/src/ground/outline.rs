//! The field outline: what is there, and adding to it by typed corners.
//!
//! In: corners as text, one a line. Out: an outline in the book, or the form as it was with what
//! is wrong, corner by corner. The file and the drawing end here too.
//! Units: degrees WGS 84, m2, acres.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Outline, OutlineOf, Planting};
use standbook_fieldbook::{Body, Entry, RecordId};
use standbook_plan::{Area, Polygon, corners_from_text};

use super::land::{Land, kept};
use super::picture::{View, view};
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::keep_form;
use crate::words::{digits, number_of};

/// One outline of the planting.
struct Line {
    /// `the whole field`.
    name: String,
    /// Area in acres and hectares.
    area: String,
    /// Perimeter and corners.
    around: String,
    /// Where it came from.
    origin: String,
}

/// What an outline may be of.
struct Choice {
    /// As forms spell it.
    value: String,
    /// For people.
    label: String,
    /// Whether it is chosen.
    chosen: bool,
}

#[derive(Template)]
#[template(path = "ground/outline.html")]
struct OutlinePage {
    /// Frame around the page.
    shell: Shell,
    /// The planting.
    planting: Entry<Planting>,
    /// The picture; `None`: no outline yet.
    view: Option<View>,
    /// All outlines.
    lines: Vec<Line>,
    /// A difference to the stated area; empty: none worth saying.
    differs: String,
    /// What a new one may be of.
    choices: Vec<Choice>,
    /// The form.
    filled: Filled,
}

/// The planting by the id of an address.
pub(super) fn planting_of(app: &App, id: &str) -> Result<Entry<Planting>, Failure> {
    let id = record_id(id, "planting")?;
    app.book
        .planting(id)?
        .ok_or(Failure::NotFound { what: "planting" })
}

fn acres_hectares(m2: f64) -> String {
    format!(
        "{} acres ({} ha)",
        digits(m2 / standbook_plan::ACRE_M2),
        digits(m2 / standbook_plan::HECTARE_M2)
    )
}

/// The page with a form as it stands.
pub(super) fn page(
    app: &App,
    here: &Here,
    planting: Entry<Planting>,
    mut filled: Filled,
) -> Result<Response, Failure> {
    filled.begin(here);
    if filled.get("id").is_empty() {
        filled.set("id", RecordId::new().to_string());
    }
    let land = Land::read(app, planting.id)?;
    let lines = land
        .lots()
        .map(|lot| {
            let measure = lot.area.measure();
            Line {
                name: lot.name.clone(),
                area: acres_hectares(measure.area_m2),
                around: format!(
                    "{} m ({} ft) around, {}",
                    digits(measure.perimeter_m),
                    digits(measure.perimeter_m / 0.3048),
                    number_of(lot.area.corners().count(), "corner")
                ),
                origin: lot.entry.body.origin.clone(),
            }
        })
        .collect();
    let field_m2 = land.field.as_ref().map(|lot| lot.area.measure().area_m2);
    let differs = match (field_m2, planting.body.stated_area_m2) {
        (Some(drawn), Some(stated)) if (drawn / stated - 1.0).abs() > 0.1 => format!(
            "The outline holds {}, the planting was entered with {}: more than 10 % apart. One of the two may be wrong.",
            acres_hectares(drawn),
            acres_hectares(stated)
        ),
        _ => String::new(),
    };
    let choices = choices(app, planting.id, filled.get("of"))?;
    let page = OutlinePage {
        shell: Shell::new(app, here, Tab::Plot, "Field outline"),
        view: land.lots().next().map(|_| view(&land, &[], &[])),
        lines,
        differs,
        choices,
        planting,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

fn choices(app: &App, planting: RecordId, chosen: &str) -> Result<Vec<Choice>, Failure> {
    let choice = |value: String, label: String| Choice {
        chosen: value == chosen,
        value,
        label,
    };
    let mut choices = vec![choice("field".to_owned(), "The whole field".to_owned())];
    for plot in app.book.plots(planting)? {
        let label = format!("Plot {}", plot.body.name);
        choices.push(choice(format!("plot:{}", plot.id), label));
    }
    choices.push(choice(
        "keep_out".to_owned(),
        "Ground to keep out of (waterway, track, edge)".to_owned(),
    ));
    Ok(choices)
}

/// `GET /planting/{id}/outline`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = planting_of(app, &id)?;
        page(app, &here, planting, Filled::new())
    })
    .await
}

/// `POST /planting/{id}/outline`: corners as text.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = planting_of(app, &id)?;
        let mut filled = Filled::sent(form);
        let polygons = match corners_from_text(filled.get("corners")) {
            Ok(corners) => vec![Polygon::from_rings(vec![corners])],
            Err(faults) => {
                for fault in faults.0 {
                    filled.troubles.add("corners", fault.to_string());
                }
                Vec::new()
            }
        };
        let origin = match filled.get("origin") {
            "" => "typed".to_owned(),
            origin => origin.chars().take(300).collect(),
        };
        keep(app, &here, planting, filled, polygons, origin)
    })
    .await
}

/// Keeps polygons as the outline that the form names. An outline of the field or of a plot that is
/// there already is corrected by it.
pub(super) fn keep(
    app: &App,
    here: &Here,
    planting: Entry<Planting>,
    mut filled: Filled,
    polygons: Vec<Polygon>,
    origin: String,
) -> Result<Response, Failure> {
    let of = match filled.get("of") {
        "field" => Some(OutlineOf::Field),
        "keep_out" => Some(OutlineOf::KeepOut),
        other => other
            .strip_prefix("plot:")
            .and_then(|id| id.parse().ok())
            .map(OutlineOf::Plot),
    };
    if of.is_none() {
        filled.troubles.add("of", "Choose what the outline is of.");
    }
    let name = filled.get("name").chars().take(120).collect();
    let area = match polygons.is_empty() {
        true => None,
        false => match Area::new(polygons) {
            Ok(area) => Some(area),
            Err(faults) => {
                for fault in faults.0 {
                    filled.troubles.add("corners", format!("{fault}."));
                }
                None
            }
        },
    };
    let body = of.zip(area).map(|(of, area)| Outline {
        planting: planting.id,
        of,
        name,
        polygons: kept(area),
        origin,
    });
    if let (Some(of), None) = (of, filled.supersedes()) {
        let same = app.book.outlines(planting.id)?;
        let old = same.iter().find(|old| match (old.body.of, of) {
            (OutlineOf::Field, OutlineOf::Field) => true,
            (OutlineOf::Plot(a), OutlineOf::Plot(b)) => a == b,
            _ => false,
        });
        // Sent twice, the first sending is the one that is there.
        if let Some(old) = old.filter(|old| old.id != filled.id()) {
            filled.set("supersedes", old.id.to_string());
        }
    }
    let to = format!("/planting/{}/outline", planting.id);
    match keep_form(app, &mut filled, "outline", body.map(Body::Outline), |_| to)? {
        Some(saved) => Ok(saved),
        None => page(app, here, planting, filled),
    }
}
