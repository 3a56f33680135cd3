//! The ligule: what stands on the inner side where the blade leaves the sheath, seen from the
//! front with the blade pulled back.
//!
//! In: its type, the shape of its edge, its height. Out: its strokes, on the rim that
//! the collar gives.

use std::f64::consts::PI;

use crate::curve::{Curve, between, go_on, moved};
use crate::hairs::{Coat, row};
use crate::pen::{Path, Point};
use crate::{Nature, Pen, Shown, Stroke};

/// What kind of ligule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Type {
    /// A sheet of skin.
    Membrane,
    /// A band of skin with hairs on top.
    FringedMembrane,
    /// Hairs only.
    Hairs,
    /// Nothing.
    Absent,
}

/// The shape of the skin's top edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Edge {
    /// Cut straight.
    Even,
    /// One arch.
    Rounded,
    /// A tip.
    Pointed,
    /// Torn.
    Ragged,
    /// Two horns with a dip between.
    Notched,
}

/// A ligule.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ligule {
    /// Its type.
    pub(crate) kind: Type,
    /// The top edge of its skin.
    pub(crate) edge: Edge,
    /// Height in units at its tallest point, hairs included.
    pub(crate) height: f64,
    /// How heavy its outline is.
    pub(crate) stroke: Stroke,
}

/// The stretch of the rim that the skin takes: the corners are left to the auricles.
const FROM: f64 = 0.05;
const TO: f64 = 0.95;

/// How much of a fringed ligule is skin. Common practice; sources give the whole height only.
/// Less and the band is lost at the size of a phone, more and the comb is.
const SKIN: f64 = 0.42;

impl Ligule {
    /// The ligule that a plant shows. An unsaid type is drawn as none; an unsaid edge is rounded,
    /// that of a fringed skin even.
    pub(crate) fn of(shown: &Shown, height: f64) -> Ligule {
        let kind = match shown.of("ligule_type") {
            Some("membrane") => Type::Membrane,
            Some("fringed_membrane") => Type::FringedMembrane,
            Some("hairs") => Type::Hairs,
            _ => Type::Absent,
        };
        let edge = match shown.of("ligule_edge") {
            Some("even") => Edge::Even,
            Some("rounded") => Edge::Rounded,
            Some("pointed") => Edge::Pointed,
            Some("ragged") => Edge::Ragged,
            Some("notched") => Edge::Notched,
            _ if kind == Type::FringedMembrane => Edge::Even,
            _ => Edge::Rounded,
        };
        Ligule {
            kind,
            edge,
            height,
            stroke: Stroke::Marked,
        }
    }

    /// How much of the blade it hides: its height, nothing where there is none.
    pub(crate) fn stands(&self) -> f64 {
        match self.kind {
            Type::Absent => 0.0,
            _ => self.height,
        }
    }

    /// Draws it on the rim, which runs from the left corner to the right one.
    pub(crate) fn draw(&self, pen: &mut Pen, rim: &Curve, nature: &Nature) {
        let nature = nature.part("ligule");
        match self.kind {
            Type::Absent => {}
            Type::Hairs => self.hairs(pen, rim, &nature),
            Type::Membrane => self.skin(pen, rim, self.height, false, &nature),
            Type::FringedMembrane => self.skin(pen, rim, self.height * SKIN, true, &nature),
        }
    }

    /// A row of separate hairs straight from the green: no line at their feet but the rim's own.
    fn hairs(&self, pen: &mut Pen, rim: &Curve, nature: &Nature) {
        let coat = Coat {
            gap: 4.6,
            length: self.height * 0.93,
            stroke: Stroke::Outline,
            bend: 0.0,
            unequal: 0.13,
        };
        row(pen, &rim.stretch(0.02, 1.0, 16), &coat, (0.0, -1.2), nature);
    }

    /// The skin, with a comb on its top edge if it is fringed.
    fn skin(&self, pen: &mut Pen, rim: &Curve, height: f64, fringed: bool, nature: &Nature) {
        let top = self.top(rim, height, nature);
        let foot = rim.stretch(FROM, TO, 6);
        if fringed {
            self.comb(pen, &top, (0.0, -6.0), nature);
        }
        pen.shape(self.stroke, &ring(&top, &foot, self.is_smooth(), true));
    }

    /// Whether its top edge has no corner.
    fn is_smooth(&self) -> bool {
        self.edge == Edge::Rounded
    }

    /// Hairs in a comb along an edge.
    fn comb(&self, pen: &mut Pen, edge: &[Point], lean: Point, nature: &Nature) {
        let coat = Coat {
            gap: 3.4,
            length: self.height * (1.0 - SKIN),
            stroke: Stroke::Detail,
            bend: 0.0,
            unequal: 0.06,
        };
        let inner = edge.len().saturating_sub(2);
        let edge: Vec<Point> = edge.iter().skip(1).take(inner).copied().collect();
        row(pen, &edge, &coat, lean, nature);
    }

    /// The top edge of the skin, from left to right; starts and ends on the rim.
    fn top(&self, rim: &Curve, height: f64, nature: &Nature) -> Vec<Point> {
        let mut nature = nature.part("edge");
        // No two ligules are the same: the tip may stand a little off the middle. The height is what
        // it is said to be.
        let skew = nature.near(0.0, 0.05);
        let (left, right) = (rim.at(FROM), rim.at(TO));
        let arch = between(left, right, 0.5).1 - rim.at(0.5).1;
        self.profile(&mut nature)
            .into_iter()
            .map(|(u, part)| {
                let foot = rim.at(FROM + (TO - FROM) * u);
                let rise = match self.edge {
                    // Straight across although the rim is bowed.
                    Edge::Even if part > 0.0 => {
                        foot.1 - between(left, right, u).1 + arch + height * part
                    }
                    _ => height * part,
                };
                let out = (u - 0.5 + skew) * 0.12 * rise;
                moved(foot, (out, -rise))
            })
            .collect()
    }

    /// Height over the run of the rim, both 0..1.
    fn profile(&self, nature: &mut Nature) -> Vec<(f64, f64)> {
        let evenly = |count: u8| (0..=count).map(move |i| f64::from(i) / f64::from(count));
        match self.edge {
            Edge::Even => [(0.0, 0.0)]
                .into_iter()
                .chain(evenly(8).map(|u| (u, 1.0)))
                .chain([(1.0, 0.0)])
                .collect(),
            // By the turn of the arch, not by the run of the rim: it is steep at its ends.
            Edge::Rounded => evenly(12)
                .map(|turn| (turn * PI).sin_cos())
                .map(|(sin, cos)| ((1.0 - cos) / 2.0, sin.max(0.0)))
                .collect(),
            Edge::Pointed => vec![(0.0, 0.0), (0.2, 0.3), (0.5, 1.0), (0.8, 0.3), (1.0, 0.0)],
            Edge::Ragged => {
                let mut teeth = vec![(0.0, 0.0)];
                for i in 0..6 {
                    let u = (f64::from(i) + 0.5) / 6.0;
                    // One tooth is as tall as the ligule is said to be.
                    let high = nature.between(0.72, 1.0);
                    let high = if i == 2 { 1.0 } else { high };
                    teeth.push((u - 0.05 + nature.near(0.0, 0.02), high));
                    teeth.push((u + 0.05 + nature.near(0.0, 0.02), nature.between(0.25, 0.5)));
                }
                teeth.push((1.0, 0.0));
                teeth
            }
            Edge::Notched => evenly(18)
                .map(|u| {
                    let side = (2.0 * u - 1.0).abs();
                    let horn = if side < 0.66 {
                        0.2 + 0.8 * (side / 0.66).powi(2)
                    } else {
                        ((1.0 - side) / 0.34).powf(0.7)
                    };
                    (u, horn)
                })
                .collect(),
        }
    }
}

/// A closed path along one line and back along another, each with its corners or rounded.
fn ring(there: &[Point], back: &[Point], round_there: bool, round_back: bool) -> Path {
    let start = there.first().copied().unwrap_or_default();
    let rest = there.get(1..).unwrap_or_default();
    let back: Vec<Point> = back.iter().rev().copied().collect();
    go_on(go_on(Path::at(start), rest, round_there), &back, round_back).close()
}
