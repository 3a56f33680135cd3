//! Reads GPX 1.0 and 1.1: waypoints, routes, tracks.
//!
//! In: text. Out: shapes. The segments of a track are joined where one begins within 50 m of the
//! end of the last: a receiver that lost its fix makes a new one. Times, heights and extensions
//! are passed over.

use super::xml::{Met, Xml, add_to_name};
use super::{Gathered, ReadError};
use crate::{Corner, distance_m};

/// The largest gap between segments of one walk, m.
const JOIN_M: f64 = 50.0;

/// A waypoint, route or track on the way in.
#[derive(Default)]
struct Item {
    name: String,
    lines: Vec<Vec<Corner>>,
}

/// Gathers the shapes of a text.
pub(super) fn read(text: &str, gathered: &mut Gathered) -> Result<(), ReadError> {
    let mut xml = Xml::new(text);
    let mut item = Item::default();
    loop {
        match xml.next()? {
            Met::Start(name, start) => match name.as_str() {
                "wpt" | "rtept" | "trkpt" => {
                    let corner = [xml.number(&start, "lat")?, xml.number(&start, "lon")?];
                    gathered.count(1)?;
                    if name == "wpt" {
                        item = Item::default();
                    }
                    match item.lines.last_mut() {
                        Some(line) => line.push(corner),
                        None => item.lines.push(vec![corner]),
                    }
                }
                "rte" | "trk" => item = Item::default(),
                "trkseg" => item.lines.push(Vec::new()),
                _ => {}
            },
            Met::Text(text) => {
                // A point of a route has a name of its own, which is not that of the route.
                if ["wpt", "rte", "trk"]
                    .iter()
                    .any(|of| xml.within(&[of, "name"]))
                {
                    add_to_name(&mut item.name, &text);
                }
            }
            Met::End(name, line) => {
                let item = match name.as_str() {
                    "wpt" | "rte" | "trk" => std::mem::take(&mut item),
                    _ => continue,
                };
                match name.as_str() {
                    "wpt" => {
                        let place = format!("waypoint in line {line}");
                        for corner in item.lines.into_iter().flatten() {
                            gathered.point(&item.name, &place, corner);
                        }
                    }
                    "rte" => {
                        let place = format!("route in line {line}");
                        for route in item.lines {
                            gathered.line(&item.name, &place, route, false);
                        }
                    }
                    _ => {
                        let place = format!("track in line {line}");
                        for track in joined(item.lines) {
                            gathered.line(&item.name, &place, track, true);
                        }
                    }
                }
            }
            Met::EndOfFile => return Ok(()),
        }
    }
}

/// Segments with short gaps made one.
fn joined(segments: Vec<Vec<Corner>>) -> Vec<Vec<Corner>> {
    let mut out: Vec<Vec<Corner>> = Vec::new();
    for segment in segments {
        let gap_m = match (out.last().and_then(|line| line.last()), segment.first()) {
            (Some(&end), Some(&begin)) => distance_m(end, begin),
            _ => f64::INFINITY,
        };
        match out.last_mut() {
            Some(line) if gap_m <= JOIN_M => line.extend(segment),
            _ if segment.is_empty() => {}
            _ => out.push(segment),
        }
    }
    out
}
