//! Where to look: a small whole plant on which the part that a trait concerns is marked.
//!
//! In: a trait id. Out: the same plant every time, with a ring or a bold line.

use crate::ground::{self, Roots};
use crate::pen::{Path, Point};
use crate::ribbon::{Ribbon, moved};
use crate::runner;
use crate::tiller::{Leaf, Midrib, Tiller};
use crate::{Drawing, Nature, Pen, Stroke, remnant};

/// Where the shoot meets the ground.
const FOOT: Point = (46.0, 76.0);

/// Where the seed is.
const SEED: Point = (46.0, 87.0);

/// How far up the shoot the lowest sheath's collar is.
const COLLAR: f64 = 0.44;

/// The plant with the place marked where a trait is looked for; None for what can be anywhere.
pub fn locator(trait_id: &str) -> Option<Drawing> {
    let mut pen = Pen::default();
    let plant = plant();
    let older = matches!(
        trait_id,
        "node_hairs" | "low_branching" | "runners" | "growth_habit"
    );
    ground::line(&mut pen, FOOT.1);
    let roots = Roots {
        at: FOOT,
        count: 5,
        spread: 60.0,
        length: 20.0,
    };
    ground::roots(&mut pen, Stroke::Detail, roots, &mut Nature::of(0));
    if trait_id == "seed_attached" {
        remnant::draw(&mut pen, SEED, None);
    }
    if older {
        for shoot in side_shoots() {
            shoot.draw(&mut pen, Stroke::Detail, Midrib::Faint);
        }
    }
    plant.draw(&mut pen, Stroke::Detail, Midrib::Faint);
    mark(&mut pen, trait_id, &plant)?;
    Some(pen.finish())
}

/// A seedling with a first leaf, two blades and a newest leaf.
fn plant() -> Tiller {
    let leaf = |t: f64, degrees: f64, droop: f64, length: f64, half: f64| Leaf {
        t,
        degrees,
        droop,
        length,
        half: [half, half * 1.4, half * 1.2, 0.0],
    };
    Tiller {
        course: [FOOT, (47.0, 54.0), (48.0, 28.0), (50.0, 4.0)],
        half: 4.0,
        leaves: vec![
            leaf(0.2, -66.0, 14.0, 19.0, 2.4),
            leaf(COLLAR, 46.0, 34.0, 46.0, 4.0),
            leaf(0.6, -36.0, 34.0, 42.0, 3.8),
        ],
    }
}

/// Shoots to either side, for what only an older plant shows.
fn side_shoots() -> [Tiller; 2] {
    let shoot = |course| Tiller {
        course,
        half: 3.0,
        leaves: Vec::new(),
    };
    [
        shoot([FOOT, (38.0, 70.0), (22.0, 62.0), (12.0, 40.0)]),
        shoot([FOOT, (58.0, 71.0), (76.0, 64.0), (86.0, 44.0)]),
    ]
}

/// The mark; None where the trait is unknown.
fn mark(pen: &mut Pen, trait_id: &str, plant: &Tiller) -> Option<()> {
    let stem = plant.stem();
    let blades = plant.blades();
    let (first, blade) = (blades.first()?, blades.get(1)?);
    match trait_id {
        "tiller_base" => ring(pen, stem.at(0.06, 0.0), 9.0, 7.0),
        "sheath_hairs" | "sheath_hair_texture" => {
            bold(pen, &edges(&stem, (0.04, COLLAR - 0.04)));
        }
        "sheath_edge_hairs" | "sheath_closure" => bold(pen, &stem.vein(0.1, 0.04, COLLAR - 0.02)),
        // The back of the sheath is below its blade.
        "sheath_keel" => bold(pen, &stem.vein(0.9, 0.04, COLLAR - 0.02)),
        "stem_section" => bold(
            pen,
            &Path::at(moved(stem.at(0.28, -1.0), -7.0, 0.0)).line(moved(
                stem.at(0.28, 1.0),
                7.0,
                0.0,
            )),
        ),
        "base_color" => bold(pen, &stem_foot(&stem)),
        "collar_hairs" | "auricles" | "ligule_type" | "ligule_length" | "ligule_edge"
        | "ligule_texture" => ring(pen, stem.at(COLLAR, 0.5), 9.0, 9.0),
        "blade_base" => ring(pen, blade.at(0.17, 0.0), 9.0, 9.0),
        "blade_hairs_upper" => bold(pen, &blade.vein(-1.0, 0.1, 1.0)),
        "blade_hairs_lower" => bold(pen, &blade.vein(1.0, 0.1, 1.0)),
        "blade_edge_hairs" | "blade_edge" => bold(pen, &edges(blade, (0.1, 1.0))),
        "blade_midrib" => bold(pen, &blade.vein(0.0, 0.12, 0.75)),
        "blade_tip" => ring(pen, blade.at(0.94, 0.0), 8.0, 8.0),
        "blade_surface" | "blade_color" => {
            pen.shape(Stroke::Marked, &blade.pointed());
            if trait_id == "blade_color" {
                pen.stroke(Stroke::Detail, &blade.vein(0.0, 0.1, 0.9));
            }
        }
        "blade_width" => bold(
            pen,
            &Path::at(blade.at(0.45, -2.4)).line(blade.at(0.45, 2.4)),
        ),
        "vernation" => pen.shape(Stroke::Marked, &newest(&stem)),
        "first_leaf" => pen.shape(Stroke::Marked, &first.pointed()),
        "seed_attached" => ring(pen, SEED, 9.5, 8.0),
        "node_hairs" => {
            let node = stem.at(0.3, 0.0);
            runner::knot(pen, node, 4.6);
            ring(pen, node, 10.0, 10.0);
        }
        "low_branching" => {
            let [_, right] = side_shoots();
            let node = right.stem().at(0.45, 0.0);
            runner::knot(pen, node, 3.6);
            ring(pen, node, 10.0, 10.0);
        }
        "runners" => ring(pen, moved(FOOT, 0.0, 6.0), 41.0, 12.0),
        "growth_habit" => {
            for shoot in side_shoots().iter().chain([plant]) {
                bold(pen, &shoot.stem().vein(0.0, 0.0, 1.0));
            }
        }
        _ => return None,
    }
    Some(())
}

/// A bold line.
fn bold(pen: &mut Pen, path: &Path) {
    pen.stroke(Stroke::Marked, path);
}

/// Both edges of a ribbon.
fn edges(ribbon: &Ribbon, (low, high): (f64, f64)) -> Path {
    let left = ribbon.vein(-1.0, low, high);
    ribbon.go_on(left.jump(ribbon.at(low, 1.0)), 1.0, low, high)
}

/// The lowest part of the shoot, round both edges.
fn stem_foot(stem: &Ribbon) -> Path {
    let high = 0.17;
    stem.go_on(
        stem.vein(-1.0, high, 0.0).line(stem.at(0.0, 1.0)),
        1.0,
        0.0,
        high,
    )
    .close()
}

/// The part of the shoot above the last collar.
fn newest(stem: &Ribbon) -> Path {
    let low = 0.64;
    let up = stem.vein(-1.0, low, 1.0);
    stem.go_on(up, 1.0, 1.0, low).close()
}

/// A ring that hides nothing.
fn ring(pen: &mut Pen, (x, y): Point, rx: f64, ry: f64) {
    let round = 0.552;
    let (kx, ky) = (rx * round, ry * round);
    bold(
        pen,
        &Path::at((x - rx, y))
            .curve((x - rx, y - ky), (x - kx, y - ry), (x, y - ry))
            .curve((x + kx, y - ry), (x + rx, y - ky), (x + rx, y))
            .curve((x + rx, y + ky), (x + kx, y + ry), (x, y + ry))
            .curve((x - kx, y + ry), (x - rx, y + ky), (x - rx, y))
            .close(),
    );
}
