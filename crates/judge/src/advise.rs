//! What to do next, and when to look again.
//!
//! In: situations, the season, the advice of the standards. Out: the pieces that fit, in the
//! order of the standards, with why, cautions and sources; dates to come.
//! Source: every piece carries its own. Texts live in the standards, not here.

use jiff::civil::Date;
use standbook_key::standards::{LookAgainWhen, Purpose, Situation, Standards};

use crate::case::Case;
use crate::error::JudgeError;
use crate::judgement::{Advised, CautionCited, Fairness, LookAgainOn, MowingCited, Season, When};
use crate::overall::{cited, cited_all};
use crate::season::{after, on_day, starts};

/// Every piece of advice that fits.
pub(crate) fn advice(
    case: &Case,
    season: &Season,
    situations: &[Situation],
    standards: &Standards,
) -> Vec<Advised> {
    // Before the first season the advice of the first holds: it is the next to come.
    let number = season.number.max(1);
    let of_season = |seasons: &[u32]| seasons.is_empty() || seasons.contains(&number);
    let mut all = Vec::new();
    for advice in &standards.advice {
        let holding = advice.when.iter().filter(|when| situations.contains(when));
        let why: Vec<Situation> = holding.copied().collect();
        let kept_back = advice
            .unless
            .iter()
            .any(|unless| situations.contains(unless));
        if why.is_empty()
            || kept_back
            || !fits(&advice.purposes, case.purpose)
            || !of_season(&advice.seasons)
        {
            continue;
        }
        let cautions = advice.cautions.iter().filter_map(|id| {
            let caution = standards.caution(id)?;
            Some(CautionCited {
                sources: cited_all(standards, &caution.source, &caution.also),
                caution: caution.clone(),
            })
        });
        let mowing = standards
            .mowing
            .iter()
            .filter(|rule| advice.shows_mowing && of_season(&rule.seasons))
            .map(|rule| MowingCited {
                source: cited(standards, &rule.source),
                mowing: rule.clone(),
            });
        all.push(Advised {
            id: advice.id.clone(),
            name: advice.name.clone(),
            words: advice.words.clone(),
            why,
            cautions: cautions.collect(),
            mowing: mowing.collect(),
            sources: cited_all(standards, &advice.source, &advice.also),
        });
    }
    all
}

/// Dates to look again, after the visit and not before today.
pub(crate) fn look_again(
    case: &Case,
    season: &Season,
    fairness: &Fairness,
    standards: &Standards,
) -> Result<Vec<LookAgainOn>, JudgeError> {
    let from = starts(case, season, standards)?;
    let to_come = |on: Date| on > case.visited_on && on >= case.today;
    let mut all = Vec::new();
    for look in &standards.look_again {
        if !fits(&look.purposes, case.purpose) {
            continue;
        }
        let on = match look.when {
            LookAgainWhen::DaysAfterSeeding(days) => after(from, days)?,
            LookAgainWhen::DayOfSeason {
                season: wanted,
                day,
            } => {
                let year = i32::from(season.first_year) + wanted as i32 - 1;
                on_day(i16::try_from(year).unwrap_or(i16::MAX), day)?
            }
        };
        if to_come(on) {
            all.push(LookAgainOn {
                id: look.id.clone(),
                on,
                words: look.words.clone(),
                sources: cited_all(standards, &look.source, &look.also),
            });
        }
    }
    // Whoever is told to wait is told until when, whatever else is due.
    let fair = fairness.fair_from;
    let waits = fairness.when < When::Fair;
    if waits && to_come(fair) && all.iter().all(|look| look.on != fair) {
        let id = standards.timing(fairness.rule).map(|rule| rule.id.clone());
        all.push(LookAgainOn {
            id: id.unwrap_or_default(),
            on: fair,
            words: fairness.words.clone(),
            sources: fairness.sources.clone(),
        });
    }
    all.sort_by_key(|look| look.on);
    Ok(all)
}

fn fits(purposes: &[Purpose], purpose: Purpose) -> bool {
    purposes.is_empty() || purposes.contains(&purpose)
}
