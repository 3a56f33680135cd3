//! Everything about one visit as JSON, so that the numbers can be used without the pages.
//!
//! In: what was gathered. Out: one object; `about` says what each part is. Keys are snake_case,
//! numbers unrounded, units in the names or said in `about`.
//! Not here: any number that the judgement does not have.

use axum::response::Response;
use serde_json::{Map, Value, json};
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Outline, OutlineOf, Polygon};

use super::files::{download, file_name};
use super::frames::repeats;
use super::gather::{Gathered, label_id};
use super::spots::spots;
use crate::app::App;
use crate::failure::Failure;

/// The file.
pub(crate) fn json(app: &App, gathered: &Gathered) -> Result<Response, Failure> {
    let whole = whole(app, gathered)?;
    let body = serde_json::to_vec_pretty(&whole).map_err(|_| Failure::Ours)?;
    let name = file_name(gathered, "", "json");
    Ok(download(&name, "application/json", body))
}

fn about() -> Value {
    json!({
        "what": "One visit to one planting: what was recorded, and what standbook makes of it.",
        "units": "Shares run from 0 to 1. Densities are plants per m2 (1 per m2 is 0.09290304 per ft2). Positions are degrees of WGS 84. Other units stand at the end of a name: _m, _cm, _m2, _percent, _lb_per_acre. Dates are ISO 8601.",
        "program": "Name and version of the program that wrote this.",
        "key": "The key by which plants were named; its fingerprint changes when its meaning does.",
        "planting": "What was sown, where, when and how, as entered.",
        "site": "The place and its owner, as entered; null when the book has none.",
        "visit": "The day of counting and who walked.",
        "seed_lots": "Seed tags, as entered.",
        "events": "What was done to the planting or happened to it, as entered.",
        "outlines": "Where it lies: of what, and a GeoJSON geometry (longitude first) for each.",
        "points": "Every point of the visit: position, what was found there of what was planted, or why it could not be reached.",
        "frames": "Every frame laid, cell by cell or plant count by plant count. No entries: looked, none. repeats_frame: the frame at the same point that was read again by another scout who had not seen the first reading. scout_still_practising, where the planting has a rule for counting: the scout did not meet it on the day of the visit; second_reader: wanted, or read again by somebody who meets it.",
        "judgement": "Estimates with limits and methods, every threshold with its verdict, the verdict over all, advice and cautions with sources, what is in doubt. Limits hold the truth about as often as summary.confidence says (p95: 95 times in 100). estimate, lower and upper have the unit of what they measure: a share of cells, plants per m2, or plants per m of row. The agency, not this arithmetic, decides what counts for a programme."
    })
}

/// What the file holds.
pub(crate) fn whole(app: &App, gathered: &Gathered) -> Result<Value, Failure> {
    written(app, gathered).map_err(|error| {
        eprintln!("standbook: a judgement could not be written as JSON: {error}");
        Failure::Ours
    })
}

fn written(app: &App, gathered: &Gathered) -> Result<Value, serde_json::Error> {
    let place = &gathered.place;
    let mut planting = serde_json::to_value(&place.planting.body)?;
    put(&mut planting, "id", json!(place.planting.id));
    let mut visit = serde_json::to_value(&gathered.visit.body)?;
    put(&mut visit, "id", json!(gathered.visit.id));
    let mut whole = json!({
        "about": about(),
        "program": { "name": "standbook", "version": env!("CARGO_PKG_VERSION") },
        "key": {
            "id": app.key.id,
            "title": app.key.title,
            "fingerprint": standbook_key::fingerprint::of_key(&app.key),
        },
        "written_on": gathered.today,
        "planting": planting,
        "site": place.site.as_ref().map(|site| &site.body),
        "visit": visit,
        "seed_lots": bodies(&gathered.lots),
        "events": bodies(&gathered.events),
        "outlines": gathered.outlines.iter().map(outline).collect::<Vec<_>>(),
        "points": points(gathered),
        "frames": frames(gathered),
        "judgement": gathered.judgement,
    });
    snake(&mut whole);
    Ok(whole)
}

fn put(object: &mut Value, key: &str, value: Value) {
    if let Value::Object(map) = object {
        map.insert(key.to_owned(), value);
    }
}

fn bodies<T: serde::Serialize>(entries: &[Entry<T>]) -> Vec<&T> {
    entries.iter().map(|entry| &entry.body).collect()
}

fn points(gathered: &Gathered) -> Vec<Value> {
    spots(gathered)
        .into_iter()
        .map(|spot| {
            json!({
                "point": spot.name,
                "latitude": spot.position.map(|at| at[0]),
                "longitude": spot.position.map(|at| at[1]),
                "position_is_planned_only": spot.planned_only,
                "uncertainty_m": spot.uncertainty_m,
                "frames": spot.frames,
                "planted_cells": spot.planted_cells,
                "cells": spot.cells,
                "planted_plants": spot.planted_plants,
                "counted_area_m2": spot.area_m2,
                "perennial_weeds": spot.perennial_weeds,
                "not_reached_because": spot.unreachable,
            })
        })
        .collect()
}

fn frames(gathered: &Gathered) -> Vec<Value> {
    let entry = |tally: &standbook_fieldbook::record::Tally| {
        json!({
            "cell": tally.cell,
            "taxon": label_id(&gathered.unknowns, &gathered.counts_as(&tally.what)),
            "plants": tally.plants,
        })
    };
    gathered
        .frames
        .iter()
        .map(|(spot, frame)| {
            let mut one = json!({
                "point": gathered.point_name(*spot),
                "frame": frame.body.number,
                "scout": frame.body.scout,
                "shape": frame.body.shape,
                "looked_twice": frame.body.looked_twice,
                "repeats_frame": repeats(gathered, &frame.body),
                "entries": frame.body.tallies.iter().map(entry).collect::<Vec<_>>(),
            });
            if let Some(mark) = gathered.marks.of(frame.id) {
                let second = match mark.read_again {
                    true => "read again",
                    false => "wanted",
                };
                put(
                    &mut one,
                    "scout_still_practising",
                    json!({ "second_reader": second }),
                );
            }
            one
        })
        .collect()
}

fn outline(outline: &Entry<Outline>) -> Value {
    let (of, plot) = match outline.body.of {
        OutlineOf::Field => ("field", None),
        OutlineOf::Plot(plot) => ("plot", Some(plot)),
        OutlineOf::KeepOut => ("keep_out", None),
    };
    json!({
        "of": of,
        "plot": plot,
        "name": outline.body.name,
        "origin": outline.body.origin,
        "geometry": geometry(&outline.body.polygons),
    })
}

/// A MultiPolygon as RFC 7946 wants it: longitude first, rings closed, outer ones
/// counter-clockwise, holes clockwise.
fn geometry(polygons: &[Polygon]) -> Value {
    let ring = |at: usize, ring: &Vec<[f64; 2]>| {
        let mut corners: Vec<[f64; 2]> = ring.iter().map(|[north, east]| [*east, *north]).collect();
        let twice: f64 = corners
            .iter()
            .zip(corners.iter().cycle().skip(1))
            .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
            .sum();
        // The sign of the area in degrees is that on the ground for any field.
        if (twice > 0.0) != (at == 0) {
            corners.reverse();
        }
        corners.extend(corners.first().copied());
        corners
    };
    let rings = |polygon: &Polygon| -> Vec<Vec<[f64; 2]>> {
        polygon
            .rings
            .iter()
            .enumerate()
            .map(|(at, corners)| ring(at, corners))
            .collect()
    };
    json!({
        "type": "MultiPolygon",
        "coordinates": polygons.iter().map(rings).collect::<Vec<_>>(),
    })
}

/// Gives every key the one spelling of this file: results that could be worked out stand under
/// `ok`, reasons why not under `error`.
fn snake(value: &mut Value) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(snake),
        Value::Object(map) => {
            let old = std::mem::take(map);
            let mut new = Map::new();
            for (key, mut inner) in old {
                snake(&mut inner);
                let key = match key.as_str() {
                    "Ok" => "ok".to_owned(),
                    "Err" => "error".to_owned(),
                    _ => key,
                };
                new.insert(key, inner);
            }
            *map = new;
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 7946, section 3.1.6: linear rings are closed and follow the right-hand rule.
    #[test]
    fn geometry_is_closed_and_right_handed() {
        let clockwise = vec![[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
        let hole = vec![[0.2, 0.2], [0.2, 0.4], [0.4, 0.4], [0.4, 0.2]];
        let made = geometry(&[Polygon {
            rings: vec![clockwise, hole],
        }]);
        assert_eq!(
            made["coordinates"][0][0],
            json!([[1.0, 0.0], [1.0, 1.0], [0.0, 1.0], [0.0, 0.0], [1.0, 0.0]])
        );
        let hole = made["coordinates"][0][1].as_array().map(Vec::len);
        assert_eq!(hole, Some(5));
    }
}
