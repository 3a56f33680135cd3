//! Weeds, doubts, what to do next, when to look again, notes.
//!
//! In: a judgement. Out: lines of at most 100 columns.
//! Not here: numbers (`super::numbers`), thresholds (`super::against`).

use std::collections::BTreeSet;

use standbook_judge::{Advised, Note};

use super::Said;
use super::say::{interval_percent, marks, name_of, percent};
use crate::text::{Sources, head, wrapped};

/// Centimetres in an inch, exact.
const CM_PER_INCH: f64 = 2.54;

/// What a second reading of the same frames says of the first.
pub(super) fn twice(out: &mut String, said: &Said<'_>) {
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

/// Weeds, the serious ones first.
pub(super) fn weeds(out: &mut String, said: &Said<'_>, cited: &mut Sources) {
    let weeds = &said.judgement.weeds;
    let none = weeds.perennial.is_empty() && weeds.annual.is_empty() && weeds.other.is_empty();
    if !said.has_planted || none {
        return;
    }
    head(out, "Weeds, the most frequent first");
    for (title, found) in [
        ("Perennial, the serious ones", &weeds.perennial),
        ("Annual, or mostly so", &weeds.annual),
        ("Of a span that no source gave", &weeds.other),
    ] {
        if found.is_empty() {
            continue;
        }
        let names: Vec<String> = found
            .iter()
            .map(|weed| {
                let noxious = match weed.noxious.is_empty() {
                    true => String::new(),
                    false => format!(" ({})", weed.noxious),
                };
                let mark = marks(cited, &weed.sources);
                format!("{}{noxious}{mark}", name_of(said, &weed.label))
            })
            .collect();
        let line = format!("{title}: {}.", names.join(", "));
        wrapped(out, "  ", "    ", &line);
    }
    if weeds.takeover {
        let line = "Perennial weeds clearly outnumber what was planted.";
        wrapped(out, "  ", "    ", line);
    }
}

/// Plants that nobody has named yet.
pub(super) fn unknowns(out: &mut String, said: &Said<'_>) {
    let unsettled = &said.judgement.unsettled;
    if !said.has_planted || unsettled.is_empty() {
        return;
    }
    head(out, "Plants without a name yet");
    for one in unsettled {
        let found = match (one.cells, one.plants) {
            (cells, 0) => format!("{cells} cell(s)"),
            (0, plants) => format!("{plants} plant(s)"),
            (cells, plants) => format!("{cells} cell(s), {plants} plant(s)"),
        };
        let line = format!("{}: {found}.", name_of(said, &one.label));
        wrapped(out, "  ", "    ", &line);
    }
    if unsettled.iter().any(|one| one.could_decide) {
        let line = "Naming them could decide a threshold that is open now.";
        wrapped(out, "  ", "    ", line);
    }
}

/// What to do next, and when to look again.
pub(super) fn next(out: &mut String, said: &Said<'_>, cited: &mut Sources) {
    if !said.has_verdict() {
        return;
    }
    let advice = &said.judgement.advice;
    if !advice.is_empty() {
        head(out, "What next, the most pressing first");
        for one in advice {
            let mark = marks(cited, &one.sources);
            let line = format!("{}: {}{mark}", one.name, one.words);
            wrapped(out, "  ", "    ", &line);
        }
        mowing(out, advice, cited);
        cautions(out, advice, cited);
        wrapped(
            out,
            "  ",
            "    ",
            "Advice stays advice: labels, local rules and licensed people decide about herbicides, the landowner about the ground, the office about a contract.",
        );
    }
    if !said.judgement.look_again.is_empty() {
        head(out, "When to look again");
    }
    for again in &said.judgement.look_again {
        let mark = marks(cited, &again.sources);
        let line = format!("Look again on {}: {}{mark}", again.on, again.words);
        wrapped(out, "  ", "    ", &line);
    }
}

/// What the sources say of mowing, where some advice is about it; they disagree.
fn mowing(out: &mut String, advice: &[Advised], cited: &mut Sources) {
    let Some(one) = advice.iter().find(|one| !one.mowing.is_empty()) else {
        return;
    };
    wrapped(
        out,
        "  ",
        "    ",
        "Mowing, by source; all cut above the planted seedlings:",
    );
    for rule in &one.mowing {
        let cm = |inches: f64| format!("{:.0}", inches * CM_PER_INCH);
        let cm = match rule.mowing.cut_in {
            None => String::new(),
            Some((low, high)) if low == high => format!(" ({} cm)", cm(low)),
            Some((low, high)) => format!(" ({} to {} cm)", cm(low), cm(high)),
        };
        let often = match rule.mowing.how_often.is_empty() {
            true => String::new(),
            false => format!("; {}", rule.mowing.how_often),
        };
        let mark = marks(cited, std::slice::from_ref(&rule.source));
        let line = format!(
            "{}: {}{cm}{often}{mark}",
            rule.mowing.trigger, rule.mowing.cut
        );
        wrapped(out, "      ", "        ", &line);
    }
}

/// A caution that several pieces of advice carry is said once.
fn cautions(out: &mut String, advice: &[Advised], cited: &mut Sources) {
    let mut said = BTreeSet::new();
    for one in advice.iter().flat_map(|one| &one.cautions) {
        if said.insert(one.caution.id.as_str()) {
            let mark = marks(cited, &one.sources);
            let line = format!("Mind: {}{mark}", one.caution.words);
            wrapped(out, "  ", "    ", &line);
        }
    }
}

/// What is odd, or taken for granted.
pub(super) fn notes(out: &mut String, said: &Said<'_>) {
    // The first line says already that the mix is missing.
    let judged = said.judgement.notes.iter();
    let judged = judged.filter(|note| said.has_planted || !matches!(note, Note::NoMix));
    let mut notes: Vec<String> = judged
        .map(ToString::to_string)
        .chain(said.notes.iter().cloned())
        .collect();
    if !said.ignored.is_empty() {
        notes.push(format!(
            "Columns that say nothing here: {}.",
            said.ignored.join(", ")
        ));
    }
    if notes.is_empty() {
        return;
    }
    head(out, "Notes");
    for note in notes {
        // A note may hold what somebody typed: nothing of it may move the cursor.
        let note = note.replace(char::is_control, " ");
        wrapped(out, "  ", "    ", &note);
    }
}
