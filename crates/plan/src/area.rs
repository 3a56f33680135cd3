//! What an outline is, and what makes it sound.
//!
//! In: rings of corners in any winding, closed or not. Out: an [`Area`] that can be measured and
//! walked, or every fault at once, each with polygon, ring and corner and how to mend it.
//!
//! Units: degrees WGS 84, `[degrees north, degrees east]`; faults in m2 and km.
//!
//! Not here: the checks themselves (`check`), reading files (`read`) and text (`text`), areas in
//! m2 (`measure`).

use crate::check;

/// A corner or a point, WGS 84: `[degrees north, degrees east]`.
pub type Corner = [f64; 2];

/// One polygon: an outer ring and holes. Each ring has its corners in order, either way round; the
/// first need not be said again at the end.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Polygon {
    /// The outer ring.
    pub outer: Vec<Corner>,
    /// Rings inside it that are not part of the polygon.
    pub holes: Vec<Vec<Corner>>,
}

impl Polygon {
    /// From rings, the outer one first, as a book keeps them. Without rings: no corners.
    pub fn from_rings(mut rings: Vec<Vec<Corner>>) -> Polygon {
        if rings.is_empty() {
            return Polygon::default();
        }
        let holes = rings.split_off(1);
        Polygon {
            outer: rings.pop().unwrap_or_default(),
            holes,
        }
    }

    /// The rings, the outer one first.
    pub fn rings(&self) -> impl Iterator<Item = &Vec<Corner>> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// The rings, the outer one first, as a book keeps them.
    pub fn into_rings(self) -> Vec<Vec<Corner>> {
        std::iter::once(self.outer).chain(self.holes).collect()
    }
}

/// A sound outline: one polygon or more, none crossing itself or another, rings not closed by a
/// second first corner. Polygons may touch.
#[derive(Debug, Clone, PartialEq)]
pub struct Area {
    polygons: Vec<Polygon>,
}

impl Area {
    /// Drops closing corners and corners given twice in a row, brings longitudes to -180 to 180
    /// and checks everything.
    ///
    /// # Errors
    /// Every fault found, at least one. Faults of single numbers come alone: what else is wrong
    /// shows when they are mended.
    pub fn new(mut polygons: Vec<Polygon>) -> Result<Area, OutlineFaults> {
        for polygon in &mut polygons {
            tidy(&mut polygon.outer);
            polygon.holes.iter_mut().for_each(tidy);
        }
        let faults = check::faults(&polygons);
        if faults.is_empty() {
            Ok(Area { polygons })
        } else {
            Err(OutlineFaults(faults))
        }
    }

    /// The polygons, rings open.
    pub fn polygons(&self) -> &[Polygon] {
        &self.polygons
    }

    /// The polygons, rings open, to keep.
    pub fn into_polygons(self) -> Vec<Polygon> {
        self.polygons
    }

    /// All corners of all rings.
    pub fn corners(&self) -> impl Iterator<Item = Corner> {
        self.polygons
            .iter()
            .flat_map(|p| p.rings().flatten().copied())
    }
}

/// Takes out what says nothing: the closing corner, a corner twice in a row, turns of 360 degrees.
fn tidy(ring: &mut Vec<Corner>) {
    for corner in ring.iter_mut() {
        if corner[1] > 180.0 && corner[1] <= 360.0 {
            corner[1] -= 360.0;
        } else if corner[1] < -180.0 && corner[1] >= -360.0 {
            corner[1] += 360.0;
        }
    }
    ring.dedup();
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
}

/// Where in an outline something is. All count from 1. Shown with no more than is needed:
/// `polygon 2, hole 1, corner 7`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// The polygon.
    pub polygon: usize,
    /// The ring in it: 1 the outer one, 2 the first hole, and so on.
    pub ring: usize,
    /// The corner in the ring.
    pub corner: usize,
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{}, corner {}",
            ring_name(self.polygon, self.ring),
            self.corner
        )
    }
}

/// A ring in words.
fn ring_name(polygon: usize, ring: usize) -> String {
    if ring == 1 {
        format!("polygon {polygon}")
    } else {
        format!("polygon {polygon}, hole {}", ring - 1)
    }
}

/// A corner in words, to about 1 m.
fn degrees(corner: &Corner) -> String {
    format!("{:.5}, {:.5}", corner[0], corner[1])
}

/// What is wrong with an outline, and how to mend it. Polygons, rings and corners count from 1.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OutlineFault {
    /// No polygon at all.
    #[error("the outline has no polygon: give at least three corners")]
    Empty,
    /// A ring with fewer than 3 different corners.
    #[error("{}: {corners} corner(s) given: give at least three that differ", ring_name(*polygon, *ring))]
    TooFewCorners {
        /// The polygon.
        polygon: usize,
        /// The ring.
        ring: usize,
        /// How many there are.
        corners: usize,
    },
    /// A coordinate that is infinite or not a number.
    #[error("{place}: the coordinates are not numbers: give degrees north and degrees east")]
    NotANumber {
        /// The corner.
        place: Place,
    },
    /// A latitude beyond 90 degrees that would do as a longitude.
    #[error("{place}: {} looks swapped: latitude comes first and is never beyond 90 degrees. Give {}", degrees(corner), degrees(&[corner[1], corner[0]]))]
    Swapped {
        /// The corner.
        place: Place,
        /// As it came.
        corner: Corner,
    },
    /// Metres of a map grid instead of degrees.
    #[error("{place}: {:.0}, {:.0} looks like metres or feet of a map grid, not degrees: save the outline again as longitude and latitude (WGS 84, EPSG:4326)", corner[0], corner[1])]
    Projected {
        /// The corner.
        place: Place,
        /// As it came.
        corner: Corner,
    },
    /// No such place on earth.
    #[error(
        "{place}: {} is no place on earth: latitude runs from -90 to 90, longitude from -180 to 180 degrees",
        degrees(corner)
    )]
    OffEarth {
        /// The corner.
        place: Place,
        /// As it came.
        corner: Corner,
    },
    /// A corner so far from the middle of the others that it must be a slip.
    #[error(
        "{place}: {} is {km:.0} km from the middle of the outline: look for a slip in it",
        degrees(corner)
    )]
    FarAway {
        /// The corner.
        place: Place,
        /// As it came.
        corner: Corner,
        /// How far, km.
        km: f64,
    },
    /// A ring comes back to a corner before its end.
    #[error(
        "{place} is the same as corner {first} ({}): take one of them out, or make two polygons that meet there",
        degrees(corner)
    )]
    Repeated {
        /// The later corner.
        place: Place,
        /// The earlier one in the same ring.
        first: usize,
        /// Where.
        corner: Corner,
    },
    /// Two sides of a ring cross or touch.
    #[error("{}: the side after corner {side} crosses the side after corner {other} near {}: put the corners in order around the edge", ring_name(*polygon, *ring), degrees(at))]
    Crossing {
        /// The polygon.
        polygon: usize,
        /// The ring.
        ring: usize,
        /// The corner that the first side leaves from.
        side: usize,
        /// The corner that the second side leaves from.
        other: usize,
        /// Roughly where.
        at: Corner,
    },
    /// A hole that is not wholly inside its polygon.
    #[error("{}: {outside_m2:.0} m2 of it lie outside its polygon near {}: draw it inside", ring_name(*polygon, *ring), degrees(at))]
    HoleOutside {
        /// The polygon.
        polygon: usize,
        /// The ring, 2 or more.
        ring: usize,
        /// How much of it is outside, m2.
        outside_m2: f64,
        /// Roughly where.
        at: Corner,
    },
    /// Two holes share ground.
    #[error("{} and hole {} share {shared_m2:.0} m2 near {}: make them one", ring_name(*polygon, *ring), other - 1, degrees(at))]
    HolesOverlap {
        /// The polygon.
        polygon: usize,
        /// The ring, 2 or more.
        ring: usize,
        /// The other ring.
        other: usize,
        /// How much they share, m2.
        shared_m2: f64,
        /// Roughly where.
        at: Corner,
    },
    /// Two polygons share ground, which would count twice.
    #[error(
        "polygons {polygon} and {other} share {shared_m2:.0} m2 near {}: it would count twice. Make them one, or draw them side by side",
        degrees(at)
    )]
    Overlap {
        /// The first polygon.
        polygon: usize,
        /// The second.
        other: usize,
        /// How much they share, m2.
        shared_m2: f64,
        /// Roughly where.
        at: Corner,
    },
    /// A ring smaller than 1 m2.
    #[error("{}: {area_m2:.2} m2 is no field: give its corners to 5 digits after the point or more", ring_name(*polygon, *ring))]
    TooSmall {
        /// The polygon.
        polygon: usize,
        /// The ring.
        ring: usize,
        /// Its area, m2.
        area_m2: f64,
    },
    /// A polygon larger than 10,000 km2.
    #[error("polygon {polygon}: {area_km2:.0} km2 is no field: look for a slip in its corners")]
    TooLargeArea {
        /// The polygon.
        polygon: usize,
        /// Its area, km2.
        area_km2: f64,
    },
    /// More polygons, or holes in one, than a field has.
    #[error(
        "{parts} polygons or holes are more than the 500 that are checked: keep those of the field"
    )]
    TooManyParts {
        /// How many there are.
        parts: usize,
    },
    /// More of the same.
    #[error("and {0} more faults: mend these first")]
    More(usize),
}

/// Everything wrong with an outline; never empty. Shown: a line for each.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
pub struct OutlineFaults(pub Vec<OutlineFault>);
