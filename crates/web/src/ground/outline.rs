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
use standbook_plan::{Area, Polygon, corner_to_text, corners_from_text};

use super::land::{Land, kept};
use super::measures::{acres, metres_feet};
use super::picture::{View, view};
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::keep_form;
use crate::words::{number_of, percent};

/// Most corners of a refused file that are offered for mending.
const MOST_OFFERED: usize = 150;

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
pub(super) struct Choice {
    /// As forms spell it.
    pub value: String,
    /// For people.
    pub label: String,
    /// Whether it is chosen.
    pub chosen: bool,
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
    /// That it agrees with the stated area; empty: no stated area, or it differs.
    stated: String,
    /// Which way to add is unfolded: `file`, `corners`, or none.
    open: &'static str,
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
                area: acres(measure.area_m2),
                around: format!(
                    "{} around, {}",
                    metres_feet(measure.perimeter_m),
                    number_of(lot.area.corners().count(), "corner")
                ),
                origin: lot.entry.body.origin.clone(),
            }
        })
        .collect();
    let field_m2 = land.field.as_ref().map(|lot| lot.area.measure().area_m2);
    let (mut differs, mut stated) = (String::new(), String::new());
    if let (Some(drawn), Some(entered)) = (field_m2, planting.body.stated_area_m2) {
        let apart = (drawn / entered - 1.0).abs();
        // Common practice: a boundary walked with a phone is often a few percent off.
        if apart > 0.1 {
            differs = format!(
                "The outline holds {}, but the planting was entered with {}: {} {}. One of the two is wrong; correct it before anything is worked out per acre.",
                acres(drawn),
                acres(entered),
                percent(apart),
                if drawn > entered { "more" } else { "less" }
            );
        } else {
            stated = format!(
                "The planting was entered with {}: they agree within 10 %.",
                acres(entered)
            );
        }
    }
    let choices = choices(app, &land, planting.id, filled.get("of"))?;
    let open = match (
        filled.troubles.none(),
        filled.form.0.iter().any(|(n, _)| n == "corners"),
    ) {
        (true, _) => "",
        (false, true) => "corners",
        (false, false) => "file",
    };
    let page = OutlinePage {
        shell: Shell::new(app, here, Tab::Plot, "Field outline"),
        view: land.lots().next().map(|_| view(&land, &[], &[])),
        lines,
        differs,
        stated,
        open,
        choices,
        planting,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

pub(super) fn choices(
    app: &App,
    land: &Land,
    planting: RecordId,
    chosen: &str,
) -> Result<Vec<Choice>, Failure> {
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
    for lot in &land.keep_out {
        choices.push(choice(
            format!("keep_out:{}", lot.entry.id),
            format!("In place of {}", lot.name),
        ));
    }
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
        keep(app, &here, planting, filled, "corners", polygons, origin)
    })
    .await
}

/// Keeps polygons as the outline that the form names. An outline of the field or of a plot that is
/// there already is corrected by it. `field`: where the polygons came from on the form; a single
/// ring of a refused file goes into the box of typed corners, where it can be mended.
pub(super) fn keep(
    app: &App,
    here: &Here,
    planting: Entry<Planting>,
    mut filled: Filled,
    field: &str,
    polygons: Vec<Polygon>,
    origin: String,
) -> Result<Response, Failure> {
    let of = match filled.get("of") {
        "field" => Some(OutlineOf::Field),
        keep_out if keep_out.starts_with("keep_out") => Some(OutlineOf::KeepOut),
        other => other
            .strip_prefix("plot:")
            .and_then(|id| id.parse().ok())
            .map(OutlineOf::Plot),
    };
    if of.is_none() {
        filled.troubles.add("of", "Choose what the outline is of.");
    }
    let in_place_of = filled.get("of").strip_prefix("keep_out:");
    let in_place_of: Option<RecordId> = in_place_of.and_then(|id| id.parse().ok());
    let mut name: String = filled.get("name").chars().take(120).collect();
    let area = match polygons.is_empty() {
        true => None,
        false => match Area::new(polygons.clone()) {
            Ok(area) => Some(area),
            Err(faults) => {
                for fault in faults.0 {
                    filled.troubles.add(field, format!("{fault}."));
                }
                if field == "file" {
                    offer_corners(&mut filled, &polygons, &origin);
                }
                None
            }
        },
    };
    let same = app.book.outlines(planting.id)?;
    let old = same.iter().find(|old| match (old.body.of, of) {
        (OutlineOf::Field, Some(OutlineOf::Field)) => true,
        (OutlineOf::Plot(a), Some(OutlineOf::Plot(b))) => a == b,
        (OutlineOf::KeepOut, Some(OutlineOf::KeepOut)) => Some(old.id) == in_place_of,
        _ => false,
    });
    if let (Some(old), true) = (old, name.is_empty()) {
        name.clone_from(&old.body.name);
    }
    let body = of.zip(area).map(|(of, area)| Outline {
        planting: planting.id,
        of,
        name,
        polygons: kept(area),
        origin,
    });
    // Sent twice, the first sending is the one that is there, and what it corrected still counts.
    let first = app.book.get(filled.id())?;
    let corrects = match &first {
        Some(first) => first.supersedes,
        None => old.map(|old| old.id),
    };
    filled.set(
        "supersedes",
        corrects.map_or_else(String::new, |id| id.to_string()),
    );
    let to = format!("/planting/{}/outline", planting.id);
    match keep_form(
        app,
        here,
        &mut filled,
        "outline",
        body.map(Body::Outline),
        |_| to,
    )? {
        Some(saved) => Ok(saved),
        None => {
            // Saved before and changed since: what was saved is the one to correct now.
            if let (true, Some(saved)) = (of == Some(OutlineOf::KeepOut), filled.supersedes()) {
                filled.set("of", format!("keep_out:{saved}"));
            }
            page(app, here, planting, filled)
        }
    }
}

/// Puts the ring of a refused file into the box of typed corners. Only a short one: the page has
/// to stay light.
fn offer_corners(filled: &mut Filled, polygons: &[Polygon], origin: &str) {
    let mut rings = polygons.iter().flat_map(Polygon::rings);
    if let (Some(ring), None) = (rings.next(), rings.next())
        && ring.len() <= MOST_OFFERED
    {
        let lines: Vec<String> = ring.iter().map(|corner| corner_to_text(*corner)).collect();
        filled.set("corners", lines.join("\n"));
        filled.set("origin", format!("{origin}, mended by hand"));
        filled.troubles.add(
            "",
            "The corners of the file stand in the box below: mend them there and save.",
        );
    }
}
