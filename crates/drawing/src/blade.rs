//! The blade's outline: foot, tip and edges.
//!
//! In: one state. Out: a blade close to the eye, going off to the right and up.

use crate::pen::{Path, Point};
use crate::ribbon::{Ribbon, Widths, between, moved};
use crate::{Drawing, Nature, Pen, Stroke};

/// The states of `blade_base`: a blade laid flat, its foot on the collar.
pub(crate) fn blade_base(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let half: Widths = match state_id {
        "same_width" => [11.5, 11.5, 11.0, 0.0],
        "narrowed" => [2.5, 16.0, 18.0, 0.0],
        _ => return None,
    };
    let mut pen = Pen::default();
    // The collar runs aslant from the sheath's mouth to its back.
    let (mouth, back) = ((26.0, 55.0), (40.0, 72.0));
    let younger = Ribbon::along(
        [(20.0, 80.0), (20.0, 60.0), (19.0, 30.0), (17.0, 4.0)],
        [7.0, 7.0, 6.0, 0.0],
    );
    pen.shape(Stroke::Outline, &younger.pointed());
    pen.shape(
        Stroke::Outline,
        &Path::at((10.0, 96.0))
            .line((10.0, 62.0))
            .line(mouth)
            .line(back)
            .bend((34.0, 80.0), (34.0, 96.0))
            .close(),
    );
    let foot = between(mouth, back, 0.5);
    let blade = Ribbon::along([foot, (47.0, 51.0), (66.0, 36.0), (96.0, 10.0)], half);
    pen.shape(Stroke::Outline, &blade.pointed());
    pen.stroke(Stroke::Fine, &blade.vein(0.0, 0.0, 0.92));
    // The foot, both edges: that is where to look.
    pen.stroke(
        Stroke::Marked,
        &blade.go_on(
            blade.vein(-1.0, 0.0, 0.34).jump(blade.at(0.0, 1.0)),
            1.0,
            0.0,
            0.34,
        ),
    );
    pen.stroke(
        Stroke::Marked,
        &Path::at(blade.at(0.0, -1.0)).line(blade.at(0.0, 1.0)),
    );
    Some(pen.finish())
}

/// The states of `blade_tip`: the tip from above, and from the side below.
pub(crate) fn blade_tip(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    match state_id {
        "tapering" => {
            let above = Ribbon::along(
                [(4.0, 30.0), (30.0, 30.0), (60.0, 30.0), (97.0, 30.0)],
                [17.0, 15.0, 7.0, 0.0],
            );
            pen.shape(Stroke::Outline, &above.pointed());
            pen.stroke(Stroke::Marked, &tip_edges(&above, 0.45));
            pen.stroke(Stroke::Fine, &above.vein(0.0, 0.0, 0.8));
            // From the side it is no thicker than its skin.
            pen.stroke(Stroke::Outline, &Path::at((4.0, 76.0)).line((50.0, 75.0)));
            pen.stroke(
                Stroke::Marked,
                &Path::at((50.0, 75.0)).bend((75.0, 74.0), (96.0, 78.0)),
            );
        }
        "boat_shaped" => {
            let prow = |path: Path| {
                path.curve((78.0, 14.0), (88.0, 24.0), (93.0, 30.0)).curve(
                    (88.0, 36.0),
                    (78.0, 46.0),
                    (62.0, 46.0),
                )
            };
            pen.shape(
                Stroke::Outline,
                &prow(Path::at((4.0, 14.0)).line((62.0, 14.0)))
                    .line((4.0, 46.0))
                    .close(),
            );
            pen.stroke(Stroke::Marked, &prow(Path::at((62.0, 14.0))));
            pen.stroke(Stroke::Detail, &Path::at((4.0, 30.0)).line((92.0, 30.0)));
            // From the side: a canoe.
            pen.shape(
                Stroke::Outline,
                &Path::at((4.0, 74.0))
                    .line((56.0, 74.0))
                    .curve((74.0, 74.0), (86.0, 70.0), (94.0, 60.0))
                    .curve((92.0, 80.0), (80.0, 90.0), (60.0, 90.0))
                    .line((4.0, 90.0))
                    .close(),
            );
            pen.stroke(
                Stroke::Marked,
                &Path::at((56.0, 74.0))
                    .curve((74.0, 74.0), (86.0, 70.0), (94.0, 60.0))
                    .curve((92.0, 80.0), (80.0, 90.0), (60.0, 90.0)),
            );
        }
        _ => return None,
    }
    Some(pen.finish())
}

/// Both edges from a place to the tip.
fn tip_edges(blade: &Ribbon, from: f64) -> Path {
    let left = blade.vein(-1.0, from, 1.0);
    blade.go_on(left.jump(blade.at(from, 1.0)), 1.0, from, 1.0)
}

/// A stretch of a large blade.
pub(crate) fn large(half: f64) -> Ribbon {
    Ribbon::along(
        [(18.0, 83.0), (35.0, 66.0), (58.0, 42.0), (95.0, 7.0)],
        [half, half, half * 0.95, 0.0],
    )
}

/// The states of `blade_edge`: both edges of a blade, drawn bold.
pub(crate) fn blade_edge(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let blade = large(17.0);
    let mut pen = Pen::default();
    let (left, right) = match state_id {
        "smooth" => (blade.vein(-1.0, 0.0, 1.0), blade.vein(1.0, 0.0, 1.0)),
        "rough" => (teeth(&blade, -1.0), teeth(&blade, 1.0)),
        "crinkled" => (waves(&blade, -1.0), blade.vein(1.0, 0.0, 1.0)),
        _ => return None,
    };
    pen.stroke(
        Stroke::Outline,
        &Path::at(blade.at(0.0, -1.0)).line(blade.at(0.0, 1.0)),
    );
    pen.stroke(Stroke::Fine, &blade.vein(0.0, 0.0, 0.85));
    pen.stroke(Stroke::Marked, &left);
    pen.stroke(Stroke::Marked, &right);
    Some(pen.finish())
}

/// Saw teeth that point to the tip: that is why the edge drags when drawn from there.
fn teeth(blade: &Ribbon, side: f64) -> Path {
    let count = 9;
    let mut path = Path::at(blade.at(0.0, side));
    for tooth in 1..=count {
        let t = f64::from(tooth) / f64::from(count);
        path = path
            .line(out(blade, t - 0.005, side, 5.0 * (1.0 - t * t)))
            .line(blade.at(t, side));
    }
    path
}

/// Small waves on part of an edge.
fn waves(blade: &Ribbon, side: f64) -> Path {
    let (from, to) = (0.22, 0.78);
    let mut path = blade.vein(side, 0.0, from);
    let count = 10;
    for wave in 0..count {
        let at = |half: f64| from + (to - from) * (f64::from(wave) + half) / f64::from(count);
        let swing = if wave % 2 == 0 { 7.5 } else { -7.5 };
        path = path.bend(out(blade, at(0.5), side, swing), blade.at(at(1.0), side));
    }
    blade.go_on(path, side, to, 1.0)
}

/// A point outside the edge.
fn out(blade: &Ribbon, t: f64, side: f64, far: f64) -> Point {
    let (x, y) = blade.heading(t);
    moved(blade.at(t, side), -y * side * far, x * side * far)
}
