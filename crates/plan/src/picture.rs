//! Places an outline and points on a picture: numbers only, the page draws.
//!
//! In: corners in degrees, width, height and margin of a viewBox. Out: x to the right, y down, in
//! units of the viewBox; north is up, a metre is the same length both ways.
//!
//! Not here: colours, styles, map tiles.

use crate::{Corner, Frame, Polygon};
use std::fmt::Write;

/// What is shown when there is nothing to fit, m.
const LEAST_M: f64 = 100.0;
/// Below this an extent is a point, m.
const POINT_M: f64 = 0.01;
/// Steps of a path finer than this cannot be seen under a line 2 units wide, units.
const FINEST: f64 = 1.0;
/// A foot, m.
const FOOT_M: f64 = 0.3048;

/// A picture of a field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Picture {
    /// Width of the viewBox, units.
    pub width: f64,
    /// Height of the viewBox, units.
    pub height: f64,
    frame: Frame,
    /// The middle of the picture in the frame, m.
    middle: [f64; 2],
    units_per_m: f64,
}

/// A bar of a round length.
#[derive(Debug, Clone, PartialEq)]
pub struct ScaleBar {
    /// What it stands for, such as `200 m` or `500 ft`.
    pub label: String,
    /// What it stands for, m.
    pub length_m: f64,
    /// How long it is, units of the viewBox.
    pub length: f64,
}

impl Picture {
    /// Fits all corners into `width` x `height` less `margin` on every side. Without corners, or
    /// with one only, 100 m around it (or around 0, 0). Corners that are no numbers are passed
    /// over; a size without room for the margin is taken as 1 unit beside it.
    pub fn fit(
        corners: impl IntoIterator<Item = Corner>,
        width: f64,
        height: f64,
        margin: f64,
    ) -> Picture {
        let corners: Vec<Corner> = corners
            .into_iter()
            .filter(|c| c[0].is_finite() && c[1].is_finite())
            .collect();
        let frame = Frame::around(corners.iter().copied()).unwrap_or(Frame::at([0.0, 0.0]));
        let (mut low, mut high) = ([0.0f64; 2], [0.0f64; 2]);
        for (index, &corner) in corners.iter().enumerate() {
            let at = frame.to_metres(corner);
            for axis in [0, 1] {
                low[axis] = if index == 0 {
                    at[axis]
                } else {
                    low[axis].min(at[axis])
                };
                high[axis] = if index == 0 {
                    at[axis]
                } else {
                    high[axis].max(at[axis])
                };
            }
        }
        let wide = room(width, margin) / (high[0] - low[0]);
        let tall = room(height, margin) / (high[1] - low[1]);
        let extent_m = (high[0] - low[0]).max(high[1] - low[1]);
        let units_per_m = if extent_m > POINT_M {
            // One of the two may be infinite, for a line along an axis.
            wide.min(tall)
        } else {
            room(width, margin).min(room(height, margin)) / LEAST_M
        };
        Picture {
            width,
            height,
            frame,
            middle: [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0],
            units_per_m,
        }
    }

    /// `[x, y]` of a corner, units of the viewBox.
    pub fn xy(&self, corner: Corner) -> [f64; 2] {
        let [east_m, north_m] = self.frame.to_metres(corner);
        [
            self.width / 2.0 + (east_m - self.middle[0]) * self.units_per_m,
            self.height / 2.0 - (north_m - self.middle[1]) * self.units_per_m,
        ]
    }

    /// The corner at `[x, y]`, such as that of a click.
    pub fn corner(&self, xy: [f64; 2]) -> Corner {
        self.frame.to_corner([
            self.middle[0] + (xy[0] - self.width / 2.0) / self.units_per_m,
            self.middle[1] - (xy[1] - self.height / 2.0) / self.units_per_m,
        ])
    }

    /// Data of an SVG path for a polygon with its holes, to 0.01 units; fill it by the even-odd
    /// rule. Corners nearer than 1 unit to the last one drawn are passed over, so that the
    /// boundary of a receiver with thousands of them stays a small picture; a ring keeps three.
    pub fn path(&self, polygon: &Polygon) -> String {
        let mut out = String::new();
        for ring in polygon.rings() {
            let mut drawn: Vec<[f64; 2]> = Vec::new();
            for (index, &corner) in ring.iter().enumerate() {
                let at = self.xy(corner).map(|v| (v * 100.0).round() / 100.0 + 0.0);
                let needed = ring.len() - index <= 3usize.saturating_sub(drawn.len());
                let far = drawn
                    .last()
                    .is_none_or(|last| (at[0] - last[0]).hypot(at[1] - last[1]) >= FINEST);
                if far || needed {
                    drawn.push(at);
                }
            }
            for (index, [x, y]) in drawn.iter().enumerate() {
                // Writing to a text cannot fail.
                let _ = write!(out, "{}{x} {y}", if index == 0 { 'M' } else { 'L' });
            }
            if !ring.is_empty() {
                out.push('Z');
            }
        }
        out
    }

    /// Units of the viewBox for a metre.
    pub fn units_per_m(&self) -> f64 {
        self.units_per_m
    }

    /// The longest bar of a round length (1, 2 or 5 times a power of ten metres) that is not
    /// longer than a third of the width.
    pub fn scale_bar_m(&self) -> ScaleBar {
        let metres = round_down(self.width / 3.0 / self.units_per_m);
        let label = if metres >= 1_000.0 {
            format!("{} km", metres / 1_000.0)
        } else {
            format!("{metres} m")
        };
        self.bar(label, metres)
    }

    /// The same in feet.
    pub fn scale_bar_ft(&self) -> ScaleBar {
        let feet = round_down(self.width / 3.0 / self.units_per_m / FOOT_M);
        self.bar(format!("{feet} ft"), feet * FOOT_M)
    }

    fn bar(&self, label: String, length_m: f64) -> ScaleBar {
        ScaleBar {
            label,
            length_m,
            length: length_m * self.units_per_m,
        }
    }
}

fn room(size: f64, margin: f64) -> f64 {
    let room = size - 2.0 * margin;
    if room.is_finite() { room.max(1.0) } else { 1.0 }
}

/// The largest of 1, 2 and 5 times a power of ten that is not above a length, as scale bars have
/// it; 1 for nonsense.
pub fn round_down(length: f64) -> f64 {
    if !(length.is_finite() && length > 0.0) {
        return 1.0;
    }
    let power = length.log10().floor() as i32;
    // A power of ten by division keeps 0.1 and its like exact to the last digit.
    let ten = if power >= 0 {
        10f64.powi(power)
    } else {
        1.0 / 10f64.powi(-power)
    };
    let times = [5.0, 2.0, 1.0].into_iter().find(|t| t * ten <= length);
    times.unwrap_or(1.0) * ten
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{field_in_metres, square_m};
    use proptest::prelude::*;

    /// To 0.02 units: parallels are not straight, 400 m of one bend by 1 cm.
    fn near(a: [f64; 2], b: [f64; 2]) -> bool {
        (a[0] - b[0]).abs() < 0.02 && (a[1] - b[1]).abs() < 0.02
    }

    #[test]
    fn north_is_up_and_the_margin_is_kept() {
        let field = field_in_metres(
            &[[0.0, 0.0], [400.0, 0.0], [400.0, 200.0], [0.0, 200.0]],
            &[],
        );
        let picture = Picture::fit(field.corners(), 440.0, 440.0, 20.0);
        let outer = &field.polygons()[0].outer;
        assert!(
            near(picture.xy(outer[0]), [20.0, 320.0]),
            "{:?}",
            picture.xy(outer[0])
        );
        assert!(near(picture.xy(outer[2]), [420.0, 120.0]));
        assert!((picture.units_per_m() - 1.0).abs() < 1e-4);
        assert_eq!(
            picture.path(&field.polygons()[0]),
            "M20 319.99L419.99 320L420 120.01L20.01 120Z"
        );
        let bar = picture.scale_bar_m();
        assert_eq!(bar.label, "100 m");
        assert!((bar.length - 100.0).abs() < 0.02);
        let feet = picture.scale_bar_ft();
        assert_eq!(feet.label, "200 ft");
        assert!((feet.length_m - 60.96).abs() < 1e-9);
    }

    #[test]
    fn bars_are_round() {
        for (length, expected) in [
            (199.0, 100.0),
            (200.0, 200.0),
            (4.9, 2.0),
            (5.0, 5.0),
            (0.3, 0.2),
            (1_000.0, 1_000.0),
            (f64::NAN, 1.0),
        ] {
            assert_eq!(round_down(length), expected, "{length}");
        }
        let wide = Picture::fit(square_m([0.0, 0.0], 9_000.0).corners(), 100.0, 100.0, 0.0);
        assert_eq!(wide.scale_bar_m().label, "2 km");
    }

    #[test]
    fn little_to_show_is_shown() {
        for corners in [
            vec![],
            vec![[40.0, -96.0]],
            vec![[40.0, -96.0]; 3],
            vec![[f64::NAN, 0.0]],
        ] {
            let picture = Picture::fit(corners, 300.0, 200.0, 10.0);
            assert!((picture.units_per_m() - 1.8).abs() < 1e-9);
            assert_eq!(picture.scale_bar_m().label, "50 m");
        }
        let along = Picture::fit([[40.0, -96.0], [40.001, -96.0]], 100.0, 100.0, 10.0);
        assert!(near(along.xy([40.0, -96.0]), [50.0, 90.0]));
        assert!(Picture::fit([[40.0, -96.0]], 10.0, 10.0, 50.0).units_per_m() > 0.0);
    }

    proptest! {
        #[test]
        fn a_click_comes_back(x in 0.0..600.0f64, y in 0.0..400.0f64) {
            let picture = Picture::fit(square_m([0.0, 0.0], 500.0).corners(), 600.0, 400.0, 20.0);
            let back = picture.xy(picture.corner([x, y]));
            prop_assert!((back[0] - x).abs() < 1e-6 && (back[1] - y).abs() < 1e-6);
        }
    }

    /// A boundary of a receiver: 18,000 corners 2 cm apart are as good as a few hundred.
    #[test]
    fn a_boundary_of_thousands_of_corners_stays_a_small_picture() {
        let ring: Vec<Corner> = (0..18_000)
            .map(|step| {
                let turn = f64::from(step) / 18_000.0 * std::f64::consts::TAU;
                [40.0 + 0.002 * turn.sin(), -96.0 + 0.002 * turn.cos()]
            })
            .collect();
        let polygon = Polygon::from_rings(vec![ring.clone()]);
        let picture = Picture::fit(ring, 360.0, 280.0, 20.0);
        let path = picture.path(&polygon);
        assert!(path.len() < 15_000, "{} bytes", path.len());
        assert!(path.matches('L').count() > 300);
        // However small, a ring keeps three corners.
        let speck = [[40.0, -96.0], [40.000_000_1, -96.0], [40.0, -96.000_000_1]];
        let polygon = Polygon::from_rings(vec![speck.to_vec()]);
        assert_eq!(picture.path(&polygon).matches('L').count(), 2);
    }
}
