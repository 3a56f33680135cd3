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
/// Columns for the name of a taxon.
const NAMES: usize = 40;

/// Everything.
pub(super) fn plain(said: &Said<'_>) -> String {
    let mut out = String::new();
    let mut cited = Cited::default();
    verdict(&mut out, said, &mut cited);
    numbers(&mut out, said);
    thresholds(&mut out, said, &mut cited);
    weeds(&mut out, said);
    next(&mut out, said, &mut cited);
    notes(&mut out, said);
    methods(&mut out, said, &mut cited);
    cited.print(&mut out);
    out
}

/// Sources by number: in full at the end, for one may stand behind many lines.
#[derive(Default)]
struct Cited(Vec<String>);

impl Cited {
    /// ` [3]`; nothing where there is no source.
    fn mark(&mut self, citation: Option<&str>) -> String {
        let Some(citation) = citation else {
            return String::new();
        };
        let at = self.0.iter().position(|known| known == citation);
        let at = at.unwrap_or_else(|| {
            self.0.push(citation.to_owned());
            self.0.len() - 1
        });
        format!(" [{}]", at + 1)
    }

    fn print(&self, out: &mut String) {
        if self.0.is_empty() {
            return;
        }
        head(out, "Sources");
        for (at, citation) in self.0.iter().enumerate() {
            wrapped(out, "  ", "      ", &format!("[{}] {citation}", at + 1));
        }
    }
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
        v if v < 0.0005 => "0".to_owned(),
        _ => format!("{value:.3}"),
    }
}

fn verdict(out: &mut String, said: &Said<'_>, cited: &mut Cited) {
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
            "No verdict: it takes --seeded and --visited to say whether it is fair to judge already.",
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
            format!(
                "No verdict for {purpose} yet: too early to say; it can be judged fairly from {fair}."
            )
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
    // Nothing rests on a threshold before it is fair to ask.
    let decided = verdict.firmness != Firmness::Withheld;
    for id in verdict.decided_by.iter().filter(|_| decided) {
        let Some(one) = judgement.compared.iter().find(|c| c.threshold.id == *id) else {
            continue;
        };
        let mark = cited.mark(one.sources.first().map(|s| s.citation.as_str()));
        let name = one.threshold.name.trim_end_matches('.');
        wrapped(out, "  ", "    ", &format!("Rests on: {name}{mark}."));
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

/// A name in its column; a long one, such as an unknown with a note, ends in dots.
fn fit(name: &str) -> String {
    match name.chars().count() > NAMES {
        false => name.to_owned(),
        true => name.chars().take(NAMES - 3).chain("...".chars()).collect(),
    }
}

fn name_of(said: &Said<'_>, label: &Label) -> String {
    match label {
        Label::Taxon(id) => said
            .key
            .taxon(id)
            .map_or_else(|| fit(id), |taxon| fit(&taxon.common_name)),
        Label::NotInKey => "not in this key".to_owned(),
        Label::Unknown(code) => fit(code),
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
                "Grid of {} cells of {} cm, {} frame(s) at {} point(s): cells with a plant ({level:.0} % interval)",
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
                    let line = format!("    {:<38} {}", rule.rule.name(), density(&rule.density));
                    match line.chars().count() > WIDTH {
                        true => wrapped(out, "    ", "      ", &line),
                        false => {
                            let _ = writeln!(out, "{line}");
                        }
                    }
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
                "Counted, {} frame(s) at {} point(s), {} m2: plants, per m2 ({level:.0} % interval), per ft2",
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
                    "Enough? To know all planted {to} takes {} points, {} more than now.",
                    needed.total, needed.further
                ),
            ),
            Some(Wish::CannotSay(why)) if said.has_planted => {
                wrapped(
                    out,
                    "  ",
                    "  ",
                    &format!("Enough? It can't be said how many points it takes {to}: {why}."),
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

fn thresholds(out: &mut String, said: &Said<'_>, cited: &mut Cited) {
    if !said.has_planted || said.judgement.compared.is_empty() {
        return;
    }
    let fair = said.has_verdict && said.judgement.verdict.firmness != Firmness::Withheld;
    head(
        out,
        match fair {
            true => "Thresholds",
            false => "Thresholds (the numbers beside them; this is not yet a verdict)",
        },
    );
    for one in &said.judgement.compared {
        let mark = cited.mark(one.sources.first().map(|s| s.citation.as_str()));
        wrapped(
            out,
            "  ",
            "    ",
            &format!("{}: {}{mark}", one.threshold.name, one.verdict.phrase()),
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
    let none = weeds.perennial.is_empty() && weeds.annual.is_empty() && weeds.other.is_empty();
    if said.has_planted && !none {
        head(out, "Weeds");
    }
    for (title, found) in [
        ("Perennial, the serious ones", &weeds.perennial),
        ("Annual", &weeds.annual),
        ("Other", &weeds.other),
    ] {
        if !found.is_empty() && said.has_planted {
            let names: Vec<String> = found
                .iter()
                .map(|weed| name_of(said, &weed.label))
                .collect();
            wrapped(
                out,
                "  ",
                "    ",
                &format!("{title}: {}.", names.join(", ")),
            );
        }
    }
}

fn next(out: &mut String, said: &Said<'_>, cited: &mut Cited) {
    if !said.has_verdict {
        return;
    }
    head(out, "What next");
    for one in &said.judgement.advice {
        let mark = cited.mark(one.sources.first().map(|s| s.citation.as_str()));
        wrapped(
            out,
            "  ",
            "    ",
            &format!("{}: {}{mark}", one.name, one.words),
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

fn methods(out: &mut String, said: &Said<'_>, cited: &mut Cited) {
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
    head(out, "How the intervals were made");
    for method in methods {
        let mark = cited.mark(Some(method.source().citation));
        wrapped(
            out,
            "  ",
            "    ",
            &format!("{}: {}{mark}", method.name(), method.how()),
        );
    }
}
