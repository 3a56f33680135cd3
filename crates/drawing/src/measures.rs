//! What is measured in millimetres, and from where to where.
//!
//! In: the id of a measured trait. Out: its place close to the eye, with dimension lines.

use crate::collar_view::View;
use crate::ligule::Ligule;
use crate::pen::{Path, Point};
use crate::ribbon::{Ribbon, between};
use crate::{Drawing, Nature, Pen, Shown, Stroke};

/// The drawing that shows what to measure; None for a trait that is not measured.
pub fn measure(trait_id: &str) -> Option<Drawing> {
    match trait_id {
        "ligule_length" => Some(ligule_length()),
        "blade_width" => Some(blade_width()),
        _ => None,
    }
}

/// From the green to the tallest point of a ligule of 4 mm.
fn ligule_length() -> Drawing {
    let (height, mm) = (26.0, 4.0);
    let nature = Nature::of(0);
    let view = View::of(&nature);
    let mut pen = Pen::default();
    view.blade(&mut pen);
    view.mouth(&mut pen);
    Ligule::of(&Shown::from([("ligule_type", "membrane")]), height)
        .draw(&mut pen, &view.rim, &nature);
    view.stub(&mut pen);
    view.sheath(&mut pen);
    let (x, foot) = (8.0, view.rim.at(0.5).1);
    let top = foot - height;
    let reach = view.rim.at(0.5).0;
    let levels = Path::at((x - 5.0, top))
        .line((reach, top))
        .jump((x - 5.0, foot))
        .line((view.rim.at(0.1).0, foot));
    pen.stroke(Stroke::Fine, &levels);
    dimension(&mut pen, (x, foot), (x, top));
    pen.scale_bar(height / mm * 2.0, 2.0);
    pen.finish()
}

/// Across a blade at its widest place.
fn blade_width() -> Drawing {
    let mut pen = Pen::default();
    let blade = Ribbon::along(
        [(12.0, 88.0), (24.0, 60.0), (52.0, 34.0), (95.0, 7.0)],
        [9.0, 14.0, 18.0, 0.0],
    );
    pen.shape(Stroke::Outline, &blade.pointed());
    pen.stroke(Stroke::Fine, &blade.vein(0.0, 0.02, 0.9));
    let t = 0.46;
    let (left, right) = (blade.at(t, -1.0), blade.at(t, 1.0));
    dimension(&mut pen, left, right);
    // A broad seedling's blade: 8 mm.
    let width = (right.0 - left.0).hypot(right.1 - left.1);
    pen.scale_bar(width / 8.0 * 5.0, 5.0);
    pen.finish()
}

/// From one point to another: a bold line between arrow heads.
pub(crate) fn dimension(pen: &mut Pen, from: Point, to: Point) {
    let head = |path: Path, tip: Point, back: Point| {
        let (dx, dy) = (back.0 - tip.0, back.1 - tip.1);
        let length = dx.hypot(dy).max(1.0);
        let (ux, uy) = (dx / length, dy / length);
        let barb = |side: f64| {
            (
                tip.0 + 6.0 * ux - side * 4.5 * uy,
                tip.1 + 6.0 * uy + side * 4.5 * ux,
            )
        };
        path.jump(barb(1.0)).line(tip).line(barb(-1.0))
    };
    let middle = between(from, to, 0.5);
    let path = head(head(Path::at(from).line(to), from, middle), to, middle);
    pen.stroke(Stroke::Marked, &path);
}
