//! The lowest sheath, close: a shoot just above the soil, and the hairs on it.
//!
//! In: the state of a trait. Out: its card.

use crate::curve::{Curve, moved, open};
use crate::ground;
use crate::hairs::{Coat, coat, row};
use crate::pen::{Path, Point};
use crate::{Drawing, Nature, Pen, Stroke};

/// The sheath's outline, from the soil up.
const LEFT: Curve = Curve((32.0, 88.0), (31.0, 70.0), (32.0, 50.0), (31.0, 30.0));
const RIGHT: Curve = Curve((62.0, 88.0), (63.0, 70.0), (62.0, 50.0), (63.0, 26.0));
/// The free margin, from the mouth down.
const SEAM: Curve = Curve((61.0, 26.0), (52.0, 40.0), (48.0, 60.0), (48.0, 88.0));

/// A lowest leaf on its shoot: the sheath is what is looked at.
fn shoot(pen: &mut Pen, nature: &Nature) {
    ground::roots(
        pen,
        Stroke::Detail,
        ground::Roots {
            at: (47.0, 88.0),
            count: 5,
            spread: 55.0,
            length: 15.0,
        },
        &mut nature.part("roots"),
    );
    // The younger leaves, rolled.
    let path = Path::at((36.0, 60.0)).line((38.0, 0.0)).line((56.0, 0.0));
    pen.shape(Stroke::Outline, &path.line((58.0, 60.0)));
    // The blade.
    let path = Path::at(RIGHT.3).curve((66.0, 12.0), (82.0, 6.0), (99.0, 18.0));
    pen.shape(
        Stroke::Outline,
        &path.curve((84.0, 14.0), (74.0, 22.0), RIGHT.at(0.75)),
    );
    let path = RIGHT.go(open(&[LEFT.0, RIGHT.0]));
    let path = path.curve((54.0, 40.0), (40.0, 38.0), LEFT.3);
    pen.shape(Stroke::Outline, &LEFT.back().go(path));
    pen.stroke(Stroke::Detail, &Path::at((4.0, 88.0)).line((96.0, 88.0)));
}

/// Where hairs of a length stand on the face: clear of its outline and of its mouth, or they would
/// be lost in the lines.
fn face(length: f64) -> Vec<Point> {
    let mut face: Vec<Point> = LEFT
        .stretch(0.03, 0.95 - length * 0.014, 8)
        .iter()
        .map(|point| moved(*point, (3.5, 0.0)))
        .collect();
    let right = RIGHT.stretch(0.03, 0.88 - length * 0.014, 8);
    face.extend(right.iter().rev().map(|point| moved(*point, (-3.5, 0.0))));
    face
}

/// Hairs on the face and as a halo along both sides.
fn furry(pen: &mut Pen, hairs: &Coat, nature: &Nature) {
    let nature = nature.part("sheath hairs");
    coat(pen, &face(hairs.length), hairs, (0.0, -1.0), &nature);
    row(
        pen,
        &LEFT.stretch(0.04, 1.0, 8),
        hairs,
        (0.0, -0.6),
        &nature.part("left"),
    );
    row(
        pen,
        &RIGHT.back().stretch(0.3, 0.96, 8),
        hairs,
        (0.0, -0.6),
        &nature.part("right"),
    );
}

/// The states of `sheath_hairs`.
pub(crate) fn sheath_hairs(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let gap = match state_id {
        "none" => None,
        "sparse" => Some(14.0),
        "dense" => Some(4.2),
        _ => return None,
    };
    let mut pen = Pen::default();
    shoot(&mut pen, nature);
    if let Some(gap) = gap {
        let hairs = Coat {
            gap,
            length: 8.0,
            stroke: Stroke::Detail,
            bend: 0.0,
            unequal: 0.2,
        };
        furry(&mut pen, &hairs, nature);
    }
    Some(pen.finish())
}

/// The states of `sheath_hair_texture`: as many hairs on both.
pub(crate) fn sheath_hair_texture(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let hairs = match state_id {
        "fine" => Coat {
            gap: 7.5,
            length: 8.0,
            stroke: Stroke::Fine,
            bend: 0.3,
            unequal: 0.3,
        },
        "coarse" => Coat {
            gap: 9.0,
            length: 14.0,
            stroke: Stroke::Outline,
            bend: 0.0,
            unequal: 0.12,
        },
        _ => return None,
    };
    let mut pen = Pen::default();
    shoot(&mut pen, nature);
    furry(&mut pen, &hairs, nature);
    Some(pen.finish())
}

/// The states of `sheath_edge_hairs`: the margin that laps over is turned to the eye.
pub(crate) fn sheath_edge_hairs(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    shoot(&mut pen, nature);
    match state_id {
        "none" => {}
        "fringed" => {
            let hairs = Coat {
                gap: 4.6,
                length: 11.0,
                stroke: Stroke::Detail,
                bend: 0.0,
                unequal: 0.12,
            };
            let seam = SEAM.back().stretch(0.04, 0.84, 10);
            row(&mut pen, &seam, &hairs, (0.0, -0.5), &nature.part("seam"));
        }
        _ => return None,
    }
    pen.stroke(Stroke::Marked, &SEAM.path());
    Some(pen.finish())
}
