//! Reads KML (OGC 2.2): Placemarks in any nesting of folders, with polygons, lines, tracks, points.
//!
//! In: text. Out: shapes. All polygons of a Placemark are one shape. Styles, descriptions, pictures
//! and links are passed over.

use super::xml::{Met, Xml, add_to_name};
use super::{Gathered, ReadError, shorten};
use crate::{Corner, Polygon};

/// A Placemark on the way in; geometry outside any makes one without a name.
#[derive(Default)]
struct Placemark {
    name: String,
    polygons: Vec<Polygon>,
    lines: Vec<(Vec<Corner>, bool)>,
    points: Vec<Corner>,
}

/// Gathers the shapes of a text.
pub(super) fn read(text: &str, gathered: &mut Gathered) -> Result<(), ReadError> {
    let mut xml = Xml::new(text);
    let mut placemark = Placemark::default();
    let mut polygon: Option<Polygon> = None;
    let mut track: Vec<Corner> = Vec::new();
    let mut words = String::new();
    loop {
        match xml.next()? {
            Met::Start(name, _) => match name.as_str() {
                "Placemark" => {
                    // What stood outside is not part of it.
                    let line = xml.line();
                    finish(std::mem::take(&mut placemark), line, gathered);
                }
                "Polygon" => polygon = Some(Polygon::default()),
                "Track" => track.clear(),
                "coordinates" | "coord" => words.clear(),
                _ => {}
            },
            Met::Text(text) => {
                if xml.within(&["Placemark", "name"]) {
                    add_to_name(&mut placemark.name, &text);
                } else if xml.within(&["coordinates"]) || xml.within(&["coord"]) {
                    words.push_str(&text);
                }
            }
            Met::End(name, line) => match name.as_str() {
                "coordinates" => {
                    let corners = coordinates(&words, line)?;
                    gathered.count(corners.len())?;
                    put(&xml, corners, &mut polygon, &mut placemark);
                }
                "coord" => {
                    gathered.count(1)?;
                    let numbers: Vec<&str> = words.split_whitespace().collect();
                    track.push(corner(&numbers, line)?);
                }
                "Track" => placemark.lines.push((std::mem::take(&mut track), true)),
                "Polygon" => placemark.polygons.extend(polygon.take()),
                "Placemark" => finish(std::mem::take(&mut placemark), line, gathered),
                _ => {}
            },
            Met::EndOfFile => {
                let line = xml.line();
                finish(placemark, line, gathered);
                return Ok(());
            }
        }
    }
}

/// Puts corners where they belong by the elements that are open.
fn put(xml: &Xml, corners: Vec<Corner>, polygon: &mut Option<Polygon>, placemark: &mut Placemark) {
    match polygon {
        Some(polygon) if xml.inside("innerBoundaryIs") => polygon.holes.push(corners),
        Some(polygon) => polygon.outer = corners,
        None if xml.within(&["LinearRing"]) => placemark.polygons.push(Polygon {
            outer: corners,
            holes: Vec::new(),
        }),
        None if xml.within(&["LineString"]) => placemark.lines.push((corners, false)),
        None if xml.within(&["Point"]) => placemark.points.extend(corners.first()),
        None => {}
    }
}

fn finish(placemark: Placemark, line: usize, gathered: &mut Gathered) {
    let place = format!("Placemark in line {line}");
    if !placemark.polygons.is_empty() {
        gathered.polygons(&placemark.name, &place, placemark.polygons);
    }
    for (corners, recorded) in placemark.lines {
        gathered.line(&placemark.name, &place, corners, recorded);
    }
    for point in placemark.points {
        gathered.point(&placemark.name, &place, point);
    }
}

/// Tuples of longitude, latitude and perhaps height, parted by white space. Some programs put
/// spaces behind the commas too.
fn coordinates(words: &str, line: usize) -> Result<Vec<Corner>, ReadError> {
    let mut tuples: Vec<Vec<&str>> = Vec::new();
    let mut goes_on = false;
    for word in words.split_whitespace() {
        let starts_anew = !goes_on && !word.starts_with(',');
        goes_on = word.ends_with(',');
        let numbers = word.split(',').filter(|number| !number.is_empty());
        match tuples.last_mut() {
            Some(tuple) if !starts_anew => tuple.extend(numbers),
            _ => tuples.push(numbers.collect()),
        }
    }
    tuples.iter().map(|tuple| corner(tuple, line)).collect()
}

fn corner(numbers: &[&str], line: usize) -> Result<Corner, ReadError> {
    let number = |text: Option<&&str>| text.and_then(|t| t.parse::<f64>().ok());
    match (number(numbers.first()), number(numbers.get(1))) {
        (Some(lon), Some(lat)) if numbers.len() <= 3 && lon.is_finite() && lat.is_finite() => {
            Ok([lat, lon])
        }
        _ => Err(ReadError::Coordinates {
            line,
            problem: format!(
                "`{}` is not longitude,latitude: save the file again",
                shorten(&numbers.join(","))
            ),
        }),
    }
}
