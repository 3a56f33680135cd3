//! Auricles: ears at the two corners where blade and sheath meet.
//!
//! In: the state. Out: its strokes at the corners that `collar` gives to every collar.

use crate::curve::Curve;
use crate::pen::{Path, Point};
use crate::{Pen, Stroke};

/// Ears at the corners.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Auricles {
    /// None.
    Absent,
    /// Rounded stubs.
    Blunt,
    /// Thin hooks round the shoot.
    Clawlike,
    /// The sheath's edge stands up in two points.
    ErectLobes,
}

impl Auricles {
    /// What a plant shows.
    pub(crate) fn of(state_id: Option<&str>) -> Auricles {
        match state_id {
            Some("blunt") => Auricles::Blunt,
            Some("clawlike") => Auricles::Clawlike,
            Some("erect_lobes") => Auricles::ErectLobes,
            _ => Auricles::Absent,
        }
    }

    /// What grows out behind the sheath's front: to be drawn before it.
    pub(crate) fn draw_behind(self, pen: &mut Pen, left: Point, right: Point) {
        match self {
            Auricles::Absent | Auricles::Clawlike => {}
            Auricles::Blunt => {
                lobe(pen, left, -1.0);
                lobe(pen, right, 1.0);
            }
            Auricles::ErectLobes => {
                point(pen, left, -1.0);
                point(pen, right, 1.0);
            }
        }
    }

    /// What clasps the shoot and the sheath: to be drawn over them.
    pub(crate) fn draw_before(self, pen: &mut Pen, left: Point, right: Point) {
        if self == Auricles::Clawlike {
            claw(pen, left, right);
            claw(pen, right, left);
        }
    }
}

/// A stub like an ear lobe; `out` is the side to which it sticks out.
fn lobe(pen: &mut Pen, (x, y): Point, out: f64) {
    let at = |across: f64, down: f64| (x + across * out, y + down);
    let path = Path::at(at(0.0, -2.0))
        .curve(at(4.0, -8.0), at(11.0, -4.0), at(10.0, 3.0))
        .curve(at(8.0, 9.0), at(3.0, 10.0), at(-1.0, 7.0));
    pen.shape(Stroke::Marked, &path);
}

/// A thin hook from one corner round the front of the shoot and past its middle, so that two
/// of them cross.
fn claw(pen: &mut Pen, from: Point, to: Point) {
    let wide = to.0 - from.0;
    let at = |part: f64, down: f64| (from.0 + wide * part, from.1 + down);
    let tip = at(0.9, 12.0);
    let lower = Curve(at(-0.07, 4.0), at(0.12, 14.0), at(0.6, 27.0), tip);
    let upper = Curve(tip, at(0.62, 21.0), at(0.34, 9.5), at(0.06, -4.0));
    let back = Curve(upper.3, at(-0.02, -7.0), at(-0.08, -3.0), lower.0);
    pen.shape(Stroke::Outline, &back.go(upper.go(lower.path())).close());
}

/// A standing point like a cat's ear, grown out of the sheath's edge.
fn point(pen: &mut Pen, (x, y): Point, out: f64) {
    let at = |across: f64, up: f64| (x + across * out, y - up);
    let path = Path::at(at(-0.5, -2.0))
        .curve(at(4.0, 4.0), at(9.0, 12.0), at(9.0, 25.0))
        .curve(at(1.0, 19.0), at(-7.0, 10.0), at(-7.0, -10.0));
    pen.shape(Stroke::Marked, &path);
}
