//! When a stand may fairly be judged, and when to look again.
//!
//! Units: days after seeding; days of the calendar without a year.
//! Source: every entry names its own. Where a source gives no date (`end of the first
//! season`), the day taken for it is marked as worked out.

use std::fmt;

use serde::Serialize;

use super::threshold::Purpose;
use crate::ids::SourceId;

/// One rule of time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Timing {
    /// Id.
    pub id: String,
    /// Which rule.
    pub rule: TimingRule,
    /// How much, or which day.
    pub value: TimingValue,
    /// In words.
    pub words: String,
    /// Who says so.
    pub source: SourceId,
    /// Who else says so.
    pub also: Vec<SourceId>,
}

/// The rules of time; standards hold one of each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TimingRule {
    /// Days until seedlings show in numbers.
    EmergenceDays,
    /// Days before which finding nothing says nothing.
    ZeroNotBeforeDays,
    /// Day on which the growing season of warm-season grasses counts as ended.
    SeasonEnds,
    /// Days after which an irrigated spring seeding may be judged.
    IrrigatedDays,
    /// Day on which the growing season of warm-season grasses counts as begun.
    SeasonBegins,
    /// Days of the next growing season after which a late or dormant seeding may be judged.
    DormantDays,
    /// Day from which on a seeding is late: it comes up the next spring.
    LateFrom,
    /// Day from which on a seeding is dormant.
    DormantFrom,
    /// Last day on which a seeding is dormant.
    DormantUntil,
    /// Season in which success or failure is settled at the latest.
    SettledBySeason,
}

impl TimingRule {
    /// All, with id and what kind of value it has.
    pub const ALL: [(&'static str, TimingRule, bool); 10] = [
        ("emergence_days", TimingRule::EmergenceDays, true),
        ("zero_not_before_days", TimingRule::ZeroNotBeforeDays, true),
        ("season_ends", TimingRule::SeasonEnds, false),
        ("irrigated_days", TimingRule::IrrigatedDays, true),
        ("season_begins", TimingRule::SeasonBegins, false),
        ("dormant_days", TimingRule::DormantDays, true),
        ("late_from", TimingRule::LateFrom, false),
        ("dormant_from", TimingRule::DormantFrom, false),
        ("dormant_until", TimingRule::DormantUntil, false),
        ("settled_by_season", TimingRule::SettledBySeason, true),
    ];

    /// Id.
    pub fn id(self) -> &'static str {
        TimingRule::ALL[self as usize].0
    }
}

/// The value of a rule of time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TimingValue {
    /// A number of days, or of seasons for `settled_by_season`.
    Number(u32),
    /// A day of the year.
    Day(MonthDay),
}

/// A day of the year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct MonthDay {
    /// 1 to 12.
    pub month: i8,
    /// 1 to 31, as the month has; never 29 February, which most years lack.
    pub day: i8,
}

impl MonthDay {
    /// From `09-15`.
    pub fn parse(text: &str) -> Option<Self> {
        let (month, day) = text.split_once('-')?;
        if month.len() != 2 || day.len() != 2 {
            return None;
        }
        let (month, day) = (month.parse::<i8>().ok()?, day.parse::<i8>().ok()?);
        let days = match month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 => 28,
            _ => return None,
        };
        (1..=days).contains(&day).then_some(MonthDay { month, day })
    }
}

impl fmt::Display for MonthDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}-{:02}", self.month, self.day)
    }
}

/// A time to look again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LookAgain {
    /// Id.
    pub id: String,
    /// What to look for, in words.
    pub words: String,
    /// When.
    pub when: LookAgainWhen,
    /// Purposes it is for; empty: all.
    pub purposes: Vec<Purpose>,
    /// Who says so.
    pub source: SourceId,
    /// Who else says so.
    pub also: Vec<SourceId>,
}

/// When to look again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LookAgainWhen {
    /// So many days after seeding; after the season begins, for a late or dormant seeding.
    DaysAfterSeeding(u32),
    /// On a day of a growing season, 1 for the first.
    DayOfSeason {
        /// The season.
        season: u32,
        /// The day.
        day: MonthDay,
    },
}
