//! Days as files write them.
//!
//! In: text, and how somebody said that days are written. Out: the day; never a guess, since
//! `7/8/2026` is a day in July or in August.
//! Source of the serial numbers: day 60 is 29 February 1900, a day that there never was, and day 61
//! is 1 March 1900 (published by the makers of spreadsheets; memory). So days from 61 on count from
//! 30 December 1899.

use jiff::civil::{Date, date};
use serde::{Deserialize, Serialize};
use standbook_key::fault::short;

/// How days are written.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DateForm {
    /// `2026-07-14`.
    #[default]
    Iso,
    /// `7/14/2026`.
    MonthFirst,
    /// `14/7/2026`, `14.7.2026`.
    DayFirst,
    /// `46217`, as a spreadsheet counts days.
    Serial,
}

impl DateForm {
    /// Every form: id, form, and what people are told.
    pub const ALL: [(&'static str, DateForm, &'static str); 4] = [
        ("iso", DateForm::Iso, "2026-07-14 (year, month, day)"),
        (
            "month-first",
            DateForm::MonthFirst,
            "7/14/2026 (month first)",
        ),
        ("day-first", DateForm::DayFirst, "14/7/2026 (day first)"),
        (
            "serial",
            DateForm::Serial,
            "46217 (a spreadsheet's count of days)",
        ),
    ];

    /// By id.
    pub fn from_id(id: &str) -> Option<DateForm> {
        let found = DateForm::ALL.iter().find(|(own, ..)| *own == id);
        found.map(|(_, form, _)| *form)
    }

    /// Its id.
    pub fn id(self) -> &'static str {
        let found = DateForm::ALL.iter().find(|(_, form, _)| *form == self);
        found.map_or("iso", |(id, ..)| id)
    }
}

/// Years that a planting can lie in.
const YEARS: std::ops::RangeInclusive<i16> = 1900..=2200;

/// A day written as year, month and day; `None` if it is none.
pub fn day(text: &str) -> Option<Date> {
    let day: Date = text.parse().ok()?;
    // The parser takes a time of day too, and drops it; a planting has none.
    (text.len() == 10 && YEARS.contains(&day.year())).then_some(day)
}

/// A day in a form that was chosen; a day written as year, month and day is always taken.
///
/// # Errors
/// What is wrong and how to mend it.
pub fn read(text: &str, form: DateForm) -> Result<Date, String> {
    if let Some(day) = day(text) {
        return Ok(day);
    }
    let read = match form {
        DateForm::Iso => None,
        DateForm::Serial => serial(text),
        DateForm::MonthFirst => parts(text).and_then(|[month, day, year]| of(year, month, day)),
        DateForm::DayFirst => parts(text).and_then(|[day, month, year]| of(year, month, day)),
    };
    read.ok_or_else(|| {
        let told = short(text);
        let looks_other = match form {
            DateForm::Iso if parts(text).is_some() => {
                "; month or day may come first in it: say how the file writes days"
            }
            DateForm::Iso if serial(text).is_some() => {
                "; it may be a spreadsheet's count of days: say how the file writes days"
            }
            _ => "",
        };
        format!("`{told}` is no date; write year, month and day, such as 2026-05-12{looks_other}")
    })
}

/// Three numbers with strokes or points between, the year last and in full.
fn parts(text: &str) -> Option<[i16; 3]> {
    let mut numbers = text
        .split(['/', '.', '-'])
        .map(|part| part.trim().parse::<i16>());
    let (a, b, c) = (
        numbers.next()?.ok()?,
        numbers.next()?.ok()?,
        numbers.next()?.ok()?,
    );
    (numbers.next().is_none() && c >= 1000).then_some([a, b, c])
}

fn of(year: i16, month: i16, day: i16) -> Option<Date> {
    let day = Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()?;
    YEARS.contains(&day.year()).then_some(day)
}

fn serial(text: &str) -> Option<Date> {
    // Days are whole; a fraction is a time of day, which a visit has none of.
    let days: i64 = text.strip_suffix(".0").unwrap_or(text).parse().ok()?;
    (61..=110_000).contains(&days).then(|| {
        date(1899, 12, 30)
            .checked_add(jiff::Span::new().days(days))
            .ok()
    })?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_that_can_be_two_is_asked_about() {
        let told = read("7/8/2026", DateForm::Iso);
        assert!(told.is_err_and(|said| said.contains("say how the file writes days")));
        assert_eq!(read("7/8/2026", DateForm::MonthFirst), Ok(date(2026, 7, 8)));
        assert_eq!(read("7/8/2026", DateForm::DayFirst), Ok(date(2026, 8, 7)));
        assert_eq!(read("2026-07-08", DateForm::DayFirst), Ok(date(2026, 7, 8)));
        for bad in [
            "13/13/2026",
            "7/8/26",
            "2026-02-30",
            "",
            "46217.5",
            "x",
            "1/2/3/2026",
        ] {
            for (_, form, _) in DateForm::ALL {
                assert!(read(bad, form).is_err(), "{bad} as {form:?}");
            }
        }
    }

    #[test]
    fn a_spreadsheets_count_of_days() {
        // 25569 is 1 January 1970: the offset that every recipe between serial days and Unix time
        // gives (memory).
        assert_eq!(read("25569", DateForm::Serial), Ok(date(1970, 1, 1)));
        assert_eq!(read("46217.0", DateForm::Serial), Ok(date(2026, 7, 14)));
        assert!(read("46217", DateForm::Iso).is_err_and(|said| said.contains("count of days")));
    }
}
