//! The one plot of the report: species and groups of weeds, each with its range.
//!
//! In: a judgement. Out: numbers for an SVG that the template writes, in units of its viewBox:
//! shares of squares where a grid was laid, plants on a square foot where plants were counted.
//! The text of each line says the same numbers, so nothing hangs on seeing the drawing.
//! Not here: colours (`report.css`).

use standbook_judge::{
    ANNUAL_WEEDS, Judgement, Label, OTHER_WEEDS, PERENNIAL_WEEDS, PLANTED, Role,
};
use standbook_stand::summary::{GroupOf, HasEstimate};

use super::figures::{dense_estimate, dense_limits, per_ft2, share_estimate, share_limits};
use super::gather::Gathered;
use super::span::{Span, main_grid, over_bounds};
use crate::app::App;
use crate::words::digits;

/// Left end of the track.
const LEFT: f64 = 8.0;
/// Right end of the track.
const RIGHT: f64 = 352.0;
/// Height of one line.
const LINE: f64 = 30.0;
/// Most planted species drawn; the rest stand in the table.
const MOST_SPECIES: usize = 4;
/// Most characters of a name that fit beside the numbers.
const NAME_CHARS: usize = 27;

/// One line of the plot.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Whisker {
    /// Name at the left.
    pub name: String,
    /// Numbers at the right, such as `30 (7 to 52)`.
    pub numbers: String,
    /// Baseline of the text.
    pub text_y: String,
    /// The range, as an SVG path; empty: none.
    pub path: String,
    /// Places of the estimates: one, or lowest and highest.
    pub dots: Vec<String>,
    /// Height of the dots.
    pub y: String,
    /// Whether it was planted: a filled dot.
    pub planted: bool,
}

/// The plot.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Plot {
    /// Lines from the top.
    pub lines: Vec<Whisker>,
    /// Height of the drawing.
    pub height: String,
    /// Bottom of the guides.
    pub guide_y: String,
    /// Baseline of the scale.
    pub scale_y: String,
    /// Words at the left, middle and right end of the scale.
    pub scale: [String; 3],
    /// Planted species that are not drawn.
    pub more: usize,
    /// What is drawn: `Squares of 100 that held it`.
    pub title: &'static str,
    /// Whether some lines have two dots, since plants have no name yet.
    pub two_dots: bool,
}

struct Drawn {
    name: String,
    span: Span,
    planted: bool,
}

/// Draws the plot; `None` where nothing was laid.
pub(crate) fn plot(app: &App, gathered: &Gathered) -> Option<Plot> {
    let judgement = &gathered.judgement;
    if let Some(grid) = main_grid(judgement) {
        let (lines, more) = lines(app, gathered, &grid.groups, &grid.labels);
        let numbers = |span: &Span| match span.lower.zip(span.upper) {
            Some(_) => format!("{} ({})", share_estimate(span), share_limits(span)),
            None => share_estimate(span),
        };
        let scale = ["0", "50 of 100 squares", "100"].map(str::to_owned);
        return Some(draw(
            lines,
            more,
            1.0,
            scale,
            "Squares of 100 that held it",
            numbers,
        ));
    }
    let quadrats = judgement.summary.quadrats.as_ref()?;
    let (mut lines, more) = lines(app, gathered, &quadrats.groups, &quadrats.labels);
    for line in &mut lines {
        line.span = per_ft2(&line.span);
    }
    let most = lines
        .iter()
        .map(|line| line.span.upper.unwrap_or(line.span.high))
        .fold(0.0, f64::max);
    // A round end of the scale, so that it can be read: 1, 2 or 5 times a power of ten.
    let full = round_up(most);
    let numbers = |span: &Span| match span.lower.zip(span.upper) {
        Some(_) => format!("{} ({})", dense_estimate(span), dense_limits(span)),
        None => dense_estimate(span),
    };
    let scale = [
        "0".to_owned(),
        format!("{} per ft²", digits(full / 2.0)),
        digits(full),
    ];
    Some(draw(
        lines,
        more,
        full,
        scale,
        "Plants on a square foot",
        numbers,
    ))
}

fn round_up(most: f64) -> f64 {
    if !(most.is_finite() && most > 0.0) {
        return 1.0;
    }
    let ten = 10f64.powf(most.log10().floor());
    let times = [1.0, 2.0, 5.0].into_iter().find(|t| t * ten >= most);
    times.unwrap_or(10.0) * ten
}

fn lines<T: HasEstimate>(
    app: &App,
    gathered: &Gathered,
    groups: &[GroupOf<T>],
    labels: &[(Label, T)],
) -> (Vec<Drawn>, usize) {
    let judgement = &gathered.judgement;
    let group = |name: &str| groups.iter().find(|group| group.name == name);
    let mut lines = Vec::new();
    lines.extend(group(PLANTED).map(|group| Drawn {
        name: "All planted together".to_owned(),
        span: over_bounds(group),
        planted: true,
    }));
    let planted: Vec<&(Label, T)> = in_mix_order(judgement, labels);
    let more = planted.len().saturating_sub(MOST_SPECIES);
    // One species alone says the same as all together.
    if planted.len() > 1 {
        lines.extend(
            planted
                .into_iter()
                .take(MOST_SPECIES)
                .map(|(label, value)| Drawn {
                    name: gathered.name_of(app, label).0,
                    span: Span::of_estimate(value.estimate()),
                    planted: true,
                }),
        );
    }
    for (name, words) in [
        (PERENNIAL_WEEDS, "Weeds that stay"),
        (ANNUAL_WEEDS, "Weeds of one year"),
        (OTHER_WEEDS, "Other weeds"),
    ] {
        let Some(group) = group(name) else { continue };
        let span = Span::of_estimate(group.low.estimate());
        // Weeds that stay are shown even where none was found: that is worth knowing.
        if span.high > 0.0 || name == PERENNIAL_WEEDS {
            lines.push(Drawn {
                name: words.to_owned(),
                span,
                planted: false,
            });
        }
    }
    (lines, more)
}

/// The planted labels in the order of the mix.
pub(crate) fn in_mix_order<'l, T>(
    judgement: &Judgement,
    labels: &'l [(Label, T)],
) -> Vec<&'l (Label, T)> {
    let is_planted = |label: &Label| {
        let roles = &judgement.roles;
        roles
            .iter()
            .any(|(known, role)| known == label && *role == Role::Planted)
    };
    let mut planted: Vec<_> = labels
        .iter()
        .filter(|(label, _)| is_planted(label))
        .collect();
    let mix = &judgement.facts.mix;
    let place = |label: &Label| {
        mix.iter()
            .position(|sown| Some(sown.taxon.as_str()) == label.taxon())
    };
    planted.sort_by_key(|(label, _)| place(label).unwrap_or(usize::MAX));
    planted
}

fn draw(
    lines: Vec<Drawn>,
    more: usize,
    full: f64,
    scale: [String; 3],
    title: &'static str,
    numbers: impl Fn(&Span) -> String,
) -> Plot {
    let along = |value: f64| {
        let share = (value / full).clamp(0.0, 1.0);
        format!("{:.1}", LEFT + (RIGHT - LEFT) * share)
    };
    let bottom = LINE * lines.len() as f64;
    // Two estimates nearer to each other than a dot is wide are one dot.
    let apart = |span: &Span| (span.high - span.low) / full * (RIGHT - LEFT) > 4.0;
    let two_dots = lines.iter().any(|line| apart(&line.span));
    let lines = lines
        .into_iter()
        .enumerate()
        .map(|(at, line)| {
            let top = LINE * at as f64;
            let y = top + 22.0;
            let mut name: String = line.name.chars().take(NAME_CHARS).collect();
            if name.len() < line.name.len() {
                name.push('\u{2026}');
            }
            let (low, high) = (along(line.span.low), along(line.span.high));
            let path = line.span.lower.map_or_else(String::new, |lower| {
                let (left, t, b) = (along(lower), y - 5.0, y + 5.0);
                match line.span.upper {
                    Some(upper) => {
                        let right = along(upper);
                        format!("M{left} {t:.1}V{b:.1}M{left} {y:.1}H{right}M{right} {t:.1}V{b:.1}")
                    }
                    // No upper limit: the line runs to the end of the scale without a bar.
                    None => format!("M{left} {t:.1}V{b:.1}M{left} {y:.1}H{RIGHT:.1}"),
                }
            });
            Whisker {
                name,
                numbers: numbers(&line.span),
                text_y: format!("{:.1}", top + 13.0),
                path,
                dots: match apart(&line.span) {
                    true => vec![low, high],
                    false => vec![low],
                },
                y: format!("{y:.1}"),
                planted: line.planted,
            }
        })
        .collect();
    Plot {
        lines,
        height: format!("{:.1}", bottom + 20.0),
        guide_y: format!("{bottom:.1}"),
        scale_y: format!("{:.1}", bottom + 15.0),
        scale,
        more,
        title,
        two_dots,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_end_at_a_round_number() {
        for (most, full) in [
            (0.0, 1.0),
            (0.9, 1.0),
            (1.2, 2.0),
            (4.1, 5.0),
            (7.0, 10.0),
            (f64::NAN, 1.0),
        ] {
            assert!((round_up(most) - full).abs() < 1e-9, "{most}");
        }
    }
}
