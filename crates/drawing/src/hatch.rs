//! Hatching in place of colour, which ink has not.
//!
//! In: which kind of lines. Out: lines on a ribbon's face. The directions are those of heraldry
//! (Petra Sancta 1638: green falls to the right, red stands upright, blue lies level, gold is dots,
//! white stays blank), so they are nobody's own; the page gives the word beside them.

use crate::pen::{Path, Point};
use crate::ribbon::Ribbon;
use crate::{Pen, Stroke};

/// Lines over the whole face that fall by `fall` (in parts of the ribbon's length, upwards if
/// negative) from the left edge to the right one, `gap` apart.
pub(crate) fn slanting(pen: &mut Pen, stroke: Stroke, face: &Ribbon, fall: f64, gap: f64) {
    let mut path = Path::default();
    let mut left = gap / 2.0 + fall.min(0.0);
    while left < 1.0 + fall.max(0.0) {
        let right = left - fall;
        if let Some((from, to)) = clipped((left, -1.0), (right, 1.0)) {
            path = path.jump(face.at(from.0, from.1)).line(face.at(to.0, to.1));
        }
        left += gap;
    }
    pen.stroke(stroke, &path);
}

/// Lines along the face, `count` of them.
pub(crate) fn lengthwise(pen: &mut Pen, stroke: Stroke, face: &Ribbon, count: u8) {
    let mut path = Path::default();
    for line in 1..=count {
        let across = f64::from(line) / f64::from(count + 1) * 2.0 - 1.0;
        path = face.go_on(path.jump(face.at(0.0, across)), across, 0.0, 1.0);
    }
    pen.stroke(stroke, &path);
}

/// Dots all over the face, `gap` apart along it, in rows shifted by half.
pub(crate) fn dots(pen: &mut Pen, face: &Ribbon, gap: f64) {
    let mut path = Path::default();
    let mut t = gap;
    let mut shifted = false;
    while t < 1.0 - gap / 2.0 {
        let row: &[f64] = if shifted {
            &[-0.33, 0.33]
        } else {
            &[-0.66, 0.0, 0.66]
        };
        for across in row {
            path = path.jump(face.at(t, *across)).line_by((0.1, 0.0));
        }
        t += gap;
        shifted = !shifted;
    }
    // A line without length with round ends is a dot.
    pen.stroke(Stroke::Marked, &path);
}

/// The part of a line that lies between foot and tip.
fn clipped(left: Point, right: Point) -> Option<(Point, Point)> {
    let end = |(t, across): Point, (other_t, other_across): Point| {
        let kept = t.clamp(0.0, 1.0);
        if (t - other_t).abs() < 1e-9 {
            return (kept, across);
        }
        let share = (kept - t) / (other_t - t);
        (kept, across + share * (other_across - across))
    };
    let outside = left.0.max(right.0) <= 0.0 || left.0.min(right.0) >= 1.0;
    (!outside).then(|| (end(left, right), end(right, left)))
}
