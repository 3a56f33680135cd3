//! The views in which one plant is drawn, and the place in each where a trait shows.
//!
//! In: a view, what the plant shows, which specimen; a trait. Out: the drawing, plain or with a broken line
//! round the very place, on the specimen itself (`locator` marks it on a plant of its own). Broken,
//! since no part of a plant is drawn so.

use standbook_key::LeafStage;

use crate::collar_view::View as Lines;
use crate::curve::{between, go_on};
use crate::growth::{self, Build};
use crate::habit::CROWN;
use crate::pen::{Path, Point};
use crate::ribbon::{Ribbon, moved};
use crate::{Drawing, Nature, Pen, Shown, base, collar, plant, seed};

/// A view of one grass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// The whole seedling at a leaf stage.
    Seedling(LeafStage),
    /// The base of a shoot, from the side and cut across.
    Base,
    /// Where blade and sheath meet.
    Collar,
    /// What is left of the seed.
    Seed,
}

impl View {
    /// The drawing of a specimen; `None` for the seed of a plant of which nothing is said of it.
    pub fn draw(self, shown: &Shown, specimen: u64) -> Option<Drawing> {
        match self {
            View::Seedling(stage) => Some(plant::seedling(shown, stage, specimen)),
            View::Base => Some(base::base(shown, specimen)),
            View::Collar => Some(collar::collar(shown, specimen)),
            View::Seed => seed::seed(shown, specimen),
        }
    }

    /// The same with the place of a trait marked; `None` where the trait has no place in this view.
    pub fn marked(self, shown: &Shown, specimen: u64, trait_id: &str) -> Option<Drawing> {
        let drawing = self.draw(shown, specimen)?;
        let nature = Nature::of(specimen);
        let mut pen = Pen::default();
        match self {
            View::Seedling(stage) => on_seedling(&mut pen, shown, stage, &nature, trait_id)?,
            View::Base => on_base(&mut pen, shown, &nature, trait_id)?,
            View::Collar => on_collar(&mut pen, shown, &nature, trait_id)?,
            View::Seed if trait_id == "seed_attached" => {
                ring(&mut pen, seed::middle(&nature), 29.0, 22.0);
            }
            View::Seed => return None,
        }
        Some(drawing.with(&pen.finish()))
    }
}

fn on_seedling(
    pen: &mut Pen,
    shown: &Shown,
    stage: LeafStage,
    nature: &Nature,
    trait_id: &str,
) -> Option<()> {
    let tillers = growth::tillers(shown, stage, &Build::of(shown, stage), nature);
    let first = tillers.first()?;
    // Hairs are drawn on the newest full blade of the first shoot.
    let blades = first.blades();
    let (oldest, blade) = (blades.first()?, blades.last()?);
    match trait_id {
        "tiller_base" => ring(pen, first.stem().at(0.06, 0.0), 10.0, 8.0),
        "sheath_hairs" | "sheath_hair_texture" => {
            for tiller in tillers.iter().take(2) {
                around(pen, &tiller.stem(), (0.04, 0.44));
            }
        }
        "blade_hairs_upper" | "blade_hairs_lower" | "blade_edge_hairs" | "blade_width"
        | "blade_midrib" => around(pen, blade, (0.1, 0.95)),
        "blade_base" => ring(pen, blade.at(0.08, 0.0), 7.0, 7.0),
        "blade_tip" => ring(pen, blade.at(0.96, 0.0), 7.0, 7.0),
        "first_leaf" => around(pen, oldest, (0.02, 0.95)),
        "growth_habit" => {
            for tiller in &tillers {
                around(pen, &tiller.stem(), (0.0, 0.95));
            }
        }
        "stem_section" => ring(pen, first.stem().at(0.4, 0.0), 14.0, 20.0),
        "runners" => ring(pen, moved(CROWN, 0.0, 9.0), 47.0, 12.0),
        "low_branching" => ring(pen, moved(CROWN, 20.0, -8.0), 9.0, 9.0),
        "seed_attached" => ring(pen, moved(CROWN, 0.0, 11.0), 12.0, 8.5),
        _ => return None,
    }
    Some(())
}

fn on_base(pen: &mut Pen, shown: &Shown, nature: &Nature, trait_id: &str) -> Option<()> {
    match trait_id {
        "tiller_base" | "vernation" | "sheath_keel" | "sheath_closure" | "stem_section" => {
            ring(pen, base::cut_middle(nature), 30.0, 31.0);
        }
        "sheath_hairs" | "sheath_hair_texture" | "base_color" => {
            around(pen, &base::sheath_face(shown, nature), (0.0, 1.0));
        }
        _ => return None,
    }
    Some(())
}

fn on_collar(pen: &mut Pen, shown: &Shown, nature: &Nature, trait_id: &str) -> Option<()> {
    let lines = Lines::of(nature);
    let joint = between(lines.left, lines.right, 0.5);
    match trait_id {
        "ligule_type" | "ligule_length" | "ligule_edge" | "ligule_texture" => {
            ring(pen, moved(joint, 0.0, -12.0), 27.0, 23.0);
        }
        "collar_hairs" if shown.is("collar_hairs", "patch") => {
            ring(pen, moved(joint, 14.0, -25.0), 22.0, 21.0);
        }
        "auricles" | "collar_hairs" => {
            ring(pen, lines.left, 14.0, 14.0);
            ring(pen, lines.right, 14.0, 14.0);
        }
        "sheath_edge_hairs" => ring(pen, lines.seam.at(0.3), 11.0, 11.0),
        "sheath_hairs" | "sheath_hair_texture" => ring(pen, moved(joint, 0.0, 22.0), 27.0, 14.5),
        "blade_hairs_upper" => {
            let face = between(lines.blade_left.at(0.45), lines.blade_right.at(0.45), 0.5);
            ring(pen, face, 21.0, 17.0);
        }
        "blade_edge_hairs" => {
            for edge in [lines.blade_left, lines.blade_right] {
                ring(pen, edge.at(0.5), 17.0, 10.0);
            }
        }
        _ => return None,
    }
    Some(())
}

/// How far from what it surrounds a line is drawn: clear of its hairs.
const CLEAR: f64 = 6.0;

/// A broken ring that hides nothing.
fn ring(pen: &mut Pen, (x, y): Point, rx: f64, ry: f64) {
    let round = 0.552;
    let (kx, ky) = (rx * round, ry * round);
    let at = |dx: f64, dy: f64| on_paper((x + dx, y + dy));
    let path = Path::at(at(-rx, 0.0))
        .curve(at(-rx, -ky), at(-kx, -ry), at(0.0, -ry))
        .curve(at(kx, -ry), at(rx, -ky), at(rx, 0.0))
        .curve(at(rx, ky), at(kx, ry), at(0.0, ry))
        .curve(at(-kx, ry), at(-rx, ky), at(-rx, 0.0));
    pen.broken(&path.close());
}

/// A broken line round a stretch of a ribbon.
fn around(pen: &mut Pen, ribbon: &Ribbon, (low, high): (f64, f64)) {
    let steps = [0.0, 0.25, 0.5, 0.75, 1.0].map(|share| low + share * (high - low));
    let beside = |t: f64, side: f64| {
        let edge = ribbon.at(t, side);
        let (x, y) = ribbon.heading(t);
        // The edge that is to the left of its way lies at -1.
        on_paper(moved(edge, -y * side * CLEAR, x * side * CLEAR))
    };
    let up = steps.iter().map(|t| beside(*t, -1.0));
    let down = steps.iter().rev().map(|t| beside(*t, 1.0));
    let outline: Vec<Point> = up.chain(down).collect();
    if let Some((first, rest)) = outline.split_first() {
        pen.broken(&go_on(Path::at(*first), rest, true).close());
    }
}

/// Within the square, with room for half a line.
fn on_paper((x, y): Point) -> Point {
    (x.clamp(1.6, 98.4), y.clamp(1.6, 98.4))
}
