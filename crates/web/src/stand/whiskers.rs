//! The dot-and-whisker plot of frequencies, drawn by the server.
//!
//! In: for every line a name, one or two estimates and an interval, as shares. Out: positions in
//! a drawing 360 units wide; the template writes the SVG. The text of each line says the same
//! numbers, so nothing hangs on seeing the drawing.
//! Not here: colours (`stand.css`).

use standbook_stand::confidence::Interval;

/// Width of the track that stands for 0 to 100 %, in units of the drawing.
const TRACK: f64 = 344.0;
/// Left end of the track.
const LEFT: f64 = 8.0;
/// Height of one line.
const LINE: f64 = 44.0;

/// One line of the plot.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Whisker {
    /// Name at the left.
    pub name: String,
    /// Numbers at the right, such as `46 % (31 to 61 %)`.
    pub numbers: String,
    /// Baseline of the text.
    pub text_y: String,
    /// Middle of the track.
    pub y: String,
    /// Top of the ends of the whisker.
    pub cap_top: String,
    /// Bottom of the ends of the whisker.
    pub cap_bottom: String,
    /// Places of the estimates: one, or lowest and highest.
    pub dots: Vec<String>,
    /// Ends of the interval, if there is one.
    pub ends: Option<(String, String)>,
    /// Whether it is a planted species or all of them: a filled dot.
    pub planted: bool,
}

/// The whole plot.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Whiskers {
    /// Lines from the top.
    pub lines: Vec<Whisker>,
    /// Height of the drawing.
    pub height: String,
    /// Baseline of the scale's text.
    pub scale_y: String,
    /// Bottom of the guide lines.
    pub guide_y: String,
}

/// What goes into one line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    /// Name.
    pub name: String,
    /// Numbers.
    pub numbers: String,
    /// One or two shares.
    pub estimates: Vec<f64>,
    /// Interval, as shares.
    pub interval: Option<Interval>,
    /// Planted or not.
    pub planted: bool,
}

fn units(value: f64) -> String {
    format!("{value:.1}")
}

fn along(share: f64) -> String {
    units(LEFT + TRACK * share.clamp(0.0, 1.0))
}

/// Most characters of a name that fit beside the numbers.
const NAME_CHARS: usize = 20;

/// Lays the lines out.
pub(crate) fn draw(lines: Vec<Line>) -> Whiskers {
    let height = LINE * lines.len() as f64;
    let lines = lines
        .into_iter()
        .enumerate()
        .map(|(at, line)| {
            let top = LINE * at as f64;
            let middle = top + 30.0;
            let mut name: String = line.name.chars().take(NAME_CHARS).collect();
            if name.len() < line.name.len() {
                name.push('\u{2026}');
            }
            Whisker {
                name,
                numbers: line.numbers,
                text_y: units(top + 17.0),
                y: units(middle),
                cap_top: units(middle - 6.0),
                cap_bottom: units(middle + 6.0),
                dots: line.estimates.into_iter().map(along).collect(),
                ends: line.interval.map(|i| (along(i.lower), along(i.upper))),
                planted: line.planted,
            }
        })
        .collect();
    Whiskers {
        lines,
        height: units(height + 22.0),
        scale_y: units(height + 16.0),
        guide_y: units(height),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_track_runs_from_none_to_all() {
        assert_eq!(along(0.0), "8.0");
        assert_eq!(along(0.5), "180.0");
        assert_eq!(along(1.0), "352.0");
    }

    #[test]
    fn a_long_name_is_cut_between_characters() {
        let plot = draw(vec![Line {
            name: "é".repeat(40),
            numbers: String::new(),
            estimates: vec![0.5],
            interval: None,
            planted: true,
        }]);
        assert_eq!(plot.lines[0].name.chars().count(), NAME_CHARS + 1);
    }
}
