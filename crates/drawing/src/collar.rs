//! The close-up of a collar, and the cards of the traits that are looked at there.
//!
//! In: what a plant shows, a specimen; or one state. Out: the drawing, composed of the same parts.

use std::ops::RangeInclusive;

use crate::auricle::Auricles;
use crate::collar_view::View;
use crate::curve::{between, moved};
use crate::hairs::{Coat, Density, Texture, coat, row, tuft};
use crate::ligule::{Ligule, Type};
use crate::pen::Path;
use crate::{Drawing, Nature, Pen, Shown, Stroke};

/// Units to the millimetre: a sheath of 4 mm, as of a sturdy seedling (common practice).
const SCALE: f64 = 6.0;

/// No ligule is drawn taller than this many units; the scale shrinks instead.
const TALLEST: f64 = 38.0;

/// The heights that the key allows, in millimetres.
const HEIGHTS: RangeInclusive<f64> = 0.05..=30.0;

/// Height in units where none is said or none is asked for.
const USUAL: f64 = 20.0;

/// The close-up of a plant's collar: ligule (type, edge, and `ligule_length` as a number of
/// millimetres), auricles, hairs of the collar, of the sheath and its margin, and of the blade near
/// its base. A ligule of which nothing is said is not drawn. How soft its skin is can't be seen
/// before it is pushed: the card of that state shows it.
pub fn collar(shown: &Shown, specimen: u64) -> Drawing {
    let nature = Nature::of(specimen);
    let mut pen = Pen::default();
    let view = View::of(&nature);
    let said = shown
        .mm("ligule_length")
        .map(|mm| mm.clamp(*HEIGHTS.start(), *HEIGHTS.end()));
    let mut ligule = Ligule::of(shown, USUAL);
    let scale = said.map(|mm| scale(ligule.kind, mm));
    if let (Some(mm), Some(scale)) = (said, scale) {
        ligule.height = mm * scale;
    }

    view.blade(&mut pen);
    blade_hairs(&mut pen, &view, shown, &nature);
    if shown.is("collar_hairs", "patch") {
        patch(&mut pen, ligule.stands(), &nature);
    }
    let auricles = Auricles::of(shown.of("auricles"));
    ligule_and_sheath(&mut pen, &view, &ligule, auricles, &nature);
    sheath_hairs(&mut pen, &view, shown, &nature);
    lashes(&mut pen, &view, shown, &nature);
    if shown.is("collar_hairs", "margins") {
        corners(&mut pen, &view, &nature);
    }
    if let Some(scale) = scale.filter(|_| ligule.kind != Type::Absent) {
        bar(&mut pen, scale);
    }
    pen.finish()
}

/// The hairs of the blade that are in view.
fn blade_hairs(pen: &mut Pen, view: &View, shown: &Shown, nature: &Nature) {
    let (to, gap, length, stroke) = match shown.of("blade_hairs_upper") {
        Some("near_base") => (0.6, 10.0, 12.0, Stroke::Detail),
        Some("scattered") => (1.0, 14.0, 8.0, Stroke::Detail),
        Some("velvety") => (0.75, 6.0, 2.4, Stroke::Detail),
        _ => return,
    };
    let hairs = Coat {
        gap,
        length,
        stroke,
        bend: 0.0,
        unequal: 0.2,
    };
    let face = view.face(0.1, to);
    coat(pen, &face, &hairs, (0.6, -1.0), &nature.part("blade hairs"));
}

/// Lashes of the blade's edges and of the sheath's lapping margin.
fn lashes(pen: &mut Pen, view: &View, shown: &Shown, nature: &Nature) {
    let nature = nature.part("lashes");
    let hairs = |gap: f64, length: f64| Coat {
        gap,
        length,
        stroke: Stroke::Detail,
        bend: 0.0,
        unequal: 0.15,
    };
    let to = match shown.of("blade_edge_hairs") {
        Some("near_base") => 0.55,
        Some("spaced") => 1.0,
        _ => 0.0,
    };
    if to > 0.0 {
        let hairs = hairs(10.0, 10.0);
        let left = view.blade_left.stretch(0.2, to, 10);
        row(pen, &left, &hairs, (0.2, 0.0), &nature.part("left"));
        let right = view.blade_right.back().stretch(1.0 - to, 0.85, 10);
        row(pen, &right, &hairs, (0.2, 0.0), &nature.part("right"));
    }
    if shown.is("sheath_edge_hairs", "fringed") {
        let seam = view.seam.back().points(4);
        row(
            pen,
            &seam,
            &hairs(4.0, 7.0),
            (0.0, -0.4),
            &nature.part("seam"),
        );
    }
}

/// The hairs of the sheath: on its face and as a halo along its outline.
fn sheath_hairs(pen: &mut Pen, view: &View, shown: &Shown, nature: &Nature) {
    let nature = nature.part("sheath hairs");
    let density = match shown.of("sheath_hairs") {
        Some("sparse") => Density::Sparse,
        Some("dense") => Density::Dense,
        _ => return,
    };
    let texture = match shown.of("sheath_hair_texture") {
        Some("coarse") => Texture::Coarse,
        _ => Texture::Fine,
    };
    let hairs = Coat::of(density, texture).nearer(1.55);
    coat(pen, &view.sheath_face(), &hairs, (0.0, -1.0), &nature);
    let left = view.sheath_left.back().stretch(0.0, 0.7, 8);
    row(pen, &left, &hairs, (0.0, -0.7), &nature.part("left"));
    let right = view.sheath_right.stretch(0.3, 1.0, 8);
    row(pen, &right, &hairs, (0.0, -0.7), &nature.part("right"));
}

/// Long hairs at both corners.
fn corners(pen: &mut Pen, view: &View, nature: &Nature) {
    let nature = nature.part("collar hairs");
    let hairs = (7, 21.0);
    tuft(
        pen,
        view.left,
        (-95.0, -5.0),
        hairs,
        Stroke::Outline,
        &nature.part("left"),
    );
    tuft(
        pen,
        view.right,
        (10.0, 100.0),
        hairs,
        Stroke::Outline,
        &nature.part("right"),
    );
}

/// A tuft on the blade's face just past the joint, clear of a ligule of a height: a brush that
/// narrows to a tip.
fn patch(pen: &mut Pen, ligule: f64, nature: &Nature) {
    let mut nature = nature.part("collar hairs");
    // Far enough for the tallest: beside it rather than above.
    let clear = ligule.min(24.0) * 0.6;
    let (dx, dy) = (clear, -clear);
    let at = |x: f64, y: f64| (x + dx, y + dy);
    let foot = (at(21.0, 46.0), at(47.0, 54.0));
    let end = (at(51.0, 19.0), at(61.0, 29.0));
    let mut hairs = Path::default();
    for i in 0..9_u8 {
        let share = f64::from(i) / 8.0;
        let root = between(foot.0, foot.1, share);
        let tip = between(
            root,
            between(end.0, end.1, share),
            nature.between(0.65, 1.0),
        );
        let tip = moved(tip, (nature.near(0.0, 1.5), nature.near(0.0, 1.5)));
        hairs = hairs
            .jump(root)
            .bend(moved(between(root, tip, 0.5), (-2.0, -1.0)), tip);
    }
    pen.stroke(Stroke::Detail, &hairs);
}

/// Units to the millimetre for a ligule of a height. Low ones are seen nearer, else hairs of half a
/// millimetre would be lost in the thickness of a line; a low skin may be hardly more than one.
fn scale(kind: Type, mm: f64) -> f64 {
    let lowest = match kind {
        Type::Membrane => 2.5,
        Type::FringedMembrane => 9.0,
        Type::Hairs | Type::Absent => 7.0,
    };
    SCALE.max(lowest / mm).min(TALLEST / mm)
}

/// A bar of as many millimetres as fill a fair length.
fn bar(pen: &mut Pen, scale: f64) {
    let mm = [0.2, 0.5, 1.0, 2.0, 5.0]
        .into_iter()
        .find(|mm| mm * scale > 8.0)
        .unwrap_or(10.0);
    pen.scale_bar(scale * mm, mm);
}

/// A card of the ligule: a collar with nothing else to see.
fn card(ligule: &Ligule, nature: &Nature) -> Pen {
    let mut pen = Pen::default();
    let view = View::of(nature);
    view.blade(&mut pen);
    ligule_and_sheath(&mut pen, &view, ligule, Auricles::Absent, nature);
    pen
}

/// The sheath's mouth and what stands in it: the ligule behind the shoot.
fn ligule_and_sheath(
    pen: &mut Pen,
    view: &View,
    ligule: &Ligule,
    auricles: Auricles,
    nature: &Nature,
) {
    view.mouth(pen);
    ligule.draw(pen, &view.rim, nature);
    view.stub(pen);
    auricles.draw_behind(pen, view.left, view.right);
    view.sheath(pen);
    auricles.draw_before(pen, view.left, view.right);
}

/// The states of `ligule_type`.
pub(crate) fn ligule_type(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let height = match state_id {
        "membrane" | "hairs" => 24.0,
        "fringed_membrane" => 21.0,
        "absent" => 0.0,
        _ => return None,
    };
    let ligule = Ligule::of(&Shown::from([("ligule_type", state_id)]), height);
    Some(card(&ligule, nature).finish())
}

/// The states of `ligule_edge`, on a tall membrane.
pub(crate) fn ligule_edge(state_id: &str, nature: &Nature) -> Option<Drawing> {
    if !["even", "rounded", "pointed", "ragged", "notched"].contains(&state_id) {
        return None;
    }
    let shown = Shown::from([("ligule_type", "membrane"), ("ligule_edge", state_id)]);
    let height = if state_id == "pointed" { 34.0 } else { 26.0 };
    Some(card(&Ligule::of(&shown, height), nature).finish())
}

/// A membrane of so many millimetres.
pub(crate) fn ligule_length(mm: &str, nature: &Nature) -> Option<Drawing> {
    let mm = Shown::from([("ligule_length", mm)]).mm("ligule_length")?;
    if !HEIGHTS.contains(&mm) {
        return None;
    }
    let scale = scale(Type::Membrane, mm);
    let shown = Shown::from([("ligule_type", "membrane")]);
    let mut pen = card(&Ligule::of(&shown, mm * scale), nature);
    bar(&mut pen, scale);
    Some(pen.finish())
}

/// The states of `auricles`, round a standing shoot.
pub(crate) fn auricles(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let auricles = Auricles::of(Some(state_id));
    if auricles == Auricles::Absent && state_id != "absent" {
        return None;
    }
    let mut pen = Pen::default();
    let view = View::of(nature);
    view.blade(&mut pen);
    view.mouth(&mut pen);
    view.shoot(&mut pen);
    auricles.draw_behind(&mut pen, view.left, view.right);
    view.sheath(&mut pen);
    auricles.draw_before(&mut pen, view.left, view.right);
    Some(pen.finish())
}

/// The states of `collar_hairs`.
pub(crate) fn collar_hairs(state_id: &str, nature: &Nature) -> Option<Drawing> {
    let mut pen = Pen::default();
    let view = View::of(nature);
    view.blade(&mut pen);
    if state_id == "patch" {
        patch(&mut pen, 0.0, nature);
    }
    view.mouth(&mut pen);
    view.stub(&mut pen);
    view.sheath(&mut pen);
    match state_id {
        "none" | "patch" => {}
        "margins" => corners(&mut pen, &view, nature),
        _ => return None,
    }
    Some(pen.finish())
}
