//! Answers for many points whether they lie in some polygons, and how near a side.
//!
//! In: polygons in metres of the flat frame and a reach. Out: inside or not; whether a side lies
//! within reach; exact distances.
//!
//! Method: sides are sorted into bands from south to north, each side into every band that it, or
//! its reach, touches; a question looks at one band only. Inside is counted polygon by polygon
//! with the even-odd rule, so that polygons which overlap by a hand's breadth leave no gap.
//!
//! Units: m, m east and north of the frame.

use crate::flat::Metres;
use geo::{LineString, MultiPolygon};

/// Bands get at most this many sides for every side there is, all bands together.
const ENTRIES_PER_SIDE: f64 = 16.0;

/// One side, with the number of its polygon.
#[derive(Debug, Clone, Copy)]
struct Side {
    a: Metres,
    b: Metres,
    polygon: u32,
}

/// Polygons prepared for questions about points.
#[derive(Debug, Clone)]
pub(crate) struct Region {
    sides: Vec<Side>,
    /// Sides by band, in the order of `sides`; band `i` is `banded[starts[i]..starts[i + 1]]`.
    banded: Vec<Side>,
    starts: Vec<usize>,
    south_m: f64,
    band_m: f64,
    reach_m: f64,
    /// West, south, east, north.
    bounds: [f64; 4],
}

impl Region {
    /// Prepares polygons; `reach_m` is the distance that [`Region::near`] asks about.
    pub(crate) fn new(polygons: &MultiPolygon, reach_m: f64) -> Region {
        let mut sides = Vec::new();
        for (polygon, shape) in polygons.iter().enumerate() {
            for ring in std::iter::once(shape.exterior()).chain(shape.interiors()) {
                push_sides(ring, u32::try_from(polygon).unwrap_or(u32::MAX), &mut sides);
            }
        }
        let mut bounds = [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ];
        for side in &sides {
            bounds[0] = bounds[0].min(side.a[0]);
            bounds[1] = bounds[1].min(side.a[1]);
            bounds[2] = bounds[2].max(side.a[0]);
            bounds[3] = bounds[3].max(side.a[1]);
        }
        let mut region = Region {
            sides,
            banded: Vec::new(),
            starts: Vec::new(),
            south_m: bounds[1] - reach_m,
            band_m: 1.0,
            reach_m,
            bounds,
        };
        region.fill_bands();
        region
    }

    fn fill_bands(&mut self) {
        let height_m = self.bounds[3] - self.bounds[1] + 2.0 * self.reach_m;
        if self.sides.is_empty() || !(height_m > 0.0 && height_m.is_finite()) {
            self.starts = vec![0, 0];
            return;
        }
        let n = self.sides.len() as f64;
        let covered: f64 = self
            .sides
            .iter()
            .map(|s| ((s.a[1] - s.b[1]).abs() + 2.0 * self.reach_m) / height_m)
            .sum();
        let n_bands = (ENTRIES_PER_SIDE * n / covered).clamp(1.0, n).floor();
        self.band_m = height_m / n_bands;
        let n_bands = n_bands as usize;
        let mut counts = vec![0usize; n_bands + 1];
        for side in &self.sides {
            for band in self.bands_of(side, n_bands) {
                counts[band + 1] += 1;
            }
        }
        for band in 0..n_bands {
            counts[band + 1] += counts[band];
        }
        let mut next = counts.clone();
        self.banded = vec![self.sides[0]; counts[n_bands]];
        for side in &self.sides {
            for band in self.bands_of(side, n_bands) {
                self.banded[next[band]] = *side;
                next[band] += 1;
            }
        }
        self.starts = counts;
    }

    fn bands_of(&self, side: &Side, n_bands: usize) -> std::ops::RangeInclusive<usize> {
        let low = side.a[1].min(side.b[1]) - self.reach_m;
        let high = side.a[1].max(side.b[1]) + self.reach_m;
        self.band(low, n_bands)..=self.band(high, n_bands)
    }

    /// The band of a northing, held to the bands there are.
    fn band(&self, north_m: f64, n_bands: usize) -> usize {
        // `as` holds negative numbers at 0.
        (((north_m - self.south_m) / self.band_m) as usize).min(n_bands - 1)
    }

    fn band_at(&self, point: Metres) -> &[Side] {
        let band = self.band(point[1], self.starts.len() - 1);
        &self.banded[self.starts[band]..self.starts[band + 1]]
    }

    /// West, south, east and north end, m; upside down (infinite) without sides.
    pub(crate) fn bounds(&self) -> [f64; 4] {
        self.bounds
    }

    /// Whether a point lies in one of the polygons.
    pub(crate) fn contains(&self, point: Metres) -> bool {
        let [west, south, east, north] = self.bounds;
        if !(point[0] >= west && point[0] <= east && point[1] >= south && point[1] <= north) {
            return false;
        }
        let mut polygon = 0;
        let mut odd = false;
        for side in self.band_at(point) {
            if side.polygon != polygon {
                if odd {
                    return true;
                }
                polygon = side.polygon;
            }
            odd ^= crosses_east_of(side, point);
        }
        odd
    }

    /// Whether a side lies nearer than the reach.
    pub(crate) fn near(&self, point: Metres) -> bool {
        if self.reach_m <= 0.0 {
            return false;
        }
        let [west, south, east, north] = self.bounds;
        let reach = self.reach_m;
        if !(point[0] >= west - reach
            && point[0] <= east + reach
            && point[1] >= south - reach
            && point[1] <= north + reach)
        {
            return false;
        }
        let least = reach * reach;
        self.band_at(point)
            .iter()
            .any(|side| distance_squared(side, point) < least)
    }

    /// Distance to the nearest side, m; infinite without sides. Looks at all sides.
    pub(crate) fn distance_m(&self, point: Metres) -> f64 {
        self.sides
            .iter()
            .map(|side| distance_squared(side, point))
            .fold(f64::INFINITY, f64::min)
            .sqrt()
    }
}

fn push_sides(ring: &LineString, polygon: u32, sides: &mut Vec<Side>) {
    for line in ring.lines() {
        sides.push(Side {
            a: [line.start.x, line.start.y],
            b: [line.end.x, line.end.y],
            polygon,
        });
    }
}

/// Whether a ray to the east from a point crosses a side; a side holds its southern end, not its
/// northern one, so that a ray through a corner counts once.
fn crosses_east_of(side: &Side, point: Metres) -> bool {
    let (a, b) = (side.a, side.b);
    if (a[1] <= point[1]) == (b[1] <= point[1]) {
        return false;
    }
    let turn = (b[0] - a[0]) * (point[1] - a[1]) - (point[0] - a[0]) * (b[1] - a[1]);
    if b[1] > a[1] { turn > 0.0 } else { turn < 0.0 }
}

fn distance_squared(side: &Side, point: Metres) -> f64 {
    let (dx, dy) = (side.b[0] - side.a[0], side.b[1] - side.a[1]);
    let (px, py) = (point[0] - side.a[0], point[1] - side.a[1]);
    let length = dx * dx + dy * dy;
    let along = if length > 0.0 {
        ((px * dx + py * dy) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let (rx, ry) = (px - along * dx, py - along * dy);
    rx * rx + ry * ry
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Contains, Distance, Euclidean, polygon};
    use proptest::prelude::*;

    fn ring(radii: &[f64], at: Metres) -> LineString {
        let n = radii.len() as f64;
        radii
            .iter()
            .enumerate()
            .map(|(i, r)| {
                let angle = i as f64 / n * std::f64::consts::TAU;
                (at[0] + r * angle.cos(), at[1] + r * angle.sin())
            })
            .collect()
    }

    proptest! {
        /// The bands give the same answers as `geo`, which looks at every side.
        #[test]
        fn answers_as_geo_does(
            outer in prop::collection::vec(50.0..100.0f64, 3..60),
            hole in prop::collection::vec(5.0..20.0f64, 3..10),
            reach in 0.0..30.0f64,
            points in prop::collection::vec((-250.0..250.0f64, -140.0..140.0f64), 40),
        ) {
            let shapes = MultiPolygon(vec![
                geo::Polygon::new(ring(&outer, [-100.0, 0.0]), vec![ring(&hole, [-100.0, 0.0])]),
                geo::Polygon::new(ring(&outer, [110.0, 5.0]), Vec::new()),
            ]);
            let region = Region::new(&shapes, reach);
            for (x, y) in points {
                let point = geo::Point::new(x, y);
                prop_assert_eq!(region.contains([x, y]), shapes.contains(&point));
                let away = shapes
                    .iter()
                    .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
                    .map(|r| Euclidean.distance(&point, r))
                    .fold(f64::INFINITY, f64::min);
                prop_assert!((region.distance_m([x, y]) - away).abs() < 1e-9);
                if (away - reach).abs() > 1e-9 {
                    prop_assert_eq!(region.near([x, y]), away < reach);
                }
            }
        }
    }

    #[test]
    fn overlapping_polygons_leave_no_gap() {
        let a =
            polygon![(x: 0.0, y: 0.0), (x: 10.0, y: 0.0), (x: 10.0, y: 10.0), (x: 0.0, y: 10.0)];
        let b =
            polygon![(x: 9.0, y: 0.0), (x: 20.0, y: 0.0), (x: 20.0, y: 10.0), (x: 9.0, y: 10.0)];
        let region = Region::new(&MultiPolygon(vec![a, b]), 0.0);
        for x in [1.0, 9.5, 15.0] {
            assert!(region.contains([x, 5.0]), "{x}");
        }
        assert!(!region.contains([21.0, 5.0]));
    }

    #[test]
    fn without_sides_nothing_is_inside() {
        let region = Region::new(&MultiPolygon(Vec::new()), 5.0);
        assert!(!region.contains([0.0, 0.0]));
        assert!(!region.near([0.0, 0.0]));
        assert_eq!(region.distance_m([0.0, 0.0]), f64::INFINITY);
    }
}
