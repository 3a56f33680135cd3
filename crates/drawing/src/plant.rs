//! A whole plant, as the scout lifts it: shoots, roots, what is left of the seed.
//!
//! In: what it shows, its leaf stage, which specimen. Out: the plant from the side, with the ground
//! line. What is too small to be seen at this distance is left to the close-ups.

use standbook_key::LeafStage;

use crate::ground::{self, Roots};
use crate::growth::{self, Build};
use crate::habit::{CROWN, SOIL};
use crate::pen::{Path, Point};
use crate::ribbon::{from, moved};
use crate::runner::{self, Stolon};
use crate::tiller::{Midrib, Tiller};
use crate::{Drawing, Nature, Pen, Shown, Stroke, plant_hairs, remnant};

/// A plant of a leaf stage. Two specimens of one kind differ as plants do; the same number gives
/// the same plant. A measured `blade_width` is taken from `shown` in mm.
pub fn seedling(shown: &Shown, stage: LeafStage, specimen: u64) -> Drawing {
    let nature = Nature::of(specimen);
    let build = Build::of(shown, stage);
    let mut tillers = growth::tillers(shown, stage, &build, &nature);
    let mut pen = Pen::default();
    ground::line(&mut pen, SOIL);
    roots(&mut pen, stage, &nature);
    if stage <= LeafStage::FewLeaves || shown.of("seed_attached").is_some() {
        seed(&mut pen, shown, &nature);
    }
    if stage >= LeafStage::Tillering {
        runners(&mut pen, shown, &nature);
        if shown.is("low_branching", "yes") {
            // In the place of the outermost shoot.
            tillers.pop();
            forked(&mut pen, &nature);
        }
    }
    let midrib = match shown.of("blade_midrib") {
        Some("prominent") => Midrib::Plain,
        Some("white_prominent") => Midrib::White,
        _ => Midrib::Faint,
    };
    let stroke = match stage {
        LeafStage::OneLeaf | LeafStage::FewLeaves => Stroke::Outline,
        LeafStage::Tillering | LeafStage::Heading => Stroke::Detail,
    };
    if stage == LeafStage::Heading {
        heads(&mut pen, shown, &tillers, &nature);
    }
    for tiller in &tillers {
        tiller.draw(&mut pen, stroke, midrib);
    }
    plant_hairs::on_sheaths(&mut pen, shown, &tillers, &nature);
    plant_hairs::on_blades(&mut pen, shown, &tillers, &nature);
    pen.finish()
}

/// Roots from the crown, more of them the older the plant.
fn roots(pen: &mut Pen, stage: LeafStage, nature: &Nature) {
    let mut nature = nature.part("roots");
    let (count, length, spread) = match stage {
        // The seed's own roots are all that it has.
        LeafStage::OneLeaf => return,
        LeafStage::FewLeaves => (2, 16.0, 62.0),
        LeafStage::Tillering => (6, 19.0, 68.0),
        LeafStage::Heading => (6, 20.0, 72.0),
    };
    let roots = Roots {
        at: CROWN,
        count,
        spread: nature.near(spread, 7.0),
        length,
    };
    ground::roots(pen, Stroke::Detail, roots, &mut nature);
}

/// The seed at the lower end of the mesocotyl, with the roots that it sent out first.
fn seed(pen: &mut Pen, shown: &Shown, nature: &Nature) {
    let mut nature = nature.part("seed");
    let seed = moved(CROWN, nature.near(0.0, 3.0), nature.near(11.0, 1.5));
    let roots = Roots {
        at: seed,
        count: 3,
        spread: nature.near(55.0, 10.0),
        length: 11.0,
    };
    ground::roots(pen, Stroke::Fine, roots, &mut nature);
    pen.stroke(Stroke::Outline, &Path::at(CROWN).line(seed));
    remnant::draw(pen, seed, shown.of("seed_attached"));
}

/// Rhizome or stolon, to one side.
fn runners(pen: &mut Pen, shown: &Shown, nature: &Nature) {
    let mut shape = nature.part("runner");
    let side = if shape.between(0.0, 1.0) < 0.5 {
        -1.0
    } else {
        1.0
    };
    match shown.of("runners") {
        Some("rhizomes") => {
            let end = shape.near(42.0, 4.0);
            let at = |out: f64, deep: f64| moved(CROWN, side * out, deep);
            let course = [
                at(2.0, 2.0),
                at(8.0, 23.0),
                at(end * 0.75, 21.0),
                at(end, 6.0),
            ];
            runner::rhizome(pen, Stroke::Detail, course, 2.8);
        }
        Some("stolons") => {
            let creeping = Stolon {
                crown: CROWN,
                step: side * shape.near(21.0, 1.5),
                height: shape.near(15.0, 2.0),
                roots: 13.0,
                stroke: Stroke::Outline,
            };
            runner::stolon(pen, creeping, nature);
        }
        _ => {}
    }
}

/// An outer shoot that forks and roots from a knot near the soil.
fn forked(pen: &mut Pen, nature: &Nature) {
    let mut shape = nature.part("fork");
    let knot = moved(CROWN, shape.near(20.0, 2.0), -8.0);
    let pegs = Roots {
        at: knot,
        count: 3,
        spread: 26.0,
        length: 20.0,
    };
    ground::roots(pen, Stroke::Detail, pegs, &mut shape);
    for lean in [4.0, 38.0] {
        let lean = shape.near(lean, 5.0);
        let far = shape.near(38.0, 5.0);
        let course = [0.0, 0.33, 0.67, 1.0]
            .map(|share| ground::inside(from(knot, lean * (1.2 - 0.4 * share), share * far)));
        runner::stalk(pen, course, 2.0);
    }
    // Nothing is marked: here the eye has to find it.
    pen.stroke(
        Stroke::Outline,
        &Path::at(CROWN).bend(moved(knot, -12.0, 2.0), knot),
    );
    runner::knot(pen, knot, 3.2);
}

/// Culms with heads on the shoots in the middle. Of what kind of head no trait speaks: spikelets
/// in two rows stand for any.
fn heads(pen: &mut Pen, shown: &Shown, tillers: &[Tiller], nature: &Nature) {
    let middle = tillers.len().saturating_sub(1) / 2;
    // Many shoots, one head: the drawing stays legible and small.
    let count = if tillers.len() > 3 { 1 } else { 2 };
    for (number, tiller) in tillers.iter().enumerate().skip(middle).take(count) {
        let mut shape = nature.part(if number == middle {
            "head"
        } else {
            "other head"
        });
        let stem = tiller.stem();
        let foot = stem.at(0.9, 0.0);
        let (x, y) = match stem.heading(0.9) {
            // The culm of a shoot that lies turns up.
            (x, _) if x.abs() > 0.8 => (0.5_f64.copysign(x), -0.87),
            heading => heading,
        };
        let length = shape.near(22.0, 3.0);
        let at = |share: f64, off: f64| -> Point {
            let along = share * length;
            ground::inside(moved(foot, x * along - y * off, y * along + x * off))
        };
        pen.stroke(Stroke::Detail, &Path::at(foot).line(at(1.0, 0.0)));
        let spikelets = (0..8).fold(Path::default(), |path, number| {
            let share = 0.36 + 0.07 * f64::from(number);
            let side = if number % 2 == 0 { 3.2 } else { -3.2 };
            path.jump(at(share, 0.0)).line(at(share + 0.2, side))
        });
        pen.stroke(Stroke::Detail, &spikelets);
        let node = moved(foot, x * 3.0, y * 3.0);
        runner::dot(pen, node);
        if shown.is("node_hairs", "hairy") {
            plant_hairs::on_node(pen, node);
        }
    }
}
