//! Every threshold, what the counts say to it, and what to mind.
//!
//! In: a judgement. Out: lines of at most 100 columns.
//! Units: percent of cells, plants per m2, plants per m of row.
//! Not here: the verdict over all (`super::say`).

use standbook_judge::{Caveat, Compared, Comparison, Evidence, Firmness, Range, Verdict, WhyNot};

use super::Said;
use super::say::{digits, marks, percent};
use crate::text::{Sources, head, wrapped};

/// The part on thresholds.
pub(super) fn thresholds(out: &mut String, said: &Said<'_>, cited: &mut Sources) {
    let judgement = said.judgement;
    if !said.has_planted || judgement.compared.is_empty() {
        return;
    }
    let fair = said.has_verdict() && judgement.verdict.firmness != Firmness::Withheld;
    head(
        out,
        match fair {
            true => "Thresholds, those a verdict may rest on first",
            false => "Thresholds (the numbers beside them; this is not yet a verdict)",
        },
    );
    for one in &judgement.compared {
        let mark = marks(cited, &one.sources);
        wrapped(
            out,
            "  ",
            "    ",
            &format!("{}{mark}: {}", one.threshold.name, phrase(one.verdict)),
        );
        for by in &one.by {
            let line = format!("{}: {}", against(by), phrase(by.verdict));
            wrapped(out, "      ", "        ", &line);
        }
        let caveats: Vec<String> = one.caveats.iter().map(|caveat| mind(caveat, one)).collect();
        if !caveats.is_empty() {
            let line = format!("mind: {}", caveats.join("; "));
            wrapped(out, "      ", "        ", &line);
        }
    }
    for one in &judgement.not_compared {
        let why = match one.why {
            WhyNot::OtherPurpose | WhyNot::OtherPlants => continue,
            WhyNot::OtherRegion => "it holds elsewhere only",
            WhyNot::SeedlingGoal => "a goal for seedlings soon after emergence",
            WhyNot::NotMeasured => "what it speaks of was not measured",
        };
        let mark = marks(cited, &one.sources);
        let line = format!("{}{mark}: not compared, {why}", one.threshold.name);
        wrapped(out, "  ", "    ", &line);
    }
}

fn phrase(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Established => "reached",
        Verdict::Below => "not reached",
        Verdict::NotDecided => "not decided",
    }
}

/// What to mind when a threshold is used.
fn mind(caveat: &Caveat, one: &Compared) -> String {
    match caveat {
        Caveat::FoundElsewhere => format!("found elsewhere ({})", one.threshold.region),
        Caveat::OtherSeason { season } => format!("it speaks of growing season {season}"),
        Caveat::Borrowed => "found for stands of one grass, borrowed for this mix".to_owned(),
        Caveat::SeedlingsCounted => {
            "it speaks of plants; these are seedlings, some of which will die".to_owned()
        }
        Caveat::WeakSource => "a seller's figure or second hand".to_owned(),
        Caveat::NotDeciding => "a goal or a comparison; no verdict rests on it".to_owned(),
    }
}

/// `frequency 70.0 % (42.0 to 90.0 %) against 40.0 %`
pub(super) fn against(by: &Comparison) -> String {
    let (number, unit) = unit(by);
    let most = by.at_most.map_or_else(String::new, |most| {
        format!(" (if every unknown is planted {})", range(by, &most))
    });
    format!(
        "{} {}{most} against {}{unit}",
        by.evidence.name(),
        range(by, &by.sure),
        number(by.established_at)
    )
}

/// How numbers of a comparison are written, and their unit.
fn unit(by: &Comparison) -> (fn(f64) -> String, &'static str) {
    match by.evidence {
        Evidence::Frequency { .. } => (percent, " %"),
        Evidence::CountedInRows { .. } => (digits, " per m of row"),
        Evidence::Converted { .. } | Evidence::Counted => (digits, " per m2"),
    }
}

/// An estimate with its limits.
fn range(by: &Comparison, range: &Range) -> String {
    let (number, unit) = unit(by);
    let least = match range.estimate_is_at_least {
        true => "at least ",
        false => "",
    };
    let limits = match (range.lower, range.upper) {
        (Some(lower), Some(upper)) => format!("({} to {}{unit})", number(lower), number(upper)),
        (Some(lower), None) => format!("({} or more{unit})", number(lower)),
        _ => "(no interval: one spot)".to_owned(),
    };
    format!("{least}{}{unit} {limits}", number(range.estimate))
}
