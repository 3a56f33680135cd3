//! Checks outlines: numbers, rings, then how rings lie to each other.
//!
//! In: polygons with open rings. Out: faults, at most [`MOST_FAULTS`] and a count of the rest.
//!
//! Units: degrees in, metres of the flat frame within. Shared ground below 1 m2 and a thousandth
//! of the smaller polygon is let pass: neighbours drawn by hand or walked do not fit to the metre.

use crate::flat::{self, Metres};
use crate::measure::measure_ring;
use crate::{Corner, Frame, OutlineFault, Place, Polygon};
use geo::algorithm::line_intersection::{LineIntersection, line_intersection};
use geo::{Area as _, BooleanOps, BoundingRect, InteriorPoint, Intersects, Line, MultiPolygon};
use std::collections::HashMap;

/// Faults shown at once.
const MOST_FAULTS: usize = 20;
/// Polygons of an outline, and holes of a polygon, at most: each is compared with each.
const MOST_PARTS: usize = 500;
/// A ring below this is no ground, m2.
const LEAST_M2: f64 = 1.0;
/// A polygon above this is no field, m2.
const MOST_M2: f64 = 1e10;
/// A corner farther than this from the middle is a slip, km.
const FAR_KM: f64 = 500.0;
/// Ground shared by accident, m2.
const SHARED_M2: f64 = 1.0;
/// Ground shared by accident, share of the smaller polygon.
const SHARED_PART: f64 = 0.001;
/// Above this a number is no degree but metres or feet.
const GRID_NUMBER: f64 = 1_000.0;

/// Everything wrong with some polygons; empty when they are sound.
pub(crate) fn faults(polygons: &[Polygon]) -> Vec<OutlineFault> {
    if polygons.is_empty() {
        return vec![OutlineFault::Empty];
    }
    let parts = polygons
        .iter()
        .map(|p| p.holes.len())
        .fold(polygons.len(), usize::max);
    if parts > MOST_PARTS {
        return vec![OutlineFault::TooManyParts { parts }];
    }
    let mut found = number_faults(polygons);
    if found.is_empty() {
        found = ring_faults(polygons);
    }
    if found.is_empty() {
        found = ground_faults(polygons);
    }
    if found.len() > MOST_FAULTS {
        let more = found.len() - MOST_FAULTS;
        found.truncate(MOST_FAULTS);
        found.push(OutlineFault::More(more));
    }
    found
}

/// Every ring with its polygon and ring number, from 1.
fn rings(polygons: &[Polygon]) -> impl Iterator<Item = (usize, usize, &Vec<Corner>)> {
    polygons.iter().enumerate().flat_map(|(p, polygon)| {
        polygon
            .rings()
            .enumerate()
            .map(move |(r, ring)| (p + 1, r + 1, ring))
    })
}

/// Numbers that are no degrees, and corners far from all others.
fn number_faults(polygons: &[Polygon]) -> Vec<OutlineFault> {
    let mut found = Vec::new();
    for (polygon, ring, corners) in rings(polygons) {
        for (index, &corner) in corners.iter().enumerate() {
            let place = Place {
                polygon,
                ring,
                corner: index + 1,
            };
            let [lat, lon] = corner;
            if !lat.is_finite() || !lon.is_finite() {
                found.push(OutlineFault::NotANumber { place });
            } else if lat.abs() > GRID_NUMBER || lon.abs() > GRID_NUMBER {
                found.push(OutlineFault::Projected { place, corner });
            } else if lat.abs() > 90.0 && lat.abs() <= 180.0 && lon.abs() <= 90.0 {
                found.push(OutlineFault::Swapped { place, corner });
            } else if lat.abs() > 90.0 || lon.abs() > 180.0 {
                found.push(OutlineFault::OffEarth { place, corner });
            }
        }
    }
    found
}

/// What is wrong with single rings.
fn ring_faults(polygons: &[Polygon]) -> Vec<OutlineFault> {
    let mut found = Vec::new();
    for (polygon, ring, corners) in rings(polygons) {
        if corners.len() < 3 {
            found.push(OutlineFault::TooFewCorners {
                polygon,
                ring,
                corners: corners.len(),
            });
        }
        if ring == 1 {
            let area_km2 = measure_ring(corners).area_m2 / 1e6;
            if area_km2 > MOST_M2 / 1e6 {
                found.push(OutlineFault::TooLargeArea { polygon, area_km2 });
            }
        }
    }
    let Some(frame) = frame(polygons) else {
        return found;
    };
    for (polygon, ring, corners) in rings(polygons) {
        for (index, &corner) in corners.iter().enumerate() {
            let km = crate::distance_m(frame.base(), corner) / 1e3;
            if km > FAR_KM {
                found.push(OutlineFault::FarAway {
                    place: Place {
                        polygon,
                        ring,
                        corner: index + 1,
                    },
                    corner,
                    km,
                });
            }
        }
    }
    // Beyond this size the flat frame folds over: crossings in it would mean nothing.
    if !found.is_empty() {
        return found;
    }
    for (polygon, ring, corners) in rings(polygons) {
        let before = found.len();
        repeated(polygon, ring, corners, &mut found);
        if found.len() == before {
            crossings(polygon, ring, corners, &frame, &mut found);
        }
        // The two halves of a crossed ring take each other's area away: one fault is enough.
        if found.len() == before {
            let area_m2 = measure_ring(corners).area_m2;
            if area_m2 < LEAST_M2 {
                found.push(OutlineFault::TooSmall {
                    polygon,
                    ring,
                    area_m2,
                });
            }
        }
    }
    found
}

/// The middle from which distances are judged: that of the first polygon's corners by the median,
/// so that one slip does not make all others look far away.
fn frame(polygons: &[Polygon]) -> Option<Frame> {
    let all: Vec<Corner> = polygons
        .iter()
        .flat_map(|p| p.rings().flatten().copied())
        .collect();
    let around = Frame::around(all.iter().copied())?;
    // The corner nearest to most others, seen from a few of them.
    let step = all.len().div_ceil(32).max(1);
    let best = all
        .iter()
        .step_by(step)
        .map(|&candidate| {
            let mut away: Vec<f64> = all
                .iter()
                .step_by(step)
                .map(|&other| crate::distance_m(candidate, other))
                .collect();
            away.sort_by(f64::total_cmp);
            (away[away.len() / 2], candidate)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let spread_m = crate::distance_m(around.base(), best.1);
    if spread_m > FAR_KM * 500.0 {
        Some(Frame::at(best.1))
    } else {
        Some(around)
    }
}

/// Corners that a ring visits twice.
fn repeated(polygon: usize, ring: usize, corners: &[Corner], found: &mut Vec<OutlineFault>) {
    let mut seen: HashMap<[u64; 2], usize> = HashMap::new();
    for (index, &corner) in corners.iter().enumerate() {
        // Adding 0.0 makes the two zeros one.
        let key = [(corner[0] + 0.0).to_bits(), (corner[1] + 0.0).to_bits()];
        match seen.get(&key) {
            Some(&first) => found.push(OutlineFault::Repeated {
                place: Place {
                    polygon,
                    ring,
                    corner: index + 1,
                },
                first: first + 1,
                corner,
            }),
            None => {
                seen.insert(key, index);
            }
        }
    }
}

/// Sides of a ring that cross or touch other than in their common corner.
fn crossings(
    polygon: usize,
    ring: usize,
    corners: &[Corner],
    frame: &Frame,
    found: &mut Vec<OutlineFault>,
) {
    let flat: Vec<Metres> = corners.iter().map(|&c| frame.to_metres(c)).collect();
    each_crossing(&flat, |side, other, at| {
        found.push(OutlineFault::Crossing {
            polygon,
            ring,
            side: side + 1,
            other: other + 1,
            at: frame.to_corner(at),
        });
        found.len() <= 4 * MOST_FAULTS
    });
}

/// Visits pairs of sides of a ring that cross or touch other than in their common corner, by the
/// index of the corner that each leaves from, lower first, for as long as the visitor says so.
/// Sides are taken in the order of their western ends; only those that reach as far are compared.
pub(crate) fn each_crossing(flat: &[Metres], mut visit: impl FnMut(usize, usize, Metres) -> bool) {
    let n = flat.len();
    let side = |i: usize| (flat[i], flat[(i + 1) % n]);
    let west = |i: usize| side(i).0[0].min(side(i).1[0]);
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&a, &b| west(a).total_cmp(&west(b)));
    let mut reaching: Vec<usize> = Vec::new();
    for &i in &order {
        let (a, b) = side(i);
        let from_x = west(i);
        reaching.retain(|&j| side(j).0[0].max(side(j).1[0]) >= from_x);
        for &j in &reaching {
            let (c, d) = side(j);
            if a[1].max(b[1]) < c[1].min(d[1]) || c[1].max(d[1]) < a[1].min(b[1]) {
                continue;
            }
            let next_to = (i + 1) % n == j || (j + 1) % n == i;
            let at = match line_intersection(line(a, b), line(c, d)) {
                None => continue,
                // Neighbours always meet in their corner; only folding back is a fault.
                Some(LineIntersection::SinglePoint { .. }) if next_to => continue,
                Some(LineIntersection::SinglePoint { intersection, .. }) => intersection,
                Some(LineIntersection::Collinear { intersection }) => intersection.start,
            };
            if !visit(i.min(j), i.max(j), [at.x, at.y]) {
                return;
            }
        }
        reaching.push(i);
    }
}

fn line(a: Metres, b: Metres) -> Line {
    Line::new((a[0], a[1]), (b[0], b[1]))
}

/// Holes and polygons that lie wrong to each other. Rings are sound by now.
fn ground_faults(polygons: &[Polygon]) -> Vec<OutlineFault> {
    let mut found = Vec::new();
    let all = polygons.iter().flat_map(|p| p.rings().flatten().copied());
    let Some(frame) = Frame::around(all) else {
        return found;
    };
    let single = |ring: &Vec<Corner>| MultiPolygon(vec![flat::ring_to_geo(&frame, ring)]);
    let allowed = |a: &MultiPolygon, b: &MultiPolygon| {
        SHARED_M2 + SHARED_PART * a.unsigned_area().min(b.unsigned_area())
    };
    for (p, polygon) in polygons.iter().enumerate() {
        let outer = single(&polygon.outer);
        let holes: Vec<MultiPolygon> = polygon.holes.iter().map(single).collect();
        for (h, hole) in holes.iter().enumerate() {
            let outside = hole.difference(&outer);
            let outside_m2 = outside.unsigned_area();
            if outside_m2 > allowed(hole, &outer) {
                found.push(OutlineFault::HoleOutside {
                    polygon: p + 1,
                    ring: h + 2,
                    outside_m2,
                    at: somewhere(&frame, &outside),
                });
            }
        }
        for_each_pair(&holes, |a, b| {
            let shared = holes[a].intersection(&holes[b]);
            let shared_m2 = shared.unsigned_area();
            if shared_m2 > allowed(&holes[a], &holes[b]) {
                found.push(OutlineFault::HolesOverlap {
                    polygon: p + 1,
                    ring: a + 2,
                    other: b + 2,
                    shared_m2,
                    at: somewhere(&frame, &shared),
                });
            }
        });
    }
    let whole: Vec<MultiPolygon> = polygons
        .iter()
        .map(|p| MultiPolygon(vec![flat::to_geo(&frame, p)]))
        .collect();
    for_each_pair(&whole, |a, b| {
        let shared = whole[a].intersection(&whole[b]);
        let shared_m2 = shared.unsigned_area();
        if shared_m2 > allowed(&whole[a], &whole[b]) {
            found.push(OutlineFault::Overlap {
                polygon: a + 1,
                other: b + 1,
                shared_m2,
                at: somewhere(&frame, &shared),
            });
        }
    });
    found
}

/// Every pair whose bounding boxes meet, lower index first.
fn for_each_pair(shapes: &[MultiPolygon], mut visit: impl FnMut(usize, usize)) {
    let boxes: Vec<_> = shapes.iter().map(BoundingRect::bounding_rect).collect();
    for a in 0..shapes.len() {
        for b in a + 1..shapes.len() {
            if let (Some(box_a), Some(box_b)) = (boxes[a], boxes[b])
                && box_a.intersects(&box_b)
            {
                visit(a, b);
            }
        }
    }
}

/// A point inside the largest piece, to tell where to look.
fn somewhere(frame: &Frame, pieces: &MultiPolygon) -> Corner {
    pieces
        .iter()
        .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))
        .and_then(InteriorPoint::interior_point)
        .map_or(frame.base(), |p| frame.to_corner([p.x(), p.y()]))
}

#[cfg(test)]
#[path = "check_tests.rs"]
mod tests;
