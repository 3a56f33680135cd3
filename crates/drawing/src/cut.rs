//! A shoot cut across: the outer sheath bold, inside it the newest leaf.
//!
//! In: outline (round, oval, a slit, three-cornered, keeled), whether the sheath is open, how the
//! newest leaf lies. Out: the cut, a little tilted as its specimen is.

use std::f64::consts::TAU;

use crate::pen::{Path, Point};
use crate::{Nature, Pen, Shown, Stroke};

/// A place in the cut: its middle, half axes and tilt.
#[derive(Debug, Clone, Copy)]
struct Place {
    center: Point,
    rx: f64,
    ry: f64,
    tilt: f64,
}

impl Place {
    /// A point, in parts of the half axes.
    fn at(&self, x: f64, y: f64) -> Point {
        let (x, y) = (x * self.rx, y * self.ry);
        let (sin, cos) = self.tilt.to_radians().sin_cos();
        (
            self.center.0 + x * cos - y * sin,
            self.center.1 + x * sin + y * cos,
        )
    }

    /// A point on a circle of some radius; `turn` counts from the right, the way of the clock.
    fn round(&self, turn: f64, radius: f64) -> Point {
        let (sin, cos) = (turn * TAU).sin_cos();
        self.at(radius * cos, radius * sin)
    }

    /// Along the circle from one radius to another, in eighths.
    fn winding(&self, path: Path, from: f64, eighths: u8, outer: f64, inner: f64) -> Path {
        // Where the tangents of an eighth meet.
        let stretch = 1.0 / (TAU / 16.0).cos();
        let radius = |step: f64| outer + step / f64::from(eighths) * (inner - outer);
        (0..eighths).fold(path, |path, step| {
            let half = f64::from(step) + 0.5;
            let end = f64::from(step) + 1.0;
            path.bend(
                self.round(from + half / 8.0, radius(half) * stretch),
                self.round(from + end / 8.0, radius(end)),
            )
        })
    }
}

/// A cut with half axes as of its flatness.
pub(crate) fn draw(
    pen: &mut Pen,
    center: Point,
    (rx, ry): (f64, f64),
    shown: &Shown,
    nature: &mut Nature,
) {
    // Size varies more than shape: a round one must not pass for an oval one.
    let size = nature.near(0.96, 0.07);
    let keel = if shown.is("sheath_keel", "keeled") {
        0.9
    } else {
        1.0
    };
    let place = Place {
        center,
        rx: rx * size * keel,
        ry: ry * size * nature.near(1.0, 0.03),
        tilt: nature.near(0.0, 7.0),
    };
    outside(pen, place, shown);
    inside(pen, place, shown);
}

/// The outer sheath.
fn outside(pen: &mut Pen, place: Place, shown: &Shown) {
    let at = |x: f64, y: f64| place.at(x, y);
    if shown.is("stem_section", "triangular") {
        // Corners a little rounded.
        let path = Path::at(at(-0.12, -1.05))
            .bend(at(0.0, -1.25), at(0.12, -1.05))
            .line(at(0.95, 0.65))
            .bend(at(1.1, 0.85), at(0.85, 0.85))
            .line(at(-0.85, 0.85))
            .bend(at(-1.1, 0.85), at(-0.95, 0.65))
            .close();
        pen.shape(Stroke::Marked, &path);
    } else if shown.is("sheath_keel", "keeled") {
        // The keel to the right, where the blade leaves. A slit's end is sharp by itself.
        let path = Path::at(at(1.15, 0.0))
            .curve(at(0.75, -0.5), at(0.6, -1.0), at(0.0, -1.0))
            .curve(at(-1.33, -1.0), at(-1.33, 1.0), at(0.0, 1.0))
            .curve(at(0.6, 1.0), at(0.75, 0.5), at(1.15, 0.0))
            .close();
        pen.shape(Stroke::Marked, &path);
    } else {
        let path = place.winding(Path::at(place.round(0.5, 1.0)), 0.5, 8, 1.0, 1.0);
        if shown.is("sheath_closure", "open") && place.ry > 8.0 {
            // One edge goes on inside the other.
            let lapped = place.winding(path, 0.5, 2, 0.98, 0.7);
            pen.stroke(Stroke::Marked, &lapped);
        } else {
            pen.shape(Stroke::Marked, &path.close());
        }
    }
}

/// What the sheath holds: the newest leaf rolled or folded, or unsaid a younger sheath.
fn inside(pen: &mut Pen, mut place: Place, shown: &Shown) {
    if shown.is("stem_section", "triangular") {
        // Where the three-cornered outline leaves room.
        place.center = place.at(0.0, 0.2);
        place.rx *= 0.7;
        place.ry *= 0.8;
    }
    let path = match shown.of("vernation") {
        Some("rolled") if place.ry < 8.0 => Path::at(place.at(-0.62, 0.45))
            .curve(
                place.at(0.9, 0.55),
                place.at(0.9, -0.6),
                place.at(0.0, -0.45),
            )
            .curve(
                place.at(-0.8, -0.4),
                place.at(-0.6, 0.1),
                place.at(0.2, 0.05),
            ),
        Some("rolled") => place.winding(Path::at(place.round(0.1, 0.6)), 0.1, 15, 0.6, 0.1),
        Some("folded") => Path::at(place.at(-0.55, -0.28))
            .bend(place.at(0.2, -0.28), place.at(0.65, 0.0))
            .bend(place.at(0.2, 0.28), place.at(-0.55, 0.28)),
        _ if place.ry < 8.0 => Path::at(place.at(-0.65, 0.0)).line(place.at(0.65, 0.0)),
        _ => place.winding(Path::at(place.round(0.0, 0.5)), 0.0, 8, 0.5, 0.5),
    };
    pen.stroke(Stroke::Detail, &path);
}
