//! Puts the parts of a judgement together.

use std::collections::BTreeSet;

use standbook_key::standards::Standards;
use standbook_stand::summary::Seen;

use crate::case::{Case, Laid};
use crate::error::JudgeError;
use crate::judgement::{Facts, Judgement, Unsettled};
use crate::label::Label;
use crate::measure::{Measured, measure};
use crate::note::Note;
use crate::overall::{Found, overall};
use crate::season::{fairness, season};
use crate::situations::situations;
use crate::{advise, check, compare, correct, emerged, enough, seen_twice, strata, weeds};

/// Judges one visit to one planting.
///
/// What is odd or impossible in the case comes back as notes, and the rest is judged.
///
/// # Errors
/// [`JudgeError`]: the standards lack a rule of time, or a year is out of range.
pub fn judge(case: &Case, standards: &Standards) -> Result<Judgement, JudgeError> {
    let season = season(case, standards)?;
    let fairness = fairness(case, &season, standards)?;
    let (readings, mut notes) = check::check(case);
    if season.late_or_dormant {
        notes.push(Note::LateOrDormant {
            first_season: season.first_year,
        });
    }
    let parts = strata::parts(case, &readings, &mut notes);
    let measured = match measure(case, &readings, parts, standards) {
        Ok(measured) => measured,
        Err(error) => {
            // Every reading was tried alone, so this is not reached; if it were, say so and
            // judge without readings rather than not at all.
            notes.push(Note::NotWorkedOut {
                what: "summary",
                why: error.to_string(),
            });
            measure(case, &[], None, standards).map_err(JudgeError::Summary)?
        }
    };
    let found = Found {
        laid: !measured.readings.is_empty(),
        planted: measured.found(&measured.planted),
        unsettled: measured.found(&measured.unsettled),
    };
    let (compared, not_compared) = compare::compare(case, &season, &measured, standards);
    let verdict = overall(case, &compared, &fairness, &found);
    let weeds = weeds::weeds(&measured, standards);
    let situations = situations(case, &season, &fairness, &verdict, &found, &weeds);
    let could_decide = compared.iter().any(|one| {
        verdict.decided_by.contains(&one.threshold.id)
            && one
                .by
                .iter()
                .any(|by| by.verdict_sure != by.verdict_at_most)
    });
    Ok(Judgement {
        facts: facts(case, &measured),
        fairness: fairness.clone(),
        compared: compared.clone(),
        not_compared,
        roles: measured
            .about
            .iter()
            .filter(|(label, _)| {
                measured.planted.contains(label)
                    || measured.found(&BTreeSet::from([(*label).clone()]))
            })
            .map(|(label, about)| (label.clone(), about.role))
            .collect(),
        by_part: strata::by_part(case, &measured),
        corrected: correct::by_plants(case, &measured, &compared, &verdict, &mut notes),
        corrected_by_practice: correct::by_practice(
            case, &measured, &compared, &verdict, &mut notes,
        ),
        unsettled: unsettled(&measured, could_decide),
        advice: advise::advice(case, &season, &situations, standards),
        look_again: advise::look_again(case, &season, &fairness, standards)?,
        enough: enough::enough(case, &measured, &mut notes),
        seen_twice: seen_twice::seen_twice(case, &measured, &mut notes),
        emergence: emerged::emerged(case, &measured, standards),
        summary: measured.summary,
        season,
        verdict,
        weeds,
        situations,
        notes,
    })
}

fn facts(case: &Case, measured: &Measured) -> Facts {
    let of = |what: fn(&Laid) -> &str| -> BTreeSet<&str> {
        let texts = measured.readings.iter().map(what);
        texts.filter(|text| !text.is_empty()).collect()
    };
    Facts {
        purpose: case.purpose,
        state: case.state.clone(),
        seeded_on: case.seeded_on,
        visited_on: case.visited_on,
        today: case.today,
        irrigated: case.irrigated,
        mix: case.mix.clone(),
        frames: measured.readings.len(),
        spots: measured
            .readings
            .iter()
            .map(|laid| laid.reading.spot.as_str())
            .collect::<BTreeSet<_>>()
            .len(),
        scouts: of(|laid| &laid.scout)
            .into_iter()
            .map(str::to_owned)
            .collect(),
    }
}

fn unsettled(measured: &Measured, could_decide: bool) -> Vec<Unsettled> {
    let of = |label: &Label| {
        let (mut cells, mut plants) = (0, 0);
        for laid in measured.readings {
            match &laid.reading.seen {
                Seen::Grid { occupied, .. } => {
                    cells += occupied.get(label).map_or(0, BTreeSet::len) as u64;
                }
                Seen::Quadrat { plants: found, .. } => {
                    plants += found.get(label).copied().map_or(0, u64::from);
                }
            }
        }
        Unsettled {
            label: label.clone(),
            cells,
            plants,
            could_decide,
        }
    };
    let all = measured.unsettled.iter().map(of);
    all.filter(|one| one.cells > 0 || one.plants > 0).collect()
}
