//! One verdict over all thresholds, and how firm it is on that day.
//!
//! In: thresholds compared, the day. Out: [`Overall`].
//!
//! What goes before what: a threshold of one's own (a programme's rule) before published ones;
//! measured as it asks before converted; found for such plants before borrowed; naming the
//! purpose before holding for all. Those on the same ground must agree, or it is not decided.
//!
//! Before the fair date a shortage is not called failure: many plantings written off in the first
//! summer became good stands later. Enough plants are called enough, for the time being.

use standbook_key::SourceId;
use standbook_key::standards::{Part, Standards};

use crate::case::Case;
use crate::judgement::{
    Because, Cited, Compared, Comparison, Disagreement, Fairness, Firmness, Overall, RestsOn,
    Verdict, When,
};

/// What was found, as far as the day matters.
pub(crate) struct Found {
    /// Whether any frame was laid.
    pub laid: bool,
    /// Whether anything was found that is planted for sure.
    pub planted: bool,
    /// Whether anything was found that might be planted.
    pub unsettled: bool,
}

/// One verdict over all thresholds.
pub(crate) fn overall(
    case: &Case,
    compared: &[Compared],
    fairness: &Fairness,
    found: &Found,
) -> Overall {
    let deciding: Vec<&Compared> = compared
        .iter()
        .filter(|one| one.threshold.part == Part::Decides)
        .collect();
    let said = on_firmest_ground(&deciding);
    let (so_far, because) = match (&said, found.laid) {
        (_, false) => (Verdict::NotDecided, Because::NothingLaid),
        (None, true) => (Verdict::NotDecided, Because::NoThreshold),
        (Some(said), true) => (said.verdict, said.because),
    };
    let nothing = !found.planted && !found.unsettled;
    let zero_early = nothing && case.visited_on < fairness.zero_counts_from;
    let (verdict, firmness, because) = match (fairness.when, so_far) {
        _ if !found.laid => (so_far, Firmness::Fair, because),
        (When::BeforeSeeding, _) => (Verdict::NotDecided, Firmness::Withheld, Because::DatesWrong),
        _ if zero_early => (
            Verdict::NotDecided,
            Firmness::Withheld,
            Because::ZeroTooEarly,
        ),
        (When::BeforeEmergence, _) => (
            Verdict::NotDecided,
            Firmness::Withheld,
            Because::BeforeEmergence,
        ),
        (When::Early, Verdict::Below) => (
            Verdict::NotDecided,
            Firmness::Withheld,
            Because::BelowTooEarly,
        ),
        (When::Early, _) => (so_far, Firmness::Provisional, because),
        (When::Fair | When::Settled, _) => (so_far, Firmness::Fair, because),
    };
    Overall {
        verdict,
        so_far,
        firmness,
        because,
        rests_on: said.as_ref().map(|said| said.ground),
        decided_by: said.map_or_else(Vec::new, |said| said.by),
        disagreements: disagreements(&deciding),
        conversions_disagree: deciding.iter().any(|one| conversions_disagree(&one.by)),
    }
}

/// What the thresholds on the firmest ground say.
pub(crate) struct Said {
    pub verdict: Verdict,
    pub because: Because,
    pub ground: RestsOn,
    pub by: Vec<String>,
}

pub(crate) fn on_firmest_ground(deciding: &[&Compared]) -> Option<Said> {
    let on = |one: &Compared| one.by.iter().map(|by| by.rests_on).min();
    let ground = deciding.iter().filter_map(|one| on(one)).min()?;
    let mut having: Vec<&&Compared> = deciding
        .iter()
        .filter(|one| on(one) == Some(ground))
        .collect();
    if having.iter().any(|one| !one.threshold.purposes.is_empty()) {
        having.retain(|one| !one.threshold.purposes.is_empty());
    }
    let say = |of: fn(&Comparison) -> Verdict| -> Verdict {
        let on_ground = |one: &Compared| -> Vec<Verdict> {
            let by = one.by.iter().filter(|by| by.rests_on == ground);
            by.map(of).collect()
        };
        having
            .iter()
            .flat_map(|one| on_ground(one))
            .reduce(Verdict::and)
            .unwrap_or(Verdict::NotDecided)
    };
    let verdict = say(|by| by.verdict);
    let contradict = |verdicts: &[Verdict]| {
        verdicts.contains(&Verdict::Established) && verdicts.contains(&Verdict::Below)
    };
    let of_thresholds: Vec<Verdict> = having.iter().map(|one| one.verdict).collect();
    let conversions = having.iter().any(|one| {
        let by = one.by.iter().filter(|by| by.rests_on == ground);
        contradict(&by.map(|by| by.verdict).collect::<Vec<_>>())
    });
    let decided_one_way = [say(|by| by.verdict_sure), say(|by| by.verdict_at_most)]
        .iter()
        .any(|verdict| *verdict != Verdict::NotDecided);
    let because = match verdict {
        Verdict::Established | Verdict::Below => Because::AllAgree,
        Verdict::NotDecided if contradict(&of_thresholds) => Because::SourcesDisagree,
        Verdict::NotDecided if conversions => Because::ConversionsDisagree,
        Verdict::NotDecided if decided_one_way => Because::Unknowns,
        Verdict::NotDecided => Because::Straddles,
    };
    Some(Said {
        verdict,
        because,
        ground,
        by: having.iter().map(|one| one.threshold.id.clone()).collect(),
    })
}

/// Every pair of thresholds one of which says established and the other below.
fn disagreements(deciding: &[&Compared]) -> Vec<Disagreement> {
    let saying = |verdict: Verdict| deciding.iter().filter(move |one| one.verdict == verdict);
    let by = |one: &Compared| {
        let ground = one.by.iter().map(|by| by.rests_on).min();
        let names = one.by.iter().filter(|by| Some(by.rests_on) == ground);
        names
            .map(|by| by.evidence.name())
            .collect::<Vec<_>>()
            .join(", ")
    };
    let mut pairs = Vec::new();
    for established in saying(Verdict::Established) {
        for below in saying(Verdict::Below) {
            pairs.push(Disagreement {
                established: established.threshold.id.clone(),
                established_by: by(established),
                below: below.threshold.id.clone(),
                below_by: by(below),
            });
        }
    }
    pairs
}

/// Whether two ways of measuring put one threshold's levels on different sides.
fn conversions_disagree(by: &[Comparison]) -> bool {
    let levels = by.iter().map(|one| one.levels.len()).max().unwrap_or(0);
    (0..levels).any(|at| {
        let says = |verdict| {
            by.iter()
                .any(|one| one.levels.get(at).map(|level| level.verdict) == Some(verdict))
        };
        says(Verdict::Established) && says(Verdict::Below)
    })
}

/// Sources, whole. One that nobody listed (a threshold entered by hand) is its own citation.
pub(crate) fn cited_all(standards: &Standards, source: &SourceId, also: &[SourceId]) -> Vec<Cited> {
    let all = std::iter::once(source).chain(also);
    all.map(|id| cited(standards, id)).collect()
}

pub(crate) fn cited(standards: &Standards, id: &SourceId) -> Cited {
    match standards.source(id.as_str()) {
        Some(source) => Cited {
            id: id.to_string(),
            citation: source.citation.clone(),
            url: source.url.clone(),
            kind: Some(source.kind),
        },
        None => Cited {
            id: String::new(),
            citation: id.to_string(),
            url: None,
            kind: None,
        },
    }
}
