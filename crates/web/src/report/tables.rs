//! The tables after the first page: species, every rule, weeds, thresholds.
//!
//! In: a judgement. Out: sections with rounded numbers, each with its range.
//! Not here: seed (`seed`), what is in doubt (`doubts`).

use standbook_judge::{
    Caveat, Compared, Judgement, Label, PLANTED, Range, Verdict, WeedFound, WhyNot,
};
use standbook_key::standards::{LifeSpan, Measure};
use standbook_stand::summary::Frequency;

use super::cite::Sources;
use super::figures::{
    dense_estimate, dense_limits, per_ft2, share_estimate, share_limits, squares_both,
};
use super::gather::Gathered;
use super::plain::level;
use super::results::{evidence_words, role_word};
use super::section::{Cell, Section};
use super::span::Span;
use super::whisker::in_mix_order;
use crate::app::App;
use crate::words::number_of;

fn shares(span: &Span) -> Cell {
    Cell::with(share_estimate(span), share_limits(span))
}

/// A density in its own unit, with its limits below.
pub(crate) fn dense(span: &Span) -> Cell {
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

/// Labels as a table has them: the mix in its order, then everything else.
fn in_order<'l, T>(judgement: &Judgement, labels: &'l [(Label, T)]) -> Vec<&'l (Label, T)> {
    let mut ordered = in_mix_order(judgement, labels);
    let planted: Vec<&Label> = ordered.iter().map(|(label, _)| label).collect();
    let others: Vec<_> = labels
        .iter()
        .filter(|(label, _)| !planted.contains(&label))
        .collect();
    ordered.extend(others);
    ordered
}

/// Species and unknowns, one table for each kind of frame.
pub(crate) fn species(app: &App, gathered: &Gathered) -> Vec<Section> {
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
            "{} of {} {} at {}. Large: what was found; small: the range that allows for where the frames fell.",
            number_of(grid.frames, "frame"),
            grid.grid.cells,
            squares_both(grid.grid),
            number_of(grid.spots, "spot")
        ));
        section.table.head = vec![
            ("Plant", false),
            ("Seen in", true),
            ("of 100 squares", true),
            ("plants per ft²", true),
            ("plants per m²", true),
        ];
        for (label, frequency) in in_order(judgement, &grid.labels) {
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
        for (label, counted) in in_order(judgement, &quadrats.labels) {
            let mut row = vec![name(label), counted.plants.to_string().into()];
            row.extend(both(&Span::of_estimate(&counted.estimate)));
            section.table.rows.push(row);
        }
        sections.push(section);
    }
    sections
}

/// Everything planted together, by every rule.
pub(crate) fn by_rule(judgement: &Judgement, sources: &mut Sources) -> Section {
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
            let spans =
                [&low.density, &high.density].map(|d| d.as_ref().ok().map(Span::of_converted));
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
pub(crate) fn weeds(app: &App, gathered: &Gathered, sources: &mut Sources) -> Section {
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
    for weed in weeds
        .perennial
        .iter()
        .chain(&weeds.annual)
        .chain(&weeds.other)
    {
        section
            .table
            .rows
            .push(weed_row(app, gathered, weed, sources));
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
pub(crate) fn staying_weeds(app: &App, gathered: &Gathered) -> String {
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
pub(crate) fn verdict_words(verdict: Verdict) -> &'static str {
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
        Caveat::SeedlingsCounted => {
            "speaks of plants; these are seedlings, some of which will die".to_owned()
        }
        Caveat::WeakSource => "a seller's figure, or second hand".to_owned(),
        Caveat::NotDeciding => "shown for comparison; nothing rests on it".to_owned(),
    }
}

/// What was found, over every way of measuring, in the words of the threshold's unit.
fn measured(one: &Compared) -> Cell {
    let spans = one.by.iter().flat_map(|by| {
        [Some(&by.sure), by.at_most.as_ref()]
            .into_iter()
            .flatten()
            .map(Span::of)
    });
    let Some(span) = spans.reduce(Span::hull) else {
        return Cell::default();
    };
    let words = match one.by.as_slice() {
        [only] => evidence_words(only.evidence),
        more => format!("in {} ways, smallest to largest", more.len()),
    };
    let dense = |span: &Span, unit: &str| {
        format!("{} {unit} ({})", dense_estimate(span), dense_limits(span))
    };
    let found = match one.threshold.unit.measure() {
        Measure::Frequency | Measure::Cover => {
            format!("{} of 100 ({})", share_estimate(&span), share_limits(&span))
        }
        Measure::Density => dense(&per_ft2(&span), "per ft²"),
        Measure::Row => dense(&span.times(0.3048), "per foot of row"),
    };
    Cell::with(found, words)
}

/// Every threshold with what the counts say to it.
pub(crate) fn thresholds(judgement: &Judgement, sources: &mut Sources) -> Section {
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
        let by_way: Vec<String> = one
            .by
            .iter()
            .map(|by| format!("{}: {}", by.evidence.name(), verdict_words(by.verdict)))
            .collect();
        let differ = one.by.iter().any(|by| by.verdict != one.by[0].verdict);
        section.table.rows.push(vec![
            Cell::with(
                match decides {
                    true => format!("{} (the answer rests on this)", threshold.name),
                    false => threshold.name.clone(),
                },
                caveats.join("; "),
            ),
            level(threshold, threshold.established_si()).into(),
            measured(one),
            Cell::with(
                verdict_words(one.verdict),
                if differ {
                    by_way.join("; ")
                } else {
                    String::new()
                },
            ),
            sources.cite(&one.sources).into(),
        ]);
    }
    section.says.push(match section.table.rows.is_empty() {
        true => "No rule at hand fits what was measured here.".to_owned(),
        false => {
            "A rule is reached, or not reached, only where the whole range lies on one side of it."
                .to_owned()
        }
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
pub(crate) fn methods(judgement: &Judgement, sources: &mut Sources) -> Section {
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
        let mark = sources.cite_method(method.source());
        section.line(
            format!("{}:", method.name()),
            format!("{} {mark}", method.how()),
        );
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
