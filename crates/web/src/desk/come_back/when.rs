//! The days offered for coming back.
//!
//! In: the day of the visit and the day of the form. Out: the next such day after both, ISO 8601.
//! Sources: after green-up, the day that the standards name for counting again; heading, the middle of
//! August, by which the tall warm-season grasses mostly head (common practice; the key has no days).
//! Not here: cool-season grasses, which head in June; a scout gives the day herself.

use standbook_fieldbook::record::ComeBackReason;
use standbook_fieldbook::time::parse_date;
use standbook_key::standards::{LookAgainWhen, MonthDay, Standards};

/// When warm-season grasses head (common practice).
const HEADING: MonthDay = MonthDay { month: 8, day: 15 };

/// Entry of the standards for counting again in the second season.
const AFTER_GREEN_UP: &str = "after_green_up";

/// After green-up, where the standards say nothing (common practice).
const GREEN_UP: MonthDay = MonthDay { month: 6, day: 1 };

/// A reason to come back with the day that is offered for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Offer {
    /// As forms spell it.
    pub value: &'static str,
    /// The reason.
    pub reason: ComeBackReason,
    /// For people.
    pub words: &'static str,
    /// The day, ISO 8601; `None`: the scout gives it.
    pub due_on: Option<String>,
    /// Who says so; may be empty.
    pub source: String,
}

/// What is waited for, for people, within a sentence.
pub(super) fn reason_words(reason: ComeBackReason) -> &'static str {
    match reason {
        ComeBackReason::Heading => "when it heads",
        ComeBackReason::GreenUp => "after green-up",
        ComeBackReason::Other => "to look again",
    }
}

/// The first day of this name after a date, ISO 8601; `None` for what is no date.
fn next(day: MonthDay, after: &str) -> Option<String> {
    let after = parse_date(after)?;
    let this_year = format!("{:04}-{day}", after.year());
    let next_year = format!("{:04}-{day}", after.year() + 1);
    match this_year.as_str() > after.to_string().as_str() {
        true => Some(this_year),
        false => Some(next_year),
    }
}

/// What is offered after a day, ISO 8601.
pub(super) fn offers(standards: &Standards, after: &str) -> [Offer; 3] {
    let look = standards
        .look_again
        .iter()
        .find(|look| look.id == AFTER_GREEN_UP);
    let (green_up, green_source) = match look.map(|look| (look, look.when)) {
        Some((look, LookAgainWhen::DayOfSeason { day, .. })) => {
            let source = standards.source(look.source.as_str());
            (day, source.map_or("", |source| source.citation.as_str()))
        }
        _ => (GREEN_UP, "common practice"),
    };
    [
        Offer {
            value: "heading",
            reason: ComeBackReason::Heading,
            words: "when it heads",
            due_on: next(HEADING, after),
            source: "common practice for warm-season grasses; cool-season grasses head in June"
                .to_owned(),
        },
        Offer {
            value: "green_up",
            reason: ComeBackReason::GreenUp,
            words: "after it greens up in spring",
            due_on: next(green_up, after),
            source: green_source.to_owned(),
        },
        Offer {
            value: "other",
            reason: ComeBackReason::Other,
            words: "for another reason",
            due_on: None,
            source: String::new(),
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_such_day_is_offered_and_never_the_day_itself() {
        for (after, due) in [
            ("2026-07-14", Some("2026-08-15")),
            ("2026-08-14", Some("2026-08-15")),
            ("2026-08-15", Some("2027-08-15")),
            ("2026-12-31", Some("2027-08-15")),
            ("soon", None),
        ] {
            assert_eq!(next(HEADING, after).as_deref(), due, "{after}");
        }
    }

    #[test]
    fn without_standards_there_is_still_a_day() {
        let [_, green_up, other] = offers(&Standards::default(), "2026-07-14");
        assert_eq!(green_up.due_on.as_deref(), Some("2027-06-01"));
        assert_eq!(green_up.source, "common practice");
        assert_eq!(other.due_on, None);
    }
}
