//! The pen: the few strokes that all drawings are made of.
//!
//! In: points in units of a square of 100 x 100, y downwards. Out: SVG paths, coordinates in
//! tenths. Four strokes only, told apart by weight, never by colour. Whatever is closed is filled
//! with the paper, so that what lies in front hides what lies behind.

use std::fmt::Write;

/// How heavy a stroke is. Widths in units of the square: drawn 120 px wide, 1 unit is 1.2 px.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stroke {
    /// A fine hair, a vein: 0.9.
    Fine,
    /// Detail inside an outline; a coarse hair: 1.6.
    Detail,
    /// Outlines of the plant: 2.2.
    Outline,
    /// The part that the drawing is about: 3.2.
    Marked,
}

impl Stroke {
    /// All, from light to heavy.
    pub const ALL: [Stroke; 4] = [
        Stroke::Fine,
        Stroke::Detail,
        Stroke::Outline,
        Stroke::Marked,
    ];

    /// Width in units of the square.
    pub fn width(self) -> f64 {
        match self {
            Stroke::Fine => 0.9,
            Stroke::Detail => 1.6,
            Stroke::Outline => 2.2,
            Stroke::Marked => 3.2,
        }
    }

    /// Its class in the SVG, one letter to keep drawings small.
    fn class(self) -> &'static str {
        match self {
            Stroke::Fine => "f",
            Stroke::Detail => "d",
            Stroke::Outline => "o",
            Stroke::Marked => "m",
        }
    }
}

/// A point.
pub type Point = (f64, f64);

/// Draws strokes one over another.
#[derive(Debug, Clone, Default)]
pub struct Pen {
    body: String,
}

/// A path being written.
#[derive(Debug, Clone, Default)]
pub struct Path(String);

impl Path {
    /// Starts at a point.
    pub fn at(point: Point) -> Path {
        Path::default().to("M", &[point])
    }

    /// Lifts the pen and goes on at a point.
    pub fn jump(self, point: Point) -> Path {
        self.to("M", &[point])
    }

    /// A straight line.
    pub fn line(self, point: Point) -> Path {
        self.to("L", &[point])
    }

    /// A bent line that leans towards `over`.
    pub fn bend(self, over: Point, point: Point) -> Path {
        self.to("Q", &[over, point])
    }

    /// A line bent twice.
    pub fn curve(self, first: Point, second: Point, point: Point) -> Path {
        self.to("C", &[first, second, point])
    }

    /// A straight line by a step: shorter to write for what is small.
    pub fn line_by(self, step: Point) -> Path {
        self.to("l", &[step])
    }

    /// A bent line by a step.
    pub fn bend_by(self, over: Point, step: Point) -> Path {
        self.to("q", &[over, step])
    }

    /// Back to where it started.
    pub fn close(mut self) -> Path {
        self.0.push('Z');
        self
    }

    fn to(mut self, command: &str, points: &[Point]) -> Path {
        self.0.push_str(command);
        for (at, number) in points.iter().flat_map(|(x, y)| [*x, *y]).enumerate() {
            let number = tenths(number);
            // A minus separates as well as a space does.
            if at > 0 && !number.starts_with('-') {
                self.0.push(' ');
            }
            self.0.push_str(&number);
        }
        self
    }
}

/// A number in tenths, as short as it can be written.
fn tenths(x: f64) -> String {
    let rounded = (x * 10.0).round() / 10.0;
    // Not "-0".
    let text = format!("{}", rounded + 0.0);
    // ".5" for "0.5": a hair less to send for each of hundreds.
    match text.strip_prefix("0.") {
        Some(part) => format!(".{part}"),
        None => text.replacen("-0.", "-.", 1),
    }
}

impl Pen {
    /// An open line.
    pub fn stroke(&mut self, stroke: Stroke, path: &Path) {
        let _ = write!(
            self.body,
            r#"<path class="{}" d="{}"/>"#,
            stroke.class(),
            path.0
        );
    }

    /// A heavy broken line: no part of a plant, but what points at one.
    pub(crate) fn broken(&mut self, path: &Path) {
        let _ = write!(self.body, r#"<path class="m b" d="{}"/>"#, path.0);
    }

    /// An outline filled with the paper.
    pub fn shape(&mut self, stroke: Stroke, path: &Path) {
        let _ = write!(
            self.body,
            r#"<path class="{} p" d="{}"/>"#,
            stroke.class(),
            path.0
        );
    }

    /// Solid ink: seeds, cut tissue, the mark of a point.
    pub fn ink(&mut self, path: &Path) {
        let _ = write!(self.body, r#"<path class="i" d="{}"/>"#, path.0);
    }

    /// An ellipse, filled with the paper.
    pub fn ellipse(&mut self, stroke: Stroke, center: Point, rx: f64, ry: f64) {
        let _ = write!(
            self.body,
            r#"<ellipse class="{} p" cx="{}" cy="{}" rx="{}" ry="{}"/>"#,
            stroke.class(),
            tenths(center.0),
            tenths(center.1),
            tenths(rx),
            tenths(ry)
        );
    }

    /// A length in millimetres with its bar, right-aligned at the lower edge.
    pub fn scale_bar(&mut self, units: f64, mm: f64) {
        let (right, y) = (96.0, 95.0);
        let left = right - units;
        self.stroke(
            Stroke::Detail,
            &Path::at((left, y - 2.0))
                .line((left, y))
                .line((right, y))
                .line((right, y - 2.0)),
        );
        let _ = write!(
            self.body,
            r#"<text x="{}" y="{}">{} mm</text>"#,
            tenths(right),
            tenths(y - 4.0),
            mm
        );
    }

    /// The finished drawing.
    pub fn finish(self) -> Drawing {
        self.finish_sized(100.0, 100.0)
    }

    /// The finished drawing of another width and height, units.
    pub(crate) fn finish_sized(self, width: f64, height: f64) -> Drawing {
        Drawing {
            body: self.body,
            width: tenths(width),
            height: tenths(height),
        }
    }
}

/// A finished drawing: strokes without words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    body: String,
    width: String,
    height: String,
}

/// What the classes mean. A page states it once; a drawing on its own carries it.
pub const STYLE: &str = ".drawing path,.drawing ellipse{fill:none;stroke:currentColor;stroke-linecap:round;stroke-linejoin:round}\
.drawing .f{stroke-width:.9}.drawing .d{stroke-width:1.6}.drawing .o{stroke-width:2.2}.drawing .m{stroke-width:3.2}\
.drawing .p{fill:var(--paper,#fff)}.drawing .b{stroke-dasharray:5 4.5}.drawing .i{fill:currentColor;stroke:none}\
.drawing text{font:7px sans-serif;text-anchor:end;fill:currentColor}";

impl Drawing {
    /// The same with other strokes over it.
    pub(crate) fn with(mut self, over: &Drawing) -> Drawing {
        self.body.push_str(&over.body);
        self
    }

    /// The strokes, for a `symbol` that a page shares (`viewBox="0 0 100 100"`).
    pub fn body(&self) -> &str {
        &self.body
    }

    /// An `svg` element with its words, for a page that states [`STYLE`]. `id` is unique on the
    /// page; `title` and `desc` are plain text.
    pub fn inline(&self, id: &str, title: &str, desc: &str) -> String {
        self.element(id, title, desc, "", "")
    }

    /// A file of its own, readable on light and dark paper.
    pub fn file(&self, title: &str, desc: &str) -> String {
        let style = format!(
            "<style>svg{{color:#111;--paper:#fff}}@media(prefers-color-scheme:dark){{svg{{color:#eee;--paper:#111}}}}{STYLE}</style>"
        );
        self.element(
            "drawing",
            title,
            desc,
            r#" xmlns="http://www.w3.org/2000/svg""#,
            &style,
        )
    }

    fn element(&self, id: &str, title: &str, desc: &str, attributes: &str, style: &str) -> String {
        let (id, title, desc) = (escaped(id), escaped(title), escaped(desc));
        format!(
            r#"<svg{attributes} class="drawing" viewBox="0 0 {} {}" role="img" aria-labelledby="{id}-t {id}-d"><title id="{id}-t">{title}</title><desc id="{id}-d">{desc}</desc>{style}{}</svg>"#,
            self.width, self.height, self.body
        )
    }
}

/// Text as it may stand in XML.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
