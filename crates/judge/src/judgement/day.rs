//! The day: which season, and whether it is fair to judge yet. Units: days, dates.

use jiff::civil::Date;
use serde::Serialize;
use standbook_key::standards::TimingRule;

use super::Cited;

/// Which growing season a visit fell in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Season {
    /// 1 for the first; 0: it has not begun.
    pub number: u32,
    /// Year of the first growing season.
    pub first_year: i16,
    /// Whether the seeding was late (late summer, fall) or dormant, and so comes up the next spring.
    pub late_or_dormant: bool,
}

/// Whether it is fair to judge yet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fairness {
    /// Days from seeding to the visit; below 0: the visit lies before.
    pub days_since_seeding: i32,
    /// Days of the growing season that seed had: from seeding, or from the next spring.
    pub growing_days: i32,
    /// From when seedlings can be expected to show.
    pub emergence_from: Date,
    /// From when finding nothing says something.
    pub zero_counts_from: Date,
    /// From when a verdict is fair.
    pub fair_from: Date,
    /// Which rule says so.
    pub rule: TimingRule,
    /// That rule in words.
    pub words: String,
    /// Who says so.
    pub sources: Vec<Cited>,
    /// Where the visit lies.
    pub when: When,
    /// From when success or failure is settled at the latest.
    pub settled_from: Date,
}

/// Where a visit lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// Before the seeding; one of the dates is wrong.
    BeforeSeeding,
    /// Before seedlings can be expected.
    BeforeEmergence,
    /// Seedlings can be seen, a verdict is early.
    Early,
    /// A verdict is fair; it may still change until the stand is settled.
    Fair,
    /// Success or failure is settled.
    Settled,
}
