//! A shoot in profile, as it stands beside a cut: leaves with sheath and blade in one outline.
//!
//! In: foot, width, where the sheaths end. Out: a slim shoot on the left of the square whose lowest
//! blade goes off to the right and up.

use crate::pen::{Path, Point};
use crate::ribbon::moved;
use crate::{Nature, Pen, Stroke};

/// Where the foot of a shoot beside a cut is.
pub(crate) const FOOT: Point = (20.0, 96.0);

/// A leaf: its sheath from the foot to `mouth` (a height, y), its blade to the tip.
pub(crate) fn leaf(foot: Point, half: f64, mouth: f64, tip: Point) -> Path {
    let half = half.copysign(tip.0 - foot.0);
    let (run, rise) = (tip.0 - foot.0, mouth - tip.1);
    let at = |across: f64, y: f64| (foot.0 + across * half, y);
    let (inner, outer) = (at(0.1, mouth + 2.0), at(0.92, mouth + 9.0));
    Path::at(at(-1.0, foot.1))
        .line(at(-0.85, mouth))
        .bend(at(-0.5, mouth + 4.0), inner)
        .bend(moved(inner, 0.2 * run, -0.65 * rise), tip)
        .bend(moved(outer, 0.3 * run, -0.55 * rise), outer)
        .line(at(1.0, foot.1))
        .close()
}

/// The newest leaf: a spike from the foot.
pub(crate) fn newest(foot: Point, half: f64, tip: Point) -> Path {
    let at = |across: f64, y: f64| (foot.0 + across * half, y);
    Path::at(at(-1.0, foot.1))
        .curve(at(-1.0, 50.0), at(-0.8, 30.0), tip)
        .curve(at(0.8, 30.0), at(1.0, 50.0), at(1.0, foot.1))
        .close()
}

/// A shoot with a newest leaf, one blade to the left and, in front, one to the right.
pub(crate) fn shoot(pen: &mut Pen, half: f64) {
    let reach = (half + 9.0).min(16.0);
    pen.shape(
        Stroke::Outline,
        &newest(FOOT, half * 0.5, (FOOT.0 + 1.0, 4.0)),
    );
    pen.shape(
        Stroke::Outline,
        &leaf(FOOT, half * 0.8, 36.0, (FOOT.0 - reach, 9.0)),
    );
    pen.shape(
        Stroke::Outline,
        &leaf(FOOT, half, 58.0, (FOOT.0 + reach + 3.0, 22.0)),
    );
}

/// The same shoot as nature grew it.
pub(crate) fn grown(pen: &mut Pen, half: f64, nature: &mut Nature) {
    let reach = (half + 9.0).min(15.0);
    let top = FOOT.0 + nature.near(1.0, 4.0);
    pen.shape(
        Stroke::Outline,
        &newest(FOOT, half * 0.5, (top, nature.near(7.0, 4.0))),
    );
    let left = (
        FOOT.0 - reach + nature.near(0.5, 1.0),
        nature.near(14.0, 7.0),
    );
    pen.shape(
        Stroke::Outline,
        &leaf(FOOT, half * 0.8, nature.near(38.0, 4.0), left),
    );
    let right = (
        FOOT.0 + reach + nature.near(3.0, 2.0),
        nature.near(25.0, 7.0),
    );
    pen.shape(
        Stroke::Outline,
        &leaf(FOOT, half, nature.near(59.0, 3.0), right),
    );
}
