//! The blade's face: midrib, feel, colour.
//!
//! In: one state. Out: a blade close to the eye, going off to the right and up.

use crate::pen::Path;
use crate::ribbon::Ribbon;
use crate::{Drawing, Nature, Pen, Stroke, blade, hatch};

/// The states of `blade_midrib`: the upper face with its veins.
pub(crate) fn blade_midrib(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let face = blade::large(18.0);
    let mut pen = Pen::default();
    pen.shape(Stroke::Outline, &face.pointed());
    let veins: &[f64] = match state_id {
        "faint" => &[-0.66, -0.33, 0.0, 0.33, 0.66],
        "prominent" => &[-0.66, -0.33, 0.33, 0.66],
        "white_prominent" => &[-0.78, -0.55, 0.55, 0.78],
        _ => return None,
    };
    for across in veins {
        pen.stroke(Stroke::Fine, &face.vein(*across, 0.0, 0.8));
    }
    match state_id {
        "prominent" => pen.stroke(Stroke::Marked, &face.vein(0.0, 0.0, 0.98)),
        // A band left open: white is what ink leaves out.
        "white_prominent" => {
            pen.stroke(Stroke::Outline, &face.vein(-0.32, 0.0, 0.86));
            pen.stroke(Stroke::Outline, &face.vein(0.32, 0.0, 0.86));
        }
        _ => {}
    }
    Some(pen.finish())
}

/// The states of `blade_surface`: the face, and below it the same face edge-on.
pub(crate) fn blade_surface(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let face = Ribbon::along(
        [(12.0, 60.0), (32.0, 49.0), (60.0, 30.0), (95.0, 6.0)],
        [16.0, 17.0, 15.0, 0.0],
    );
    let mut pen = Pen::default();
    pen.shape(Stroke::Outline, &face.pointed());
    match state_id {
        "smooth" => {
            pen.stroke(Stroke::Fine, &face.vein(0.0, 0.0, 0.85));
            pen.stroke(Stroke::Marked, &Path::at((6.0, 90.0)).line((94.0, 90.0)));
        }
        "rough" => {
            pen.stroke(Stroke::Detail, &prickles(&face));
            let mut profile = Path::at((6.0, 90.0));
            for tooth in 0..11 {
                let x = 6.0 + f64::from(tooth) * 8.0;
                profile = profile.line((x + 8.0, 82.0)).line((x + 8.0, 90.0));
            }
            pen.stroke(Stroke::Marked, &profile);
        }
        _ => return None,
    }
    Some(pen.finish())
}

/// Short prickles in rows, all leaning to the tip.
fn prickles(face: &Ribbon) -> Path {
    let mut path = Path::default();
    for step in 0..8 {
        let t = 0.06 + f64::from(step) * 0.095;
        let row: &[f64] = if step % 2 == 0 {
            &[-0.6, 0.0, 0.6]
        } else {
            &[-0.3, 0.3]
        };
        for across in row {
            path = path
                .jump(face.at(t, *across - 0.1))
                .line(face.at(t + 0.05, *across))
                .line(face.at(t, *across + 0.1));
        }
    }
    path
}

/// The states of `blade_color`: the blade, hatched.
pub(crate) fn blade_color(state_id: &str, _nature: &Nature) -> Option<Drawing> {
    let face = blade::large(17.0);
    let mut pen = Pen::default();
    pen.shape(Stroke::Marked, &face.pointed());
    match state_id {
        "grass_green" => hatch::slanting(&mut pen, Stroke::Detail, &face, 0.32, 0.1),
        "blue_green" => hatch::slanting(&mut pen, Stroke::Detail, &face, 0.0, 0.08),
        "yellow_green" => hatch::dots(&mut pen, &face, 0.085),
        "dark_green" => {
            hatch::slanting(&mut pen, Stroke::Detail, &face, 0.2, 0.08);
            hatch::slanting(&mut pen, Stroke::Detail, &face, -0.2, 0.08);
        }
        "light_green" => hatch::slanting(&mut pen, Stroke::Fine, &face, 0.32, 0.25),
        _ => return None,
    }
    Some(pen.finish())
}
