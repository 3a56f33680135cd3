//! Which growing season a visit fell in, and whether it is fair to judge yet.
//!
//! In: dates of seeding and visit, whether watered, the rules of time. Out: [`Season`],
//! [`Fairness`]. Units: days; dates of the calendar.
//! Source: the rules carry theirs.
//! Not here: what follows for the verdict (`overall`).

use jiff::civil::Date;
use jiff::{Span, Unit};
use standbook_key::standards::{MonthDay, Standards, TimingRule, TimingValue};

use crate::case::Case;
use crate::error::JudgeError;
use crate::judgement::{Fairness, Season, When};
use crate::overall::cited_all;

/// Years in which a planting can have been made.
const YEARS: std::ops::RangeInclusive<i16> = 1900..=2200;

/// Which growing season the visit fell in.
pub(crate) fn season(case: &Case, standards: &Standards) -> Result<Season, JudgeError> {
    for date in [case.today, case.seeded_on, case.visited_on] {
        check_year(date)?;
    }
    let seeded = month_day(case.seeded_on);
    let late = seeded >= day(standards, TimingRule::LateFrom)?;
    // From late summer on nothing comes up before spring; before spring dormant seed lies still.
    let dormant = seeded >= day(standards, TimingRule::DormantFrom)?
        || seeded <= day(standards, TimingRule::DormantUntil)?;
    let late = late || seeded >= day(standards, TimingRule::DormantFrom)?;
    let first_year = case.seeded_on.year() + i16::from(late);
    let begins = day(standards, TimingRule::SeasonBegins)?;
    let visited = case.visited_on;
    let growing_year = visited.year() - i16::from(month_day(visited) < begins);
    let number = (growing_year - first_year + 1).max(0);
    // Seed of this spring may be looked at before the season formally begins.
    let number = match number {
        0 if !late && !dormant && visited >= case.seeded_on => 1,
        number => number,
    };
    Ok(Season {
        number: number as u32,
        first_year,
        late_or_dormant: late || dormant,
    })
}

/// Whether it is fair to judge yet.
pub(crate) fn fairness(
    case: &Case,
    season: &Season,
    standards: &Standards,
) -> Result<Fairness, JudgeError> {
    let starts = starts(case, season, standards)?;
    let rule = match (season.late_or_dormant, case.irrigated) {
        (true, _) => TimingRule::DormantDays,
        (false, Some(true)) => TimingRule::IrrigatedDays,
        (false, _) => TimingRule::SeasonEnds,
    };
    let fair_from = match rule {
        TimingRule::SeasonEnds => {
            on_day(season.first_year, day(standards, TimingRule::SeasonEnds)?)?
        }
        rule => after(starts, number(standards, rule)?)?,
    };
    let emergence_from = after(starts, number(standards, TimingRule::EmergenceDays)?)?;
    let zero_counts_from = after(starts, number(standards, TimingRule::ZeroNotBeforeDays)?)?;
    let settled_by = number(standards, TimingRule::SettledBySeason)?;
    let settled_year = i32::from(season.first_year) + settled_by as i32 - 1;
    let settled_from = on_day(
        i16::try_from(settled_year).unwrap_or(i16::MAX),
        day(standards, TimingRule::SeasonBegins)?,
    )?;
    let visited = case.visited_on;
    let when = if visited < case.seeded_on {
        When::BeforeSeeding
    } else if visited < emergence_from {
        When::BeforeEmergence
    } else if visited < fair_from {
        When::Early
    } else if visited < settled_from {
        When::Fair
    } else {
        When::Settled
    };
    let entry = standards
        .timing(rule)
        .ok_or(JudgeError::NoTiming { rule })?;
    Ok(Fairness {
        days_since_seeding: days(case.seeded_on, visited),
        growing_days: days(starts, visited),
        emergence_from,
        zero_counts_from,
        fair_from,
        rule,
        words: entry.words.clone(),
        sources: cited_all(standards, &entry.source, &entry.also),
        when,
        settled_from,
    })
}

/// When the seed began to grow: at seeding, or at the next green-up.
pub(crate) fn starts(
    case: &Case,
    season: &Season,
    standards: &Standards,
) -> Result<Date, JudgeError> {
    let green_up = on_day(season.first_year, day(standards, TimingRule::SeasonBegins)?)?;
    Ok(match season.late_or_dormant {
        true => case.seeded_on.max(green_up),
        false => case.seeded_on,
    })
}

/// Whole days from one date to another.
pub(crate) fn days(from: Date, to: Date) -> i32 {
    from.until((Unit::Day, to))
        .map_or(0, |span| span.get_days())
}

/// So many days later.
pub(crate) fn after(from: Date, days: u32) -> Result<Date, JudgeError> {
    // Standards hold at most ten years of days.
    let span = Span::new().try_days(days).unwrap_or_default();
    from.checked_add(span)
        .map_err(|_| JudgeError::BadDate { date: from })
}

/// A day of a year.
pub(crate) fn on_day(year: i16, day: MonthDay) -> Result<Date, JudgeError> {
    let bad = JudgeError::BadDate { date: Date::ZERO };
    Date::new(year, day.month, day.day).map_err(|_| bad)
}

pub(crate) fn day(standards: &Standards, rule: TimingRule) -> Result<MonthDay, JudgeError> {
    match standards.timing(rule).map(|entry| entry.value) {
        Some(TimingValue::Day(day)) => Ok(day),
        Some(TimingValue::Number(_)) => Err(JudgeError::BadTiming {
            rule,
            wanted: "day",
        }),
        None => Err(JudgeError::NoTiming { rule }),
    }
}

fn number(standards: &Standards, rule: TimingRule) -> Result<u32, JudgeError> {
    match standards.timing(rule).map(|entry| entry.value) {
        Some(TimingValue::Number(number)) => Ok(number),
        Some(TimingValue::Day(_)) => Err(JudgeError::BadTiming {
            rule,
            wanted: "number",
        }),
        None => Err(JudgeError::NoTiming { rule }),
    }
}

fn month_day(date: Date) -> MonthDay {
    MonthDay {
        month: date.month(),
        day: date.day(),
    }
}

fn check_year(date: Date) -> Result<(), JudgeError> {
    match YEARS.contains(&date.year()) {
        true => Ok(()),
        false => Err(JudgeError::BadDate { date }),
    }
}
