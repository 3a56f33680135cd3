//! Writes a plan as GPX and GeoJSON.
//!
//! In: a [`Sheet`]. Out: text of a file that other programs and [`read`](crate::read()) take.
//!
//! Units: degrees WGS 84 with at most 8 digits after the point, about 1 mm.
//!
//! Source: GPX 1.1 schema (topografix.com/GPX/1/1), RFC 7946. Times are left out: no clock here.
//! Polygons over the antimeridian are not cut in two, which RFC 7946 would rather have.

use crate::measure::signed_m2;
use crate::{Area, Corner, Polygon};
use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, Position};
use quick_xml::escape::escape;
use serde_json::{Map, Value, json};
use std::fmt::Write;

/// All that leaves for another program.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet<'a> {
    /// Title.
    pub name: &'a str,
    /// The field.
    pub field: &'a Area,
    /// Ground kept out of, with names, which may be empty.
    pub keep_out: &'a [(String, Area)],
    /// Plots with names.
    pub plots: &'a [(String, Area)],
    /// Points in the order of their numbers, then spares.
    pub points: &'a [SheetPoint],
}

/// One point on a sheet. Its name is its number among the points, `1` to `n`, or among the spares,
/// `S1` and on.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetPoint {
    /// Where.
    pub corner: Corner,
    /// Name of its plot, where it has one.
    pub plot: Option<String>,
    /// Whether it is a spare.
    pub spare: bool,
    /// Its place in the walking order, from 1; `None` for a spare.
    pub walk: Option<u32>,
}

/// Names of points in the order given: `1`, `2` and on, spares `S1`, `S2` and on.
pub fn point_names(points: &[SheetPoint]) -> Vec<String> {
    let (mut number, mut spare) = (0, 0);
    points
        .iter()
        .map(|point| {
            if point.spare {
                spare += 1;
                format!("S{spare}")
            } else {
                number += 1;
                number.to_string()
            }
        })
        .collect()
}

/// GPX 1.1: a waypoint for each point, a route in walking order, outlines as tracks.
pub fn to_gpx(sheet: &Sheet) -> String {
    let names = point_names(sheet.points);
    let mut out = gpx_head(sheet.name);
    for (point, name) in sheet.points.iter().zip(&names) {
        out.push_str(&gpx_waypoint(point.corner, name, &in_words(point)));
    }
    let mut way: Vec<(u32, usize)> = sheet
        .points
        .iter()
        .enumerate()
        .filter_map(|(index, point)| point.walk.map(|place| (place, index)))
        .collect();
    way.sort_unstable();
    if !way.is_empty() {
        out.push_str("  <rte><name>walk</name>\n");
        for (_, index) in way {
            let point = at(sheet.points[index].corner);
            push(
                &mut out,
                format_args!("    <rtept {point}><name>{}</name></rtept>\n", names[index]),
            );
        }
        out.push_str("  </rte>\n");
    }
    gpx_outline(&mut out, "field", sheet.field);
    for (name, area) in sheet.keep_out {
        gpx_outline(&mut out, &named("keep out", name), area);
    }
    for (name, area) in sheet.plots {
        gpx_outline(&mut out, &named("plot", name), area);
    }
    out.push_str(GPX_END);
    out
}

/// The beginning of a GPX file. Waypoints follow, then tracks, then [`GPX_END`].
pub fn gpx_head(name: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <gpx version=\"1.1\" creator=\"Standbook\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n  \
         <metadata><name>{}</name></metadata>\n",
        xml_text(name)
    )
}

/// The end of a GPX file.
pub const GPX_END: &str = "</gpx>\n";

/// One waypoint of a GPX file; `words` about it may be empty.
pub fn gpx_waypoint(corner: Corner, name: &str, words: &str) -> String {
    let words = match words {
        "" => String::new(),
        words => format!("<desc>{}</desc>", xml_text(words)),
    };
    let (at, name) = (at(corner), xml_text(name));
    format!("  <wpt {at}><name>{name}</name>{words}</wpt>\n")
}

/// GeoJSON (RFC 7946): a FeatureCollection of field, keep-outs, plots and points. Every feature has
/// the properties `role` (`field`, `keep out`, `plot`, `point`) and `name`; points also `number`
/// (among points, or among spares), `spare`, `walk` and `plot`.
pub fn to_geojson(sheet: &Sheet) -> String {
    let mut features = vec![feature(
        outline(sheet.field),
        json!({"role": "field", "name": sheet.name}),
    )];
    for (role, list) in [("keep out", sheet.keep_out), ("plot", sheet.plots)] {
        for (name, area) in list {
            features.push(feature(outline(area), json!({"role": role, "name": name})));
        }
    }
    for (point, name) in sheet.points.iter().zip(point_names(sheet.points)) {
        let number: u32 = name.trim_start_matches('S').parse().unwrap_or(0);
        features.push(feature(
            GeometryValue::Point {
                coordinates: position(point.corner),
            },
            json!({
                "role": "point",
                "name": name,
                "number": number,
                "spare": point.spare,
                "walk": point.walk,
                "plot": point.plot,
            }),
        ));
    }
    let mut collection = FeatureCollection::new(features);
    collection.foreign_members = Some(Map::from_iter([("name".to_owned(), json!(sheet.name))]));
    collection.to_string()
}

/// `format!` into a text cannot fail.
fn push(out: &mut String, words: std::fmt::Arguments) {
    let _ = out.write_fmt(words);
}

/// A text for XML: marks escaped, letters left out that XML 1.0 does not allow.
pub fn xml_text(text: &str) -> String {
    let allowed: String = text
        .chars()
        .filter(|&c| !c.is_control() || matches!(c, '\t' | '\n' | '\r'))
        .filter(|&c| !matches!(c, '\u{fffe}' | '\u{ffff}'))
        .collect();
    escape(&allowed).into_owned()
}

fn named(kind: &str, name: &str) -> String {
    if name.is_empty() {
        kind.to_owned()
    } else {
        format!("{kind}: {name}")
    }
}

fn in_words(point: &SheetPoint) -> String {
    let mut words = Vec::new();
    if let Some(plot) = &point.plot {
        words.push(format!("plot {plot}"));
    }
    if let Some(place) = point.walk {
        words.push(format!("walk {place}"));
    }
    if point.spare {
        words.push("spare".to_owned());
    }
    words.join(", ")
}

/// To 8 digits after the point, no more than there are. Never with an exponent, which GPX forbids.
fn degrees(value: f64) -> f64 {
    let rounded = (value * 1e8).round() / 1e8;
    // Minus zero would be written as such.
    rounded + 0.0
}

fn at(corner: Corner) -> String {
    format!(
        "lat=\"{}\" lon=\"{}\"",
        degrees(corner[0]),
        degrees(corner[1])
    )
}

/// Every ring of an area as a closed segment of one track of a GPX file.
pub fn gpx_outline(out: &mut String, name: &str, area: &Area) {
    push(
        out,
        format_args!("  <trk><name>{}</name>\n", xml_text(name)),
    );
    for ring in area.polygons().iter().flat_map(Polygon::rings) {
        out.push_str("    <trkseg>\n");
        for &corner in ring.iter().chain(ring.first()) {
            push(out, format_args!("      <trkpt {}/>\n", at(corner)));
        }
        out.push_str("    </trkseg>\n");
    }
    out.push_str("  </trk>\n");
}

fn position(corner: Corner) -> Position {
    Position::from([degrees(corner[1]), degrees(corner[0])])
}

/// A ring closed and wound as RFC 7946 wants it: outer ones counter-clockwise, holes clockwise.
fn ring(corners: &[Corner], hole: bool) -> Vec<Position> {
    let mut positions: Vec<Position> = corners
        .iter()
        .chain(corners.first())
        .map(|&corner| position(corner))
        .collect();
    if (signed_m2(corners) < 0.0) != hole {
        positions.reverse();
    }
    positions
}

fn outline(area: &Area) -> GeometryValue {
    let rings = |polygon: &Polygon| {
        polygon
            .rings()
            .enumerate()
            .map(|(index, corners)| ring(corners, index > 0))
            .collect::<Vec<_>>()
    };
    match area.polygons() {
        [only] => GeometryValue::Polygon {
            coordinates: rings(only),
        },
        all => GeometryValue::MultiPolygon {
            coordinates: all.iter().map(rings).collect(),
        },
    }
}

/// One feature of GeoJSON for an outline, with its properties (an object).
pub fn outline_feature(area: &Area, properties: Value) -> String {
    feature(outline(area), properties).to_string()
}

/// One feature of GeoJSON for a point with its properties (an object); without a place it has no geometry.
pub fn point_feature(corner: Option<Corner>, properties: Value) -> String {
    let point = |corner| GeometryValue::Point {
        coordinates: position(corner),
    };
    let mut feature = feature(point(corner.unwrap_or_default()), properties);
    if corner.is_none() {
        feature.geometry = None;
    }
    feature.to_string()
}

fn feature(value: GeometryValue, properties: Value) -> Feature {
    Feature {
        bbox: None,
        geometry: Some(Geometry::new(value)),
        id: None,
        properties: match properties {
            Value::Object(properties) => Some(properties),
            _ => None,
        },
        foreign_members: None,
    }
}
