//! A frame on the ground with what grows in it, seen by somebody who stands over it.
//!
//! In: plants by what they show, with the place of their base and their height, litter, and the part of the
//! ground that is seen. Out: one drawing, wires every 15 cm. Nothing in it says what a plant is or counts
//! as: every one is drawn by itself, far ones first, by its states alone.
//!
//! The ground lies flat in the drawing and plants lean away from who looks, shortened to
//! `SHORTENED` of their height. Hairs are too small to be seen from here; the close-ups have them.
//!
//! Units: cm on the ground from the frame's upper left corner; the drawing is [`WIDTH`] units wide.
//! Not here: where plants stand (crate `practice`).

use standbook_key::LeafStage;

use crate::growth::{self, Build};
use crate::habit::{CROWN, SOIL};
use crate::pen::{Path, Point};
use crate::ribbon::{Ribbon, from};
use crate::{Drawing, Nature, Pen, Shown, Stroke};

/// Width of the drawing, units.
pub const WIDTH: f64 = 400.0;

/// Height of a plant in the drawing, a share of what it has: seen steeply from above.
const SHORTENED: f64 = 0.7;

/// Height of a whole plant in its own square: what [`growth`] makes of an upright one.
const TALL: f64 = 66.0;

/// From wire to wire, cm.
const CELL_CM: f64 = 15.0;

/// Side of the frame, cm.
const SIDE_CM: f64 = 75.0;

/// A plant on the ground.
#[derive(Debug, Clone)]
pub struct Standing {
    /// What it shows.
    pub shown: Shown,
    /// How far it has grown.
    pub stage: LeafStage,
    /// Which specimen.
    pub specimen: u64,
    /// Its base, cm.
    pub at: Point,
    /// Its height, cm.
    pub height_cm: f64,
    /// Whether it is seen from its other side.
    pub mirrored: bool,
}

/// A dead straw on the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lying {
    /// Its middle, cm.
    pub at: Point,
    /// Length, cm.
    pub length_cm: f64,
    /// How it lies, degrees from the upright of the drawing.
    pub degrees: f64,
}

/// The part of the ground that is seen, cm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Width, above 0.
    pub width: f64,
    /// Height, above 0.
    pub height: f64,
}

impl Seen {
    /// Above the frame so much is seen too: plants of the far row lean into it.
    pub const ABOVE_CM: f64 = 7.5;

    /// The whole frame.
    pub const FRAME: Seen = Seen {
        left: 0.0,
        top: -Seen::ABOVE_CM,
        width: SIDE_CM,
        height: SIDE_CM + Seen::ABOVE_CM,
    };

    /// One cell, with what stands just outside it. Cells count from 1, row by row, five in a row.
    pub fn cell(cell: u32) -> Seen {
        let at = cell.saturating_sub(1);
        let corner = |step: u32| f64::from(step) * CELL_CM;
        Seen {
            left: corner(at % 5) - 2.5,
            top: corner(at / 5) - 4.5,
            width: CELL_CM + 5.0,
            height: CELL_CM + 7.0,
        }
    }

    /// Units of the drawing to a cm.
    fn scale(self) -> f64 {
        WIDTH / self.width
    }

    fn place(self, (x, y): Point) -> Point {
        (
            (x - self.left) * self.scale(),
            (y - self.top) * self.scale(),
        )
    }

    /// Whether a base at a place can show here, with leaves that reach so far.
    fn shows(self, (x, y): Point, reach: f64) -> bool {
        (self.left - reach..self.left + self.width + reach).contains(&x)
            && (self.top - reach..self.top + self.height + reach).contains(&y)
    }
}

/// The ground as it is seen. The same input gives the same bytes, in whatever order plants come.
pub fn frame(plants: &[Standing], straws: &[Lying], seen: Seen) -> Drawing {
    let mut pen = Pen::default();
    litter(&mut pen, straws, seen);
    wires(&mut pen, seen);
    let mut far_first: Vec<&Standing> = plants
        .iter()
        .filter(|one| seen.shows(one.at, one.height_cm))
        .collect();
    far_first.sort_by(|a, b| {
        (a.at.1.total_cmp(&b.at.1))
            .then(a.at.0.total_cmp(&b.at.0))
            .then(a.specimen.cmp(&b.specimen))
    });
    for one in far_first {
        plant(&mut pen, one, seen);
    }
    pen.finish_sized(WIDTH, seen.height * seen.scale())
}

/// Straws, and crumbs of soil beside them so that bare ground reads as ground.
fn litter(pen: &mut Pen, straws: &[Lying], seen: Seen) {
    let mut path = Path::default();
    for straw in straws
        .iter()
        .filter(|straw| seen.shows(straw.at, straw.length_cm))
    {
        let half = straw.length_cm / 2.0;
        let ends = [
            from(straw.at, straw.degrees, half),
            from(straw.at, straw.degrees + 180.0, half),
        ];
        let over = from(straw.at, straw.degrees + 90.0, straw.length_cm * 0.06);
        // Two lines: a hollow straw, where a leaf has a point.
        for off in [-0.12, 0.12] {
            let [one, other, over] = [ends[0], ends[1], over]
                .map(|point| seen.place(from(point, straw.degrees + 90.0, off)));
            path = path.jump(one).bend(over, other);
        }
        for (off, length) in [(0.8, 0.5), (-1.1, 0.35)] {
            let crumb = from(straw.at, straw.degrees + 90.0, off * straw.length_cm * 0.4);
            path = path.jump(seen.place(crumb)).line(seen.place(from(
                crumb,
                straw.degrees + 60.0,
                length,
            )));
        }
    }
    if !straws.is_empty() {
        pen.stroke(Stroke::Fine, &path);
    }
}

/// The wires that can be seen.
fn wires(pen: &mut Pen, seen: Seen) {
    let steps = (0..=5).map(|step| f64::from(step) * CELL_CM);
    let path = steps.fold(Path::default(), |path, cm| {
        path.jump(seen.place((cm, 0.0)))
            .line(seen.place((cm, SIDE_CM)))
            .jump(seen.place((0.0, cm)))
            .line(seen.place((SIDE_CM, cm)))
    });
    pen.stroke(Stroke::Detail, &path);
}

/// One plant, its oldest shoots behind.
fn plant(pen: &mut Pen, one: &Standing, seen: Seen) {
    let scale = one.height_cm * seen.scale() / TALL;
    let stroke = match scale {
        s if s < 0.55 => Stroke::Fine,
        s if s < 2.0 => Stroke::Detail,
        _ => Stroke::Outline,
    };
    let (x, y) = seen.place(one.at);
    let turned = if one.mirrored { -scale } else { scale };
    let place = |point: Point| {
        (
            x + (point.0 - CROWN.0) * turned,
            y - (SOIL - point.1) * scale * SHORTENED,
        )
    };
    let nature = Nature::of(one.specimen);
    let build = Build::of(&one.shown, one.stage);
    let mut draw = |ribbon: &Ribbon, pointed: bool| {
        let ribbon = ribbon.mapped(place);
        pen.shape(
            stroke,
            &if pointed {
                ribbon.pointed()
            } else {
                ribbon.outline()
            },
        );
    };
    for tiller in growth::tillers(&one.shown, one.stage, &build, &nature) {
        for blade in tiller.blades().iter().rev() {
            draw(blade, false);
        }
        draw(&tiller.stem(), true);
    }
}
