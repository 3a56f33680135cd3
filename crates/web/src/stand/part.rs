//! One part of the page: everything read on one kind of grid, or in all quadrats.
//!
//! In: a summary and the readings behind it. Out: rows of text for the template, and every
//! method that was used. Kinds of grid stay apart, since frequency depends on the size of a cell.

use std::collections::BTreeSet;

use standbook_fieldbook::RecordId;
use standbook_stand::cluster::Estimate;
use standbook_stand::convert::{ConvertError, Grid, Rule};
use standbook_stand::method::Method;
use standbook_stand::summary::{
    Frequency, GridSummary, GroupOf, QuadratSummary, Reading, RuleResult,
};

use super::figures::{self, Figure, Per};
use super::name::{Name, name_of};
use super::numbers::{ALL_PLANTED, Walked};
use super::resolve::Label;
use super::sentence;
use super::spots::{Spot, grid_spots, quadrat_spots};
use super::whiskers::{Line, Whiskers, draw};
use crate::app::App;
use crate::words::{self, area, digits, number_of, percent, plain};

/// A row of the table of frequencies or of counted densities.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    /// What.
    pub name: Name,
    /// Occupied of cells, or plants counted.
    pub found: String,
    /// The share of cells with its interval; for counts plants per ft2 and per m2 with theirs.
    pub figures: Vec<Figure>,
}

/// Rows under one heading.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Rows {
    /// Heading.
    pub title: &'static str,
    /// Rows; never empty.
    pub rows: Vec<Row>,
}

/// What the named rules make of one frequency, side by side.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Densities {
    /// Of what.
    pub name: Name,
    /// For plants per ft2 and per m2: the unit, and one figure a rule, in the order of the rules.
    pub rows: Vec<(&'static str, Vec<Figure>)>,
}

/// One part of the page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Part {
    /// `Grid of 25 cells of 15 cm (6 in)`.
    pub title: String,
    /// The sentence that answers.
    pub sentence: String,
    /// Whether `found` counts cells; otherwise plants.
    pub is_grid: bool,
    /// Frequencies or counts.
    pub tables: Vec<Rows>,
    /// The drawing, for grids.
    pub plot: Option<Whiskers>,
    /// Names of the rules, in order.
    pub rules: Vec<&'static str>,
    /// Densities by every rule, for grids: of all planted together first.
    densities: Vec<Densities>,
    /// How many of them are of all planted together: one, or two where there are unknowns.
    together: usize,
    /// Why a rule gives no density on this grid, one sentence; empty when all do.
    pub refusal: String,
    /// The interval if cells or plants were independent, for comparison.
    pub if_independent: String,
    /// Spot by spot.
    pub spots: Vec<Spot>,
    /// What the spots say together.
    pub patchiness: String,
}

impl Part {
    /// Densities of all planted together.
    pub fn all_together(&self) -> &[Densities] {
        &self.densities[..self.together]
    }

    /// Densities of each planted species.
    pub fn by_species(&self) -> &[Densities] {
        &self.densities[self.together..]
    }

    /// Whether there are any.
    pub fn has_densities(&self) -> bool {
        !self.densities.is_empty()
    }
}

/// Labels sorted into the mix, others with a name, and unknowns.
fn sorted<T>(walked: &Walked, labels: Vec<(Label, T)>) -> [(&'static str, Vec<(Label, T)>); 3] {
    let mix = walked.mix();
    let (mut planted, mut other, mut unknown) = (Vec::new(), Vec::new(), Vec::new());
    for (label, value) in labels {
        match label {
            Label::Unknown(_) => unknown.push((label, value)),
            ref l if mix.contains(l) => planted.push((label, value)),
            _ => other.push((label, value)),
        }
    }
    planted.sort_by_key(|(label, _)| mix.iter().position(|l| l == label));
    [
        ("Planted", planted),
        ("Weeds and others, not in the mix", other),
        ("Unknowns not settled", unknown),
    ]
}

/// What a kind of grid is called.
pub(crate) fn grid_words(grid: Grid) -> String {
    format!(
        "Grid of {} of {} cm ({} in)",
        number_of(usize::try_from(grid.cells).unwrap_or_default(), "cell"),
        plain(grid.cell_side_cm),
        digits(grid.cell_side_cm / words::CM_PER_INCH)
    )
}

/// The part for one kind of grid.
pub(crate) fn of_grid(
    app: &App,
    walked: &Walked,
    summary: &GridSummary<Label>,
    readings: &[Reading<RecordId, Label>],
    methods: &mut BTreeSet<Method>,
) -> Part {
    let mut note = |estimate: &Estimate| {
        methods.extend(estimate.limits.ok().map(|limited| limited.method));
    };
    let mut lines = Vec::new();
    let mut densities = Vec::new();
    let mut answer = String::new();
    let mut if_independent = String::new();
    let mut refusal = String::new();
    if let Some(group) = summary.groups.first() {
        note(&group.low.estimate);
        group.high.iter().for_each(|high| note(&high.estimate));
        answer = sentence::of_grid(ALL_PLANTED, group, summary.frames, summary.spots);
        lines.push(group_line(group));
        densities.extend(group_densities(group));
        refusal = self::refusal(&group.low.densities);
        let interval = group.low.estimate.if_independent.interval;
        if_independent = figures::interval_percent(interval);
    }
    let together = densities.len();
    let mut tables = Vec::new();
    for (title, labels) in sorted(walked, summary.labels.clone()) {
        let planted = title == "Planted";
        let mut rows = Vec::new();
        for (label, frequency) in labels {
            note(&frequency.estimate);
            let name = name_of(app, walked, &label);
            lines.push(line(&name, &frequency, planted));
            if planted {
                densities.push(self::densities(name.clone(), &frequency.densities));
            }
            rows.push(Row {
                name,
                found: format!("{}/{}", frequency.occupied, frequency.cells),
                figures: vec![Figure {
                    value: percent(frequency.estimate.value),
                    limits: figures::limits_percent(&frequency.estimate),
                }],
            });
        }
        if !rows.is_empty() {
            tables.push(Rows { title, rows });
        }
    }
    let (spots, patchiness) = grid_spots(walked, summary.grid, readings);
    Part {
        title: grid_words(summary.grid),
        sentence: answer,
        is_grid: true,
        tables,
        plot: Some(draw(lines)),
        rules: Rule::PLAIN.into_iter().map(short_rule).collect(),
        densities,
        together,
        refusal,
        if_independent,
        spots,
        patchiness,
    }
}

fn line(name: &Name, frequency: &Frequency, planted: bool) -> Line {
    let estimate = &frequency.estimate;
    let interval = estimate.limits.ok().map(|limited| limited.interval);
    Line {
        name: name.common.clone(),
        numbers: numbers(&percent(estimate.value), interval),
        estimates: vec![estimate.value],
        interval,
        planted,
    }
}

fn numbers(value: &str, interval: Option<standbook_stand::confidence::Interval>) -> String {
    match interval {
        Some(interval) => format!("{value} ({})", figures::interval_percent(interval)),
        None => value.to_owned(),
    }
}

fn group_line(group: &GroupOf<Frequency>) -> Line {
    let bounds = group.bounds();
    let envelope = group.envelope();
    let value = match group.high {
        None => percent(bounds.lower),
        // Where both ends read alike there is one number to say.
        Some(_) if percent(bounds.lower) == percent(bounds.upper) => percent(bounds.lower),
        Some(_) => figures::interval_percent(bounds),
    };
    Line {
        name: "All planted".to_owned(),
        numbers: numbers(&value, envelope),
        estimates: match group.high {
            None => vec![bounds.lower],
            Some(_) => vec![bounds.lower, bounds.upper],
        },
        interval: envelope,
        planted: true,
    }
}

fn group_densities(group: &GroupOf<Frequency>) -> Vec<Densities> {
    let of = |name: &str, frequency: &Frequency| {
        let name = Name {
            common: name.to_owned(),
            scientific: String::new(),
            address: None,
        };
        self::densities(name, &frequency.densities)
    };
    match &group.high {
        None => vec![of(ALL_PLANTED, &group.low)],
        Some(high) => vec![
            of("All planted, if none of the unknowns is", &group.low),
            of("All planted, if all of the unknowns are", high),
        ],
    }
}

/// The rules as the head of a table names them.
fn short_rule(rule: Rule) -> &'static str {
    match rule {
        Rule::FourTenths => "\u{d7} 0.4",
        Rule::Over225 => "\u{f7} 2.25",
        Rule::RandomScatter => "random scatter",
        Rule::Clumped { .. } => "clumped",
    }
}

fn densities(name: Name, results: &[RuleResult]) -> Densities {
    let row = |unit, per| {
        let figures = results.iter().map(|result| match &result.density {
            Ok(density) => figures::converted(density, per),
            Err(_) => Figure {
                value: "none".to_owned(),
                limits: String::new(),
            },
        });
        (unit, figures.collect())
    };
    Densities {
        name,
        rows: vec![row("per ft\u{b2}", Per::Ft2), row("per m\u{b2}", Per::M2)],
    }
}

/// Why a rule gives no density, if one does not.
fn refusal(results: &[RuleResult]) -> String {
    let mut errors = results.iter().filter_map(|result| result.density.err());
    match errors.next() {
        Some(ConvertError::OtherFrame { .. }) => {
            "\u{d7} 0.4 and \u{f7} 2.25 were made for the frame of 25 cells of 15 cm and give nothing here.".to_owned()
        }
        Some(other) => format!("A rule gives nothing here: {other}."),
        None => String::new(),
    }
}

/// The part for all quadrats.
pub(crate) fn of_quadrats(
    app: &App,
    walked: &Walked,
    summary: &QuadratSummary<Label>,
    readings: &[Reading<RecordId, Label>],
    methods: &mut BTreeSet<Method>,
) -> Part {
    let mut note = |estimate: &Estimate| {
        methods.extend(estimate.limits.ok().map(|limited| limited.method));
    };
    let mut answer = String::new();
    let mut if_independent = String::new();
    if let Some(group) = summary.groups.first() {
        note(&group.low.estimate);
        group.high.iter().for_each(|high| note(&high.estimate));
        answer = sentence::of_quadrats(ALL_PLANTED, group, summary.frames, summary.spots);
        let interval = group.low.estimate.if_independent.interval;
        if_independent = format!("{} per m²", figures::span(interval, Per::M2));
    }
    let mut tables = Vec::new();
    for (title, labels) in sorted(walked, summary.labels.clone()) {
        let mut rows = Vec::new();
        for (label, counted) in labels {
            note(&counted.estimate);
            rows.push(Row {
                name: name_of(app, walked, &label),
                found: counted.plants.to_string(),
                figures: vec![
                    figures::counted(&counted.estimate, Per::Ft2),
                    figures::counted(&counted.estimate, Per::M2),
                ],
            });
        }
        if !rows.is_empty() {
            tables.push(Rows { title, rows });
        }
    }
    let (spots, patchiness) = quadrat_spots(walked, readings);
    Part {
        title: format!("Quadrats, {} in all", area(summary.area_m2)),
        sentence: answer,
        is_grid: false,
        tables,
        plot: None,
        rules: Vec::new(),
        densities: Vec::new(),
        together: 0,
        refusal: String::new(),
        if_independent,
        spots,
        patchiness,
    }
}
