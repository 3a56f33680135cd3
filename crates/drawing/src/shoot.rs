//! The shoot: how it looks cut across, down into its top, and along its lowest sheaths.
//!
//! In: one state. Out: the shoot and, beside or below it, the cut that tells.

use std::f64::consts::TAU;

use crate::pen::{Path, Point};
use crate::profile::{self, FOOT};
use crate::ribbon::{Ribbon, between, from, moved};
use crate::{Drawing, Nature, Pen, Stroke};

/// The states of `vernation`: the newest leaf drawn out of the shoot, and the cut across it.
pub(crate) fn vernation(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    let (foot, mouth) = ((20.0, 96.0), (20.0, 56.0));
    let center = (67.0, 52.0);
    match state_id {
        "rolled" => {
            // A slim cone; one edge winds round it.
            let leaf = Ribbon::straight(mouth, (20.0, 4.0), 7.0, 0.6);
            pen.shape(Stroke::Outline, &leaf.outline());
            pen.stroke(
                Stroke::Detail,
                &Path::at(leaf.at(0.0, -0.6))
                    .bend(leaf.at(0.25, 1.0), leaf.at(0.45, 1.0))
                    .jump(leaf.at(0.4, -1.0))
                    .bend(leaf.at(0.6, 0.9), leaf.at(0.8, 1.0)),
            );
            pen.ellipse(Stroke::Outline, center, 29.0, 29.0);
            pen.stroke(Stroke::Marked, &coil(center, 21.0, 3.5, 2.2));
        }
        "folded" => {
            // Shut like a book: a blade with its crease on one side and both edges on the other.
            let leaf = Ribbon::along(
                [mouth, (20.0, 40.0), (20.0, 20.0), (17.0, 4.0)],
                [7.0, 7.0, 6.0, 0.0],
            );
            pen.shape(Stroke::Outline, &leaf.pointed());
            pen.stroke(Stroke::Detail, &leaf.vein(0.45, 0.0, 0.92));
            pen.ellipse(Stroke::Outline, center, 29.0, 29.0);
            pen.stroke(
                Stroke::Marked,
                &Path::at((60.0, 32.0))
                    .curve((60.0, 50.0), (64.0, 66.0), (67.0, 73.0))
                    .curve((70.0, 66.0), (74.0, 50.0), (74.0, 32.0)),
            );
        }
        _ => return None,
    }
    pen.shape(
        Stroke::Outline,
        &Ribbon::straight(foot, mouth, 10.0, 9.0).outline(),
    );
    Some(pen.finish())
}

/// A line wound up from outside to inside.
fn coil(center: Point, outer: f64, inner: f64, turns: f64) -> Path {
    let steps = (turns * 8.0).round();
    let at = |step: f64, stretch: f64| {
        let share = step / steps;
        let radius = (outer + share * (inner - outer)) * stretch;
        let (sin, cos) = (0.7 + share * turns * TAU).sin_cos();
        (center.0 + radius * cos, center.1 + radius * sin)
    };
    // The control point between two points of a circle an eighth apart lies outside it.
    let stretch = 1.0 / (TAU / 16.0).cos();
    let mut path = Path::at(at(0.0, 1.0));
    let mut step = 0.0;
    while step < steps {
        path = path.bend(at(step + 0.5, stretch), at(step + 1.0, 1.0));
        step += 1.0;
    }
    path
}

/// The states of `stem_section`: the shoot, and the cut with its leaves seen from above.
pub(crate) fn stem_section(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    let center = (65.0, 53.0);
    let three = match state_id {
        "round_or_oval" => false,
        "triangular" => true,
        _ => return None,
    };
    profile::shoot(&mut pen, 8.0);
    if three {
        pen.stroke(
            Stroke::Detail,
            &Path::at((FOOT.0, 95.0)).line((FOOT.0, 64.0)),
        );
    }
    let sides: &[f64] = if three {
        &[0.0, 120.0, 240.0]
    } else {
        &[0.0, 180.0]
    };
    for degrees in sides {
        let tip = from(center, *degrees, 37.0);
        let blade = Ribbon::along(
            [
                from(center, *degrees, 8.0),
                from(center, *degrees, 20.0),
                from(center, *degrees, 27.0),
                tip,
            ],
            [7.0, 7.5, 5.5, 0.0],
        );
        pen.shape(Stroke::Outline, &blade.pointed());
        pen.stroke(Stroke::Fine, &blade.vein(0.0, 0.1, 0.85));
    }
    if three {
        pen.shape(Stroke::Marked, &triangle(center, 25.0));
        pen.shape(Stroke::Detail, &triangle(center, 12.0));
    } else {
        pen.ellipse(Stroke::Marked, center, 15.0, 20.0);
        pen.ellipse(Stroke::Detail, center, 7.0, 10.0);
    }
    Some(pen.finish())
}

/// Three corners, hardly rounded, one on top.
fn triangle(center: Point, far: f64) -> Path {
    let corner = |degrees| from(center, degrees, far);
    let (a, b, c) = (corner(0.0), corner(120.0), corner(240.0));
    let round = 0.12;
    Path::at(between(a, b, round))
        .line(between(b, a, round))
        .bend(b, between(b, c, round))
        .line(between(c, b, round))
        .bend(c, between(c, a, round))
        .line(between(a, c, round))
        .bend(a, between(a, b, round))
        .close()
}

/// The states of `sheath_keel`: the back of a low sheath, and the cut with the back in front.
pub(crate) fn sheath_keel(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    let keeled = match state_id {
        "rounded" => false,
        "keeled" => true,
        _ => return None,
    };
    pen.shape(
        Stroke::Outline,
        &profile::newest(FOOT, 6.0, (FOOT.0 - 2.0, 4.0)),
    );
    pen.shape(
        Stroke::Outline,
        &profile::leaf(FOOT, 10.0, 40.0, (FOOT.0 - 15.0, 10.0)),
    );
    // Seen from behind: the sheath's back runs on into the blade's midrib.
    let leaf = Ribbon::along(
        [(19.0, 96.0), (19.0, 64.0), (19.0, 36.0), (40.0, 14.0)],
        [12.0, 12.5, 10.0, 0.0],
    );
    pen.shape(Stroke::Outline, &leaf.pointed());
    pen.stroke(
        Stroke::Detail,
        &Path::at(leaf.at(0.46, -1.0)).line(leaf.at(0.46, 1.0)),
    );
    let center: Point = (69.0, 58.0);
    if keeled {
        pen.stroke(Stroke::Marked, &leaf.vein(0.0, 0.0, 0.46));
        pen.shape(
            Stroke::Outline,
            &Path::at((69.0, 96.0))
                .curve((62.0, 80.0), (46.0, 76.0), (46.0, 57.0))
                .curve((46.0, 28.0), (92.0, 28.0), (92.0, 57.0))
                .curve((92.0, 76.0), (76.0, 80.0), (69.0, 96.0))
                .close(),
        );
        pen.stroke(
            Stroke::Marked,
            &Path::at((54.0, 75.0))
                .curve((61.0, 80.0), (65.0, 86.0), (69.0, 95.0))
                .curve((73.0, 86.0), (77.0, 80.0), (84.0, 75.0)),
        );
    } else {
        pen.ellipse(Stroke::Outline, center, 23.0, 22.0);
        pen.stroke(
            Stroke::Marked,
            &Path::at((46.0, 58.0)).curve((46.0, 87.3), (92.0, 87.3), (92.0, 58.0)),
        );
    }
    pen.ellipse(Stroke::Detail, moved(center, 0.0, -1.0), 11.0, 10.0);
    Some(pen.finish())
}

/// The states of `sheath_closure`: a sheath with its blade bent back, and the cut across.
pub(crate) fn sheath_closure(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    let open = match state_id {
        "open" => true,
        "closed" => false,
        _ => return None,
    };
    // The younger shoot comes out of the mouth; the blade goes off behind it.
    let blade = Ribbon::along(
        [(33.0, 40.0), (40.0, 24.0), (62.0, 14.0), (94.0, 14.0)],
        [12.0, 11.0, 8.0, 0.0],
    );
    pen.shape(Stroke::Outline, &blade.pointed());
    pen.shape(
        Stroke::Outline,
        &Ribbon::straight((25.0, 60.0), (25.0, 4.0), 9.0, 7.0).outline(),
    );
    let foot = 96.0;
    pen.shape(
        Stroke::Outline,
        &Path::at((8.0, foot))
            .line((10.0, 36.0))
            .line((25.0, 53.0))
            .line((40.0, 36.0))
            .line((42.0, foot))
            .close(),
    );
    let center = (72.0, 66.0);
    if open {
        pen.stroke(
            Stroke::Marked,
            &Path::at((10.0, 36.0)).curve((20.0, 48.0), (33.0, 62.0), (33.0, foot)),
        );
        pen.stroke(Stroke::Marked, &coil(center, 24.0, 15.0, 1.3));
    } else {
        pen.stroke(
            Stroke::Marked,
            &Path::at((10.0, 36.0)).line((25.0, 53.0)).line((40.0, 36.0)),
        );
        pen.ellipse(Stroke::Marked, center, 22.0, 22.0);
    }
    pen.ellipse(Stroke::Detail, center, 8.0, 8.0);
    Some(pen.finish())
}
