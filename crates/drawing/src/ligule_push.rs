//! What a ligule does when it is pushed over: seen from the side, with the sheath cut open.
//!
//! In: one state of `ligule_texture`. Out: shoot, sheath and blade, the ligule as a single line
//! between them, and an arrow for the way it went last.

use crate::pen::{Path, Point};
use crate::{Drawing, Pen, Stroke};

/// Where the ligule is hinged.
const HINGE: Point = (42.0, 62.0);

/// The states of `ligule_texture`: a soft one stays down, a firm one springs back.
pub(crate) fn ligule_texture(state_id: &str) -> Option<Drawing> {
    let mut pen = Pen::default();
    let shoot = Path::at((20.0, 100.0))
        .line((20.0, 4.0))
        .line((35.0, 4.0))
        .line((35.0, 100.0));
    pen.shape(Stroke::Outline, &shoot);
    let leaf = Path::at((38.0, 100.0))
        .line((38.0, 66.0))
        .bend((39.0, 62.0), (45.0, 62.0))
        .curve((60.0, 60.0), (76.0, 64.0), (97.0, 76.0))
        .curve((76.0, 72.0), (62.0, 70.0), (55.0, 74.0))
        .bend((48.0, 78.0), (48.0, 86.0))
        .line((48.0, 100.0));
    pen.shape(Stroke::Outline, &leaf);
    match state_id {
        "soft" => {
            let limp = Path::at(HINGE)
                .curve((41.0, 48.0), (45.0, 42.0), (52.0, 43.0))
                .curve((60.0, 44.0), (60.0, 52.0), (66.0, 53.0))
                .curve((71.0, 53.5), (72.0, 57.0), (75.0, 58.0));
            pen.stroke(Stroke::Marked, &limp);
            let down = Path::at((46.0, 22.0))
                .curve((64.0, 16.0), (78.0, 26.0), (80.0, 42.0))
                .jump((73.0, 36.0))
                .line((80.0, 43.0))
                .line((86.0, 35.0));
            pen.stroke(Stroke::Detail, &down);
        }
        "firm" => {
            pen.stroke(Stroke::Marked, &Path::at(HINGE).line((50.0, 14.0)));
            // Where it had been pushed to, broken: it is no longer there.
            let was = [(0.2, 0.36), (0.52, 0.68), (0.84, 1.0)].into_iter().fold(
                Path::default(),
                |path, (from, to)| {
                    let at = |part: f64| (HINGE.0 + 38.0 * part, HINGE.1 - 18.0 * part);
                    path.jump(at(from)).line(at(to))
                },
            );
            pen.stroke(Stroke::Detail, &was);
            let back = Path::at((80.0, 36.0))
                .curve((78.0, 24.0), (70.0, 17.0), (58.0, 15.0))
                .jump((66.0, 10.0))
                .line((57.0, 15.0))
                .line((64.0, 22.0));
            pen.stroke(Stroke::Detail, &back);
        }
        _ => return None,
    }
    Some(pen.finish())
}
