//! The first page in words a landowner understands: the answer, how sure.
//!
//! In: a judgement. Out: sentences. No word of statistics: a range is said as "between 7 and 52 of
//! every 100 squares".
//! Never more certain than the judgement: a verdict kept back stays kept back, and a shortage on
//! an early day is never called a failure.
//! Not here: the three numbers (`three`), the next step (`step`), tables (`tables`).

use standbook_judge::{Because, Compared, Firmness, Judgement, Verdict, When};
use standbook_key::standards::{Measure, Purpose, Threshold};

use super::figures::{
    dense_estimate, dense_range, of_100, per_ft2, share_estimate, share_range, squares,
};
use super::span::{planted_density, planted_share};
use crate::words::{date_words, digits, number_of};

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Answer {
    /// The short answer.
    pub headline: String,
    /// What was found, and what is taken as enough.
    pub sentence: String,
}

/// What a planting is for, as the sentence has it.
fn purpose(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Forage => "grazing or hay",
        Purpose::Biomass => "harvest as biomass",
        Purpose::Conservation => "conservation cover",
        Purpose::Wildlife => "wildlife habitat",
    }
}

/// The answer.
pub(crate) fn answer(judgement: &Judgement) -> Answer {
    Answer {
        headline: headline(judgement),
        sentence: [found(judgement), needed(judgement)]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(" "),
    }
}

fn too_early(judgement: &Judgement) -> String {
    let shows = date_words(&judgement.fairness.emergence_from.to_string());
    format!("Too early to look: seedlings of these grasses show from about {shows}.")
}

fn headline(judgement: &Judgement) -> String {
    let verdict = &judgement.verdict;
    let fair = date_words(&judgement.fairness.fair_from.to_string());
    let purpose = purpose(judgement.facts.purpose);
    match verdict.because {
        Because::NothingLaid => return "Nothing was counted on this visit, so nothing can be said of the planting.".to_owned(),
        Because::DatesWrong => return "The dates do not fit: the visit lies before the seeding. Correct one of them; until then nothing can be said.".to_owned(),
        Because::BeforeEmergence => return too_early(judgement),
        Because::ZeroTooEarly if judgement.fairness.when == When::BeforeEmergence => {
            return too_early(judgement);
        }
        Because::ZeroTooEarly => return format!(
            "Nothing planted was found yet, and it is too early for that to mean anything. A fair judgement is possible from {fair}."
        ),
        Because::BelowTooEarly => return format!(
            "Few planted grasses so far, and it is too early to call that a failure. A fair judgement is possible from {fair}."
        ),
        _ => {}
    }
    match (verdict.verdict, verdict.firmness) {
        (Verdict::Established, Firmness::Fair) => {
            format!("Yes: enough planted grasses have come up for {purpose}.")
        }
        (Verdict::Established, _) => format!(
            "So far, yes: there are enough planted grasses for {purpose}. It is early; count again from {fair} on before calling it done."
        ),
        (Verdict::Below, Firmness::Fair) => {
            format!("No: there are fewer planted grasses than {purpose} asks for.")
        }
        (Verdict::Below, _) => format!(
            "Few planted grasses so far, and it is too early to call that a failure. A fair judgement is possible from {fair}."
        ),
        (Verdict::NotDecided, firmness) => {
            let open = match verdict.because {
                Because::Unknowns => "Not decided: some plants have no name yet, and the answer hangs on them.".to_owned(),
                Because::SourcesDisagree => "Not decided: two published rules say different things of this field.".to_owned(),
                Because::ConversionsDisagree => "Not decided: it depends on how squares are turned into plants, and the ways differ.".to_owned(),
                Because::NoThreshold => format!("Counted, but no rule at hand says how many plants are enough for {purpose}."),
                _ => format!("Not decided yet: the count is too close to call for {purpose}."),
            };
            match firmness {
                Firmness::Fair => open,
                _ => format!("{open} It is early, too: a fair judgement is possible from {fair}."),
            }
        }
    }
}

/// What was found: `Between 7 and 52 of every 100 squares had a planted grass`.
fn found(judgement: &Judgement) -> String {
    if judgement.verdict.because == Because::NothingLaid {
        return String::new();
    }
    if let Some((grid, span)) = planted_share(judgement) {
        let squares = squares(grid);
        let estimate = share_estimate(&span);
        return match share_range(&span) {
            _ if span.high == 0.0 => match span.upper {
                Some(upper) => format!(
                    "No planted grass was found; at most {} of every 100 {squares} could have had one.",
                    of_100(upper)
                ),
                None => "No planted grass was found, at one spot only.".to_owned(),
            },
            Some(range) => format!(
                "{} of every 100 {squares} had a planted grass (we found {estimate}).",
                sentence_case(&range)
            ),
            None => format!(
                "We found a planted grass in {estimate} of every 100 {squares}, but at one spot only, and one spot cannot speak for a field."
            ),
        };
    }
    let Some((span, _)) = planted_density(judgement) else {
        return String::new();
    };
    let ft2 = per_ft2(&span);
    match dense_range(&ft2) {
        Some(range) => format!(
            "{} planted plants stand on a square foot (we counted {}).",
            sentence_case(&range),
            dense_estimate(&ft2)
        ),
        None => format!(
            "We counted {} planted plants on a square foot, but at one spot only, and one spot cannot speak for a field.",
            dense_estimate(&ft2)
        ),
    }
}

/// The first letter large.
fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// The thresholds that had a say, the first one first.
pub(crate) fn deciding(judgement: &Judgement) -> Vec<&Compared> {
    let ids = &judgement.verdict.decided_by;
    ids.iter()
        .filter_map(|id| {
            judgement
                .compared
                .iter()
                .find(|one| one.threshold.id == *id)
        })
        .collect()
}

/// What is taken as enough: `25 or more of 100 are taken as enough for conservation cover.`
fn needed(judgement: &Judgement) -> String {
    let deciding = deciding(judgement);
    let Some(first) = deciding.first() else {
        return String::new();
    };
    let measure = first.threshold.unit.measure();
    let levels: Vec<f64> = deciding
        .iter()
        .filter(|one| one.threshold.unit.measure() == measure)
        .map(|one| one.threshold.established_si())
        .collect();
    let low = levels.iter().copied().fold(f64::INFINITY, f64::min);
    let high = levels.iter().copied().fold(0.0, f64::max);
    if !(low.is_finite() && high > 0.0) {
        return String::new();
    }
    let amount = |unit: &dyn Fn(f64) -> String| {
        let (low, high) = (unit(low), unit(high));
        match low == high {
            true => format!("{low} or more"),
            false => format!("{low} or more, by another rule {high} or more,"),
        }
    };
    let purpose = purpose(judgement.facts.purpose);
    let borrowed = match deciding.iter().any(|one| is_borrowed(one)) {
        true => " The rule was made for fields of one grass and is borrowed for this mix.",
        false => "",
    };
    let what = match measure {
        Measure::Frequency => format!("{} of 100", amount(&of_100)),
        Measure::Density => {
            let ft2 = |m2: f64| digits(m2 * crate::words::M2_PER_FT2);
            match planted_share(judgement) {
                // The sentence before spoke of squares; plants need their number too.
                Some(_) => {
                    let plants = planted_density(judgement).map(|(span, _)| per_ft2(&span));
                    let worked = plants.and_then(|span| {
                        Some(format!(
                            "Worked out from the squares, that is {} plants on a square foot. ",
                            dense_range(&span)?
                        ))
                    });
                    return format!(
                        "{}{} on a square foot are taken as enough for {purpose}.{borrowed}",
                        worked.unwrap_or_default(),
                        amount(&ft2)
                    );
                }
                None => format!("{} on a square foot", amount(&ft2)),
            }
        }
        Measure::Row => format!(
            "{} plants on a foot of row",
            amount(&|m: f64| digits(m * 0.3048))
        ),
        Measure::Cover => return String::new(),
    };
    format!("{what} are taken as enough for {purpose}.{borrowed}")
}

fn is_borrowed(one: &Compared) -> bool {
    one.caveats.contains(&standbook_judge::Caveat::Borrowed)
}

/// The level of a threshold in words: `40 % of cells`, `1.0 plants per ft² (11 per m²)`.
pub(crate) fn level(threshold: &Threshold, si: f64) -> String {
    match threshold.unit.measure() {
        Measure::Frequency => format!("{} of 100 squares", of_100(si)),
        Measure::Density => format!(
            "{} plants per ft² ({} per m²)",
            digits(si * crate::words::M2_PER_FT2),
            digits(si)
        ),
        Measure::Row => format!(
            "{} plants per foot of row ({} per m)",
            digits(si * 0.3048),
            digits(si)
        ),
        Measure::Cover => format!("{} % of the ground covered", of_100(si)),
    }
}

/// How sure it is, and what could change it; one or two short sentences each.
pub(crate) fn how_sure(judgement: &Judgement) -> (String, String) {
    let laid = judgement.verdict.because != Because::NothingLaid;
    let sure = match laid {
        false => String::new(),
        true if judgement.facts.spots < 2 => {
            "All frames lay at one spot, so nobody can say how far off these numbers are."
                .to_owned()
        }
        true => format!(
            "{} at {} were read. Counts like this one hold the true number between their two limits about {:.0} times in 100.",
            number_of(judgement.facts.frames, "frame"),
            number_of(judgement.facts.spots, "spot"),
            judgement.summary.confidence.level() * 100.0
        ),
    };
    let mut could: Vec<String> = Vec::new();
    match judgement.unsettled.len() {
        0 => {}
        n => could.push(format!(
            "{} without a name yet",
            number_of(n, "kind of plant").replace("kind of plants", "kinds of plants")
        )),
    }
    if laid {
        could.push(
            "small seedlings that were overlooked, which make the numbers too low".to_owned(),
        );
    }
    match judgement.corrected.as_ref() {
        Some(corrected) if corrected.differs => {
            could.push(
                "plants that were misnamed: corrected for them the answer changes".to_owned(),
            );
        }
        Some(_) => {}
        None if laid => could.push("plants that were misnamed".to_owned()),
        None => {}
    }
    if matches!(judgement.fairness.when, When::BeforeEmergence | When::Early) {
        could.push("the rest of the season".to_owned());
    }
    let change = match could.split_last() {
        None => String::new(),
        Some((only, [])) => format!("What could change it: {only}."),
        Some((last, rest)) => format!("What could change it: {}; {last}.", rest.join("; ")),
    };
    (sure, change)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_begins_large() {
        assert_eq!(sentence_case("up to 9"), "Up to 9");
        assert_eq!(sentence_case("1.9 or more"), "1.9 or more");
        assert_eq!(sentence_case(""), "");
    }
}
