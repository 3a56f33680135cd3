//! Reads GeoJSON (RFC 7946): any geometry, Feature, FeatureCollection.
//!
//! In: text. Out: shapes. A file of before 2016 that names a coordinate system other than WGS 84
//! is refused, since its numbers would lie somewhere else.

use super::{Gathered, ReadError, shorten};
use crate::{Corner, Polygon};
use geojson::{Geometry, GeometryValue, Position};
use serde_json::{Map, Value};

/// Names of properties that name a feature, as programs spell them.
const NAMES: [&str; 6] = ["name", "Name", "NAME", "title", "label", "id"];

/// Gathers the shapes of a text.
pub(super) fn read(text: &str, gathered: &mut Gathered) -> Result<(), ReadError> {
    let value: Value = serde_json::from_str(text).map_err(|error| ReadError::Json {
        line: error.line(),
        column: error.column(),
        problem: plain(&error.to_string()),
    })?;
    let Value::Object(object) = value else {
        return Err(fault(
            "the file",
            "it is JSON but no GeoJSON: save the outline as GeoJSON",
        ));
    };
    if let Some(crs) = object.get("crs") {
        check_crs(crs)?;
    }
    match kind(&object) {
        "FeatureCollection" => {
            let Some(Value::Array(features)) = object.get("features") else {
                return Err(fault(
                    "the FeatureCollection",
                    "it has no list of features: save it again",
                ));
            };
            for (index, feature) in features.iter().enumerate() {
                read_feature(feature, &format!("feature {}", index + 1), gathered)?;
            }
            Ok(())
        }
        "Feature" => read_feature(&Value::Object(object), "the feature", gathered),
        "" => Err(fault(
            "the file",
            "it is JSON but has no `type`, so it is no GeoJSON: save the outline as GeoJSON",
        )),
        _ => read_geometry(Value::Object(object), "", "the geometry", gathered),
    }
}

/// The JSON reader's message without its own place.
fn plain(message: &str) -> String {
    message
        .split(" at line ")
        .next()
        .unwrap_or(message)
        .to_owned()
}

fn fault(place: &str, problem: impl Into<String>) -> ReadError {
    ReadError::GeoJson {
        place: place.to_owned(),
        problem: problem.into(),
    }
}

fn kind(object: &Map<String, Value>) -> &str {
    object.get("type").and_then(Value::as_str).unwrap_or("")
}

/// RFC 7946 has WGS 84 only; its forerunner of 2008 could name another system.
fn check_crs(crs: &Value) -> Result<(), ReadError> {
    let name = crs
        .pointer("/properties/name")
        .and_then(Value::as_str)
        .unwrap_or("");
    let degrees = name.is_empty()
        || ["CRS84", "4326", "4269", "WGS84", "WGS 84"]
            .iter()
            .any(|n| name.contains(n));
    if degrees {
        Ok(())
    } else {
        Err(fault(
            "the file",
            format!(
                "its coordinate system is {}: save the outline again as longitude and latitude \
                 (WGS 84, EPSG:4326)",
                shorten(name)
            ),
        ))
    }
}

fn read_feature(feature: &Value, place: &str, gathered: &mut Gathered) -> Result<(), ReadError> {
    let Value::Object(object) = feature else {
        return Err(fault(place, "it is no feature: save the file again"));
    };
    let kind = kind(object);
    if kind != "Feature" {
        return Err(fault(
            place,
            format!(
                "its type is `{}`, not Feature: save the file again",
                shorten(kind)
            ),
        ));
    }
    let named = object.get("properties").and_then(|properties| {
        NAMES
            .iter()
            .find_map(|name| properties.get(name).and_then(word))
    });
    let name = named
        .or_else(|| object.get("id").and_then(word))
        .unwrap_or_default();
    match object.get("geometry") {
        // A feature without a place is sound; there is nothing to use in it.
        None | Some(Value::Null) => {
            gathered
                .notes
                .push(format!("{place}: it has no geometry and was left out."));
            Ok(())
        }
        Some(geometry) => read_geometry(geometry.clone(), &name, place, gathered),
    }
}

fn word(value: &Value) -> Option<String> {
    match value {
        Value::String(text) if !text.trim().is_empty() => Some(text.clone()),
        Value::Number(number) => Some(number.to_string()),
        _ => None,
    }
}

fn read_geometry(
    value: Value,
    name: &str,
    place: &str,
    gathered: &mut Gathered,
) -> Result<(), ReadError> {
    let geometry: Geometry = serde_json::from_value(value).map_err(|error| {
        fault(
            place,
            format!(
                "its geometry cannot be read ({}): save the file again",
                plain(&error.to_string())
            ),
        )
    })?;
    gather(geometry.value, name, place, gathered)
}

fn gather(
    value: GeometryValue,
    name: &str,
    place: &str,
    gathered: &mut Gathered,
) -> Result<(), ReadError> {
    match value {
        GeometryValue::Point { coordinates } => {
            gathered.count(1)?;
            gathered.point(name, place, corner(&coordinates, place)?);
        }
        GeometryValue::MultiPoint { coordinates } => {
            gathered.count(coordinates.len())?;
            for position in &coordinates {
                gathered.point(name, place, corner(position, place)?);
            }
        }
        GeometryValue::LineString { coordinates } => {
            gathered.count(coordinates.len())?;
            gathered.line(name, place, ring(&coordinates, place)?, false);
        }
        GeometryValue::MultiLineString { coordinates } => {
            for line in &coordinates {
                gathered.count(line.len())?;
                gathered.line(name, place, ring(line, place)?, false);
            }
        }
        GeometryValue::Polygon { coordinates } => {
            let polygon = polygon(&coordinates, place, gathered)?;
            gathered.polygons(name, place, vec![polygon]);
        }
        GeometryValue::MultiPolygon { coordinates } => {
            let polygons = coordinates
                .iter()
                .map(|rings| polygon(rings, place, gathered))
                .collect::<Result<Vec<_>, _>>()?;
            if !polygons.is_empty() {
                gathered.polygons(name, place, polygons);
            }
        }
        GeometryValue::GeometryCollection { geometries } => {
            for geometry in geometries {
                gather(geometry.value, name, place, gathered)?;
            }
        }
    }
    Ok(())
}

fn polygon(
    rings: &[Vec<Position>],
    place: &str,
    gathered: &mut Gathered,
) -> Result<Polygon, ReadError> {
    for ring in rings {
        gathered.count(ring.len())?;
    }
    let rings = rings
        .iter()
        .map(|r| ring(r, place))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(Polygon::from_rings(rings))
}

fn ring(positions: &[Position], place: &str) -> Result<Vec<Corner>, ReadError> {
    positions.iter().map(|p| corner(p, place)).collect()
}

/// A position has longitude first, then latitude, then perhaps a height.
fn corner(position: &Position, place: &str) -> Result<Corner, ReadError> {
    match position.as_slice() {
        [lon, lat, ..] => Ok([*lat, *lon]),
        _ => Err(fault(
            place,
            "a position has fewer than two numbers: save the file again",
        )),
    }
}
