//! What is left of the seed at the root of a whole plant: small, so only its outline tells.
//!
//! In: the state of `seed_attached`. Out: the husk below the crown. Nothing said is a plain husk.

use crate::pen::{Path, Point};
use crate::ribbon::{from, moved};
use crate::{Pen, Stroke};

/// Draws it.
pub(crate) fn draw(pen: &mut Pen, at: Point, state_id: Option<&str>) {
    match state_id {
        Some("hairy_awned") => {
            awn(pen, at, 15.0);
            fuzz(pen, at);
            husk(pen, at, 4.5, 2.6);
        }
        Some("hairy_awnless") => {
            fuzz(pen, at);
            husk(pen, at, 4.5, 2.6);
        }
        Some("smooth_shiny") => {
            pen.ellipse(Stroke::Detail, at, 4.2, 3.0);
            pen.stroke(
                Stroke::Fine,
                &Path::at(moved(at, -1.8, -0.8)).line(moved(at, 0.8, -1.2)),
            );
        }
        Some("flat_backed_dull") => pen.ink(
            &Path::at(moved(at, -4.5, 1.5))
                .curve(
                    moved(at, -3.5, -5.0),
                    moved(at, 3.5, -5.0),
                    moved(at, 4.5, 1.5),
                )
                .close(),
        ),
        Some("bur") => {
            let spines = (0..9).fold(Path::default(), |path, spine| {
                path.jump(at).line(from(at, f64::from(spine) * 40.0, 7.0))
            });
            pen.stroke(Stroke::Detail, &spines);
            husk(pen, at, 4.0, 4.0);
        }
        Some("long_awned") => {
            awn(pen, at, 27.0);
            husk(pen, at, 5.5, 1.6);
        }
        Some("bare_small") => husk(pen, at, 1.7, 1.6),
        Some("other") => pen.ellipse(Stroke::Detail, at, 5.0, 2.6),
        _ => husk(pen, at, 4.5, 3.0),
    }
}

/// An oval in solid ink.
fn husk(pen: &mut Pen, at: Point, rx: f64, ry: f64) {
    let (left, right) = (moved(at, -rx, 0.0), moved(at, rx, 0.0));
    let high = ry * 1.33;
    pen.ink(
        &Path::at(left)
            .curve(moved(at, -rx, -high), moved(at, rx, -high), right)
            .curve(moved(at, rx, high), moved(at, -rx, high), left)
            .close(),
    );
}

/// A bristle off to the right.
fn awn(pen: &mut Pen, at: Point, length: f64) {
    let end = moved(at, 4.0 + length, 3.0);
    pen.stroke(
        Stroke::Detail,
        &Path::at(at).bend(moved(at, 4.0 + length * 0.5, -2.0), end),
    );
}

/// Hairs all round.
fn fuzz(pen: &mut Pen, at: Point) {
    let hairs = (0..12).fold(Path::default(), |path, hair| {
        path.jump(at)
            .line(from(at, f64::from(hair) * 30.0 + 8.0, 6.5))
    });
    pen.stroke(Stroke::Fine, &hairs);
}
