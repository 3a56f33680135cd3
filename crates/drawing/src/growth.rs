//! How a plant of a leaf stage grows: which tillers it has, and which leaves.
//!
//! In: what it shows, its stage, its nature. Out: tillers, back ones first. States give the plan,
//! nature the measures.

use standbook_key::LeafStage;

use crate::habit::{CROWN, Habit};
use crate::pen::Point;
use crate::ribbon::{Widths, from, moved};
use crate::tiller::{Leaf, Tiller};
use crate::{Nature, Shown};

/// Everything about its leaves and shoots that a plant has in common.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Build {
    habit: Habit,
    /// Half width of a shoot.
    shoot: f64,
    /// Half width of a full-grown blade.
    blade: f64,
    /// Blade's foot and tip as shares of its half width.
    foot: f64,
    tip: f64,
    three_ranked: bool,
}

impl Build {
    pub(crate) fn of(shown: &Shown, stage: LeafStage) -> Build {
        let size = match stage {
            LeafStage::OneLeaf | LeafStage::FewLeaves => 1.0,
            LeafStage::Tillering | LeafStage::Heading => 0.85,
        };
        let broad = shown.is("first_leaf", "broad_spreading");
        // Not to scale: narrow ones would be a hair's breadth. A lawn grass has 2 mm, a broad
        // seedling 8 mm (common practice); both stay told apart.
        let blade = shown
            .mm("blade_width")
            .map_or(if broad { 3.6 } else { 2.8 }, |mm| {
                (1.7 + 0.3 * mm).clamp(1.8, 4.6)
            });
        let shoot = match shown.of("tiller_base") {
            Some("strongly_flattened") => 4.4,
            Some("slightly_flattened") => 3.4,
            _ => 2.6,
        };
        Build {
            // Unsaid: what most young bunchgrasses do (common practice).
            habit: shown
                .of("growth_habit")
                .and_then(Habit::from_id)
                .unwrap_or(Habit::Spreading),
            shoot: shoot * size,
            blade: blade * size,
            foot: if shown.is("blade_base", "narrowed") {
                0.3
            } else {
                0.85
            },
            tip: if shown.is("blade_tip", "boat_shaped") {
                0.45
            } else {
                0.0
            },
            three_ranked: shown.is("stem_section", "triangular"),
        }
    }

    /// Half widths of a blade, `size` as large as a full-grown one.
    fn widths(&self, size: f64) -> Widths {
        let half = self.blade * size;
        [half * self.foot, half * 1.25, half * 1.1, half * self.tip]
    }
}

/// The first leaf of a seedling: where it points, how far it droops, length and half width.
fn first_leaf(shown: &Shown, build: &Build, nature: &mut Nature) -> (f64, f64, f64, Widths) {
    match shown.of("first_leaf") {
        Some("broad_spreading") => (
            nature.near(72.0, 8.0),
            nature.near(14.0, 6.0),
            nature.near(29.0, 3.0),
            [2.4, 8.0, 8.5, 0.8],
        ),
        Some("narrow_level") => (
            nature.near(80.0, 6.0),
            nature.near(10.0, 5.0),
            nature.near(38.0, 5.0),
            build.widths(0.9),
        ),
        _ => (
            nature.near(9.0, 5.0),
            nature.near(9.0, 7.0),
            nature.near(42.0, 5.0),
            build.widths(0.9),
        ),
    }
}

/// The tillers of a plant.
pub(crate) fn tillers(
    shown: &Shown,
    stage: LeafStage,
    build: &Build,
    nature: &Nature,
) -> Vec<Tiller> {
    match stage {
        LeafStage::OneLeaf => vec![one_leaf(shown, build, nature)],
        LeafStage::FewLeaves => vec![few_leaves(shown, build, nature)],
        LeafStage::Tillering | LeafStage::Heading => several(build, stage, nature),
    }
}

/// A sheath, its blade, and the tip of the next leaf.
fn one_leaf(shown: &Shown, build: &Build, nature: &Nature) -> Tiller {
    let mut shape = nature.part("shoot");
    let mut leaf = nature.part("first leaf");
    let side = any_side(&mut shape);
    let height = shape.near(32.0, 5.0);
    let lean = shape.near(0.0, 6.0);
    let (degrees, droop, length, half) = first_leaf(shown, build, &mut leaf);
    Tiller {
        course: straight(CROWN, lean, height),
        half: build.shoot,
        leaves: vec![Leaf {
            t: leaf.near(0.66, 0.06),
            degrees: side * degrees,
            droop,
            length,
            half,
        }],
    }
}

/// One shoot with two to four leaves; the first one small at its base.
fn few_leaves(shown: &Shown, build: &Build, nature: &Nature) -> Tiller {
    let mut shape = nature.part("shoot");
    let turn = any_side(&mut shape);
    let (lean, height) = match build.habit {
        Habit::Upright => (shape.near(0.0, 5.0), shape.near(68.0, 5.0)),
        Habit::Spreading => (turn * shape.near(20.0, 6.0), shape.near(66.0, 5.0)),
        Habit::Prostrate => (turn * shape.near(64.0, 6.0), shape.near(52.0, 4.0)),
    };
    // At most one more than three: the fourth is the newest one on top.
    let count = if shape.between(0.0, 1.0) < 0.5 { 2 } else { 3 };
    let course = match build.habit {
        Habit::Upright => straight(CROWN, lean, height),
        _ => bowed(CROWN, lean, height),
    };
    let mut leaves = Vec::new();
    for number in 0..count {
        let mut leaf = nature.part(
            ["first leaf", "second leaf", "third leaf"]
                .get(number)
                .unwrap_or(&""),
        );
        // The first leaf on the side to which the shoot does not lean: there it is seen.
        let side = rank(build, number, -turn);
        if number == 0 {
            let (degrees, droop, length, half) = first_leaf(shown, build, &mut leaf);
            leaves.push(Leaf {
                t: leaf.near(0.16, 0.03),
                degrees: side * (degrees * 0.75 + 20.0),
                droop,
                length: length * 0.62,
                half: half.map(|half| half * 0.85),
            });
        } else {
            leaves.push(Leaf {
                t: (0.2 + 0.17 * number as f64) + leaf.near(0.0, 0.03),
                degrees: blade_lean(build, side, lean, &mut leaf),
                droop: leaf.near(24.0, 16.0),
                length: leaf.near(37.0, 6.0),
                half: build.widths(1.0),
            });
        }
    }
    Tiller {
        course,
        half: build.shoot,
        leaves,
    }
}

/// Several shoots from one crown.
fn several(build: &Build, stage: LeafStage, nature: &Nature) -> Vec<Tiller> {
    let mut shape = nature.part("tillers");
    let count = 3 + (shape.between(0.0, 2.99) as usize);
    (0..count)
        .map(|number| {
            let place = number as f64 / (count - 1) as f64 * 2.0 - 1.0;
            let side = (place + shape.near(0.0, 0.2)).clamp(-1.0, 1.0);
            let mut nature = nature.part(TILLERS.get(number).unwrap_or(&""));
            tiller(build, stage, side, count, &mut nature)
        })
        .collect()
}

/// Names of the streams of shoots.
const TILLERS: [&str; 5] = ["a", "b", "c", "d", "e"];

/// One of several shoots, standing to a side (-1 to 1).
fn tiller(build: &Build, stage: LeafStage, side: f64, count: usize, shape: &mut Nature) -> Tiller {
    let turn = if side < 0.0 { -1.0 } else { 1.0 };
    // A head needs room above the shoot.
    let tall = if stage == LeafStage::Heading {
        0.92
    } else {
        1.0
    };
    let (foot, side, length, lean) = match build.habit {
        Habit::Upright => (
            moved(CROWN, side * 9.0, 0.0),
            side * 0.7,
            shape.near(60.0, 10.0),
            side * 6.0,
        ),
        Habit::Spreading => (CROWN, side, shape.near(56.0, 9.0), side * 40.0),
        // None stands up: the inner ones lie to one side or the other.
        Habit::Prostrate => (
            moved(CROWN, 0.0, -2.0),
            turn * (0.84 + 0.16 * side.abs()),
            shape.near(36.0, 3.0),
            turn * 80.0,
        ),
    };
    // The more shoots, the fewer blades: what is drawn must stay legible.
    let blades = match count {
        0..=3 => 2,
        4 if stage == LeafStage::Tillering && shape.between(0.0, 1.0) < 0.5 => 2,
        _ => 1,
    };
    let first = if blades == 1 { 0.42 } else { 0.3 };
    // Blades of shoots that lean leave outward, or they would cross.
    let toward = match build.habit {
        Habit::Upright => any_side(shape),
        _ => turn,
    };
    let leaves = (0..blades)
        .map(|number| Leaf {
            t: first + 0.25 * number as f64 + shape.near(0.0, 0.07),
            degrees: blade_lean(build, rank(build, number, toward), lean, shape),
            droop: shape.near(24.0, 20.0),
            length: shape.near(26.0, 6.0),
            half: build.widths(1.0),
        })
        .collect();
    Tiller {
        course: build.habit.course(foot, side, length * tall),
        half: build.shoot,
        leaves,
    }
}

/// Left or right.
fn any_side(nature: &mut Nature) -> f64 {
    if nature.between(0.0, 1.0) < 0.5 {
        -1.0
    } else {
        1.0
    }
}

/// To which side the leaf of a number goes: in turn, and where leaves stand on three sides every
/// third one to the front (drawn nearly upright).
fn rank(build: &Build, number: usize, turn: f64) -> f64 {
    match (build.three_ranked, number % 3) {
        (true, 2) => 0.25 * turn,
        (_, 1) => -turn,
        _ => turn,
    }
}

/// Where a blade points that leaves a shoot which leans.
fn blade_lean(build: &Build, side: f64, lean: f64, nature: &mut Nature) -> f64 {
    match build.habit {
        Habit::Upright => side * nature.near(26.0, 8.0) + lean,
        Habit::Spreading => side * nature.near(40.0, 9.0) + lean * 0.8,
        // Blades of a shoot that lies can only go up.
        Habit::Prostrate => (lean.abs() + side * lean.signum() * nature.near(20.0, 8.0) - 20.0)
            .clamp(20.0, 76.0)
            .copysign(lean),
    }
}

/// A straight course.
fn straight(foot: Point, lean: f64, height: f64) -> [Point; 4] {
    [0.0, 0.33, 0.67, 1.0].map(|share| from(foot, lean, share * height))
}

/// Leaning out first, then turning up.
fn bowed(foot: Point, lean: f64, height: f64) -> [Point; 4] {
    let first = from(foot, lean * 1.2, height * 0.35);
    let second = from(first, lean, height * 0.33);
    [foot, first, second, from(second, lean * 0.5, height * 0.32)]
}
