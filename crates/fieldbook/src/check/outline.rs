//! Rules of outlines by themselves.
//!
//! Not here: whether sides cross, whether holes lie inside, and how large it is (crate `plan`).

use std::collections::HashSet;

use super::{Faults, limits};
use crate::record::Outline;

pub(super) fn outline(faults: &mut Faults, outline: &Outline) {
    faults.line("name", &outline.name);
    faults.text("origin", &outline.origin, 1, limits::ORIGIN_CHARS, false);
    let polygons = &outline.polygons;
    faults.items("polygons", polygons.len(), 1, limits::POLYGONS, "polygons");
    let mut corners = 0;
    for (p, polygon) in polygons.iter().enumerate() {
        let field = format!("polygons[{p}].rings");
        faults.items(&field, polygon.rings.len(), 1, limits::POLYGONS, "rings");
        for (r, ring) in polygon.rings.iter().enumerate() {
            corners += ring.len();
            self::ring(faults, &format!("{field}[{r}]"), ring);
        }
    }
    if corners > limits::CORNERS {
        faults.add(
            "polygons",
            format!("the outline has {corners} corners"),
            format!("Simplify it to {} corners at most.", limits::CORNERS),
        );
    }
}

fn ring(faults: &mut Faults, field: &str, ring: &[[f64; 2]]) {
    // The first corner out of range is enough: the others mostly have the same slip.
    let strays = |[latitude, longitude]: &[f64; 2]| {
        !((-90.0..=90.0).contains(latitude) && (-180.0..=180.0).contains(longitude))
    };
    if let Some(at) = ring.iter().position(strays) {
        let [latitude, longitude] = ring[at];
        faults.degrees(&format!("{field}[{at}]."), latitude, longitude);
        return;
    }
    // Zero has two signs, and both are one place.
    let place = |[latitude, longitude]: &[f64; 2]| {
        ((latitude + 0.0).to_bits(), (longitude + 0.0).to_bits())
    };
    let distinct: HashSet<(u64, u64)> = ring.iter().map(place).collect();
    if distinct.len() < 3 {
        faults.add(
            field,
            format!("the ring has {} different corners", distinct.len()),
            "Give at least 3 corners that are not the same.",
        );
    } else if ring.first().map(place) == ring.last().map(place) {
        faults.add(
            field,
            "the first corner is there again at the end",
            "Leave the last corner out: a ring closes by itself.",
        );
    }
}
