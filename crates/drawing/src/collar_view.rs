//! How the collar is seen close: from the front and a little from above, sheath below, blade
//! pulled back and away to the right, so that the ligule stands free.
//!
//! In: a specimen. Out: the lines that a collar is made of, and its parts back to front.

use crate::curve::Curve;
use crate::pen::{Path, Point};
use crate::{Nature, Pen, Stroke};

/// The lines that a collar is made of.
#[derive(Debug, Clone, Copy)]
pub(crate) struct View {
    /// The left corner, where sheath and blade meet.
    pub(crate) left: Point,
    /// The right corner.
    pub(crate) right: Point,
    /// The far side of the sheath's mouth, where the ligule stands; from left to right.
    pub(crate) rim: Curve,
    /// The blade's edges, from the corners outward.
    pub(crate) blade_left: Curve,
    /// The same on the right.
    pub(crate) blade_right: Curve,
    midrib: Curve,
    /// The sheath's outline, from the corners down.
    pub(crate) sheath_left: Curve,
    /// The same on the right.
    pub(crate) sheath_right: Curve,
    margin_left: Curve,
    margin_right: Curve,
    /// Where the right margin laps over the left one, down the front of the shoot.
    pub(crate) seam: Curve,
}

impl View {
    /// The collar of a specimen: its width, its tilt, how far the blade is lifted.
    pub(crate) fn of(nature: &Nature) -> View {
        let mut nature = nature.part("collar");
        let (wide, tilt, lift) = (
            nature.near(1.0, 0.09),
            nature.near(0.0, 0.06),
            nature.near(0.0, 5.0),
        );
        // Wider or narrower about the sheath's middle, one corner a little higher.
        let at = |x: f64, y: f64| ((x - 35.0) * wide + 35.0, y + (x - 35.0) * tilt);
        let blade = |x: f64, y: f64| (x, y + lift);
        let (left, right) = (at(15.0, 60.0), at(55.0, 62.0));
        let lap = at(33.0, 87.0);
        View {
            left,
            right,
            rim: Curve(left, at(22.0, 51.0), at(47.0, 52.0), right),
            blade_left: Curve(left, at(20.0, 36.0), blade(52.0, 13.0), blade(100.0, 5.0)),
            blade_right: Curve(right, at(63.0, 52.0), blade(80.0, 42.0), blade(100.0, 37.0)),
            midrib: Curve(
                at(56.0, 38.0),
                at(68.0, 28.0),
                blade(84.0, 23.0),
                blade(100.0, 20.0),
            ),
            sheath_left: Curve(
                left,
                at(17.0, 74.0),
                at(21.0, 84.0),
                (at(21.0, 0.0).0, 100.0),
            ),
            sheath_right: Curve(
                right,
                at(52.0, 74.0),
                at(45.0, 84.0),
                (at(45.0, 0.0).0, 100.0),
            ),
            margin_left: Curve(left, at(18.0, 70.0), at(26.0, 80.0), at(35.0, 84.0)),
            margin_right: Curve(right, at(53.0, 72.0), at(38.0, 80.0), lap),
            seam: Curve(
                lap,
                at(31.5, 91.0),
                at(31.0, 95.0),
                (at(31.0, 0.0).0, 100.0),
            ),
        }
    }

    /// The blade with its upper face to the eye.
    pub(crate) fn blade(&self, pen: &mut Pen) {
        let path = self.rim.go(self.blade_left.back().path());
        pen.shape(Stroke::Outline, &self.blade_right.go(path));
        pen.stroke(Stroke::Fine, &self.midrib.path());
    }

    /// The inside of the sheath, seen through its mouth.
    pub(crate) fn mouth(&self, pen: &mut Pen) {
        let path = self.margin_right.go(self.rim.path());
        let path = self.margin_left.back().go(path.line(self.margin_left.3));
        pen.shape(Stroke::Outline, &path.close());
    }

    /// The shoot within, cut off so that it hides nothing.
    pub(crate) fn stub(&self, pen: &mut Pen) {
        let path = Path::at((25.0, 88.0)).line((25.0, 69.0)).line((45.0, 69.0));
        pen.shape(Stroke::Detail, &path.line((45.0, 88.0)));
        pen.ellipse(Stroke::Detail, (35.0, 69.0), 10.0, 4.0);
    }

    /// The shoot within, standing.
    pub(crate) fn shoot(&self, pen: &mut Pen) {
        let path = Path::at((24.0, 88.0)).curve((24.0, 60.0), (26.0, 30.0), (26.0, 0.0));
        let path = path
            .line((44.0, 0.0))
            .curve((44.0, 30.0), (46.0, 60.0), (46.0, 88.0));
        pen.shape(Stroke::Outline, &path);
        let overlap = Curve((33.0, 60.0), (34.0, 44.0), (38.0, 22.0), (38.0, 1.0));
        pen.stroke(Stroke::Fine, &overlap.path());
    }

    /// The sheath in front, its right margin lapped over its left.
    pub(crate) fn sheath(&self, pen: &mut Pen) {
        let path = self.sheath_left.back().path();
        let path = self.margin_left.go(path).line(self.margin_right.3);
        let path = self.margin_right.back().go(path);
        pen.shape(Stroke::Outline, &self.sheath_right.go(path));
        pen.stroke(Stroke::Outline, &self.seam.go(self.margin_right.path()));
    }

    /// The blade's upper face past the joint, between two parts of its run.
    pub(crate) fn face(&self, from: f64, to: f64) -> Vec<Point> {
        let mut face = self.blade_left.stretch(from, to, 12);
        face.extend(self.blade_right.stretch(from, to, 12).iter().rev());
        face
    }

    /// The sheath's face below its mouth.
    pub(crate) fn sheath_face(&self) -> Vec<Point> {
        let mut face = self.margin_left.stretch(0.2, 1.0, 6);
        face.extend(self.margin_right.stretch(0.2, 1.0, 6).iter().rev());
        face.extend(self.sheath_right.stretch(0.1, 1.0, 6));
        face.extend(self.sheath_left.stretch(0.1, 1.0, 6).iter().rev());
        face
    }
}
