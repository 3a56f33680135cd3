//! Every number of a judgement as one flat table: the CSV, and the species table of the report.
//!
//! In: a judgement. Out: [`Row`]s, unrounded: shares from 0 to 1, plants per m2, days. Plants per
//! ft2 stand in rows of their own, so that nobody has to convert.
//! Source: every row names its method and that method's source.
//! Not here: rounding (`figures`), files (`files`).

use standbook_judge::{Evidence, Judgement, Label, Role};
use standbook_key::standards::Measure;
use standbook_stand::cluster::Estimate;
use standbook_stand::convert::Grid;
use standbook_stand::summary::{Counted, Frequency};

use super::gather::Gathered;
use super::span::Span;
use crate::app::App;
use crate::words::{M2_PER_FT2, plain};

/// One result.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    /// `group`, `taxon`, `unknown`, `not in key`, `threshold`, `field`.
    pub what: &'static str,
    /// Id of the group, taxon or threshold, or the code of the unknown.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Part it plays: `planted`, `weed` and so on; empty for what plays none.
    pub role: &'static str,
    /// Whether unknowns that are not settled were taken in: `left out`, `taken in`, or empty
    /// where there are none.
    pub unknowns: &'static str,
    /// What was measured.
    pub measure: String,
    /// Found: occupied cells or plants; `None` where nothing was counted.
    pub found: Option<u64>,
    /// Of how many cells, or on how many m2.
    pub out_of: Option<f64>,
    /// The estimate.
    pub value: f64,
    /// Lower limit.
    pub lower: Option<f64>,
    /// Upper limit.
    pub upper: Option<f64>,
    /// Whether the value is only a lower bound.
    pub at_least: bool,
    /// How sure the limits are, share; `None` where there are none.
    pub confidence: Option<f64>,
    /// Unit of value and limits.
    pub unit: &'static str,
    /// How value and limits were made.
    pub method: String,
    /// Where that is written down.
    pub source: String,
}

/// What a row is of.
#[derive(Clone)]
struct Of {
    what: &'static str,
    id: String,
    name: String,
    role: &'static str,
    unknowns: &'static str,
}

impl Of {
    fn row(&self, measure: String, span: Span, unit: &'static str) -> Row {
        Row {
            what: self.what,
            id: self.id.clone(),
            name: self.name.clone(),
            role: self.role,
            unknowns: self.unknowns,
            measure,
            found: None,
            out_of: None,
            value: span.low,
            lower: span.lower,
            upper: span.upper,
            at_least: span.high_is_at_least,
            confidence: None,
            unit,
            method: String::new(),
            source: String::new(),
        }
    }
}

/// `25 cells of 15 cm`.
pub(crate) fn grid_words(grid: Grid) -> String {
    format!("{} cells of {} cm", grid.cells, plain(grid.cell_side_cm))
}

/// Name of a group for people.
fn group_name(app: &App, name: &str) -> String {
    if let Some(group) = name.strip_prefix("group:") {
        let known = app.key.groups.iter().find(|known| known.id == *group);
        return known.map_or_else(
            || group.to_owned(),
            |known| format!("planted, {}", known.name),
        );
    }
    if let Some(taxa) = name.strip_prefix("taxa:") {
        let names = taxa
            .split(',')
            .map(|id| crate::words::taxon_name(app, id).0);
        return names.collect::<Vec<_>>().join(" and ");
    }
    match name {
        standbook_judge::PLANTED => "everything planted, together".to_owned(),
        other => other.to_owned(),
    }
}

/// The part a label plays, in a word.
pub(crate) fn role_word(role: Role) -> &'static str {
    match role {
        Role::Planted => "planted",
        Role::Volunteer => "native, not sown",
        Role::Weed => "weed",
        Role::Unsettled => "no name yet",
    }
}

/// Every number.
pub(crate) fn rows(app: &App, gathered: &Gathered) -> Vec<Row> {
    let judgement = &gathered.judgement;
    let mut rows = field(judgement);
    let confidence = judgement.summary.confidence.level();
    for grid in &judgement.summary.grids {
        let mut add = |of: &Of, frequency: &Frequency| {
            rows.extend(of_frequency(of, grid.grid, frequency, confidence));
        };
        for group in &grid.groups {
            for (of, frequency) in bounds(app, &group.name, &group.low, group.high.as_ref()) {
                add(&of, frequency);
            }
        }
        for (label, frequency) in &grid.labels {
            add(&of_label(app, gathered, label), frequency);
        }
    }
    if let Some(quadrats) = &judgement.summary.quadrats {
        for group in &quadrats.groups {
            for (of, counted) in bounds(app, &group.name, &group.low, group.high.as_ref()) {
                rows.extend(of_counted(&of, counted, confidence));
            }
        }
        for (label, counted) in &quadrats.labels {
            rows.extend(of_counted(
                &of_label(app, gathered, label),
                counted,
                confidence,
            ));
        }
    }
    rows.extend(thresholds(judgement, confidence));
    rows
}

fn bounds<'g, T>(app: &App, name: &str, low: &'g T, high: Option<&'g T>) -> Vec<(Of, &'g T)> {
    let of = |unknowns| Of {
        what: "group",
        id: name.to_owned(),
        name: group_name(app, name),
        role: "",
        unknowns,
    };
    match high {
        None => vec![(of(""), low)],
        Some(high) => vec![(of("left out"), low), (of("taken in"), high)],
    }
}

fn of_label(app: &App, gathered: &Gathered, label: &Label) -> Of {
    let roles = &gathered.judgement.roles;
    let role = roles.iter().find(|(known, _)| known == label);
    let (what, id) = match label {
        Label::Taxon(id) => ("taxon", id.clone()),
        Label::Genus(name) => ("genus", name.clone()),
        Label::NotInKey => ("not in key", "not_in_key".to_owned()),
        Label::Unknown(code) => ("unknown", code.clone()),
    };
    Of {
        what,
        id,
        name: gathered.name_of(app, label).0,
        role: role.map_or("", |(_, role)| role_word(*role)),
        unknowns: "",
    }
}

fn limits_of(estimate: &Estimate) -> (String, String) {
    match estimate.limits {
        Ok(limited) => (
            limited.method.name().to_owned(),
            limited.method.source().citation.to_owned(),
        ),
        Err(_) => ("one spot, so no limits".to_owned(), String::new()),
    }
}

fn of_frequency(of: &Of, grid: Grid, frequency: &Frequency, confidence: f64) -> Vec<Row> {
    let (method, source) = limits_of(&frequency.estimate);
    let span = Span::of_estimate(&frequency.estimate);
    let cells = grid_words(grid);
    let mut rows = vec![Row {
        found: Some(frequency.occupied),
        out_of: Some(frequency.cells as f64),
        confidence: span.lower.map(|_| confidence),
        method,
        source,
        ..of.row(format!("share of cells, {cells}"), span, "share of 1")
    }];
    for result in &frequency.densities {
        let Ok(density) = &result.density else {
            continue;
        };
        let span = Span::of_converted(density);
        for (unit, factor) in [("plants per m2", 1.0), ("plants per ft2", M2_PER_FT2)] {
            rows.push(Row {
                confidence: span.lower.map(|_| confidence),
                method: result.rule.formula().to_owned(),
                source: result.rule.source().citation.to_owned(),
                ..of.row(
                    format!("density from cells, {}, {cells}", result.rule.name()),
                    span.times(factor),
                    unit,
                )
            });
        }
    }
    rows
}

fn of_counted(of: &Of, counted: &Counted, confidence: f64) -> Vec<Row> {
    let (method, source) = limits_of(&counted.estimate);
    let span = Span::of_estimate(&counted.estimate);
    [("plants per m2", 1.0), ("plants per ft2", M2_PER_FT2)]
        .into_iter()
        .map(|(unit, factor)| Row {
            found: Some(counted.plants),
            out_of: Some(counted.area_m2),
            confidence: span.lower.map(|_| confidence),
            method: method.clone(),
            source: source.clone(),
            ..of.row("density counted".to_owned(), span.times(factor), unit)
        })
        .collect()
}

/// What holds for the field as a whole.
fn field(judgement: &Judgement) -> Vec<Row> {
    let of = Of {
        what: "field",
        id: String::new(),
        name: String::new(),
        role: "",
        unknowns: "",
    };
    let exact = |measure: &str, value: f64, unit| {
        let span = Span {
            low: value,
            high: value,
            high_is_at_least: false,
            lower: None,
            upper: None,
        };
        Row {
            method: "counted".to_owned(),
            ..of.row(measure.to_owned(), span, unit)
        }
    };
    let mut rows = vec![
        exact("frames", judgement.facts.frames as f64, "frames"),
        exact("spots", judgement.facts.spots as f64, "spots"),
        exact(
            "days since seeding",
            f64::from(judgement.fairness.days_since_seeding),
            "days",
        ),
    ];
    if let Some(parts) = judgement.by_part.as_ref().filter(|parts| parts.used) {
        let confidence = Some(judgement.summary.confidence.level());
        let weighed = [
            (
                &parts.frequency,
                "share of cells, weighed by parts of the field",
                "share of 1",
            ),
            (
                &parts.density,
                "density counted, weighed by parts of the field",
                "plants per m2",
            ),
        ];
        for (range, measure, unit) in weighed {
            let Some(range) = range else { continue };
            let planted = Of {
                what: "group",
                id: standbook_judge::PLANTED.to_owned(),
                name: "everything planted, together".to_owned(),
                ..of.clone()
            };
            rows.push(Row {
                confidence,
                method: "parts of the field weighed by their areas".to_owned(),
                ..planted.row(measure.to_owned(), Span::of(range), unit)
            });
        }
    }
    rows
}

/// Unit of a threshold's measure in SI.
fn si_unit(measure: Measure) -> &'static str {
    match measure {
        Measure::Frequency | Measure::Cover => "share of 1",
        Measure::Density => "plants per m2",
        Measure::Row => "plants per m of row",
    }
}

fn thresholds(judgement: &Judgement, confidence: f64) -> Vec<Row> {
    let mut rows = Vec::new();
    for one in &judgement.compared {
        let threshold = &one.threshold;
        let unit = si_unit(threshold.unit.measure());
        let source: Vec<&str> = one.sources.iter().map(|s| s.citation.as_str()).collect();
        for by in &one.by {
            let bounds = [
                Some((&by.sure, if by.at_most.is_some() { "left out" } else { "" })),
                by.at_most.as_ref().map(|range| (range, "taken in")),
            ];
            for (range, unknowns) in bounds.into_iter().flatten() {
                let of = Of {
                    what: "threshold",
                    id: threshold.id.clone(),
                    name: threshold.name.clone(),
                    role: "",
                    unknowns,
                };
                let span = Span::of(range);
                rows.push(Row {
                    confidence: span.lower.map(|_| confidence),
                    method: by.verdict.phrase().to_owned(),
                    source: source.join("; "),
                    ..of.row(
                        format!(
                            "{}, established at {} or more",
                            evidence_words(by.evidence),
                            plain(by.established_at)
                        ),
                        span,
                        unit,
                    )
                });
            }
        }
    }
    rows
}

/// A way of measuring, in words.
pub(crate) fn evidence_words(evidence: Evidence) -> String {
    match evidence {
        Evidence::Frequency { grid } => format!("share of cells, {}", grid_words(grid)),
        Evidence::Converted { grid, rule } => {
            format!("density from cells, {}, {}", rule.name(), grid_words(grid))
        }
        Evidence::Counted => "density counted".to_owned(),
        Evidence::CountedInRows { spacing_m } => {
            format!("plants in rows {} m apart", plain(spacing_m))
        }
    }
}
