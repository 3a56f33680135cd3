//! Drawing an outline by pressing on a blank, gridded picture: no map, no script.
//!
//! In: a place for the middle of the picture, its width on the ground, and the presses so far, all
//! in the address. Out: a page whose picture is a button: a press sends where it was, and the
//! next address holds one corner more. Saving goes the way of typed corners.
//! Units: presses in pixels of a picture 350 wide and high; corners in m east and north of the
//! middle; degrees WGS 84 when saved.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::Planting;
use standbook_fieldbook::{Entry, RecordId};
use standbook_plan::{Corner, Frame, corner_to_text, corners_from_text};

use super::land::Land;
use super::outline::planting_of;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab, html};

/// Side of the picture, pixels: it must not be scaled, or presses would miss.
const SIDE: f64 = 350.0;
/// Widths on the ground to choose from, m.
const ACROSS: [u32; 5] = [100, 250, 500, 1000, 2000];
/// Lines of the grid each way.
const LINES: u32 = 5;
/// Most corners by hand.
const MOST: usize = 200;

/// What the address says.
struct Sketch {
    middle: Option<Corner>,
    across_m: f64,
    /// m east and north of the middle.
    corners: Vec<[f64; 2]>,
    /// Whether there is a press to add.
    pressed: bool,
}

impl Sketch {
    fn read(query: &Form) -> Sketch {
        let number = |name: &str| {
            query
                .get(name)
                .parse::<f64>()
                .ok()
                .filter(|x| x.is_finite())
        };
        let across_m = number("across")
            .filter(|m| ACROSS.iter().any(|known| f64::from(*known) == *m))
            .unwrap_or(500.0);
        let middle = corners_from_text(query.get("middle"))
            .ok()
            .and_then(|corners| corners.first().copied());
        let mut corners: Vec<[f64; 2]> = query
            .all("c")
            .filter_map(|text| {
                let (east, north) = text.split_once(',')?;
                let pair: [f64; 2] = [east.trim().parse().ok()?, north.trim().parse().ok()?];
                pair.iter().all(|m| m.abs() < 100_000.0).then_some(pair)
            })
            .take(MOST)
            .collect();
        let press = (number("at.x"), number("at.y"));
        if query.has("undo") {
            corners.pop();
        } else if let (Some(x), Some(y)) = press {
            let m = across_m / SIDE;
            if corners.len() < MOST {
                corners.push([
                    ((x - SIDE / 2.0) * m * 10.0).round() / 10.0,
                    ((SIDE / 2.0 - y) * m * 10.0).round() / 10.0,
                ]);
            }
        } else if query.has("add") {
            corners.extend(number("east").zip(number("north")).map(|(e, n)| [e, n]));
        }
        Sketch {
            middle,
            across_m,
            corners,
            pressed: press.0.is_some() || query.has("undo") || query.has("add"),
        }
    }

    /// The address of this state, without the question mark.
    fn query(&self) -> String {
        let mut address = form_urlencoded::Serializer::new(String::new());
        if let Some(middle) = self.middle {
            address.append_pair("middle", &corner_to_text(middle));
        }
        address.append_pair("across", &self.across_m.to_string());
        for [east, north] in &self.corners {
            address.append_pair("c", &format!("{east},{north}"));
        }
        address.finish()
    }

    fn xy(&self, [east, north]: [f64; 2]) -> [f64; 2] {
        let per_m = SIDE / self.across_m;
        [SIDE / 2.0 + east * per_m, SIDE / 2.0 - north * per_m]
    }
}

#[derive(Template)]
#[template(path = "ground/draw.html")]
struct DrawPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting.
    planting: Entry<Planting>,
    /// The middle of the picture; empty: not chosen yet.
    middle: String,
    /// A middle to begin with.
    offered: String,
    /// Widths to choose from, and whether it is the one.
    widths: Vec<(u32, bool)>,
    /// Width on the ground, m.
    across: String,
    /// Distance between the lines of the grid, m.
    step: String,
    /// The state as a query.
    query: String,
    /// Corners so far: m east and north.
    corners: Vec<String>,
    /// Corners as latitude and longitude, a line each.
    text: String,
    /// Id of the record to be.
    id: RecordId,
    /// What it may be of.
    plots: Vec<(RecordId, String)>,
    /// The scout's name, if it is known.
    scout: String,
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
        if sketch.pressed {
            // A reload must not add the corner again.
            let to = format!("/planting/{}/outline/draw?{}", planting.id, sketch.query());
            return Ok(Redirect::to(&to).into_response());
        }
        let frame = sketch.middle.map(Frame::at);
        let text: Vec<String> = sketch
            .corners
            .iter()
            .filter_map(|m| Some(corner_to_text(frame.as_ref()?.to_corner(*m))))
            .collect();
        let plots = app.book.plots(planting.id)?;
        html(&DrawPage {
            shell: Shell::new(app, &here, Tab::Plot, "Draw an outline"),
            middle: sketch.middle.map(corner_to_text).unwrap_or_default(),
            offered: offered(app, planting.id)?
                .map(corner_to_text)
                .unwrap_or_default(),
            widths: ACROSS
                .iter()
                .map(|m| (*m, f64::from(*m) == sketch.across_m))
                .collect(),
            across: sketch.across_m.to_string(),
            step: (sketch.across_m / f64::from(LINES)).to_string(),
            query: sketch.query(),
            corners: sketch
                .corners
                .iter()
                .map(|[east, north]| format!("{east},{north}"))
                .collect(),
            text: text.join("\n"),
            id: RecordId::new(),
            scout: here.scout.clone().unwrap_or_default(),
            plots: plots
                .into_iter()
                .map(|plot| (plot.id, plot.body.name))
                .collect(),
            planting,
        })
    })
    .await
}

/// Where to begin: the middle of what is drawn already, or a fix of an earlier visit.
fn offered(app: &App, planting: RecordId) -> Result<Option<Corner>, Failure> {
    let corners = Land::read(app, planting)?.corners();
    if let Some(frame) = Frame::around(corners) {
        return Ok(Some(frame.base()));
    }
    for visit in app.book.visits(planting)?.iter().rev() {
        for point in app.book.points(visit.id)? {
            if let Some(fix) = point.body.position {
                return Ok(Some([fix.latitude, fix.longitude]));
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
        let sketch = Sketch::read(&query);
        let land = Land::read(app, planting.id)?;
        let mut body = String::new();
        for line in 0..=LINES {
            let at = SIDE * f64::from(line) / f64::from(LINES);
            body.push_str(&format!(
                "<path d=\"M{at} 0V{SIDE}M0 {at}H{SIDE}\" stroke=\"#b9b9a8\" fill=\"none\"/>"
            ));
        }
        if let Some(frame) = sketch.middle.map(Frame::at) {
            for lot in land.lots() {
                for ring in lot.area.polygons().iter().flat_map(|p| p.rings()) {
                    let path = path(ring.iter().map(|c| sketch.xy(frame.to_metres(*c))), true);
                    body.push_str(&format!("<path d=\"{path}\" stroke=\"#77776a\" stroke-width=\"2\" stroke-dasharray=\"6 4\" fill=\"none\"/>"));
                }
            }
        }
        let places: Vec<[f64; 2]> = sketch.corners.iter().map(|m| sketch.xy(*m)).collect();
        let closed = places.len() > 2;
        body.push_str(&format!(
            "<path d=\"{}\" stroke=\"#1b1b1b\" stroke-width=\"3\" fill=\"{}\" fill-opacity=\"0.15\"/>",
            path(places.iter().copied(), closed),
            if closed { "#1f4d2b" } else { "none" }
        ));
        for ([x, y], number) in places.iter().zip(1..) {
            body.push_str(&format!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"5\" fill=\"#1b1b1b\"/><text x=\"{:.1}\" y=\"{:.1}\" font-size=\"15\" font-family=\"sans-serif\">{number}</text>", x + 7.0, y - 6.0));
        }
        body.push_str("<path d=\"M338 30V8M332 15L338 8L344 15\" stroke=\"#1b1b1b\" stroke-width=\"2\" fill=\"none\"/><text x=\"333\" y=\"44\" font-size=\"13\" font-family=\"sans-serif\">N</text>");
        let svg = format!("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{SIDE}\" height=\"{SIDE}\" viewBox=\"0 0 {SIDE} {SIDE}\"><rect width=\"{SIDE}\" height=\"{SIDE}\" fill=\"#fbfaf4\"/>{body}</svg>");
        Ok(([(CONTENT_TYPE, "image/svg+xml")], svg).into_response())
    })
    .await
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
