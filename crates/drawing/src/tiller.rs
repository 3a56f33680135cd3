//! One tiller of a whole plant: its stem of sheaths, the blades on it, the newest leaf on top.
//!
//! In: the bent line it stands along and its leaves. Out: ribbons, and their strokes.

use crate::ground::well_inside;
use crate::pen::{Path, Point};
use crate::ribbon::{Ribbon, Widths, from};
use crate::{Pen, Stroke};

/// The middle vein of a blade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Midrib {
    /// Not to be seen.
    Faint,
    /// One line.
    Plain,
    /// A band left open between two lines.
    White,
}

/// One leaf on a tiller.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Leaf {
    /// Where its collar is: 0 at the tiller's foot, 1 at its top.
    pub(crate) t: f64,
    /// Where the blade points, in degrees from straight up to the right.
    pub(crate) degrees: f64,
    /// How far its tip hangs below that, in degrees to the same side.
    pub(crate) droop: f64,
    /// Length of the blade.
    pub(crate) length: f64,
    /// Half widths of the blade.
    pub(crate) half: Widths,
}

impl Leaf {
    /// The blade, from a tiller's stem.
    pub(crate) fn blade(&self, stem: &Ribbon) -> Ribbon {
        let foot = stem.at(self.t, 0.0);
        let (hx, hy) = stem.heading(self.t);
        let along_stem = hx.atan2(-hy).to_degrees();
        let first = from(
            foot,
            0.4 * along_stem + 0.6 * self.degrees,
            0.4 * self.length,
        );
        let second = from(foot, self.degrees, 0.78 * self.length);
        let droop = self.droop.copysign(self.degrees);
        let tip = from(foot, self.degrees + droop, self.length);
        Ribbon::along(
            [
                foot,
                well_inside(first, self.half[1]),
                well_inside(second, self.half[2]),
                well_inside(tip, self.half[3]),
            ],
            self.half,
        )
    }
}

/// A tiller.
#[derive(Debug, Clone)]
pub(crate) struct Tiller {
    /// The line it stands along, from its foot to the tip of its newest leaf.
    pub(crate) course: [Point; 4],
    /// Half of its width at the foot.
    pub(crate) half: f64,
    /// Leaves, the oldest first.
    pub(crate) leaves: Vec<Leaf>,
}

impl Tiller {
    /// The stem of sheaths with the newest leaf on top.
    pub(crate) fn stem(&self) -> Ribbon {
        Ribbon::along(
            self.course.map(|point| well_inside(point, self.half)),
            [self.half, self.half, self.half * 0.85, 0.0],
        )
    }

    /// The blades, the oldest first.
    pub(crate) fn blades(&self) -> Vec<Ribbon> {
        let stem = self.stem();
        self.leaves.iter().map(|leaf| leaf.blade(&stem)).collect()
    }

    /// Draws it: blades behind, then the stem with the edge of each sheath.
    pub(crate) fn draw(&self, pen: &mut Pen, stroke: Stroke, midrib: Midrib) {
        for blade in self.blades().iter().rev() {
            pen.shape(stroke, &blade.outline());
            match midrib {
                Midrib::Faint => {}
                Midrib::Plain => pen.stroke(Stroke::Fine, &blade.vein(0.0, 0.1, 0.9)),
                Midrib::White => {
                    let one = blade.vein(-0.3, 0.1, 0.8);
                    let both = blade.go_on(one.jump(blade.at(0.1, 0.3)), 0.3, 0.1, 0.8);
                    pen.stroke(Stroke::Fine, &both);
                }
            }
        }
        let stem = self.stem();
        pen.shape(stroke, &stem.pointed());
        let collars = self.leaves.iter().fold(Path::default(), |path, leaf| {
            let side = 1.0_f64.copysign(leaf.degrees);
            path.jump(stem.at(leaf.t + 0.02, side))
                .line(stem.at((leaf.t - 0.04).max(0.0), -side))
        });
        if !self.leaves.is_empty() {
            pen.stroke(Stroke::Detail, &collars);
        }
    }
}
