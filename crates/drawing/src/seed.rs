//! The seed that is still there where root meets shoot, drawn big beside a bar of its size.
//!
//! In: the state, a specimen. Out: the seed with the beginnings of root and shoot. Sizes are those
//! of common kinds: bluestem spikelets 7 to 10 mm, switchgrass 3 mm, crabgrass 3 mm, sandbur 6 to
//! 8 mm, brome husks about 10 mm with a longer awn, dropseed and lovegrass grains 1 mm.

use crate::curve::{Curve, between, open};
use crate::hairs::{Coat, row};
use crate::pen::{Path, Point};
use crate::{Drawing, Nature, Pen, Shown, Stroke};

/// Where root meets shoot.
const GERM: Point = (62.0, 58.0);

/// The seed's own directions: how far from the germ, and how far up from its middle line.
#[derive(Debug, Clone, Copy)]
struct Frame {
    along: Point,
    size: f64,
}

impl Frame {
    /// Lies to the left of the germ, tip a little up; specimens differ in tilt and size.
    fn of(nature: &Nature) -> Frame {
        let mut nature = nature.part("seed");
        let (sin, cos) = nature.near(0.36, 0.08).sin_cos();
        Frame {
            along: (-cos, -sin),
            size: nature.near(1.25, 0.06),
        }
    }

    fn at(&self, far: f64, up: f64) -> Point {
        let (x, y) = self.along;
        let (far, up) = (far * self.size, up * self.size);
        (GERM.0 + x * far - y * up, GERM.1 + y * far + x * up)
    }

    /// A husk's upper edge from germ to tip: `long`, and `high` at its highest, which is at the
    /// part `fat` of its length.
    fn edge(&self, long: f64, high: f64, fat: f64) -> Curve {
        Curve(
            self.at(0.0, 0.0),
            self.at(long * (fat - 0.45).max(0.0), high * 1.33),
            self.at(long * (fat + 0.3), high * 1.33),
            self.at(long, 0.0),
        )
    }
}

/// The seed at a plant's root; none where it is not said what is left of it.
pub fn seed(shown: &Shown, specimen: u64) -> Option<Drawing> {
    let nature = Nature::of(specimen);
    let mut pen = Pen::default();
    let odd = nature.part("odd").between(0.0, 3.0);
    draw(&mut pen, shown.of("seed_attached")?, odd, &nature)?;
    Some(pen.finish())
}

/// Where the middle of a seed is, of which kind ever.
pub(crate) fn middle(nature: &Nature) -> Point {
    Frame::of(nature).at(12.0, 0.0)
}

/// The states of `seed_attached`.
pub(crate) fn seed_attached(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    draw(&mut pen, state_id, 0.0, nature)?;
    if state_id == "other" {
        // Asks what it is.
        let hook = Path::at((80.0, 26.0)).curve((80.0, 14.0), (97.0, 14.0), (97.0, 25.0));
        let hook = hook.curve((97.0, 32.0), (88.5, 32.0), (88.5, 40.0));
        pen.stroke(Stroke::Marked, &hook);
        pen.stroke(Stroke::Marked, &Path::at((88.5, 48.0)).line_by((0.0, 0.1)));
    }
    Some(pen.finish())
}

/// Root and shoot, the seed, its bar. `odd` chooses among the seeds that have no state of their
/// own: below 1 a papery husk, below 2 a bead-like joint, else a tuber.
fn draw(pen: &mut Pen, state_id: &str, odd: f64, nature: &Nature) -> Option<()> {
    let frame = Frame::of(nature);
    seedling(pen, nature);
    // Units to the millimetre, and the bar's millimetres.
    let (scale, mm) = match state_id {
        "hairy_awned" => {
            awn(pen, &frame, 34.0, true);
            fuzzy(pen, &frame, nature);
            (4.2, 2.0)
        }
        "hairy_awnless" => {
            fuzzy(pen, &frame, nature);
            (4.2, 2.0)
        }
        "smooth_shiny" => {
            shiny(pen, &frame);
            (11.0, 1.0)
        }
        "flat_backed_dull" => {
            flat(pen, &frame, nature);
            (11.0, 1.0)
        }
        "bur" => {
            bur(pen, &frame, nature);
            (6.0, 2.0)
        }
        "long_awned" => {
            awn(pen, &frame, 26.0, false);
            slim(pen, &frame);
            (2.6, 5.0)
        }
        "bare_small" => {
            let middle = frame.at(6.5, 0.0);
            pen.ellipse(Stroke::Marked, middle, 6.5 * frame.size, 4.8 * frame.size);
            (13.0, 1.0)
        }
        "other" if odd < 1.0 => {
            papery(pen, &frame);
            (4.2, 2.0)
        }
        "other" if odd < 2.0 => {
            bead(pen, &frame);
            (4.2, 2.0)
        }
        "other" => {
            tuber(pen, &frame);
            (3.5, 5.0)
        }
        _ => return None,
    };
    pen.scale_bar(scale * frame.size * mm, mm);
    Some(())
}

/// Root and shoot as far as they are in view.
fn seedling(pen: &mut Pen, nature: &Nature) {
    let mut nature = nature.part("root");
    let swing = nature.near(0.0, 4.0);
    let shoot = Path::at((60.0, 60.0)).curve((60.0, 42.0), (66.0, 20.0), (65.0, 0.0));
    let shoot = shoot
        .line((75.0, 0.0))
        .curve((76.0, 20.0), (69.0, 46.0), (64.0, 60.0));
    pen.shape(Stroke::Outline, &shoot);
    let root = Curve(
        (62.5, 58.0),
        (64.0, 72.0),
        (56.0 + swing, 84.0),
        (60.0 + swing, 99.0),
    );
    let mut side = Path::default();
    for (i, t) in [0.35, 0.52, 0.68, 0.84].into_iter().enumerate() {
        let out = if i % 2 == 0 { -1.0 } else { 1.0 };
        let long = nature.near(12.0, 3.0);
        side = side
            .jump(root.at(t))
            .bend_by((out * long * 0.7, 1.0), (out * long, 6.0));
    }
    pen.stroke(Stroke::Detail, &side);
    pen.stroke(Stroke::Marked, &root.path());
}

/// A husk's outline: `long`, `high` to either side.
fn husk(pen: &mut Pen, frame: &Frame, long: f64, high: f64, fat: f64) {
    let upper = frame.edge(long, high, fat);
    let lower = frame.edge(long, -high, fat);
    pen.shape(Stroke::Marked, &lower.back().go(upper.path()).close());
}

/// A husk with wool all round.
fn fuzzy(pen: &mut Pen, frame: &Frame, nature: &Nature) {
    let nature = nature.part("wool");
    let hairs = Coat {
        gap: 2.8,
        length: 11.0,
        stroke: Stroke::Detail,
        bend: 0.12,
        unequal: 0.25,
    };
    let (x, y) = frame.along;
    // Towards the tip.
    let lean = (x * 1.0, y * 1.0);
    let upper = frame.edge(34.0, 7.5, 0.45);
    let lower = frame.edge(34.0, -7.5, 0.45);
    row(
        pen,
        &upper.back().stretch(0.05, 0.95, 12),
        &hairs,
        lean,
        &nature.part("upper"),
    );
    row(
        pen,
        &lower.stretch(0.05, 0.95, 12),
        &hairs,
        lean,
        &nature.part("lower"),
    );
    husk(pen, frame, 34.0, 7.5, 0.45);
}

/// A bristle from the husk's tip: `bent` with a twisted foot, or straight like a needle's thread.
fn awn(pen: &mut Pen, frame: &Frame, from: f64, bent: bool) {
    if bent {
        let knee = frame.at(from + 12.0, 1.0);
        let path = Path::at(frame.at(from - 2.0, 0.0)).line(knee);
        pen.stroke(Stroke::Outline, &path.bend((3.0, 20.0), (24.0, 4.0)));
        // The twist, as rings round the foot.
        let twist = [0.2, 0.5, 0.8]
            .into_iter()
            .fold(Path::default(), |path, t| {
                let far = from + 12.0 * t;
                path.jump(frame.at(far - 1.0, -2.6))
                    .line(frame.at(far + 1.0, 2.8))
            });
        pen.stroke(Stroke::Detail, &twist);
    } else {
        let path = Path::at(frame.at(from - 2.0, 0.0));
        let path = path.curve(frame.at(from + 14.0, 0.0), (4.0, 26.0), (30.0, 3.0));
        pen.stroke(Stroke::Outline, &path);
    }
}

/// A bead that gleams: dark, with a light on it.
fn shiny(pen: &mut Pen, frame: &Frame) {
    husk(pen, frame, 33.0, 9.5, 0.42);
    let (upper, lower) = (frame.edge(33.0, 9.5, 0.42), frame.edge(33.0, -9.5, 0.42));
    pen.ink(&lower.back().go(upper.path()).close());
    // Wide enough to be seen as a light, and well inside the edge.
    let upper = Curve(
        frame.at(7.0, 2.5),
        frame.at(11.0, 7.5),
        frame.at(18.0, 7.5),
        frame.at(24.0, 3.5),
    );
    let lower = Curve(upper.3, frame.at(18.0, 3.5), frame.at(12.0, 2.5), upper.0);
    pen.shape(Stroke::Fine, &lower.go(upper.path()).close());
}

/// Flat below, domed above, wrinkled across.
fn flat(pen: &mut Pen, frame: &Frame, nature: &Nature) {
    let mut nature = nature.part("wrinkles");
    let dome = Curve(
        frame.at(0.0, -3.0),
        frame.at(2.0, 17.0),
        frame.at(29.0, 17.0),
        frame.at(33.0, -3.0),
    );
    pen.shape(Stroke::Marked, &dome.path().close());
    let mut wrinkles = Path::default();
    for i in 1..6 {
        let t = f64::from(i) / 6.0 + nature.near(0.0, 0.02);
        let (top, foot) = (dome.at(t), frame.at(33.0 * t, -3.0));
        let (from, to) = (between(foot, top, 0.12), between(foot, top, 0.8));
        let middle = between(from, to, 0.5);
        let over = (middle.0 + nature.near(1.5, 1.0), middle.1);
        wrinkles = wrinkles.jump(from).bend(over, to);
    }
    pen.stroke(Stroke::Detail, &wrinkles);
}

/// A ball of spines.
fn bur(pen: &mut Pen, frame: &Frame, nature: &Nature) {
    let mut nature = nature.part("spines");
    let middle = frame.at(15.5, 0.0);
    let mut spines = Path::default();
    for i in 0..15 {
        let angle = f64::from(i) * std::f64::consts::TAU / 15.0 + nature.near(0.0, 0.08);
        let far = nature.near(22.5, 1.5) * frame.size;
        let on = |far: f64, turn: f64| {
            let (sin, cos) = (angle + turn).sin_cos();
            (middle.0 + cos * far, middle.1 + sin * far)
        };
        spines = spines
            .jump(on(10.0, -0.18))
            .line(on(far, 0.0))
            .line(on(10.0, 0.18))
            .close();
    }
    pen.ink(&spines);
    pen.ellipse(Stroke::Marked, middle, 10.5 * frame.size, 10.5 * frame.size);
}

/// A slim husk with its nerves.
fn slim(pen: &mut Pen, frame: &Frame) {
    husk(pen, frame, 28.0, 4.2, 0.42);
    pen.stroke(
        Stroke::Fine,
        &open(&[frame.at(5.0, 0.0), frame.at(24.0, 0.0)]),
    );
}

/// A grain in papery husks that gape.
fn papery(pen: &mut Pen, frame: &Frame) {
    let outer = Path::at(frame.at(0.0, 0.0)).curve(
        frame.at(8.0, 13.0),
        frame.at(26.0, 13.0),
        frame.at(42.0, 9.0),
    );
    let outer = outer.curve(frame.at(34.0, 4.0), frame.at(20.0, 0.0), frame.at(0.0, 0.0));
    let under = Path::at(frame.at(0.0, 0.0)).curve(
        frame.at(8.0, -13.0),
        frame.at(26.0, -13.0),
        frame.at(42.0, -9.0),
    );
    let under = under.curve(
        frame.at(34.0, -4.0),
        frame.at(20.0, 0.0),
        frame.at(0.0, 0.0),
    );
    husk(pen, frame, 34.0, 7.0, 0.45);
    pen.shape(Stroke::Outline, &outer);
    pen.shape(Stroke::Outline, &under);
}

/// A hard joint like a bead, cut straight at both ends.
fn bead(pen: &mut Pen, frame: &Frame) {
    let upper = Curve(
        frame.at(0.0, 7.0),
        frame.at(8.0, 12.0),
        frame.at(24.0, 12.0),
        frame.at(32.0, 7.0),
    );
    let lower = Curve(
        frame.at(32.0, -7.0),
        frame.at(24.0, -12.0),
        frame.at(8.0, -12.0),
        frame.at(0.0, -7.0),
    );
    pen.shape(
        Stroke::Marked,
        &lower.go(upper.path().line(lower.0)).close(),
    );
    pen.stroke(
        Stroke::Detail,
        &open(&[frame.at(26.0, 9.0), frame.at(26.0, -9.0)]),
    );
}

/// A small tuber with rings.
fn tuber(pen: &mut Pen, frame: &Frame) {
    husk(pen, frame, 34.0, 13.0, 0.5);
    for far in [10.0, 18.0, 26.0] {
        let ring =
            Path::at(frame.at(far, 10.5)).bend(frame.at(far + 4.0, 0.0), frame.at(far, -10.5));
        pen.stroke(Stroke::Detail, &ring);
    }
}
