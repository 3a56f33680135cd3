//! The tables after the first page: species, every rule, weeds, thresholds.
//!
//! In: a judgement. Out: sections with rounded numbers, each with its range.
//! Not here: seed (`seed`), what is in doubt (`doubts`).

use standbook_judge::{
    Caveat, Compared, Comparison, Judgement, PLANTED, Range, Verdict, WeedFound, WhyNot,
};
use standbook_key::standards::{LifeSpan, Measure};
use standbook_stand::summary::Frequency;

use super::cite::Sources;
use super::figures::{dense_estimate, of_100, per_ft2, share_estimate, squares_both};
use super::gather::Gathered;
use super::plain::level;
use super::results::{evidence_words, role_word};
use super::section::{Cell, Section};
use super::span::Span;
use crate::app::App;
use crate::words::digits;

/// Limits of a share of 100: `7 to 52`; `no range` with one spot.
fn share_limits(span: &Span) -> String {
    match span.lower.zip(span.upper) {
        Some((lower, upper)) => format!("{} to {}", of_100(lower), of_100(upper)),
        None => "no range".to_owned(),
    }
}

/// Limits of a density: `0.3 to 2.6`.
fn dense_limits(span: &Span) -> String {
    match (span.lower, span.upper) {
        (Some(lower), Some(upper)) => format!("{} to {}", digits(lower), digits(upper)),
        (Some(lower), None) => format!("{} or more", digits(lower)),
        (None, _) => "no range".to_owned(),
    }
}

fn shares(span: &Span) -> Cell {
    Cell::with(share_estimate(span), share_limits(span))
}

fn dense(span: &Span) -> Cell {
    Cell::with(dense_estimate(span), dense_limits(span))
}

/// Both densities: per ft2, per m2.
fn both(span: &Span) -> [Cell; 2] {
    [dense(&per_ft2(span)), dense(span)]
}

/// The span of a frequency sent through every rule.
fn over_rules(frequency: &Frequency) -> Option<Span> {
    let densities = frequency.densities.iter();
    densities
        .filter_map(|result| result.density.as_ref().ok())
        .map(Span::of_converted)
        .reduce(Span::hull)
}

/// Species and unknowns, one table for each kind of frame.
pub(super) fn species(app: &App, gathered: &Gathered) -> Vec<Section> {
    let judgement = &gathered.judgement;
    let name = |label| {
        let (common, scientific) = gathered.name_of(app, label);
        let role = judgement.roles.iter().find(|(known, _)| known == label);
        let role = role.map_or("", |(_, role)| role_word(*role));
        match scientific.is_empty() {
            true => Cell::with(common, role),
            false => Cell::with(common, format!("{scientific}; {role}")),
        }
    };
    let mut sections = Vec::new();
    for grid in &judgement.summary.grids {
        let mut section = Section::new("Species, by squares");
        section.says.push(format!(
            "{} frames of {} {} at {} spots. Large: what was found; small: the range that allows for where the frames fell.",
            grid.frames, grid.grid.cells, squares_both(grid.grid), grid.spots
        ));
        section.table.head = vec![
            ("Plant", false),
            ("Seen in", true),
            ("of 100 squares", true),
            ("plants per ft²", true),
            ("plants per m²", true),
        ];
        for (label, frequency) in &grid.labels {
            let mut row = vec![
                name(label),
                format!("{} of {}", frequency.occupied, frequency.cells).into(),
                shares(&Span::of_estimate(&frequency.estimate)),
            ];
            match over_rules(frequency) {
                Some(span) => row.extend(both(&span)),
                None => row.extend([Cell::default(), Cell::default()]),
            }
            section.table.rows.push(row);
        }
        section.small = "Plants per area are worked out from squares in every way listed below; the smallest and the largest are shown.".to_owned();
        sections.push(section);
    }
    if let Some(quadrats) = &judgement.summary.quadrats {
        let mut section = Section::new("Species, counted");
        section.says.push(format!(
            "Plants counted in {} quadrats or rows at {} spots, {} in all.",
            quadrats.frames,
            quadrats.spots,
            crate::words::area(quadrats.area_m2)
        ));
        section.table.head = vec![
            ("Plant", false),
            ("Counted", true),
            ("plants per ft²", true),
            ("plants per m²", true),
        ];
        for (label, counted) in &quadrats.labels {
            let mut row = vec![name(label), counted.plants.to_string().into()];
            row.extend(both(&Span::of_estimate(&counted.estimate)));
            section.table.rows.push(row);
        }
        sections.push(section);
    }
    sections
}

/// Everything planted together, by every rule.
pub(super) fn by_rule(judgement: &Judgement, sources: &mut Sources) -> Section {
    let mut section = Section::new("From squares to plants");
    section.table.head = vec![
        ("Way", false),
        ("plants per ft²", true),
        ("plants per m²", true),
        ("Source", false),
    ];
    for grid in &judgement.summary.grids {
        let Some(group) = grid.groups.iter().find(|group| group.name == PLANTED) else {
            continue;
        };
        let high = group.high.as_ref().unwrap_or(&group.low);
        for (low, high) in group.low.densities.iter().zip(&high.densities) {
            let spans = [&low.density, &high.density].map(|d| d.as_ref().ok().map(Span::of_converted));
            let [Some(low_span), Some(high_span)] = spans else {
                continue;
            };
            let rule = low.rule;
            let mut row = vec![Cell::with(rule.name(), rule.formula())];
            row.extend(both(&low_span.hull(high_span)));
            row.push(sources.cite_method(rule.source()).into());
            section.table.rows.push(row);
        }
    }
    if !section.table.rows.is_empty() {
        section.says.push(
            "Everything planted, together. This frame shows squares, not plants; each way guesses plants differently, and none of the ranges holds the doubt about the way itself.".to_owned(),
        );
    }
    section
}

/// Weeds, the serious ones first.
pub(super) fn weeds(app: &App, gathered: &Gathered, sources: &mut Sources) -> Section {
    let weeds = &gathered.judgement.weeds;
    let mut section = Section::new("Weeds");
    section.table.head = vec![
        ("Weed", false),
        ("Lives", false),
        ("of 100 squares", true),
        ("per ft²", true),
        ("Law", false),
        ("Source", false),
    ];
    for weed in weeds.perennial.iter().chain(&weeds.annual).chain(&weeds.other) {
        section.table.rows.push(weed_row(app, gathered, weed, sources));
    }
    section.says.push(match (weeds.takeover, section.table.rows.is_empty()) {
        (_, true) => "No weed was found in the frames.".to_owned(),
        (true, false) => "Weeds that stay stand in clearly more places than what was planted. Ask the office to look before anything is done.".to_owned(),
        (false, false) => "Weeds that stay are the serious ones; weeds of one year are mostly overtaken.".to_owned(),
    });
    section
}

fn weed_row(app: &App, gathered: &Gathered, weed: &WeedFound, sources: &mut Sources) -> Vec<Cell> {
    let (common, scientific) = gathered.name_of(app, &weed.label);
    let of = |range: &Option<Range>| range.as_ref().map(Span::of);
    vec![
        Cell::with(common, scientific),
        match weed.span {
            Some(LifeSpan::Perennial) => "stays",
            Some(LifeSpan::Annual) => "one year",
            Some(LifeSpan::ShortLived) => "one year, some longer",
            None => "not known",
        }
        .into(),
        of(&weed.frequency).map_or_else(Cell::default, |span| shares(&span)),
        of(&weed.density).map_or_else(Cell::default, |span| dense(&per_ft2(&span))),
        weed.noxious.clone().into(),
        sources.cite(&weed.sources).into(),
    ]
}

/// The weeds that stay, named: `mostly johnsongrass`; empty where none was found.
pub(super) fn staying_weeds(app: &App, gathered: &Gathered) -> String {
    let weeds = &gathered.judgement.weeds.perennial;
    let names: Vec<String> = weeds
        .iter()
        .take(3)
        .map(|weed| gathered.name_of(app, &weed.label).0)
        .collect();
    match names.as_slice() {
        [] => String::new(),
        [only] => format!("Found: {only}"),
        [first, rest @ ..] => format!("Found: mostly {first}; also {}", rest.join(", ")),
    }
}

/// What a verdict says of a threshold.
pub(super) fn verdict_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Established => "reached",
        Verdict::Below => "not reached",
        Verdict::NotDecided => "not decided",
    }
}

fn caveat_words(caveat: &Caveat) -> String {
    match caveat {
        Caveat::FoundElsewhere => "found in another region".to_owned(),
        Caveat::OtherSeason { season } => format!("speaks of growing season {season}"),
        Caveat::Borrowed => "made for fields of one grass, borrowed for this mix".to_owned(),
        Caveat::SeedlingsCounted => "speaks of plants; these are seedlings, some of which will die".to_owned(),
        Caveat::WeakSource => "a seller's figure, or second hand".to_owned(),
        Caveat::NotDeciding => "shown for comparison; nothing rests on it".to_owned(),
    }
}

/// Found, by one way of measuring, in the words of the threshold's unit.
fn measured(one: &Compared, by: &Comparison) -> Cell {
    let mut span = Span::of(&by.sure);
    if let Some(most) = &by.at_most {
        span = span.hull(Span::of(most));
    }
    let words = evidence_words(by.evidence);
    match one.threshold.unit.measure() {
        Measure::Frequency | Measure::Cover => Cell::with(
            format!("{} of 100 ({})", share_estimate(&span), share_limits(&span)),
            words,
        ),
        Measure::Density => {
            let ft2 = per_ft2(&span);
            Cell::with(
                format!("{} per ft² ({})", dense_estimate(&ft2), dense_limits(&ft2)),
                words,
            )
        }
        Measure::Row => {
            let ft = span.times(0.3048);
            Cell::with(
                format!("{} per foot of row ({})", dense_estimate(&ft), dense_limits(&ft)),
                words,
            )
        }
    }
}

/// Every threshold with what the counts say to it.
pub(super) fn thresholds(judgement: &Judgement, sources: &mut Sources) -> Section {
    let mut section = Section::new("How many are enough, says who");
    section.table.head = vec![
        ("Rule", false),
        ("Asks for", false),
        ("Found", false),
        ("Result", false),
        ("Source", false),
    ];
    for one in &judgement.compared {
        let threshold = &one.threshold;
        let decides = judgement.verdict.decided_by.contains(&threshold.id);
        let caveats: Vec<String> = one.caveats.iter().map(caveat_words).collect();
        for (at, by) in one.by.iter().enumerate() {
            let (name, asks, source) = match at {
                0 => (
                    Cell::with(
                        match decides {
                            true => format!("{} (the answer rests on this)", threshold.name),
                            false => threshold.name.clone(),
                        },
                        caveats.join("; "),
                    ),
                    level(threshold, threshold.established_si()),
                    sources.cite(&one.sources),
                ),
                _ => (Cell::default(), String::new(), String::new()),
            };
            section.table.rows.push(vec![
                name,
                asks.into(),
                measured(one, by),
                verdict_words(by.verdict).into(),
                source.into(),
            ]);
        }
    }
    section.says.push(match section.table.rows.is_empty() {
        true => "No rule at hand fits what was measured here.".to_owned(),
        false => "A rule is reached, or not reached, only where the whole range lies on one side of it.".to_owned(),
    });
    let passed: Vec<String> = judgement
        .not_compared
        .iter()
        // Rules for other purposes and other plants would only fill the page.
        .filter(|one| !matches!(one.why, WhyNot::OtherPurpose | WhyNot::OtherPlants))
        .map(|one| {
            let why = match one.why {
                WhyNot::OtherPurpose => "for another purpose",
                WhyNot::OtherPlants => "for other plants",
                WhyNot::OtherRegion => "holds in another region only",
                WhyNot::SeedlingGoal => "a goal for seedlings soon after they come up",
                WhyNot::NotMeasured => "asks for something that was not measured",
            };
            format!("{}: {why}", one.threshold.name)
        })
        .collect();
    if !passed.is_empty() {
        section.small = format!("Not used here: {}.", passed.join("; "));
    }
    section
}

/// The intervals' methods, in words.
pub(super) fn methods(judgement: &Judgement, sources: &mut Sources) -> Section {
    let mut section = Section::new("How the ranges were worked out");
    let frequencies = judgement.summary.grids.iter().flat_map(|grid| {
        let labels = grid.labels.iter().map(|(_, value)| &value.estimate);
        let groups = grid.groups.iter();
        labels.chain(groups.map(|group| &group.low.estimate))
    });
    let counts = judgement.summary.quadrats.iter().flat_map(|quadrats| {
        let labels = quadrats.labels.iter().map(|(_, value)| &value.estimate);
        let groups = quadrats.groups.iter();
        labels.chain(groups.map(|group| &group.low.estimate))
    });
    let used: std::collections::BTreeSet<_> = frequencies
        .chain(counts)
        .filter_map(|estimate| estimate.limits.ok())
        .map(|limited| limited.method)
        .collect();
    for method in used {
        section.list.push(format!(
            "{}: {} {}",
            method.name(),
            method.how(),
            sources.cite_method(method.source())
        ));
    }
    if !section.list.is_empty() {
        section.says.push(format!(
            "Every range is meant to hold the true number {:.0} times in 100 ({:.0} % confidence intervals). All frames at one spot count as one look; a square with several planted grasses counts once.",
            judgement.summary.confidence.level() * 100.0,
            judgement.summary.confidence.level() * 100.0,
        ));
    }
    section
}
