//! Forms of frames as the page would send them, and a plan over the sample's field.
#![allow(dead_code, clippy::unwrap_used)]

use axum::http::StatusCode;
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Entry, RecordId};

use crate::desk_support::{Answer, Sample, hidden};

pub type Fields = Vec<(String, String)>;

pub const SAVE: [(&str, &str); 2] = [("do", "save"), ("scout", "Thea Marsh")];

pub fn with<'a>(more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    [&SAVE[..], more].concat()
}

fn owned(fields: &[(&str, &str)]) -> Fields {
    let fields = fields.iter();
    fields
        .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()))
        .collect()
}

/// A frame form with two planted species, as the page would send it.
pub fn grid(id: RecordId, more: &[(&str, &str)]) -> Fields {
    let mut fields = owned(&[
        ("id", id.to_string().as_str()),
        ("device", "grid"),
        ("cells", "25"),
        ("side", "15"),
        ("number", "1"),
        ("col", "t.andropogon_gerardi"),
        ("col", "t.sorghastrum_nutans"),
    ]);
    fields.extend(owned(more));
    fields
}

/// The same with another device.
pub fn laid(id: RecordId, device: &[(&str, &str)], more: &[(&str, &str)]) -> Fields {
    let mut fields = grid(id, more);
    fields.retain(|(n, _)| !["device", "cells", "side"].contains(&n.as_str()));
    fields.extend(owned(device));
    fields
}

pub fn quadrat(id: RecordId, area: &str, unit: &str, more: &[(&str, &str)]) -> Fields {
    let device = [("device", "quadrat"), ("area", area), ("unit", unit)];
    laid(id, &device, more)
}

/// Sends a form to the last point of the sample, where nothing is counted yet.
pub async fn send(sample: &Sample, fields: &Fields) -> Answer {
    send_to(sample, sample.points[5], fields).await
}

pub async fn send_to(sample: &Sample, point: RecordId, fields: &Fields) -> Answer {
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    sample.post(&format!("/at/{point}/count"), &fields).await
}

/// Opens an address, through one redirect.
pub async fn open(sample: &Sample, address: &str) -> Answer {
    let answer = sample.get(address).await;
    if answer.status != StatusCode::SEE_OTHER {
        return answer;
    }
    sample.get(&answer.location).await
}

pub fn entries(sample: &Sample) -> Vec<Entry<Frame>> {
    sample.app.book.frames_at(sample.points[5]).unwrap()
}

pub fn frames(sample: &Sample) -> Vec<Frame> {
    entries(sample).into_iter().map(|f| f.body).collect()
}

/// The hidden fields of the form of a page that holds `marker`, as a browser would send them.
#[track_caller]
pub fn form_with(page: &str, marker: &str) -> Fields {
    let forms = page.split("<form ").skip(1);
    let form = forms
        .map(|form| form.split("</form>").next().unwrap())
        .find(|form| form.contains(marker))
        .unwrap_or_else(|| panic!("no form with {marker} in:\n{page}"));
    let inputs = form.split("<input type=\"hidden\"").skip(1);
    inputs
        .map(|input| {
            let input = input.split('>').next().unwrap();
            let value = |name: &str| {
                let from = input.split(&format!("{name}=\"")).nth(1).unwrap();
                from.split('"').next().unwrap().to_owned()
            };
            (value("name"), value("value"))
        })
        .collect()
}

/// Sends the form of a page with something filled in.
pub async fn press(sample: &Sample, to: &str, mut fields: Fields, more: &[(&str, &str)]) -> Answer {
    for (name, value) in more {
        fields.retain(|(n, _)| n != name);
        fields.push(((*name).to_owned(), (*value).to_owned()));
    }
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    sample.post(to, &fields).await
}

/// A planned point so many metres north and east of 39 N, 96.5 W. One degree of latitude there is
/// 111,014 m, one of longitude 86,629 m (series of the Clarke kind, memory; good to a metre here).
pub fn planned(north_m: f64, east_m: f64, walk: Option<u32>) -> PlannedPoint {
    let [latitude, longitude] = corner(north_m, east_m);
    PlannedPoint {
        latitude,
        longitude,
        plot: None,
        spare: walk.is_none(),
        walk,
    }
}

pub fn corner(north_m: f64, east_m: f64) -> [f64; 2] {
    [39.0 + north_m / 111_014.0, -96.5 + east_m / 86_629.0]
}

/// A plan of `n` points 100 m apart in a line to the north, and two spares to the east.
pub fn plan(sample: &Sample, n: u32, stopping: Option<Stopping>) -> Plan {
    let mut points: Vec<PlannedPoint> = (1..=n)
        .map(|walk| planned(f64::from(walk) * 100.0, 0.0, Some(walk)))
        .collect();
    points.push(planned(50.0, 200.0, None));
    points.push(planned(100.0, 300.0, None));
    Plan {
        planting: sample.planting,
        name: "July walk".to_owned(),
        design: PlanDesign::Balanced,
        seed: 7,
        edge_m: 10.0,
        points,
        stopping,
    }
}

/// A visit of today without points, so that the walk begins at its beginning.
pub fn visit_today(sample: &Sample) -> RecordId {
    sample.keep(Visit {
        planting: sample.planting,
        on: standbook_web::words::today(),
        scouts: vec!["Thea Marsh".to_owned()],
        note: String::new(),
    })
}

/// A point of a visit.
pub fn point(sample: &Sample, visit: RecordId, label: &str) -> Point {
    Point {
        plot: sample.plot,
        visit,
        label: label.to_owned(),
        position: None,
        planned: None,
        unreachable: String::new(),
    }
}

pub fn fix([latitude, longitude]: [f64; 2]) -> Option<Position> {
    Some(Position {
        latitude,
        longitude,
        uncertainty_m: None,
    })
}

/// The field: a square of 1,000 m to the north-east of 39 N, 96.5 W.
pub fn field(sample: &Sample) -> Outline {
    let ring = [(0.0, 0.0), (0.0, 1000.0), (1000.0, 1000.0), (1000.0, 0.0)];
    Outline {
        planting: sample.planting,
        of: OutlineOf::Field,
        name: String::new(),
        polygons: vec![Polygon {
            rings: vec![ring.iter().map(|(n, e)| corner(*n, *e)).collect()],
        }],
        origin: "drawn".to_owned(),
    }
}

/// The id of the form of a page.
#[track_caller]
pub fn id_of(page: &str) -> RecordId {
    hidden(page, "id").parse().unwrap()
}
