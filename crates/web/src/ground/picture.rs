//! A picture of ground and points, in numbers for an SVG.
//!
//! In: land, points. Out: paths and places in a viewBox of 360 x 280. North is up.

use standbook_plan::{Corner, Picture, ScaleBar};

use super::land::{Land, Lot};

const WIDTH: f64 = 360.0;
const HEIGHT: f64 = 280.0;
const MARGIN: f64 = 26.0;

/// One outline.
pub(super) struct Shape {
    /// `field`, `plot` or `keep`.
    pub class: &'static str,
    /// Path data.
    pub path: String,
    /// Name, for plots and keep-outs; may be empty.
    pub name: String,
    /// Where the name stands.
    pub x: String,
    /// See `x`.
    pub y: String,
}

/// One point.
pub(super) struct Mark {
    /// Middle.
    pub x: String,
    /// Middle.
    pub y: String,
    /// Baseline of its name.
    pub name_y: String,
    /// `1`, `S1`.
    pub name: String,
    /// Whether it is a spare.
    pub spare: bool,
}

/// A picture.
pub(super) struct View {
    /// Outlines, the field first.
    pub shapes: Vec<Shape>,
    /// Points.
    pub marks: Vec<Mark>,
    /// The way to walk, as path data; may be empty.
    pub way: String,
    /// Scale bars: path, label, where the label stands.
    pub bars: Vec<(String, String, String, String)>,
}

/// Draws land and points. `way`: corners in the order of the walk.
pub(super) fn view(land: &Land, points: &[(Corner, String, bool)], way: &[Corner]) -> View {
    let corners = land.corners().into_iter().chain(points.iter().map(|p| p.0));
    let picture = Picture::fit(corners, WIDTH, HEIGHT, MARGIN);
    let shape = |class, lot: &Lot, name: String| {
        let path: Vec<String> = lot
            .area
            .polygons()
            .iter()
            .map(|p| picture.path(p))
            .collect();
        let at: Vec<[f64; 2]> = lot.area.corners().map(|c| picture.xy(c)).collect();
        let middle =
            |axis: usize| at.iter().map(|xy| xy[axis]).sum::<f64>() / at.len().max(1) as f64;
        Shape {
            class,
            path: path.join(""),
            name,
            x: format!("{:.1}", middle(0)),
            y: format!("{:.1}", middle(1)),
        }
    };
    let mut shapes: Vec<Shape> = Vec::new();
    shapes.extend(
        land.field
            .iter()
            .map(|lot| shape("field", lot, String::new())),
    );
    shapes.extend(
        land.plots
            .iter()
            .map(|(_, name, lot)| shape("plot", lot, name.clone())),
    );
    shapes.extend(
        land.keep_out
            .iter()
            .map(|lot| shape("keep", lot, lot.entry.body.name.clone())),
    );
    let marks = points
        .iter()
        .map(|(corner, name, spare)| {
            let [x, y] = picture.xy(*corner);
            Mark {
                x: format!("{x:.1}"),
                y: format!("{y:.1}"),
                name_y: format!("{:.1}", y - 6.0),
                name: name.clone(),
                spare: *spare,
            }
        })
        .collect();
    let mut steps = String::new();
    for (at, corner) in way.iter().enumerate() {
        let [x, y] = picture.xy(*corner);
        steps.push_str(&format!("{}{x:.1} {y:.1}", if at == 0 { 'M' } else { 'L' }));
    }
    View {
        shapes,
        marks,
        way: steps,
        bars: [
            (picture.scale_bar_m(), 0.0),
            (picture.scale_bar_ft(), 150.0),
        ]
        .into_iter()
        .map(|(bar, left)| bar_path(&bar, 8.0 + left))
        .collect(),
    }
}

fn bar_path(bar: &ScaleBar, left: f64) -> (String, String, String, String) {
    let y = HEIGHT - 6.0;
    let right = left + bar.length.min(100.0);
    (
        format!("M{left:.1} {:.1}V{y:.1}H{right:.1}V{:.1}", y - 5.0, y - 5.0),
        bar.label.clone(),
        format!("{:.1}", right + 5.0),
        format!("{y:.1}"),
    )
}
