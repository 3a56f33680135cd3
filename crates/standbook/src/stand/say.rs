//! The judgement as plain text, 100 columns wide at most.
//!
//! In: a judgement. Out: text: the verdict first, then why, then numbers, doubts and methods.
//! Units: shares as percent of cells, plants per m2 and per ft2.
//! Not here: the numbers themselves (`super::numbers`), pages, JSON.

use std::collections::BTreeSet;
use std::fmt::Write;

use standbook_judge::{Because, Comparison, Evidence, Firmness, Label, Range, Verdict};
use standbook_stand::confidence::Interval;
use standbook_stand::method::Method;

use super::Said;
use super::numbers::numbers;

/// Columns of a terminal.
pub(super) const WIDTH: usize = 100;
/// Columns for the name of a taxon.
const NAMES: usize = 40;

/// Everything.
pub(super) fn plain(said: &Said<'_>) -> String {
    let mut out = String::new();
    let mut cited = Cited::default();
    verdict(&mut out, said, &mut cited);
    numbers(&mut out, said);
    thresholds(&mut out, said, &mut cited);
    twice(&mut out, said);
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
pub(super) fn wrapped(out: &mut String, first: &str, rest: &str, text: &str) {
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

pub(super) fn head(out: &mut String, title: &str) {
    let _ = writeln!(out, "\n{title}");
}

pub(super) fn percent(share: f64) -> String {
    format!("{:.1}", share * 100.0)
}

pub(super) fn interval_percent(interval: Interval) -> String {
    format!(
        "{} to {} %",
        percent(interval.lower),
        percent(interval.upper)
    )
}

/// Three digits.
pub(super) fn digits(value: f64) -> String {
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

/// A name in its column; a long one, such as an unknown with a note, ends in dots.
fn fit(name: &str) -> String {
    match name.chars().count() > NAMES {
        false => name.to_owned(),
        true => name.chars().take(NAMES - 3).chain("...".chars()).collect(),
    }
}

pub(super) fn name_of(said: &Said<'_>, label: &Label) -> String {
    match label {
        Label::Taxon(id) => said
            .key
            .taxon(id)
            .map_or_else(|| fit(id), |taxon| fit(&taxon.common_name)),
        Label::NotInKey => "not in this key".to_owned(),
        Label::Unknown(code) => fit(code),
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

/// What a second reading of the same frames says of the first.
fn twice(out: &mut String, said: &Said<'_>) {
    let Some(twice) = &said.judgement.seen_twice else {
        return;
    };
    let mut words = format!(
        "Read twice: {} frame(s); the first reading is in the numbers above, the second is not.",
        twice.frames
    );
    if let Some(agreement) = &twice.agreement {
        words += &format!(
            " The two agree on {} % of {} cells ({}).",
            percent(agreement.observed),
            agreement.pairs,
            interval_percent(agreement.observed_interval)
        );
    }
    if let Some(detection) = twice.detection.as_ref().filter(|_| said.has_planted) {
        let missed = &detection.overlooked_by_one;
        words += &format!(
            " One look overlooks {} % of the cells with a planted grass ({}).",
            percent(missed.value),
            interval_percent(missed.interval)
        );
    }
    out.push('\n');
    wrapped(out, "", "  ", &words);
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
