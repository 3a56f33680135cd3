//! Area and perimeter on the ellipsoid.
//!
//! In: polygons or two corners. Out: m2 and m, geodesic edges on WGS 84. Always 0 or more: the
//! winding of a ring does not matter, and a ring bounds the smaller part of the earth.
//!
//! Source: Karney 2013, Algorithms for geodesics, Journal of Geodesy 87:43-55, as ported in
//! geographiclib-rs and called by `geo`, where counter-clockwise is positive.
//!
//! Not here: whether the polygons are sound (`area`), the flat frame (`frame`).

use crate::{Area, Corner, Polygon};
use geo::{Distance, Geodesic, GeodesicArea, LineString};

/// The international acre, m2 (0.3048 m to the foot, 43,560 square feet).
pub const ACRE_M2: f64 = 4_046.856_422_4;
/// The hectare, m2.
pub const HECTARE_M2: f64 = 10_000.0;

/// How large an area is.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Measure {
    /// Area inside the outer rings less the holes, m2.
    pub area_m2: f64,
    /// Length of all rings, holes included, m.
    pub perimeter_m: f64,
}

impl Measure {
    /// Area in international acres.
    pub fn acres(&self) -> f64 {
        self.area_m2 / ACRE_M2
    }

    /// Area in hectares.
    pub fn hectares(&self) -> f64 {
        self.area_m2 / HECTARE_M2
    }
}

impl Area {
    /// Area and perimeter on the ellipsoid.
    pub fn measure(&self) -> Measure {
        measure(self.polygons())
    }
}

/// Area and perimeter of polygons on the ellipsoid. Means little where they cross; see
/// [`Area::new`].
pub fn measure(polygons: &[Polygon]) -> Measure {
    let mut sum = Measure {
        area_m2: 0.0,
        perimeter_m: 0.0,
    };
    for polygon in polygons {
        let outer = measure_ring(&polygon.outer);
        sum.area_m2 += outer.area_m2;
        sum.perimeter_m += outer.perimeter_m;
        for hole in &polygon.holes {
            let hole = measure_ring(hole);
            sum.area_m2 -= hole.area_m2;
            sum.perimeter_m += hole.perimeter_m;
        }
    }
    sum
}

/// Area (0 or more) and length of one ring, closed or not.
pub(crate) fn measure_ring(ring: &[Corner]) -> Measure {
    let (perimeter_m, signed_m2) = geo_ring(ring).geodesic_perimeter_area_signed();
    Measure {
        area_m2: signed_m2.abs(),
        perimeter_m,
    }
}

/// Area of one ring, positive where its corners go round counter-clockwise, m2.
pub(crate) fn signed_m2(ring: &[Corner]) -> f64 {
    geo_ring(ring).geodesic_area_signed()
}

fn geo_ring(ring: &[Corner]) -> geo::Polygon {
    let line: LineString = ring.iter().map(|c| (c[1], c[0])).collect();
    geo::Polygon::new(line, Vec::new())
}

/// Length of the shortest line over the ellipsoid between two corners, m.
pub fn distance_m(from: Corner, to: Corner) -> f64 {
    Geodesic.distance(
        geo::Point::new(from[1], from[0]),
        geo::Point::new(to[1], to[0]),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(outer: &[Corner]) -> Measure {
        measure(&[Polygon {
            outer: outer.to_vec(),
            holes: Vec::new(),
        }])
    }

    /// Outline and numbers: GeographicLib documentation, Measuring areas (Antarctica).
    #[test]
    fn antarctica_agrees_with_geographiclib() {
        let mut ring = [
            [-63.1, -58.0],
            [-72.9, -74.0],
            [-71.9, -102.0],
            [-74.9, -102.0],
            [-74.3, -131.0],
            [-77.5, -163.0],
            [-77.4, 163.0],
            [-71.7, 172.0],
            [-65.9, 140.0],
            [-65.7, 113.0],
            [-66.6, 88.0],
            [-66.9, 59.0],
            [-69.8, 25.0],
            [-70.0, -4.0],
            [-71.0, -14.0],
            [-77.3, -33.0],
            [-77.9, -46.0],
            [-74.7, -61.0],
        ];
        let there = one(&ring);
        assert!(
            (there.area_m2 - 13_662_703_680_020.1).abs() < 0.06,
            "{there:?}"
        );
        assert!(
            (there.perimeter_m - 16_831_067.893).abs() < 5e-4,
            "{there:?}"
        );
        ring.reverse();
        let back = one(&ring);
        assert!((back.area_m2 - there.area_m2).abs() < 0.06, "{back:?}");
    }

    /// Numbers: reference values of GeographicLib for Python 2.1 (one octant; its own test lets
    /// the perimeter be 1 m off).
    #[test]
    fn an_octant_agrees_with_geographiclib() {
        let octant = one(&[[90.0, 0.0], [0.0, 0.0], [0.0, 90.0]]);
        assert!(
            (octant.area_m2 - 63_758_202_715_511.0).abs() < 0.5,
            "{octant:?}"
        );
        assert!(
            (octant.perimeter_m - 30_022_685.0).abs() < 1.0,
            "{octant:?}"
        );
    }

    /// Numbers: computed with geographiclib 2.1 for Python.
    #[test]
    fn a_field_agrees_with_geographiclib() {
        let field = one(&[
            [40.0, -96.0],
            [40.0, -95.995],
            [40.005, -95.995],
            [40.005, -96.0],
        ]);
        assert!((field.area_m2 - 237_033.346).abs() < 5e-4, "{field:?}");
        assert!((field.perimeter_m - 1_964.254_2).abs() < 5e-5, "{field:?}");
        assert!((field.acres() - 58.572).abs() < 5e-4, "{field:?}");
    }

    #[test]
    fn a_hole_takes_its_area_and_adds_its_length_whatever_its_winding() {
        let outer = vec![
            [40.0, -96.0],
            [40.0, -95.995],
            [40.005, -95.995],
            [40.005, -96.0],
        ];
        let mut hole = vec![[40.001, -95.999], [40.001, -95.998], [40.002, -95.998]];
        let (whole, cut) = (one(&outer), one(&hole));
        for _ in 0..2 {
            let left = measure(&[Polygon {
                outer: outer.clone(),
                holes: vec![hole.clone()],
            }]);
            assert!((left.area_m2 - (whole.area_m2 - cut.area_m2)).abs() < 1e-6);
            assert!((left.perimeter_m - (whole.perimeter_m + cut.perimeter_m)).abs() < 1e-9);
            hole.reverse();
        }
    }

    #[test]
    fn the_antimeridian_is_no_seam() {
        let here = one(&[
            [40.0, -96.0],
            [40.0, -95.99],
            [40.01, -95.99],
            [40.01, -96.0],
        ]);
        let there = one(&[
            [40.0, 179.995],
            [40.0, -179.995],
            [40.01, -179.995],
            [40.01, 179.995],
        ]);
        assert!((here.area_m2 - there.area_m2).abs() < 1e-4);
    }

    #[test]
    fn nothing_has_no_area() {
        assert_eq!(measure(&[]).area_m2, 0.0);
        assert_eq!(one(&[]).perimeter_m, 0.0);
        assert_eq!(one(&[[40.0, -96.0]]).area_m2, 0.0);
    }
}
