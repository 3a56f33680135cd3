//! Polygons between degrees and the flat frame, in the shapes that `geo` works on.
//!
//! In: polygons in degrees. Out: the same in metres east and north of a frame, and back.

use crate::{Corner, Frame, Polygon};
use geo::orient::{Direction, Orient};
use geo::{LineString, MultiPolygon};

/// `[metres east, metres north]` of a frame.
pub(crate) type Metres = [f64; 2];

fn line(frame: &Frame, ring: &[Corner]) -> LineString {
    ring.iter()
        .map(|&corner| {
            let [x, y] = frame.to_metres(corner);
            (x, y)
        })
        .collect()
}

/// One ring as a polygon without holes.
pub(crate) fn ring_to_geo(frame: &Frame, ring: &[Corner]) -> geo::Polygon {
    geo::Polygon::new(line(frame, ring), Vec::new())
}

/// A polygon in metres, the outer ring counter-clockwise and holes clockwise: `geo` joins polygons
/// by their winding and would fill a hole that runs the same way as its outer ring.
pub(crate) fn to_geo(frame: &Frame, polygon: &Polygon) -> geo::Polygon {
    let shape = geo::Polygon::new(
        line(frame, &polygon.outer),
        polygon.holes.iter().map(|hole| line(frame, hole)).collect(),
    );
    shape.orient(Direction::Default)
}

/// Polygons in metres.
pub(crate) fn all_to_geo(frame: &Frame, polygons: &[Polygon]) -> MultiPolygon {
    MultiPolygon(polygons.iter().map(|p| to_geo(frame, p)).collect())
}

/// Polygons back in degrees, rings open.
pub(crate) fn from_geo(frame: &Frame, shapes: &MultiPolygon) -> Vec<Polygon> {
    let ring = |line: &LineString| {
        let mut corners: Vec<Corner> = line.coords().map(|c| frame.to_corner([c.x, c.y])).collect();
        corners.pop();
        corners
    };
    shapes
        .iter()
        .map(|p| Polygon {
            outer: ring(p.exterior()),
            holes: p.interiors().iter().map(ring).collect(),
        })
        .collect()
}
