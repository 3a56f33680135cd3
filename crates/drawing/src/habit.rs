//! The whole plant: how it stands, branches, creeps, and what its first leaf is like.
//!
//! In: one state. Out: the plant from the side with the ground line.

use crate::ground::{self, Roots};
use crate::pen::{Path, Point};
use crate::ribbon::{Ribbon, from, moved};
use crate::runner::Stolon;
use crate::tiller::Leaf;
use crate::{Drawing, Nature, Pen, Stroke, runner};

/// Where the ground is.
pub(crate) const SOIL: f64 = 78.0;

/// The middle of the plant, at the ground.
pub(crate) const CROWN: Point = (50.0, SOIL);

/// How the shoots of a plant stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Habit {
    Upright,
    Spreading,
    Prostrate,
}

impl Habit {
    pub(crate) fn from_id(state_id: &str) -> Option<Habit> {
        match state_id {
            "upright" => Some(Habit::Upright),
            "spreading" => Some(Habit::Spreading),
            "prostrate" => Some(Habit::Prostrate),
            _ => None,
        }
    }

    /// The line of a shoot. `side` runs from -1 (outermost to the left) to 1; `length` is its own.
    pub(crate) fn course(self, foot: Point, side: f64, length: f64) -> [Point; 4] {
        let apart = if self == Habit::Prostrate { 0.8 } else { 3.5 };
        let foot = moved(foot, side * apart, 0.0);
        let (at_first, at_last) = match self {
            Habit::Upright => (side * 6.0, side * 4.0),
            // Out first, then up.
            Habit::Spreading => (side * 78.0, side * 16.0),
            // On the soil, only the tip raised.
            Habit::Prostrate => (side * 90.0, side * 80.0),
        };
        let first = from(foot, at_first, length * 0.4);
        let second = match self {
            Habit::Spreading => from(first, side * 52.0, length * 0.25),
            _ => from(first, f64::midpoint(at_first, at_last), length * 0.3),
        };
        [foot, first, second, from(second, at_last, length * 0.35)]
    }
}

/// The states of `growth_habit`.
pub(crate) fn growth_habit(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let habit = Habit::from_id(state_id)?;
    let mut pen = Pen::default();
    ground::line(&mut pen, SOIL);
    mop(&mut pen, nature);
    let sides: &[f64] = match habit {
        // Nothing stands up in the middle.
        Habit::Prostrate => &[-1.0, 1.0],
        _ => &[-1.0, 1.0, -0.5, 0.5, 0.0],
    };
    for side in sides {
        let length = match habit {
            Habit::Prostrate => 41.0,
            Habit::Spreading => 64.0,
            Habit::Upright => 68.0 - 8.0 * side.abs(),
        };
        let foot = match habit {
            Habit::Upright => moved(CROWN, side * 11.0, 0.0),
            Habit::Spreading => CROWN,
            Habit::Prostrate => moved(CROWN, 0.0, -3.0),
        };
        shoot(&mut pen, habit.course(foot, *side, length), *side, habit);
    }
    Some(pen.finish())
}

/// A shoot of a card: a blade or two where it lies on the ground, so that it reads as leafy.
fn shoot(pen: &mut Pen, course: [Point; 4], side: f64, habit: Habit) {
    let half = 3.2;
    let stem = Ribbon::along(course, [half, half, half, 0.0]);
    let blades: &[f64] = match habit {
        Habit::Prostrate => &[0.3, 0.58],
        _ => &[],
    };
    for t in blades {
        let leaf = Leaf {
            t: *t,
            degrees: 50.0_f64.copysign(side),
            droop: 20.0,
            length: 22.0,
            half: [2.4, 4.0, 3.4, 0.0],
        };
        pen.shape(Stroke::Detail, &leaf.blade(&stem).pointed());
    }
    pen.shape(Stroke::Outline, &stem.pointed());
}

/// Roots of a plant of some age.
fn mop(pen: &mut Pen, nature: &Nature) {
    ground::roots(
        pen,
        Stroke::Detail,
        Roots {
            at: CROWN,
            count: 5,
            spread: 55.0,
            length: 18.0,
        },
        &mut nature.part("roots"),
    );
}

/// The states of `low_branching`.
pub(crate) fn low_branching(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    let forked = match state_id {
        "no" => false,
        "yes" => true,
        _ => return None,
    };
    let foot = (if forked { 28.0 } else { CROWN.0 }, SOIL);
    ground::line(&mut pen, SOIL);
    let roots = Roots {
        at: foot,
        count: 5,
        spread: 45.0,
        length: 18.0,
    };
    ground::roots(&mut pen, Stroke::Fine, roots, &mut nature.part("roots"));
    if forked {
        // A knot of the outer shoot, just above the soil, has forked and is pegged down.
        let knot = (58.0, 56.0);
        let peg = Path::at(knot)
            .bend((60.0, 76.0), (56.0, 97.0))
            .jump(knot)
            .bend((66.0, 74.0), (72.0, 96.0));
        pen.stroke(Stroke::Outline, &peg);
        runner::stalk(
            &mut pen,
            [knot, (63.0, 44.0), (66.0, 28.0), (64.0, 6.0)],
            3.0,
        );
        runner::stalk(
            &mut pen,
            [knot, (72.0, 48.0), (84.0, 38.0), (95.0, 16.0)],
            3.0,
        );
        let lower = Ribbon::along([foot, (38.0, 72.0), (48.0, 63.0), knot], [3.0; 4]);
        pen.shape(Stroke::Outline, &lower.outline());
        runner::knot(&mut pen, knot, 5.0);
        runner::stalk(
            &mut pen,
            [foot, (30.0, 56.0), (32.0, 34.0), (36.0, 8.0)],
            3.0,
        );
        runner::stalk(
            &mut pen,
            [foot, (22.0, 62.0), (14.0, 44.0), (6.0, 24.0)],
            3.0,
        );
    } else {
        for (over, tip) in [
            ((22.0, 46.0), (8.0, 32.0)),
            ((78.0, 46.0), (92.0, 32.0)),
            ((38.0, 40.0), (28.0, 12.0)),
            ((62.0, 40.0), (72.0, 12.0)),
            ((50.0, 40.0), (50.0, 5.0)),
        ] {
            let first = (f64::midpoint(foot.0, over.0), foot.1 - 18.0);
            runner::stalk(&mut pen, [foot, first, over, tip], 3.0);
        }
        runner::knot(&mut pen, foot, 4.5);
    }
    Some(pen.finish())
}

/// The states of `runners`.
pub(crate) fn runners(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    let soil = 60.0;
    let crown = (26.0, soil);
    let tuft = Roots {
        at: crown,
        count: 6,
        spread: 50.0,
        length: 32.0,
    };
    ground::line(&mut pen, soil);
    match state_id {
        "none" => ground::roots(&mut pen, Stroke::Outline, tuft, &mut nature.part("roots")),
        "rhizomes" => {
            ground::roots(&mut pen, Stroke::Fine, tuft, &mut nature.part("roots"));
            let course = [(29.0, 63.0), (38.0, 94.0), (76.0, 92.0), (93.0, 68.0)];
            runner::rhizome(&mut pen, Stroke::Marked, course, 4.5);
        }
        "stolons" => {
            ground::roots(&mut pen, Stroke::Fine, tuft, &mut nature.part("roots"));
            let creeping = Stolon {
                crown,
                step: 31.0,
                height: 26.0,
                roots: 26.0,
                stroke: Stroke::Marked,
            };
            runner::stolon(&mut pen, creeping, nature);
        }
        _ => return None,
    }
    for (tip, over) in [
        ((8.0, 22.0), (14.0, 40.0)),
        ((44.0, 20.0), (38.0, 40.0)),
        ((26.0, 6.0), (26.0, 30.0)),
    ] {
        runner::stalk(&mut pen, [crown, moved(over, 0.0, 10.0), over, tip], 2.6);
    }
    Some(pen.finish())
}

/// The states of `first_leaf`: a seedling with its seed.
pub(crate) fn first_leaf(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    let soil = 70.0;
    let collar = (40.0, 46.0);
    let blade = match state_id {
        "narrow_upright" => Ribbon::along(
            [collar, (41.0, 36.0), (43.0, 20.0), (44.0, 5.0)],
            [2.6, 2.6, 2.4, 0.0],
        ),
        "narrow_level" => Ribbon::along(
            [collar, (44.0, 40.0), (66.0, 41.0), (94.0, 42.0)],
            [2.6, 2.6, 2.4, 0.0],
        ),
        "broad_spreading" => Ribbon::along(
            [collar, (50.0, 41.0), (66.0, 36.0), (86.0, 36.0)],
            [2.6, 12.5, 13.5, 1.0],
        ),
        _ => return None,
    };
    ground::line(&mut pen, soil);
    let seed = (40.0, 86.0);
    ground::roots(
        &mut pen,
        Stroke::Detail,
        Roots {
            at: seed,
            count: 3,
            spread: 50.0,
            length: 12.0,
        },
        &mut nature.part("roots"),
    );
    pen.shape(
        Stroke::Outline,
        &Ribbon::straight(seed, moved(collar, 0.0, -12.0), 2.6, 0.8).outline(),
    );
    pen.shape(Stroke::Marked, &blade.outline());
    pen.shape(
        Stroke::Outline,
        &Ribbon::straight(seed, collar, 3.0, 3.0).outline(),
    );
    ground::husk(&mut pen, seed);
    Some(pen.finish())
}
