//! Small invented fields for the tests, in metres around 40 north, 96 west.
#![allow(clippy::unwrap_used)]

use crate::{Area, Frame, Polygon};

/// A sound area, or a failed test.
pub(crate) fn area(polygons: Vec<Polygon>) -> Area {
    Area::new(polygons).unwrap()
}

/// A field from corners in metres.
pub(crate) fn field_in_metres(outer: &[[f64; 2]], holes: &[&[[f64; 2]]]) -> Area {
    let frame = Frame::at([40.0, -96.0]);
    let ring = |corners: &[[f64; 2]]| corners.iter().map(|&c| frame.to_corner(c)).collect();
    area(vec![Polygon {
        outer: ring(outer),
        holes: holes.iter().map(|h| ring(h)).collect(),
    }])
}

/// A square with a middle and a side in metres.
pub(crate) fn square_m(middle: [f64; 2], side: f64) -> Area {
    let h = side / 2.0;
    let [x, y] = middle;
    field_in_metres(
        &[
            [x - h, y - h],
            [x + h, y - h],
            [x + h, y + h],
            [x - h, y + h],
        ],
        &[],
    )
}
