//! The judgement as plain text, 100 columns wide at most.
//!
//! In: a judgement. Out: text: the verdict first, then why, then numbers, doubts and methods.
//! Units: shares as percent of cells, plants per m2 and per ft2.
//! Not here: pages, JSON.

use std::collections::BTreeSet;
use std::fmt::Write;

use standbook_judge::{
    Because, Comparison, Evidence, Firmness, Label, PLANTED, Range, Verdict, Wish,
};
use standbook_stand::cluster::Estimate;
use standbook_stand::confidence::Interval;
use standbook_stand::convert::Density;
use standbook_stand::method::Method;
use standbook_stand::summary::GroupOf;

use super::Said;

/// Square metres in a square foot, exact.
const M2_PER_FT2: f64 = 0.092_903_04;
/// Columns of a terminal.
const WIDTH: usize = 100;

/// Everything.
pub(super) fn plain(said: &Said<'_>) -> String {
    let mut out = String::new();
    verdict(&mut out, said);
    numbers(&mut out, said);
    thresholds(&mut out, said);
    weeds(&mut out, said);
    next(&mut out, said);
    notes(&mut out, said);
    methods(&mut out, said);
    out
}

/// Lines of at most [`WIDTH`] columns, the later ones set in.
fn wrapped(out: &mut String, first: &str, rest: &str, text: &str) {
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            out.push_str(line.trim_end());
            out.push('\n');
            line = rest.to_owned();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
}

fn head(out: &mut String, title: &str) {
    let _ = writeln!(out, "\n{title}");
}

fn percent(share: f64) -> String {
    format!("{:.1}", share * 100.0)
}

fn interval_percent(interval: Interval) -> String {
    format!(
        "{} to {} %",
        percent(interval.lower),
        percent(interval.upper)
    )
}

/// Three digits.
fn digits(value: f64) -> String {
    match value.abs() {
        v if v >= 100.0 => format!("{value:.0}"),
        v if v >= 10.0 => format!("{value:.1}"),
        v if v >= 1.0 => format!("{value:.2}"),
        _ => format!("{value:.3}"),
    }
}

fn verdict(out: &mut String, said: &Said<'_>) {
    let judgement = said.judgement;
    if !said.has_planted {
        wrapped(
            out,
            "",
            "",
            "No verdict: name the planted species with --planted, and the days with --seeded and --visited.",
        );
        return;
    }
    if !said.has_verdict {
        wrapped(
            out,
            "",
            "",
            "No verdict: whether it is fair to judge hangs on the day; give --seeded and --visited.",
        );
        return;
    }
    let verdict = &judgement.verdict;
    let fair = judgement.fairness.fair_from;
    let purpose = judgement.facts.purpose.name();
    let line = match (verdict.verdict, verdict.firmness, verdict.because) {
        (_, _, Because::NothingLaid) => "Nothing was counted.".to_owned(),
        (_, _, Because::DatesWrong) => {
            "No verdict: the visit lies before the seeding; one of the dates is wrong.".to_owned()
        }
        (_, Firmness::Withheld, _) => {
            format!("Too early to say: a fair judgement is possible from {fair}.")
        }
        (Verdict::Established, Firmness::Provisional, _) => {
            format!("Established for {purpose}, so far: it is early, count again from {fair} on.")
        }
        (Verdict::Established, ..) => format!("Established for {purpose}."),
        (Verdict::Below, ..) => format!("Below what {purpose} asks for."),
        (Verdict::NotDecided, _, Because::Unknowns) => {
            "Not decided: it hangs on plants without a name.".to_owned()
        }
        (Verdict::NotDecided, _, Because::SourcesDisagree) => {
            "Not decided: two sources disagree.".to_owned()
        }
        (Verdict::NotDecided, _, Because::ConversionsDisagree) => {
            "Not decided: conversions from frequency to density disagree.".to_owned()
        }
        (Verdict::NotDecided, _, Because::NoThreshold) => {
            format!("Not decided: no threshold for {purpose} fits what was measured.")
        }
        (Verdict::NotDecided, ..) => {
            "Not decided: the interval straddles the threshold.".to_owned()
        }
    };
    wrapped(out, "", "", &line);
    for id in &verdict.decided_by {
        let Some(one) = judgement.compared.iter().find(|c| c.threshold.id == *id) else {
            continue;
        };
        let source = one.sources.first().map_or("", |s| s.citation.as_str());
        wrapped(
            out,
            "  ",
            "  ",
            &format!(
                "Rests on: {} ({source}).",
                one.threshold.name.trim_end_matches('.')
            ),
        );
    }
    let days = judgement.fairness.days_since_seeding;
    wrapped(
        out,
        "  ",
        "  ",
        &format!("{days} days after seeding. {}", judgement.fairness.words),
    );
}

/// `41.2 % (30.1 to 52.9 %)`
fn share(estimate: &Estimate) -> String {
    match &estimate.limits {
        Ok(limited) => format!(
            "{} % ({})",
            percent(estimate.value),
            interval_percent(limited.interval)
        ),
        Err(why) => format!("{} % ({why})", percent(estimate.value)),
    }
}

fn name_of(said: &Said<'_>, label: &Label) -> String {
    match label {
        Label::Taxon(id) => said
            .key
            .taxon(id)
            .map_or_else(|| id.clone(), |taxon| taxon.common_name.clone()),
        Label::NotInKey => "not in this key".to_owned(),
        Label::Unknown(code) => code.clone(),
    }
}

fn group<'g, T>(groups: &'g [GroupOf<T>], name: &str) -> Option<&'g GroupOf<T>> {
    groups.iter().find(|group| group.name == name)
}

fn numbers(out: &mut String, said: &Said<'_>) {
    let judgement = said.judgement;
    let level = judgement.summary.confidence.level() * 100.0;
    for grid in &judgement.summary.grids {
        head(
            out,
            &format!(
                "Grid of {} cells of {} cm: {} frames at {} spots; share of cells ({level:.0} % interval)",
                grid.grid.cells, grid.grid.cell_side_cm, grid.frames, grid.spots
            ),
        );
        let planted = group(&grid.groups, PLANTED).filter(|_| said.has_planted);
        if let Some(planted) = planted {
            let mut ends = vec![("all planted together", &planted.low)];
            if let Some(high) = &planted.high {
                ends = vec![
                    ("all planted, no unknown among them", &planted.low),
                    ("all planted, every unknown among them", high),
                ];
            }
            for (name, found) in &ends {
                let _ = writeln!(
                    out,
                    "  {name:<40} {:>5}/{:<6} {}",
                    found.occupied,
                    found.cells,
                    share(&found.estimate)
                );
                if let Some(by_t) = found.estimate.by_t {
                    let effect = found
                        .estimate
                        .design_effect
                        .map_or_else(String::new, |effect| {
                            format!("; design effect {}", digits(effect))
                        });
                    let _ = writeln!(
                        out,
                        "  {:<40}              plain t: {}{effect}",
                        "",
                        interval_percent(by_t)
                    );
                }
            }
            for (name, found) in &ends {
                let _ = writeln!(out, "  plants per m2 (per ft2), {name}:");
                for rule in &found.densities {
                    let _ = writeln!(
                        out,
                        "    {:<38} {}",
                        rule.rule.name(),
                        density(&rule.density)
                    );
                }
            }
        }
        for (label, found) in &grid.labels {
            let _ = writeln!(
                out,
                "  {:<40} {:>5}/{:<6} {}",
                name_of(said, label),
                found.occupied,
                found.cells,
                share(&found.estimate)
            );
        }
    }
    if let Some(quadrats) = &judgement.summary.quadrats {
        head(
            out,
            &format!(
                "Counted: {} frames at {} spots, {} m2; plants per m2 ({level:.0} % interval), per ft2",
                quadrats.frames,
                quadrats.spots,
                digits(quadrats.area_m2)
            ),
        );
        let line = |out: &mut String, name: &str, plants: u64, estimate: &Estimate| {
            let limits = match &estimate.limits {
                Ok(limited) => format!(
                    "({} to {}), {}",
                    digits(limited.interval.lower),
                    digits(limited.interval.upper),
                    digits(estimate.value * M2_PER_FT2)
                ),
                Err(why) => format!("({why})"),
            };
            let _ = writeln!(
                out,
                "  {name:<40} {plants:>7}     {} {limits}",
                digits(estimate.value)
            );
        };
        if let Some(planted) = group(&quadrats.groups, PLANTED).filter(|_| said.has_planted) {
            match &planted.high {
                None => line(
                    out,
                    "all planted together",
                    planted.low.plants,
                    &planted.low.estimate,
                ),
                Some(high) => {
                    line(
                        out,
                        "all planted, no unknown among them",
                        planted.low.plants,
                        &planted.low.estimate,
                    );
                    line(
                        out,
                        "all planted, every unknown among them",
                        high.plants,
                        &high.estimate,
                    );
                }
            }
        }
        for (label, found) in &quadrats.labels {
            line(out, &name_of(said, label), found.plants, &found.estimate);
        }
    }
    let enough = &judgement.enough;
    for (wish, to) in [
        (&enough.frequency, "to within 10 points of frequency"),
        (&enough.density, "to within a quarter of the density"),
    ] {
        match wish {
            Some(Wish::Needs(needed)) if said.has_planted => wrapped(
                out,
                "  ",
                "  ",
                &format!(
                    "Enough? All planted {to} takes {} spots, {} more.",
                    needed.total, needed.further
                ),
            ),
            Some(Wish::CannotSay(why)) if said.has_planted => {
                wrapped(
                    out,
                    "  ",
                    "  ",
                    &format!("Enough? It can't be said how many spots it takes {to}: {why}."),
                );
            }
            _ => {}
        }
    }
}

fn density(
    density: &Result<standbook_stand::convert::Converted, standbook_stand::convert::ConvertError>,
) -> String {
    let one = |value: Density| match value {
        Density::About(m2) => format!("{} ({})", digits(m2), digits(m2 * M2_PER_FT2)),
        Density::AtLeast(m2) => {
            format!("at least {} ({})", digits(m2), digits(m2 * M2_PER_FT2))
        }
    };
    match density {
        Ok(converted) => match converted.limits {
            Some((lower, upper)) => format!(
                "{}, from {} to {}",
                one(converted.estimate),
                one(lower),
                one(upper)
            ),
            None => one(converted.estimate),
        },
        Err(why) => format!("none: {why}"),
    }
}

fn thresholds(out: &mut String, said: &Said<'_>) {
    if !said.has_planted || said.judgement.compared.is_empty() {
        return;
    }
    head(out, "Thresholds");
    for one in &said.judgement.compared {
        let source = one.sources.first().map_or("", |s| s.citation.as_str());
        wrapped(
            out,
            "  ",
            "    ",
            &format!(
                "{}: {} [{source}]",
                one.threshold.name,
                one.verdict.phrase()
            ),
        );
        for by in &one.by {
            let line = format!(
                "{}: {} against {}: {}",
                by.evidence.name(),
                range(by, &by.sure),
                in_unit(by, by.established_at),
                by.verdict.phrase()
            );
            wrapped(out, "      ", "        ", &line);
        }
    }
}

/// A value in the unit of a comparison.
fn in_unit(by: &Comparison, value: f64) -> String {
    match by.evidence {
        Evidence::Frequency { .. } => format!("{} %", percent(value)),
        Evidence::CountedInRows { .. } => format!("{} per m of row", digits(value)),
        Evidence::Converted { .. } | Evidence::Counted => format!("{} per m2", digits(value)),
    }
}

fn range(by: &Comparison, range: &Range) -> String {
    let limits = match (range.lower, range.upper) {
        (Some(lower), Some(upper)) => {
            format!(" ({} to {})", in_unit(by, lower), in_unit(by, upper))
        }
        (Some(lower), None) => format!(" ({} or more)", in_unit(by, lower)),
        _ => String::new(),
    };
    format!("{}{limits}", in_unit(by, range.estimate))
}

fn weeds(out: &mut String, said: &Said<'_>) {
    let weeds = &said.judgement.weeds;
    for (title, found) in [
        ("Weeds that stay (the serious ones)", &weeds.perennial),
        ("Weeds of one year", &weeds.annual),
        ("Other weeds", &weeds.other),
    ] {
        if !found.is_empty() && said.has_planted {
            let names: Vec<String> = found
                .iter()
                .map(|weed| name_of(said, &weed.label))
                .collect();
            wrapped(out, "", "  ", &format!("{title}: {}.", names.join(", ")));
        }
    }
}

fn next(out: &mut String, said: &Said<'_>) {
    if !said.has_verdict {
        return;
    }
    head(out, "What next");
    for one in &said.judgement.advice {
        let source = one.sources.first().map_or("", |s| s.citation.as_str());
        wrapped(
            out,
            "  ",
            "    ",
            &format!("{}: {} [{source}]", one.name, one.words),
        );
        for caution in &one.cautions {
            wrapped(out, "    mind: ", "      ", &caution.caution.words);
        }
    }
    for again in &said.judgement.look_again {
        wrapped(
            out,
            "  ",
            "    ",
            &format!("Look again on {}: {}", again.on, again.words),
        );
    }
}

fn notes(out: &mut String, said: &Said<'_>) {
    // What hangs on days that nobody gave would puzzle.
    let notes: Vec<String> = match said.has_verdict {
        true => said
            .judgement
            .notes
            .iter()
            .map(ToString::to_string)
            .collect(),
        false => Vec::new(),
    };
    if notes.is_empty() && said.ignored.is_empty() {
        return;
    }
    head(out, "Notes");
    for note in notes {
        wrapped(out, "  ", "    ", &note);
    }
    if !said.ignored.is_empty() {
        wrapped(
            out,
            "  ",
            "    ",
            &format!(
                "Columns that say nothing here: {}.",
                said.ignored.join(", ")
            ),
        );
    }
}

fn methods(out: &mut String, said: &Said<'_>) {
    let summary = &said.judgement.summary;
    let mut methods: BTreeSet<Method> = BTreeSet::new();
    let grids = summary.grids.iter().flat_map(|grid| &grid.labels);
    methods.extend(grids.filter_map(|(_, f)| Some(f.estimate.limits.ok()?.method)));
    let counted = summary
        .quadrats
        .iter()
        .flat_map(|quadrats| &quadrats.labels);
    methods.extend(counted.filter_map(|(_, c)| Some(c.estimate.limits.ok()?.method)));
    if methods.is_empty() {
        return;
    }
    head(out, "Intervals");
    for method in methods {
        wrapped(
            out,
            "  ",
            "    ",
            &format!(
                "{}: {} [{}]",
                method.name(),
                method.how(),
                method.source().citation
            ),
        );
    }
}
