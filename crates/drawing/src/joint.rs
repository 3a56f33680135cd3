//! The joint (node) of a stem: a swollen ring on the culm, bare or bearded.
//!
//! In: the state. Out: its card.

use crate::curve::Curve;
use crate::hairs::{Coat, row};
use crate::pen::Path;
use crate::{Drawing, Nature, Pen, Stroke};

/// The states of `node_hairs`.
pub(crate) fn node_hairs(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let hairy = match state_id {
        "none" => false,
        "hairy" => true,
        _ => return None,
    };
    let mut pen = Pen::default();
    culm(&mut pen);
    if hairy {
        beard(&mut pen, nature);
    }
    ring(&mut pen);
    if hairy {
        ruff(&mut pen, nature);
    }
    Some(pen.finish())
}

/// The stem below the joint, and above it the sheath that rises from it, with its blade.
fn culm(pen: &mut Pen) {
    let blade = Path::at((56.0, 16.0)).curve((66.0, 4.0), (82.0, 2.0), (98.0, 14.0));
    pen.shape(
        Stroke::Outline,
        &blade.curve((84.0, 10.0), (70.0, 14.0), (58.0, 30.0)),
    );
    let below = Path::at((36.0, 100.0))
        .line((36.0, 58.0))
        .line((56.0, 58.0));
    pen.shape(Stroke::Outline, &below.line((56.0, 100.0)));
    let above = Path::at((33.0, 50.0)).curve((34.0, 30.0), (35.0, 16.0), (35.0, 0.0));
    let above = above
        .line((57.0, 0.0))
        .curve((57.0, 16.0), (58.0, 30.0), (59.0, 50.0));
    pen.shape(Stroke::Outline, &above);
    pen.stroke(
        Stroke::Fine,
        &Curve((44.0, 44.0), (43.0, 30.0), (44.0, 14.0), (46.0, 1.0)).path(),
    );
}

/// The swollen ring.
fn ring(pen: &mut Pen) {
    let path = Path::at((31.0, 48.0)).curve((25.0, 52.0), (26.0, 61.0), (34.0, 63.0));
    let path = path.curve((42.0, 65.5), (50.0, 65.5), (58.0, 63.0));
    let path = path.curve((66.0, 61.0), (67.0, 52.0), (61.0, 48.0));
    pen.shape(
        Stroke::Marked,
        &path.curve((51.0, 51.0), (41.0, 51.0), (31.0, 48.0)).close(),
    );
}

const HAIR: Coat = Coat {
    gap: 3.0,
    length: 15.0,
    stroke: Stroke::Detail,
    bend: 0.0,
    unequal: 0.16,
};

/// Hairs to both sides, behind the ring.
fn beard(pen: &mut Pen, nature: &Nature) {
    let nature = nature.part("joint");
    let left = Curve((34.0, 66.0), (25.0, 62.0), (25.0, 52.0), (32.0, 44.0));
    row(
        pen,
        &left.points(8),
        &HAIR,
        (-0.3, -0.2),
        &nature.part("left"),
    );
    let right = Curve((60.0, 44.0), (67.0, 52.0), (67.0, 62.0), (58.0, 66.0));
    row(
        pen,
        &right.points(8),
        &HAIR,
        (0.3, -0.2),
        &nature.part("right"),
    );
}

/// Hairs on the ring's front, over it.
fn ruff(pen: &mut Pen, nature: &Nature) {
    let hairs = Coat {
        length: 11.0,
        ..HAIR
    };
    let upper = Curve((33.0, 53.0), (41.0, 55.0), (51.0, 55.0), (60.0, 53.0));
    row(
        pen,
        &upper.points(8),
        &hairs,
        (0.0, -1.0),
        &nature.part("front"),
    );
}
