//! Hairs: scattered over a face, or in a row along a line.
//!
//! In: an outline or a line, and a coat (how close, how long, how thick). Out: one path of hairs.
//! Thin hairs bend, thick ones stand straight: that is what tells them apart where the eye can't
//! measure width.

use crate::curve::{inside, moved};
use crate::pen::{Path, Point};
use crate::{Nature, Pen, Stroke};

/// How many hairs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Density {
    /// So few that one could count them.
    Sparse,
    /// Too many to count.
    Dense,
}

/// What a hair is like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Texture {
    /// Thin, soft, bent.
    Fine,
    /// Long, thick, straight.
    Coarse,
}

/// How hairs look and how close they stand.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Coat {
    /// From one hair to the next.
    pub gap: f64,
    /// Length of a hair.
    pub length: f64,
    /// Its weight.
    pub stroke: Stroke,
    /// How far a hair's tip swings to its side, as part of its length; 0 is straight.
    pub bend: f64,
    /// How unequal the hairs are, as part of length and direction.
    pub unequal: f64,
}

impl Coat {
    /// The coat of a plant seen whole.
    pub(crate) fn of(density: Density, texture: Texture) -> Coat {
        let gap = match density {
            Density::Sparse => 9.0,
            Density::Dense => 3.2,
        };
        match texture {
            Texture::Fine => Coat {
                gap,
                length: 4.5,
                stroke: Stroke::Fine,
                bend: 0.35,
                unequal: 0.25,
            },
            Texture::Coarse => Coat {
                gap: gap * 1.25,
                length: 7.5,
                stroke: Stroke::Detail,
                bend: 0.0,
                unequal: 0.2,
            },
        }
    }

    /// The same coat nearer to the eye: gaps and hairs so many times as large.
    pub(crate) fn nearer(self, times: f64) -> Coat {
        Coat {
            gap: self.gap * times,
            length: self.length * times,
            ..self
        }
    }
}

/// Hairs of a coat on a face; all point `toward`, more or less.
pub(crate) fn coat(pen: &mut Pen, area: &[Point], coat: &Coat, toward: Point, nature: &Nature) {
    let mut nature = nature.part("face");
    let Some((low, high)) = bounds(area) else {
        return;
    };
    let gap = coat.gap.max(1.0);
    let mut path = Path::default();
    // Rows shifted by half a gap, each hair a little off: no pattern shows, and no hole.
    let rows = ((high.1 - low.1) / (gap * 0.87)) as usize + 1;
    let columns = ((high.0 - low.0) / gap) as usize + 2;
    for row in 0..rows {
        for column in 0..columns {
            let shift = if row % 2 == 0 { 0.0 } else { 0.5 };
            let root = (
                low.0 + (column as f64 + shift + nature.near(0.0, 0.3)) * gap,
                low.1 + (row as f64 + 0.5 + nature.near(0.0, 0.3)) * gap * 0.87,
            );
            let hair = hair(coat, toward, &mut nature);
            if inside(area, root) {
                path = grow(path, root, hair);
            }
        }
    }
    pen.stroke(coat.stroke, &path);
}

/// Hairs in a row on a line, to its left as one walks along it (seen with y downwards: walking
/// right they stand up). `lean` is added to their direction: `(0, -1)` lets them point upwards.
pub(crate) fn row(pen: &mut Pen, line: &[Point], coat: &Coat, lean: Point, nature: &Nature) {
    let path = row_path(Path::default(), line, coat, lean, nature);
    pen.stroke(coat.stroke, &path);
}

/// The hairs of a row, added to a path.
pub(crate) fn row_path(
    mut path: Path,
    line: &[Point],
    coat: &Coat,
    lean: Point,
    nature: &Nature,
) -> Path {
    let mut nature = nature.part("row");
    let gap = coat.gap.max(1.0);
    let mut until_next = gap * 0.5;
    for (from, to) in line.iter().zip(line.iter().skip(1)) {
        let along = (to.0 - from.0, to.1 - from.1);
        let run = along.0.hypot(along.1);
        if run < 1e-6 {
            continue;
        }
        let along = (along.0 / run, along.1 / run);
        let toward = (along.1 + lean.0, -along.0 + lean.1);
        let mut at = until_next;
        while at < run {
            let root = moved(*from, (along.0 * at, along.1 * at));
            path = grow(path, root, hair(coat, toward, &mut nature));
            at += gap * nature.near(1.0, coat.unequal.min(0.5));
        }
        until_next = at - run;
    }
    path
}

/// One hair from its root: over which point it leans, and its tip.
fn hair(coat: &Coat, toward: Point, nature: &mut Nature) -> (Point, Point) {
    let length = coat.length * nature.near(1.0, coat.unequal);
    let angle = toward.1.atan2(toward.0) + nature.near(0.0, coat.unequal);
    let side = if nature.between(0.0, 1.0) < 0.5 {
        -1.0
    } else {
        1.0
    };
    let swing = coat.bend * length * side;
    let (sin, cos) = angle.sin_cos();
    (
        (cos * length * 0.6, sin * length * 0.6),
        (cos * length - sin * swing, sin * length + cos * swing),
    )
}

/// Draws a hair; one that would leave the square stops at its edge.
fn grow(path: Path, root: Point, (over, tip): (Point, Point)) -> Path {
    let keep = |x: f64| x.clamp(1.0, 99.0);
    let root = (keep(root.0), keep(root.1));
    let end = moved(root, tip);
    let kept = (keep(end.0), keep(end.1));
    let path = path.jump(root);
    let straight = (over.0 * tip.1 - over.1 * tip.0).abs() < 1e-3;
    if straight || kept != end {
        path.line_by((kept.0 - root.0, kept.1 - root.1))
    } else {
        path.bend_by(over, tip)
    }
}

/// The least and the greatest x and y of an outline.
fn bounds(area: &[Point]) -> Option<(Point, Point)> {
    let first = *area.first()?;
    Some(area.iter().fold((first, first), |(low, high), (x, y)| {
        (
            (low.0.min(*x), low.1.min(*y)),
            (high.0.max(*x), high.1.max(*y)),
        )
    }))
}

/// A tuft from one point: so many long hairs of a length, between two directions in degrees from
/// straight up to the right.
pub(crate) fn tuft(
    pen: &mut Pen,
    root: Point,
    (from, to): (f64, f64),
    (count, length): (u8, f64),
    stroke: Stroke,
    nature: &Nature,
) {
    let mut nature = nature.part("tuft");
    let mut path = Path::default();
    for i in 0..count {
        let share = f64::from(i) / f64::from(count.saturating_sub(1).max(1));
        let degrees = from + (to - from) * share + nature.near(0.0, 4.0);
        let length = length * nature.near(0.9, 0.12);
        let (sin, cos) = degrees.to_radians().sin_cos();
        let over = (sin * length * 0.5, -cos * length * 0.5);
        // Tips hang a little: long hairs are not pins.
        let tip = (sin * length, -cos * length + length * 0.12);
        let root = moved(root, (nature.near(0.0, 1.0), nature.near(0.0, 2.5)));
        path = grow(path, root, (over, tip));
    }
    pen.stroke(stroke, &path);
}
