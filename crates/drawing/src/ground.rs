//! The ground, and what a plant has in it.

use crate::pen::{Path, Point};
use crate::ribbon::{between, from, moved};
use crate::{Nature, Pen, Stroke};

/// The soil's surface from edge to edge, with a few crumbs below it so that it reads as soil.
pub(crate) fn line(pen: &mut Pen, y: f64) {
    pen.stroke(Stroke::Detail, &Path::at((3.0, y)).line((97.0, y)));
    let crumbs = [(8.0, 5.0), (22.0, 11.0), (79.0, 10.0), (92.0, 5.0)];
    let path = crumbs.into_iter().fold(Path::default(), |path, (x, deep)| {
        path.jump((x, y + deep)).line((x + 2.5, y + deep - 0.5))
    });
    pen.stroke(Stroke::Fine, &path);
}

/// Where roots go.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Roots {
    /// Where they come from.
    pub(crate) at: Point,
    /// How many.
    pub(crate) count: u8,
    /// How far the outermost stand off straight down, in degrees.
    pub(crate) spread: f64,
    /// How long.
    pub(crate) length: f64,
}

/// A tuft of thin roots, each bent once.
pub(crate) fn roots(pen: &mut Pen, stroke: Stroke, roots: Roots, nature: &mut Nature) {
    let mut path = Path::default();
    for root in 0..roots.count {
        let side = if roots.count > 1 {
            f64::from(root) / f64::from(roots.count - 1) * 2.0 - 1.0
        } else {
            0.0
        };
        let degrees = 180.0 - side * roots.spread + nature.near(0.0, 7.0);
        let end = inside(from(
            roots.at,
            degrees,
            roots.length * nature.between(0.75, 1.0),
        ));
        let (bent_x, bent_y) = between(roots.at, end, 0.5);
        let bent = inside((bent_x + side * 3.0 + nature.near(0.0, 2.0), bent_y - 1.0));
        path = path.jump(roots.at).bend(bent, end);
    }
    pen.stroke(stroke, &path);
}

/// The husk of the seed at the root, as in a plant just come up.
pub(crate) fn husk(pen: &mut Pen, at: Point) {
    let (left, right) = (moved(at, -4.5, 1.0), moved(at, 4.5, -1.0));
    pen.ink(
        &Path::at(left)
            .curve(moved(at, -3.0, -4.5), moved(at, 3.0, -4.5), right)
            .curve(moved(at, 3.0, 3.5), moved(at, -3.0, 4.0), left)
            .close(),
    );
}

/// Held within the square, with room for half a stroke.
pub(crate) fn inside(point: Point) -> Point {
    well_inside(point, 0.0)
}

/// The same with so much more room.
pub(crate) fn well_inside((x, y): Point, room: f64) -> Point {
    let (low, high) = (3.0 + room, 97.0 - room);
    (x.clamp(low, high), y.clamp(low, high))
}
