//! Drawing an outline by pressing on a blank, gridded picture: no map, no script.
//!
//! In: the state of a drawing from the address (`sketch_state`). Out: a page whose picture is a
//! button: a press sends where it was, and the next address holds one corner more. Saving goes
//! the way of typed corners (`outline`).
//! Units: pixels of the picture; m on the ground; degrees WGS 84 when saved.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::Planting;
use standbook_fieldbook::{Entry, RecordId};
use standbook_plan::{Area, Corner, Frame, corner_to_text};

use super::land::Land;
use super::measures::{acres, feet, metres_feet};
use super::outline::{Choice, choices, planting_of};
use super::sketch_state::{ACROSS, SIDE, Sketch};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::words::plain;

/// Lines of the grid each way.
const LINES: u32 = 5;

#[derive(Template)]
#[template(path = "ground/draw.html")]
struct DrawPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting.
    planting: Entry<Planting>,
    /// The middle of the picture; empty: not chosen yet.
    middle: String,
    /// What stands in the field of the middle.
    middle_typed: String,
    /// Where `middle_typed` comes from, when it is offered.
    offered: &'static str,
    /// Widths to choose from, their words, and whether it is the one.
    widths: Vec<(u32, String, bool)>,
    /// Width on the ground, m.
    across: String,
    /// Distance between the lines of the grid.
    step: String,
    /// The state as a query.
    query: String,
    /// Corners so far: m east and north, for the form.
    corners: Vec<String>,
    /// The same in words.
    corner_words: Vec<String>,
    /// Corners as latitude and longitude, a line each.
    text: String,
    /// Area and perimeter so far; empty: no outline yet, or it crosses itself.
    so_far: String,
    /// What is wrong with the outline so far.
    faults: Vec<String>,
    /// What could not be done: field and message.
    troubles: Vec<(&'static str, String)>,
    /// Typed, and not taken.
    east: String,
    /// Typed, and not taken.
    north: String,
    /// Id of the record to be.
    id: RecordId,
    /// What it may be of.
    choices: Vec<Choice>,
    /// The scout's name, if it is known.
    scout: String,
}

impl DrawPage {
    /// What is wrong with a field.
    fn wrong(&self, field: &str) -> Option<&str> {
        let found = self.troubles.iter().find(|(at, _)| *at == field);
        found.map(|(_, message)| message.as_str())
    }
}

/// `GET /planting/{id}/outline/draw`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = planting_of(app, &id)?;
        let sketch = Sketch::read(&query);
        if sketch.changed {
            // A reload must not add the corner again.
            let to = format!("/planting/{}/outline/draw?{}", planting.id, sketch.query());
            return Ok(Redirect::to(&to).into_response());
        }
        let land = Land::read(app, planting.id)?;
        let (middle_typed, offered) = match (query.get("middle"), sketch.middle) {
            (typed, None) if !typed.is_empty() => (typed.to_owned(), ""),
            (_, Some(middle)) => (corner_to_text(middle), ""),
            _ => match offered(app, &land, planting.id)? {
                Some((middle, whence)) => (corner_to_text(middle), whence),
                None => (String::new(), ""),
            },
        };
        let (mut so_far, mut faults) = (String::new(), Vec::new());
        if sketch.corners.len() > 2 && sketch.middle.is_some() {
            match Area::new(vec![sketch.polygon()]) {
                Ok(area) => {
                    let measure = area.measure();
                    so_far = format!(
                        "Closed as it is: {}, {} around.",
                        acres(measure.area_m2),
                        metres_feet(measure.perimeter_m)
                    );
                }
                Err(found) => faults = found.0.iter().map(|fault| format!("{fault}.")).collect(),
            }
        }
        let degrees = sketch.degrees();
        let lines: Vec<String> = degrees.iter().map(|c| corner_to_text(*c)).collect();
        let step_m = sketch.across_m / f64::from(LINES);
        let page = DrawPage {
            shell: Shell::new(app, &here, Tab::Plot, "Draw an outline"),
            middle: sketch.middle.map(corner_to_text).unwrap_or_default(),
            middle_typed,
            offered,
            widths: ACROSS
                .iter()
                .map(|m| {
                    let words = format!("{m} m ({})", feet(f64::from(*m)));
                    (*m, words, f64::from(*m) == sketch.across_m)
                })
                .collect(),
            across: sketch.across_m.to_string(),
            step: format!("{} m ({})", plain(step_m), feet(step_m)),
            query: sketch.query(),
            corners: sketch
                .corners
                .iter()
                .map(|[east, north]| format!("{east},{north}"))
                .collect(),
            corner_words: sketch.corners.iter().map(|m| corner_words(*m)).collect(),
            text: lines.join("\n"),
            so_far,
            faults,
            east: query.get("east").to_owned(),
            north: query.get("north").to_owned(),
            troubles: sketch.troubles,
            id: RecordId::new(),
            scout: here.scout.clone().unwrap_or_default(),
            choices: choices(app, &land, planting.id, query.get("of"))?,
            planting,
        };
        let status = match page.troubles.is_empty() {
            true => StatusCode::OK,
            false => StatusCode::UNPROCESSABLE_ENTITY,
        };
        Ok((status, html(&page)?).into_response())
    })
    .await
}

/// `250 m east, 100 m south`.
fn corner_words([east, north]: [f64; 2]) -> String {
    let side = |m: f64, plus: &str, minus: &str| {
        let way = if m < 0.0 { minus } else { plus };
        format!("{} m {way}", plain(m.abs()))
    };
    format!(
        "{}, {}",
        side(east, "east", "west"),
        side(north, "north", "south")
    )
}

/// Where to begin, and whence: the middle of what is drawn already, or a fix of an earlier visit.
fn offered(
    app: &App,
    land: &Land,
    planting: RecordId,
) -> Result<Option<(Corner, &'static str)>, Failure> {
    if let Some(frame) = Frame::around(land.corners()) {
        return Ok(Some((frame.base(), "the middle of the outlines there are")));
    }
    for visit in app.book.visits(planting)?.iter().rev() {
        for point in app.book.points(visit.id)? {
            if let Some(fix) = point.body.position {
                let corner = [fix.latitude, fix.longitude];
                return Ok(Some((corner, "a fix taken at a point of an earlier visit")));
            }
        }
    }
    Ok(None)
}

/// `GET /planting/{id}/outline/sketch.svg`.
pub(super) async fn svg(
    State(app): State<Shared>,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = planting_of(app, &id)?;
        let land = Land::read(app, planting.id)?;
        let svg = picture(&Sketch::read(&query), &land);
        Ok(([(CONTENT_TYPE, "image/svg+xml")], svg).into_response())
    })
    .await
}

/// The picture: a grid, what is drawn already, the corners so far. Its colours are its own, since
/// the page's style sheet does not reach into an image.
fn picture(sketch: &Sketch, land: &Land) -> String {
    let mut body = String::new();
    for line in 0..=LINES {
        let at = SIDE * f64::from(line) / f64::from(LINES);
        body.push_str(&format!("<path d=\"M{at} 0V{SIDE}M0 {at}H{SIDE}\"/>"));
    }
    let mut body = format!("<g stroke=\"#9a9a8a\" fill=\"none\">{body}</g>");
    if let Some(frame) = sketch.middle.map(Frame::at) {
        for lot in land.lots() {
            for ring in lot.area.polygons().iter().flat_map(|p| p.rings()) {
                let path = path(ring.iter().map(|c| sketch.xy(frame.to_metres(*c))), true);
                body.push_str(&format!("<path d=\"{path}\" stroke=\"#5c5c50\" stroke-width=\"2\" stroke-dasharray=\"6 4\" fill=\"none\"/>"));
            }
        }
        // The middle: what the metres are counted from.
        let half = SIDE / 2.0;
        body.push_str(&format!(
            "<path d=\"M{} {half}h12M{half} {}v12\" stroke=\"#161a14\" stroke-width=\"1.5\"/>",
            half - 6.0,
            half - 6.0
        ));
    }
    let places: Vec<[f64; 2]> = sketch.corners.iter().map(|m| sketch.xy(*m)).collect();
    let closed = places.len() > 2;
    body.push_str(&format!(
        "<path d=\"{}\" stroke=\"#161a14\" stroke-width=\"3\" fill=\"{}\" fill-opacity=\"0.15\"/>",
        path(places.iter().copied(), closed),
        if closed { "#1d4a2c" } else { "none" }
    ));
    for ([x, y], number) in places.iter().zip(1..) {
        // Numbers stay inside the picture.
        let (at_x, at_y) = ((x + 7.0).min(SIDE - 20.0), (y - 6.0).max(16.0));
        body.push_str(&format!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"5\" fill=\"#161a14\"/><text x=\"{at_x:.1}\" y=\"{at_y:.1}\" font-size=\"16\" font-weight=\"bold\" font-family=\"sans-serif\" stroke=\"#fbfaf5\" stroke-width=\"4\" paint-order=\"stroke\">{number}</text>"));
    }
    let (bar, east) = (SIDE / f64::from(LINES), SIDE - 14.0);
    let step_m = sketch.across_m / f64::from(LINES);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{SIDE}\" height=\"{SIDE}\" viewBox=\"0 0 {SIDE} {SIDE}\"><rect width=\"{SIDE}\" height=\"{SIDE}\" fill=\"#fbfaf5\"/>{body}<rect x=\"1\" y=\"1\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"#161a14\" stroke-width=\"2\"/><path d=\"M{east} 30V9M{} 16L{east} 9L{} 16\" stroke=\"#161a14\" stroke-width=\"2\" fill=\"none\"/><g font-size=\"14\" font-family=\"sans-serif\" stroke=\"#fbfaf5\" stroke-width=\"4\" paint-order=\"stroke\"><text x=\"{}\" y=\"44\">N</text><text x=\"{}\" y=\"{}\">{} m</text></g><path d=\"M2 {}H{bar}\" stroke=\"#161a14\" stroke-width=\"4\"/></svg>",
        SIDE - 2.0,
        SIDE - 2.0,
        east - 6.0,
        east + 6.0,
        east - 5.0,
        bar + 5.0,
        SIDE - 6.0,
        plain(step_m),
        SIDE - 4.0,
    )
}

fn path(places: impl Iterator<Item = [f64; 2]>, closed: bool) -> String {
    let mut path = String::new();
    for (at, [x, y]) in places.enumerate() {
        path.push_str(&format!("{}{x:.1} {y:.1}", if at == 0 { 'M' } else { 'L' }));
    }
    if closed && !path.is_empty() {
        path.push('Z');
    }
    path
}
