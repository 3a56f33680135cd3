//! Hairs on a whole plant: what a scout sees against the sky, a halo along the outline.
//!
//! In: what the plant shows, its shoots. Out: hairs on the lowest sheaths and on a few blades; on
//! more they would only make the drawing grey.

use crate::hairs::{Coat, Density, Texture, row_path};
use crate::pen::{Path, Point};
use crate::ribbon::{Ribbon, from};
use crate::tiller::Tiller;
use crate::{Nature, Pen, Shown, Stroke};

/// Hairs on the lowest sheaths of at most two shoots.
pub(crate) fn on_sheaths(pen: &mut Pen, shown: &Shown, tillers: &[Tiller], nature: &Nature) {
    let Some(coat) = sheath_coat(shown) else {
        return;
    };
    let coat = coat.nearer(0.8);
    let nature = nature.part("sheath hairs");
    let path = few(tillers, 2, &nature).fold(Path::default(), |path, (tiller, nature)| {
        let stem = tiller.stem();
        let path = edge(path, &stem, -1.0, (0.06, 0.42), &coat, &nature.part("left"));
        edge(path, &stem, 1.0, (0.06, 0.42), &coat, &nature.part("right"))
    });
    pen.stroke(coat.stroke, &path);
}

/// Hairs on the lowest sheath of a tiller base.
pub(crate) fn on_base(pen: &mut Pen, shown: &Shown, sheath: &Ribbon, nature: &Nature) {
    let Some(coat) = sheath_coat(shown) else {
        return;
    };
    let nature = nature.part("sheath hairs");
    let path = edge(
        Path::default(),
        sheath,
        -1.0,
        (0.0, 1.0),
        &coat,
        &nature.part("left"),
    );
    let path = edge(path, sheath, 1.0, (0.0, 1.0), &coat, &nature.part("right"));
    pen.stroke(coat.stroke, &path);
}

/// The coat of the sheaths, where they are hairy.
fn sheath_coat(shown: &Shown) -> Option<Coat> {
    let density = match shown.of("sheath_hairs")? {
        "sparse" => Density::Sparse,
        "dense" => Density::Dense,
        _ => return None,
    };
    let texture = if shown.is("sheath_hair_texture", "coarse") {
        Texture::Coarse
    } else {
        Texture::Fine
    };
    Some(Coat::of(density, texture))
}

/// Hairs of the blades, each kind on one blade of at most two shoots.
pub(crate) fn on_blades(pen: &mut Pen, shown: &Shown, tillers: &[Tiller], nature: &Nature) {
    let coat = |gap: f64, length: f64, stroke: Stroke| Coat {
        gap,
        length,
        stroke,
        bend: 0.0,
        unequal: 0.25,
    };
    let upper = match shown.of("blade_hairs_upper") {
        Some("near_base") => Some(((0.12, 0.45), coat(3.5, 6.0, Stroke::Fine))),
        Some("scattered") => Some(((0.15, 0.95), coat(7.0, 5.0, Stroke::Fine))),
        Some("velvety") => Some(((0.12, 0.95), coat(2.2, 2.4, Stroke::Fine))),
        _ => None,
    };
    let lower = match shown.of("blade_hairs_lower") {
        Some("scattered") => Some(((0.15, 0.95), coat(7.0, 5.0, Stroke::Fine))),
        Some("dense") => Some(((0.12, 0.95), coat(2.6, 2.6, Stroke::Fine))),
        _ => None,
    };
    let both = match shown.of("blade_edge_hairs") {
        Some("near_base") => Some(((0.12, 0.35), coat(4.0, 6.0, Stroke::Detail))),
        Some("spaced") => Some(((0.15, 0.95), coat(8.0, 5.0, Stroke::Detail))),
        _ => None,
    };
    // Several kinds on one plant: fewer blades carry them.
    let kinds = [&upper, &lower, &both].into_iter().flatten().count();
    let shoots = if kinds > 1 { 1 } else { 2 };
    for (part, hairs, faces) in [
        ("upper", upper, &[true][..]),
        ("lower", lower, &[false]),
        ("edges", both, &[true, false]),
    ] {
        let Some((stretch, coat)) = hairs else {
            continue;
        };
        let nature = nature.part(part);
        let path = few(tillers, shoots, &nature).fold(Path::default(), |path, (tiller, nature)| {
            let Some((leaf, blade)) = tiller.leaves.iter().zip(tiller.blades()).next_back() else {
                return path;
            };
            faces.iter().fold(path, |path, up| {
                // The upper face of a blade that leaves to the right is to the left of its way.
                let side = if *up { -1.0 } else { 1.0 };
                let side = side * 1.0_f64.copysign(leaf.degrees);
                edge(path, &blade, side, stretch, &coat, &nature.part("edge"))
            })
        });
        pen.stroke(coat.stroke, &path);
    }
}

/// A ruff of hairs at a node.
pub(crate) fn on_node(pen: &mut Pen, node: Point) {
    let ruff = [-120.0, -90.0, -60.0, 60.0, 90.0, 120.0]
        .into_iter()
        .fold(Path::default(), |path, degrees| {
            path.jump(node).line(from(node, degrees, 5.0))
        });
    pen.stroke(Stroke::Fine, &ruff);
}

/// The first shoots, each with a stream of its own.
fn few<'a>(
    tillers: &'a [Tiller],
    count: usize,
    nature: &'a Nature,
) -> impl Iterator<Item = (&'a Tiller, Nature)> {
    tillers
        .iter()
        .zip(["one", "two"])
        .take(count)
        .map(|(tiller, name)| (tiller, nature.part(name)))
}

/// Hairs on one edge of a ribbon, outward.
fn edge(
    path: Path,
    ribbon: &Ribbon,
    side: f64,
    (low, high): (f64, f64),
    coat: &Coat,
    nature: &Nature,
) -> Path {
    let points = if side < 0.0 {
        ribbon.points(side, low, high)
    } else {
        ribbon.points(side, high, low)
    };
    row_path(path, &points, coat, (0.0, -0.4), nature)
}
