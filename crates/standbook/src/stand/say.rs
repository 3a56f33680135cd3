//! The judgement as plain text, 100 columns wide at most.
//!
//! In: a judgement. Out: text: the verdict first, then why, then numbers, doubts and methods.
//! Units: shares as percent of cells, plants per m2 and per ft2.
//! Not here: the numbers themselves (`super::numbers`), thresholds (`super::against`), what next
//! (`super::next`), pages, JSON.

use std::collections::BTreeSet;

use standbook_judge::{Because, Cited, Firmness, Label, Verdict};
use standbook_stand::confidence::Interval;
use standbook_stand::method::Method;

use super::Said;
use super::against::{against, thresholds};
use super::next::{next, notes, twice, unknowns, weeds};
use super::numbers::numbers;
use crate::text::{Sources, head, wrapped};

/// Columns for the name of a taxon.
const NAMES: usize = 40;

/// Everything.
pub(super) fn plain(said: &Said<'_>) -> String {
    let mut out = String::new();
    let mut cited = Sources::default();
    verdict(&mut out, said, &mut cited);
    numbers(&mut out, said, &mut cited);
    thresholds(&mut out, said, &mut cited);
    weeds(&mut out, said, &mut cited);
    unknowns(&mut out, said);
    twice(&mut out, said);
    next(&mut out, said, &mut cited);
    notes(&mut out, said);
    methods(&mut out, said, &mut cited);
    cited.print(&mut out);
    out
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

fn verdict(out: &mut String, said: &Said<'_>, cited: &mut Sources) {
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
    if !said.has_verdict() {
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
        let mark = marks(cited, &one.sources);
        let name = one.threshold.name.trim_end_matches('.');
        let by: Vec<String> = one
            .by
            .iter()
            .filter(|by| Some(by.rests_on) == verdict.rests_on)
            .map(against)
            .collect();
        wrapped(
            out,
            "  ",
            "    ",
            &format!("Rests on: {name}{mark}: {}.", by.join("; ")),
        );
    }
    let days = judgement.fairness.days_since_seeding;
    let mark = marks(cited, &judgement.fairness.sources);
    wrapped(
        out,
        "  ",
        "  ",
        &format!(
            "{days} days after seeding. {}{mark}",
            judgement.fairness.words
        ),
    );
}

/// ` [1] [2]`: the sources with what kind of work each is.
pub(super) fn marks(cited: &mut Sources, sources: &[Cited]) -> String {
    sources
        .iter()
        .map(|source| {
            let kind = source.kind.map_or("given by hand", |kind| kind.name());
            cited.mark(&format!(
                "{} ({kind})",
                source.citation.trim_end_matches('.')
            ))
        })
        .collect()
}

/// A name in its column; a long one, such as an unknown with a note, ends in dots. Nothing that
/// was typed may move the cursor.
fn fit(name: &str) -> String {
    let name: String = name
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    match name.chars().count() > NAMES {
        false => name,
        true => name.chars().take(NAMES - 3).chain("...".chars()).collect(),
    }
}

pub(super) fn name_of(said: &Said<'_>, label: &Label) -> String {
    match label {
        Label::Taxon(id) => said
            .key
            .taxon(id)
            .map_or_else(|| fit(id), |taxon| fit(&taxon.common_name)),
        Label::Genus(name) => fit(&format!("{name} sp.")),
        Label::NotInKey => "not in this key".to_owned(),
        Label::Unknown(code) => fit(code),
    }
}

fn methods(out: &mut String, said: &Said<'_>, cited: &mut Sources) {
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
    head(out, "How the numbers were made");
    for method in methods {
        let mark = cited.mark(method.source().citation);
        wrapped(
            out,
            "  ",
            "    ",
            &format!("{}: {}{mark}", method.name(), method.how()),
        );
    }
    let rules = summary.grids.first().and_then(|grid| grid.labels.first());
    let shown = rules.filter(|_| said.has_planted || said.by_species);
    for rule in shown.map_or(&[][..], |(_, found)| &found.densities) {
        let (rule, mark) = (rule.rule, cited.mark(rule.rule.source().citation));
        wrapped(
            out,
            "  ",
            "    ",
            &format!("{}: {}. {}{mark}", rule.name(), rule.formula(), rule.how()),
        );
    }
}
