//! A flat frame of metres around a base point, both ways.
//!
//! In: corners in degrees. Out: `[metres east, metres north]` of the base, and back.
//!
//! Method: the point on the ellipsoid is dropped straight onto the plane that touches it at the
//! base (orthographic). Closed formulas both ways, no seam at the antimeridian, none at the poles.
//! Lengths towards the rim are too short by d^2 / (2 R^2): 1.2e-8 at 1 km, 1.2e-4 at 100 km.
//! Source: WGS 84 constants, NIMA TR8350.2; formulas are plain geometry of the ellipsoid.
//!
//! Not here: heights; anything the size of a state.

use crate::Corner;

/// Half the longer axis of WGS 84, m.
const A_M: f64 = 6_378_137.0;
/// Flattening of WGS 84.
const F: f64 = 1.0 / 298.257_223_563;
/// First eccentricity squared of WGS 84.
const E2: f64 = F * (2.0 - F);

/// A plane of metres that touches the earth at a base point.
///
/// Good to far better than 0.1 % within 100 km of the base; nonsense beyond some 5,000 km.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    base: Corner,
    origin_m: [f64; 3],
    east: [f64; 3],
    north: [f64; 3],
    up: [f64; 3],
}

/// The place of a corner in earth-centred metres.
fn earth_centred_m(corner: Corner) -> [f64; 3] {
    let (sin_lat, cos_lat) = corner[0].to_radians().sin_cos();
    let (sin_lon, cos_lon) = corner[1].to_radians().sin_cos();
    let normal_m = A_M / (1.0 - E2 * sin_lat * sin_lat).sqrt();
    [
        normal_m * cos_lat * cos_lon,
        normal_m * cos_lat * sin_lon,
        normal_m * (1.0 - E2) * sin_lat,
    ]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

impl Frame {
    /// The frame that touches the earth at `base`, `[degrees north, degrees east]`.
    pub fn at(base: Corner) -> Frame {
        let (sin_lat, cos_lat) = base[0].to_radians().sin_cos();
        let (sin_lon, cos_lon) = base[1].to_radians().sin_cos();
        Frame {
            base,
            origin_m: earth_centred_m(base),
            east: [-sin_lon, cos_lon, 0.0],
            north: [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
            up: [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat],
        }
    }

    /// The frame in the middle of some corners: the mean of their directions from the centre of
    /// the earth, so that a field on the antimeridian has its middle in the field. The first corner
    /// where there is no such mean; `None` without corners or with one that is not a number.
    pub fn around(corners: impl IntoIterator<Item = Corner>) -> Option<Frame> {
        let mut first = None;
        let mut sum = [0.0; 3];
        for corner in corners {
            first.get_or_insert(corner);
            let (sin_lat, cos_lat) = corner[0].to_radians().sin_cos();
            let (sin_lon, cos_lon) = corner[1].to_radians().sin_cos();
            sum[0] += cos_lat * cos_lon;
            sum[1] += cos_lat * sin_lon;
            sum[2] += sin_lat;
        }
        let first = first?;
        let flat = sum[0].hypot(sum[1]);
        if !flat.is_finite() || !sum[2].is_finite() {
            return None;
        }
        if flat.hypot(sum[2]) < 1e-9 {
            return Some(Frame::at(first));
        }
        let middle = [
            sum[2].atan2(flat).to_degrees(),
            sum[1].atan2(sum[0]).to_degrees(),
        ];
        Some(Frame::at(middle))
    }

    /// Where the frame touches the earth, `[degrees north, degrees east]`.
    pub fn base(&self) -> Corner {
        self.base
    }

    /// `[metres east, metres north]` of the base.
    pub fn to_metres(&self, corner: Corner) -> [f64; 2] {
        let at = earth_centred_m(corner);
        let offset = [
            at[0] - self.origin_m[0],
            at[1] - self.origin_m[1],
            at[2] - self.origin_m[2],
        ];
        [dot(offset, self.east), dot(offset, self.north)]
    }

    /// The corner at `[metres east, metres north]` of the base. Beyond the rim of the earth, some
    /// 6,400 km out, the nearest place on the rim; never an error.
    pub fn to_corner(&self, metres: [f64; 2]) -> Corner {
        // The plane's point is lowered along `up` by `t` until it meets the ellipsoid
        // x^2 + y^2 + z^2 / (1 - E2) = A^2: a quadratic in t whose root near 0 is the one.
        let k = 1.0 / (1.0 - E2);
        let at = |t: f64| {
            let mut out = [0.0; 3];
            for (axis, value) in out.iter_mut().enumerate() {
                *value = self.origin_m[axis]
                    + metres[0] * self.east[axis]
                    + metres[1] * self.north[axis]
                    + t * self.up[axis];
            }
            out
        };
        let start = at(0.0);
        let up = self.up;
        let a = up[0] * up[0] + up[1] * up[1] + k * up[2] * up[2];
        let half_b = start[0] * up[0] + start[1] * up[1] + k * start[2] * up[2];
        // Of the size of metres^2: written without the origin's own terms, which cancel.
        let c = {
            let d = [
                start[0] - self.origin_m[0],
                start[1] - self.origin_m[1],
                start[2] - self.origin_m[2],
            ];
            // The normal of the ellipsoid at the origin is `up`, and d lies in the plane: the
            // mixed term is 0 but for rounding.
            d[0] * d[0] + d[1] * d[1] + k * d[2] * d[2]
        };
        let root = (half_b * half_b - a * c).max(0.0).sqrt();
        let lowered = at(-c / (half_b + root));
        let flat = lowered[0].hypot(lowered[1]);
        [
            (lowered[2] / (1.0 - E2)).atan2(flat).to_degrees(),
            lowered[1].atan2(lowered[0]).to_degrees(),
        ]
    }

    /// Metres north for a degree of latitude and metres east for a degree of longitude at the
    /// base, for scripts on a page that only need a straight line through it.
    pub fn metres_per_degree(&self) -> [f64; 2] {
        let (sin_lat, cos_lat) = self.base[0].to_radians().sin_cos();
        let w2 = 1.0 - E2 * sin_lat * sin_lat;
        let meridian_m = A_M * (1.0 - E2) / (w2 * w2.sqrt());
        let normal_m = A_M / w2.sqrt();
        let per_degree = std::f64::consts::PI / 180.0;
        [meridian_m * per_degree, normal_m * cos_lat * per_degree]
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use proptest::prelude::*;

    /// Area of a ring in the flat frame, m2.
    fn flat_m2(ring: &[Corner]) -> f64 {
        let frame = Frame::around(ring.iter().copied()).unwrap();
        let flat: Vec<[f64; 2]> = ring.iter().map(|&c| frame.to_metres(c)).collect();
        let n = flat.len();
        (0..n)
            .map(|i| flat[i][0] * flat[(i + 1) % n][1] - flat[(i + 1) % n][0] * flat[i][1])
            .sum::<f64>()
            / 2.0
    }

    /// 237,033.346 m2: computed with geographiclib 2.1 for Python.
    #[test]
    fn a_field_has_its_true_area() {
        let field = [
            [40.0, -96.0],
            [40.0, -95.995],
            [40.005, -95.995],
            [40.005, -96.0],
        ];
        let off = (flat_m2(&field) / 237_033.346 - 1.0).abs();
        assert!(off < 1e-6, "{off}");
    }

    #[test]
    fn a_large_ranch_stays_within_a_thousandth() {
        let ranch = [[40.0, -96.0], [40.0, -95.0], [40.8, -95.0], [40.8, -96.0]];
        let true_m2 = crate::measure::measure_ring(&ranch).area_m2;
        assert!((flat_m2(&ranch) / true_m2 - 1.0).abs() < 1e-3);
    }

    proptest! {
        /// Lengths and bearings agree with the geodesic of `geo`, and the way back is exact.
        #[test]
        fn there_and_back(
            lat in -90.0..=90.0f64,
            lon in -180.0..=180.0f64,
            east in -5_000.0..5_000.0f64,
            north in -5_000.0..5_000.0f64,
        ) {
            let frame = Frame::at([lat, lon]);
            let corner = frame.to_corner([east, north]);
            let again = frame.to_metres(corner);
            prop_assert!((again[0] - east).abs() < 1e-6 && (again[1] - north).abs() < 1e-6);
            let away = crate::distance_m([lat, lon], corner);
            prop_assert!((away - east.hypot(north)).abs() < 1e-6 * away + 1e-6);
        }
    }

    #[test]
    fn east_is_east_and_north_is_north() {
        let frame = Frame::at([40.0, -96.0]);
        let [x, y] = frame.to_metres([40.001, -96.0]);
        assert!(x.abs() < 1e-9 && (y - 111.03).abs() < 0.01, "{x} {y}");
        let [north, east] = frame.metres_per_degree();
        assert!((y / 0.001 - north).abs() < 2.0);
        let [x, _] = frame.to_metres([40.0, -95.999]);
        assert!((x / 0.001 - east).abs() < 1.0);
    }

    #[test]
    fn far_away_is_still_a_number() {
        let corner = Frame::at([40.0, -96.0]).to_corner([1e9, -1e9]);
        assert!(corner[0].is_finite() && corner[1].is_finite());
        assert!(Frame::around([]).is_none());
        assert!(Frame::around([[f64::NAN, 0.0]]).is_none());
        assert_eq!(
            Frame::around([[0.0, 0.0], [0.0, 180.0]]).unwrap().base(),
            [0.0, 0.0]
        );
    }
}
