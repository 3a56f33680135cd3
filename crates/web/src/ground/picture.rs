//! A picture of ground and points, in numbers for an SVG.
//!
//! In: land, points. Out: paths and places in a viewBox 360 wide and as high as the land asks for.
//! North is up. Not here: colours (`ground.css`).

use standbook_plan::{Corner, Frame, Picture, ScaleBar};

use super::land::{Land, Lot};

const WIDTH: f64 = 360.0;
/// Least and greatest height: a strip must leave room for its names, a tall field must not fill
/// more than a phone's screen.
const HEIGHTS: (f64, f64) = (180.0, 400.0);
const MARGIN: f64 = 28.0;
/// Room below the field for the scale bars.
const BARS: f64 = 22.0;
/// Above so many points their discs are drawn smaller.
const MANY: usize = 40;

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
    /// Baseline of its name, which stands inside the disc.
    pub name_y: String,
    /// `1`, `S1`.
    pub name: String,
    /// Whether it is a spare.
    pub spare: bool,
}

/// A picture.
pub(super) struct View {
    /// Height of the viewBox.
    pub height: String,
    /// Whether there are so many points that their discs and numbers are small.
    pub many: bool,
    /// Radius of a point.
    pub radius: &'static str,
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
    let corners: Vec<Corner> = land
        .corners()
        .into_iter()
        .chain(points.iter().map(|p| p.0))
        .collect();
    let height = height(&corners);
    let picture = Picture::fit(corners, WIDTH, height, MARGIN);
    let many = points.len() > MANY;
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
            // Names under discs can't be read; the table of points says the plot.
            .map(|(_, name, lot)| {
                let name = if points.is_empty() { name.as_str() } else { "" };
                shape("plot", lot, name.to_owned())
            }),
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
                name_y: format!("{:.1}", y + if many { 3.0 } else { 4.0 }),
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
        height: format!("{:.0}", height + BARS),
        many,
        radius: if many { "7" } else { "9.5" },
        shapes,
        marks,
        way: steps,
        bars: [
            (picture.scale_bar_m(), 0.0),
            (picture.scale_bar_ft(), 150.0),
        ]
        .into_iter()
        .map(|(bar, left)| bar_path(&bar, 8.0 + left, height + BARS - 8.0))
        .collect(),
    }
}

/// As high as the land is for the width of the page, within reason.
fn height(corners: &[Corner]) -> f64 {
    let Some(frame) = Frame::around(corners.iter().copied()) else {
        return HEIGHTS.0;
    };
    let at: Vec<[f64; 2]> = corners.iter().map(|c| frame.to_metres(*c)).collect();
    let extent = |axis: usize| {
        let values = || at.iter().map(move |m| m[axis]);
        values().fold(f64::MIN, f64::max) - values().fold(f64::MAX, f64::min)
    };
    let (wide, tall) = (extent(0), extent(1));
    let height = (WIDTH - 2.0 * MARGIN) * tall / wide + 2.0 * MARGIN;
    // Land without width gives no number.
    if height.is_finite() {
        height.clamp(HEIGHTS.0, HEIGHTS.1)
    } else {
        HEIGHTS.1
    }
}

fn bar_path(bar: &ScaleBar, left: f64, y: f64) -> (String, String, String, String) {
    let right = left + bar.length.min(100.0);
    (
        format!("M{left:.1} {:.1}V{y:.1}H{right:.1}V{:.1}", y - 5.0, y - 5.0),
        bar.label.clone(),
        format!("{:.1}", right + 5.0),
        format!("{y:.1}"),
    )
}
