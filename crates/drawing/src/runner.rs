//! Runners, and the knots from which grasses fork and root.
//!
//! In: where the crown is. Out: a rhizome or a stolon going off to the right.

use crate::ground::{self, Roots};
use crate::pen::{Path, Point};
use crate::ribbon::Ribbon;
use crate::{Nature, Pen, Stroke};

/// A jointed cord in the soil with scales at its joints, its sharp tip turning up.
pub(crate) fn rhizome(pen: &mut Pen, stroke: Stroke, course: [Point; 4], half: f64) {
    let cord = Ribbon::along(
        course.map(|point| ground::well_inside(point, half)),
        [half, half, half, 0.0],
    );
    pen.shape(stroke, &cord.pointed());
    let scales = [0.3, 0.46, 0.62, 0.78]
        .into_iter()
        .fold(Path::default(), |path, t| {
            // A scale wraps the cord at a joint and points to the tip.
            path.jump(cord.at(t + 0.07, -1.7))
                .line(cord.at(t, -1.0))
                .line(cord.at(t, 1.0))
                .line(cord.at(t + 0.07, 1.7))
        });
    pen.stroke(Stroke::Detail, &scales);
}

/// Where a stolon goes: along the soil to its joints.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stolon {
    /// Where it leaves the plant.
    pub(crate) crown: Point,
    /// From crown to the first joint, and a little more than from there to the second; negative to
    /// the left.
    pub(crate) step: f64,
    /// Height of the shoot on the first joint.
    pub(crate) height: f64,
    /// Length of the roots.
    pub(crate) roots: f64,
    /// How bold it is.
    pub(crate) stroke: Stroke,
}

/// A stem creeping over the soil that roots and shoots at its joints.
pub(crate) fn stolon(pen: &mut Pen, stolon: Stolon, nature: &Nature) {
    let Stolon {
        crown,
        step,
        height,
        roots,
        stroke,
    } = stolon;
    let y = crown.1 - 2.0;
    let along = |steps: f64, up: f64| ground::inside((crown.0 + steps * step, y - up));
    let joints = [(along(1.0, 0.0), height), (along(1.87, 0.0), height * 0.65)];
    for ((x, y), height) in joints {
        ground::roots(
            pen,
            if roots > 20.0 {
                Stroke::Outline
            } else {
                Stroke::Detail
            },
            Roots {
                at: (x, y),
                count: 3,
                spread: 32.0,
                length: roots,
            },
            &mut nature.part("joint"),
        );
        let leans: &[f64] = if stroke == Stroke::Marked {
            &[-0.32, 0.32]
        } else {
            &[0.1]
        };
        for lean in leans {
            let half = height * 0.09;
            let shoot = Ribbon::along(
                [
                    (x, y),
                    (x + lean * height * 0.3, y - height * 0.5),
                    (x + lean * height * 0.7, y - height * 0.8),
                    (x + lean * height * 1.3, y - height * 1.3),
                ]
                .map(ground::inside),
                [half, half, half * 0.9, 0.0],
            );
            pen.shape(Stroke::Detail, &shoot.pointed());
        }
    }
    let creep = Path::at(crown)
        .curve(along(0.25, 7.0), along(0.65, 7.0), along(1.0, 0.0))
        .curve(along(1.22, 6.0), along(1.6, 6.0), along(1.87, 0.0))
        .bend(along(2.05, 4.0), along(2.25, 4.0));
    pen.stroke(stroke, &creep);
    for (at, _) in joints {
        if stroke == Stroke::Marked {
            knot(pen, at, 4.5);
        } else {
            dot(pen, at);
        }
    }
}

/// A shoot in one outline.
pub(crate) fn stalk(pen: &mut Pen, course: [Point; 4], half: f64) {
    let shoot = Ribbon::along(course, [half, half, half * 0.9, 0.0]);
    pen.shape(Stroke::Outline, &shoot.pointed());
}

/// A node in solid ink.
pub(crate) fn knot(pen: &mut Pen, (x, y): Point, radius: f64) {
    let high = radius * 1.33;
    pen.ink(
        &Path::at((x - radius, y))
            .curve(
                (x - radius, y - high),
                (x + radius, y - high),
                (x + radius, y),
            )
            .curve(
                (x + radius, y + high),
                (x - radius, y + high),
                (x - radius, y),
            )
            .close(),
    );
}

/// A node of a plant seen whole: a line without length, whose round ends make a dot.
pub(crate) fn dot(pen: &mut Pen, at: Point) {
    pen.stroke(Stroke::Marked, &Path::at(at).line_by((0.0, 0.0)));
}
