//! Hairs of the blade: on its upper face, its lower face and its edges.
//!
//! In: the state of a trait. Out: its card: one leaf, its blade to the right and up, with the
//! face to the eye that the trait is about.

use crate::curve::{Curve, between};
use crate::hairs::{Coat, coat, row};
use crate::pen::{Path, Point};
use crate::{Drawing, Nature, Pen, Stroke};

const UPPER: Curve = Curve((19.0, 52.0), (30.0, 8.0), (70.0, -6.0), (97.0, 58.0));
const LOWER: Curve = Curve((24.0, 84.0), (36.0, 42.0), (66.0, 14.0), (97.0, 58.0));
const MIDRIB: Curve = Curve((23.0, 69.0), (34.0, 25.0), (68.0, 4.0), (96.0, 56.0));

/// The blade's outline.
fn blade(pen: &mut Pen) {
    pen.shape(Stroke::Outline, &LOWER.back().go(UPPER.path()).close());
}

/// A leaf with its upper face to the eye: the shoot stands before it, and one looks into the
/// angle between them.
fn from_above(pen: &mut Pen) {
    blade(pen);
    pen.stroke(Stroke::Fine, &MIDRIB.path());
    let path = Path::at((5.0, 100.0)).curve((5.0, 80.0), (7.0, 40.0), (8.0, 0.0));
    let path = path
        .line((18.0, 0.0))
        .curve((20.0, 40.0), (25.0, 70.0), (25.0, 100.0));
    pen.shape(Stroke::Outline, &path);
    pen.stroke(
        Stroke::Detail,
        &Path::at((24.5, 81.0)).bend((14.0, 74.0), (6.0, 78.0)),
    );
}

/// A leaf with its under side to the eye: the sheath runs on into the blade, the midrib stands out,
/// the shoot is behind.
fn from_below(pen: &mut Pen) {
    let shoot = Path::at((8.0, 88.0)).line((9.0, 0.0)).line((19.0, 0.0));
    pen.shape(Stroke::Outline, &shoot.line((22.0, 60.0)));
    let path = UPPER.go(Path::at((5.0, 100.0)).curve((5.0, 84.0), (12.0, 72.0), UPPER.0));
    let path = LOWER
        .back()
        .go(path)
        .curve((25.0, 84.0), (25.0, 92.0), (25.0, 100.0));
    pen.shape(Stroke::Outline, &path);
    let keel = Curve((22.0, 69.0), (34.0, 25.0), (68.0, 4.0), (96.0, 56.0));
    pen.stroke(Stroke::Outline, &keel.path());
    pen.stroke(
        Stroke::Outline,
        &Path::at((15.0, 100.0)).curve((15.0, 88.0), (17.0, 78.0), (22.0, 70.0)),
    );
    pen.stroke(
        Stroke::Detail,
        &Path::at(UPPER.0).bend((24.0, 62.0), LOWER.0),
    );
    // Looked at from below.
    let look = Path::at((72.0, 96.0))
        .bend((70.0, 78.0), (62.0, 60.0))
        .jump((61.0, 70.0))
        .line((62.0, 59.0))
        .line((71.0, 65.0));
    pen.stroke(Stroke::Detail, &look);
}

/// The face between two parts of its run; long hairs leave the edge free, so that they are not
/// taken for hairs of the edge.
fn face(from: f64, to: f64, length: f64) -> Vec<Point> {
    let lower = LOWER.stretch(from, to, 14);
    let inset = (length / 25.0).min(0.4);
    let mut face: Vec<Point> = UPPER
        .stretch(from, to, 14)
        .iter()
        .zip(&lower)
        .map(|(upper, lower)| between(*upper, *lower, inset))
        .collect();
    face.extend(lower.iter().rev());
    face
}

/// The states of `blade_hairs_upper`.
pub(crate) fn blade_hairs_upper(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let (from, to, gap, length) = match state_id {
        "none" => (0.0, 0.0, 0.0, 0.0),
        "near_base" => (0.08, 0.48, 6.5, 13.0),
        "scattered" => (0.1, 0.95, 9.0, 7.0),
        "velvety" => (0.06, 1.0, 3.6, 3.0),
        _ => return None,
    };
    let mut pen = Pen::default();
    from_above(&mut pen);
    hairs(&mut pen, &face(from, to, length), gap, length, nature);
    Some(pen.finish())
}

/// The states of `blade_hairs_lower`.
pub(crate) fn blade_hairs_lower(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let (gap, length) = match state_id {
        "none" => (0.0, 0.0),
        "scattered" => (9.0, 7.0),
        "dense" => (3.8, 4.5),
        _ => return None,
    };
    let mut pen = Pen::default();
    from_below(&mut pen);
    hairs(&mut pen, &face(0.06, 0.97, length), gap, length, nature);
    Some(pen.finish())
}

/// Hairs on a face; none without length.
fn hairs(pen: &mut Pen, area: &[Point], gap: f64, length: f64, nature: &Nature) {
    if length > 0.0 {
        let hairs = Coat {
            gap,
            length,
            stroke: Stroke::Detail,
            bend: 0.0,
            unequal: 0.2,
        };
        coat(pen, area, &hairs, (-0.2, -1.0), &nature.part("blade hairs"));
    }
}

/// The states of `blade_edge_hairs`.
pub(crate) fn blade_edge_hairs(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let (from, to, gap, length) = match state_id {
        "none" => (0.0, 0.0, 0.0, 0.0),
        "near_base" => (0.17, 0.42, 5.5, 15.0),
        "spaced" => (0.15, 0.94, 11.0, 10.0),
        _ => return None,
    };
    let mut pen = Pen::default();
    from_above(&mut pen);
    if length > 0.0 {
        let nature = nature.part("edge hairs");
        let hairs = Coat {
            gap,
            length,
            stroke: Stroke::Detail,
            bend: 0.0,
            unequal: 0.12,
        };
        // The small bumps from which they rise: the same hairs without length, with a heavier pen.
        let bumps = Coat {
            length: 0.1,
            stroke: Stroke::Marked,
            ..hairs
        };
        let upper = UPPER.stretch(from, to, 16);
        let lower = LOWER.back().stretch(1.0 - to, 1.0 - from, 16);
        for coat in [hairs, bumps] {
            row(&mut pen, &upper, &coat, (0.25, 0.0), &nature.part("upper"));
            row(&mut pen, &lower, &coat, (0.25, 0.0), &nature.part("lower"));
        }
    }
    Some(pen.finish())
}
