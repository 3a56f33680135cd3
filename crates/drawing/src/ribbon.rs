//! Ribbons: blades, sheaths, stems, rhizomes. Whatever in a grass is long has two edges that run
//! together along one bent line.
//!
//! In: the middle line and half widths along it. Out: an outline, and points on the face by how
//! far along and how far across they lie, so that veins, hatching and hairs follow the bend.

use crate::pen::{Path, Point};

/// Two edges, each a cubic from foot to tip.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ribbon {
    left: [Point; 4],
    right: [Point; 4],
}

/// Half widths at the foot, at the two bends and at the tip.
pub(crate) type Widths = [f64; 4];

impl Ribbon {
    /// A ribbon along a middle line.
    pub(crate) fn along(middle: [Point; 4], half: Widths) -> Ribbon {
        let [foot, first, second, tip] = middle;
        let across = [
            normal(foot, first),
            normal(foot, second),
            normal(first, tip),
            normal(second, tip),
        ];
        let edge = |side: f64| {
            let mut edge = middle;
            for ((point, (nx, ny)), half) in edge.iter_mut().zip(across).zip(half) {
                *point = (point.0 + side * half * nx, point.1 + side * half * ny);
            }
            edge
        };
        Ribbon {
            left: edge(-1.0),
            right: edge(1.0),
        }
    }

    /// The same ribbon elsewhere: every point of it moved by one rule.
    pub(crate) fn mapped(&self, place: impl Fn(Point) -> Point) -> Ribbon {
        Ribbon {
            left: self.left.map(&place),
            right: self.right.map(&place),
        }
    }

    /// A straight ribbon.
    pub(crate) fn straight(foot: Point, tip: Point, half_foot: f64, half_tip: f64) -> Ribbon {
        let middle = [
            foot,
            between(foot, tip, 0.33),
            between(foot, tip, 0.67),
            tip,
        ];
        let step = (half_tip - half_foot) / 3.0;
        Ribbon::along(
            middle,
            [half_foot, half_foot + step, half_tip - step, half_tip],
        )
    }

    /// A point of the face: `t` from foot (0) to tip (1), `across` from the left edge (-1) to
    /// the right one (1), as seen looking from foot to tip.
    pub(crate) fn at(&self, t: f64, across: f64) -> Point {
        let share = f64::midpoint(across, 1.0);
        between(cubic(self.left, t), cubic(self.right, t), share)
    }

    /// A line from one place of the face to another, following the bend.
    pub(crate) fn vein(&self, across: f64, from: f64, to: f64) -> Path {
        self.go_on(Path::at(self.at(from, across)), across, from, to)
    }

    /// The same, after what has been drawn.
    pub(crate) fn go_on(&self, path: Path, across: f64, from: f64, to: f64) -> Path {
        let share = f64::midpoint(across, 1.0);
        let mut line = self.left;
        for (point, right) in line.iter_mut().zip(self.right) {
            *point = between(*point, right, share);
        }
        let [_, first, second, last] = part(line, from, to);
        path.curve(first, second, last)
    }

    /// The outline, round the tip and back, closed at the foot.
    pub(crate) fn outline(&self) -> Path {
        let [l0, l1, l2, l3] = self.left;
        let [r0, r1, r2, r3] = self.right;
        Path::at(l0)
            .curve(l1, l2, l3)
            .line(r3)
            .curve(r2, r1, r0)
            .close()
    }

    /// The outline of one that ends in a point.
    pub(crate) fn pointed(&self) -> Path {
        let [l0, l1, l2, l3] = self.left;
        let [r0, r1, r2, _] = self.right;
        Path::at(l0).curve(l1, l2, l3).curve(r2, r1, r0).close()
    }

    /// Points along an edge or a vein, for hairs to stand on.
    pub(crate) fn points(&self, across: f64, from: f64, to: f64) -> [Point; 7] {
        [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
            .map(|step| self.at(from + (to - from) * step / 6.0, across))
    }

    /// Direction from foot to tip at a place.
    pub(crate) fn heading(&self, t: f64) -> Point {
        let step = 0.02;
        let (from, to) = (
            self.at((t - step).max(0.0), 0.0),
            self.at((t + step).min(1.0), 0.0),
        );
        unit(from, to)
    }
}

/// A point between two.
pub(crate) fn between(a: Point, b: Point, share: f64) -> Point {
    (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1))
}

/// A point at a distance, `degrees` counted from straight up, to the right.
pub(crate) fn from(point: Point, degrees: f64, far: f64) -> Point {
    let (sin, cos) = degrees.to_radians().sin_cos();
    (point.0 + far * sin, point.1 - far * cos)
}

/// Moved by.
pub(crate) fn moved(point: Point, dx: f64, dy: f64) -> Point {
    (point.0 + dx, point.1 + dy)
}

/// From one point towards another, length 1; straight up where they are the same.
fn unit(a: Point, b: Point) -> Point {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypot(dy);
    if length > 1e-9 {
        (dx / length, dy / length)
    } else {
        (0.0, -1.0)
    }
}

/// To the right of the way from one point to another.
fn normal(a: Point, b: Point) -> Point {
    let (x, y) = unit(a, b);
    (-y, x)
}

fn cubic([a, b, c, d]: [Point; 4], t: f64) -> Point {
    let (ab, bc, cd) = (between(a, b, t), between(b, c, t), between(c, d, t));
    between(between(ab, bc, t), between(bc, cd, t), t)
}

/// The part of a cubic between two places (de Casteljau, twice).
fn part(line: [Point; 4], from: f64, to: f64) -> [Point; 4] {
    let blossom = |u: f64, v: f64, w: f64| {
        let [a, b, c, d] = line;
        let (ab, bc, cd) = (between(a, b, u), between(b, c, u), between(c, d, u));
        between(between(ab, bc, v), between(bc, cd, v), w)
    };
    [
        blossom(from, from, from),
        blossom(from, from, to),
        blossom(from, to, to),
        blossom(to, to, to),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: Point, b: Point) -> bool {
        (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9
    }

    /// Going up, the right edge lies to the right.
    #[test]
    fn right_is_right_when_going_up() {
        let ribbon = Ribbon::straight((50.0, 90.0), (50.0, 10.0), 5.0, 5.0);
        assert!(near(ribbon.at(0.0, 1.0), (55.0, 90.0)));
        assert!(near(ribbon.at(1.0, -1.0), (45.0, 10.0)));
        assert!(near(ribbon.at(0.5, 0.0), (50.0, 50.0)));
    }

    #[test]
    fn a_part_of_a_line_starts_and_ends_on_it() {
        let line = [(0.0, 0.0), (10.0, 30.0), (40.0, -10.0), (60.0, 20.0)];
        let [a, .., d] = part(line, 0.2, 0.7);
        assert!(near(a, cubic(line, 0.2)));
        assert!(near(d, cubic(line, 0.7)));
    }

    #[test]
    fn a_ribbon_without_length_stays_finite() {
        let ribbon = Ribbon::straight((1.0, 1.0), (1.0, 1.0), 2.0, 2.0);
        assert!(ribbon.at(0.5, 1.0).0.is_finite());
    }
}
