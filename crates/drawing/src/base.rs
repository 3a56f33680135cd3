//! The tiller's base: seen from the side and cut across.
//!
//! In: how flat it is, what the cut is to show. Out: the shoot, and beside it the cut.

use crate::pen::{Path, Point};
use crate::profile::{self, FOOT};
use crate::ribbon::{Ribbon, moved};
use crate::{Drawing, Nature, Pen, Shown, Stroke, cut, ground, hatch, plant_hairs};

/// How flat a base is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Flat {
    Round,
    Slightly,
    Strongly,
}

impl Flat {
    fn from_id(state_id: &str) -> Option<Flat> {
        match state_id {
            "round" => Some(Flat::Round),
            "slightly_flattened" => Some(Flat::Slightly),
            "strongly_flattened" => Some(Flat::Strongly),
            _ => None,
        }
    }

    /// Half width and half depth of the cut. Exaggerated: common practice in keys is to call a
    /// shoot flat from about twice as wide as deep.
    fn half_axes(self) -> (f64, f64) {
        match self {
            Flat::Round => (19.0, 19.0),
            Flat::Slightly => (26.0, 14.0),
            Flat::Strongly => (28.0, 4.0),
        }
    }

    /// Half width of the shoot, seen on its broad side.
    fn half_width(self) -> f64 {
        match self {
            Flat::Round => 6.5,
            Flat::Slightly => 9.5,
            Flat::Strongly => 12.5,
        }
    }
}

/// The states of `tiller_base`.
pub(crate) fn tiller_base(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let flat = Flat::from_id(state_id)?;
    let mut pen = Pen::default();
    profile::shoot(&mut pen, flat.half_width());
    let center = (68.0, 60.0);
    let (rx, ry) = flat.half_axes();
    plain_cut(&mut pen, center, rx, ry);
    rolls(&mut pen, center, flat);
    Some(pen.finish())
}

/// The cut: the outer sheath bold, a younger one inside it.
fn plain_cut(pen: &mut Pen, center: Point, rx: f64, ry: f64) {
    pen.ellipse(Stroke::Marked, center, rx, ry);
    if ry > 8.0 {
        pen.ellipse(Stroke::Detail, center, rx * 0.5, ry * 0.5);
    } else {
        pen.stroke(
            Stroke::Fine,
            &Path::at(moved(center, -rx * 0.7, 0.0)).line(moved(center, rx * 0.7, 0.0)),
        );
    }
}

/// How it goes between finger and thumb: round it rolls, oval it rocks, flat it slides.
fn rolls(pen: &mut Pen, (x, y): Point, flat: Flat) {
    let path = match flat {
        Flat::Round => Path::at((x - 22.0, y - 18.0))
            .curve(
                (x - 12.0, y - 33.0),
                (x + 12.0, y - 33.0),
                (x + 22.0, y - 18.0),
            )
            .jump((x + 22.0, y - 27.0))
            .line((x + 22.0, y - 18.0))
            .line((x + 13.0, y - 19.5)),
        Flat::Slightly => Path::at((x - 17.0, y - 21.0))
            .bend((x, y - 33.0), (x + 17.0, y - 21.0))
            .jump((x + 16.0, y - 29.0))
            .line((x + 17.0, y - 21.0))
            .line((x + 9.0, y - 20.5))
            .jump((x - 16.0, y - 29.0))
            .line((x - 17.0, y - 21.0))
            .line((x - 9.0, y - 20.5)),
        Flat::Strongly => Path::at((x - 20.0, y - 18.0))
            .line((x + 20.0, y - 18.0))
            .jump((x + 14.0, y - 23.0))
            .line((x + 20.0, y - 18.0))
            .line((x + 14.0, y - 13.0))
            .jump((x - 14.0, y - 23.0))
            .line((x - 20.0, y - 18.0))
            .line((x - 14.0, y - 13.0)),
    };
    pen.stroke(Stroke::Detail, &path);
}

/// The tiller base of a specimen, seen from the side, with its cut beside it: how flat it is, its
/// keel and hairs, whether the sheath is open, how the newest leaf lies.
pub fn base(shown: &Shown, specimen: u64) -> Drawing {
    let nature = Nature::of(specimen);
    let mut pen = Pen::default();
    profile::grown(
        &mut pen,
        half_width(shown, &nature),
        &mut nature.part("shoot"),
    );
    sheath(&mut pen, shown, &nature);
    let mut cut = nature.part("cut");
    let center = middle(&mut cut);
    let (rx, ry) = flat(shown).half_axes();
    // Room in a slit for what it holds.
    cut::draw(&mut pen, center, (rx, ry.max(7.0)), shown, &mut cut);
    pen.finish()
}

/// How flat a specimen is; round where nothing is said.
fn flat(shown: &Shown) -> Flat {
    let said = shown.of("tiller_base").and_then(Flat::from_id);
    said.unwrap_or(Flat::Round)
}

/// Half width of a specimen's shoot.
fn half_width(shown: &Shown, nature: &Nature) -> f64 {
    flat(shown).half_width() * nature.part("width").near(1.0, 0.1)
}

/// The middle of the cut, first of what its stream gives.
fn middle(cut: &mut Nature) -> Point {
    (67.0 + cut.near(0.0, 1.0), 56.0 + cut.near(0.0, 6.0))
}

/// Where a specimen's cut has its middle.
pub(crate) fn cut_middle(nature: &Nature) -> Point {
    middle(&mut nature.part("cut"))
}

/// The face of a specimen's lowest sheath, below the mouth of the profile.
pub(crate) fn sheath_face(shown: &Shown, nature: &Nature) -> Ribbon {
    let half = half_width(shown, nature);
    Ribbon::straight((FOOT.0, 95.0), (FOOT.0, 68.0), half, half * 0.93)
}

/// What the lowest sheath shows.
fn sheath(pen: &mut Pen, shown: &Shown, nature: &Nature) {
    let face = sheath_face(shown, nature);
    color(pen, &face, shown.of("base_color"));
    if shown.is("sheath_keel", "keeled") {
        // The back is below the blade, on the right.
        pen.stroke(
            Stroke::Outline,
            &Path::at(face.at(0.0, 0.5)).line(face.at(1.0, 0.62)),
        );
    }
    if shown.is("stem_section", "triangular") {
        pen.stroke(
            Stroke::Detail,
            &Path::at(face.at(0.0, -0.1)).line(face.at(1.0, -0.1)),
        );
    }
    plant_hairs::on_base(pen, shown, &face, nature);
}

/// The states of `base_color`: the place on the shoot, hatched.
pub(crate) fn base_color(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    let soil = 80.0;
    ground::line(&mut pen, soil);
    let foot = (50.0, 88.0);
    let roots = ground::Roots {
        at: moved(foot, 0.0, -4.0),
        count: 5,
        spread: 75.0,
        length: 22.0,
    };
    ground::roots(&mut pen, Stroke::Detail, roots, &mut Nature::of(0));
    pen.shape(Stroke::Outline, &profile::newest(foot, 7.0, (52.0, 4.0)));
    pen.shape(
        Stroke::Outline,
        &profile::leaf(foot, 12.0, 26.0, (20.0, 6.0)),
    );
    pen.shape(
        Stroke::Outline,
        &profile::leaf(foot, 15.0, 42.0, (90.0, 10.0)),
    );
    let sheath = Ribbon::straight(foot, (50.0, 51.0), 15.0, 14.2);
    pen.shape(Stroke::Marked, &sheath.outline());
    color(&mut pen, &sheath, Some(state_id)).then(|| pen.finish())
}

/// The hatching of a colour of the base; false where there is no such colour.
fn color(pen: &mut Pen, face: &Ribbon, state_id: Option<&str>) -> bool {
    match state_id {
        Some("green") => hatch::slanting(pen, Stroke::Detail, face, 0.5, 0.16),
        Some("purple_red") => hatch::lengthwise(pen, Stroke::Detail, face, 5),
        Some("whitish") => {}
        Some("blue_waxy") => hatch::slanting(pen, Stroke::Detail, face, 0.0, 0.13),
        Some("brown") => {
            hatch::slanting(pen, Stroke::Detail, face, 0.5, 0.17);
            hatch::slanting(pen, Stroke::Detail, face, -0.5, 0.17);
        }
        _ => return false,
    }
    true
}
