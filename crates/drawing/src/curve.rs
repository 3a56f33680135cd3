//! Curves that are drawn and that hairs stand on.
//!
//! In: the four points of a bent line. Out: the same line as a path for the pen and as points
//! along it.

use crate::pen::{Path, Point};
pub(crate) use crate::ribbon::between;

/// A line bent twice: from the first point to the last, drawn towards the two between.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Curve(pub Point, pub Point, pub Point, pub Point);

impl Curve {
    /// Where it is after a part 0..1 of its run.
    pub(crate) fn at(&self, t: f64) -> Point {
        let Curve(a, b, c, d) = *self;
        let (ab, bc, cd) = (between(a, b, t), between(b, c, t), between(c, d, t));
        between(between(ab, bc, t), between(bc, cd, t), t)
    }

    /// So many points along it, both ends among them.
    pub(crate) fn points(&self, count: usize) -> Vec<Point> {
        let last = count.saturating_sub(1).max(1) as f64;
        (0..count).map(|i| self.at(i as f64 / last)).collect()
    }

    /// Points of the stretch between two parts of its run.
    pub(crate) fn stretch(&self, from: f64, to: f64, count: usize) -> Vec<Point> {
        let last = count.saturating_sub(1).max(1) as f64;
        (0..count)
            .map(|i| self.at(from + (to - from) * i as f64 / last))
            .collect()
    }

    /// The line alone.
    pub(crate) fn path(&self) -> Path {
        self.go(Path::at(self.0))
    }

    /// Goes on along it, from its first point.
    pub(crate) fn go(&self, path: Path) -> Path {
        path.curve(self.1, self.2, self.3)
    }

    /// The same line walked from its end.
    pub(crate) fn back(&self) -> Curve {
        Curve(self.3, self.2, self.1, self.0)
    }
}

/// Moved by a step.
pub(crate) fn moved(from: Point, by: Point) -> Point {
    (from.0 + by.0, from.1 + by.1)
}

/// An open path through points.
pub(crate) fn open(points: &[Point]) -> Path {
    let mut points = points.iter();
    let start = points.next().copied().unwrap_or_default();
    points.fold(Path::at(start), |path, point| path.line(*point))
}

/// Goes on to the first point of a line and along it: with its corners, or rounded, each corner a
/// bend from the middle of one side to the middle of the next.
pub(crate) fn go_on(path: Path, points: &[Point], rounded: bool) -> Path {
    let Some((first, rest)) = points.split_first() else {
        return path;
    };
    let path = path.line(*first);
    match rest.split_last() {
        Some((last, inner)) if rounded => {
            let next = inner.iter().skip(1).chain([last]);
            let path = inner.iter().zip(next).fold(path, |path, (corner, next)| {
                path.bend(*corner, between(*corner, *next, 0.5))
            });
            path.line(*last)
        }
        _ => rest.iter().fold(path, |path, point| path.line(*point)),
    }
}

/// Whether a point lies inside an outline given by its corners.
pub(crate) fn inside(corners: &[Point], (x, y): Point) -> bool {
    let next = corners.iter().cycle().skip(1);
    corners
        .iter()
        .zip(next)
        .filter(|((x1, y1), (x2, y2))| {
            (*y1 > y) != (*y2 > y) && x < (x2 - x1) * (y - y1) / (y2 - y1) + x1
        })
        .count()
        % 2
        == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inside_of_a_square() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        assert!(inside(&square, (5.0, 5.0)));
        assert!(!inside(&square, (15.0, 5.0)));
        assert!(!inside(&[], (5.0, 5.0)));
    }

    #[test]
    fn a_curve_starts_and_ends_at_its_ends() {
        let curve = Curve((0.0, 0.0), (5.0, 0.0), (10.0, 5.0), (10.0, 10.0));
        assert_eq!(curve.at(0.0), (0.0, 0.0));
        assert_eq!(curve.at(1.0), (10.0, 10.0));
        assert_eq!(curve.points(3).len(), 3);
    }
}
