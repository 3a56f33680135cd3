//! Hit rates and rules in words, the same on every page of Practice and of the Desk.

use standbook_practice::skill::{HitRate, Rule};

use crate::words::percent;

/// The middle of the posterior that limits are shown for.
pub(crate) const LEVEL: f64 = 0.8;

/// Right answers in a row are said up to this many; nobody plans for more.
const MOST_IN_A_ROW: u32 = 200;

/// `At least 90 % right on planted or not, 80 % sure; ...`
pub(crate) fn rule_words(rule: &Rule, with_book: bool) -> String {
    let book = match with_book {
        true => "with the book open or shut",
        false => "with the book shut",
    };
    format!(
        "The rule here: right about planted or not at least {} of the time, {} sure, from plants of the field and practice {book}.",
        percent(rule.at_least),
        percent(rule.sure),
    )
}

/// `88 % (79 to 94 %)`: mean and middle 80 % of what her hit rate may be.
pub(crate) fn rate_words(rate: HitRate) -> String {
    let (low, high) = rate.limits(LEVEL);
    format!(
        "{} ({:.0} to {:.0} %)",
        percent(rate.mean()),
        low * 100.0,
        high * 100.0
    )
}

/// What would meet a rule that is not met yet; empty where it is met.
pub(crate) fn short_words(rule: Rule, rate: HitRate) -> String {
    match rule.short_by(rate, MOST_IN_A_ROW) {
        Some(0) => String::new(),
        Some(1) => "One more right answer would do.".to_owned(),
        Some(more) => format!("{more} right answers in a row would do."),
        None => format!(
            "More than {MOST_IN_A_ROW} right answers in a row would be needed now; older answers count less as time goes by."
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rates_and_what_is_short_in_words() {
        // SciPy 1.17: scipy.stats.beta.ppf([0.1, 0.9], 20.5, 0.5) is 0.93539 and 0.99961;
        // the mean is 20.5 / 21.
        let rate = HitRate {
            right: 20.5,
            wrong: 0.5,
        };
        assert_eq!(rate_words(rate), "98 % (94 to 100 %)");
        assert_eq!(short_words(Rule::USUAL, rate), "");
        let none = HitRate {
            right: 0.5,
            wrong: 0.5,
        };
        // SciPy 1.17: the least n with scipy.stats.beta.ppf(0.2, n + 0.5, 0.5) >= 0.9 is 8.
        assert_eq!(
            short_words(Rule::USUAL, none),
            "8 right answers in a row would do."
        );
        let poor = HitRate {
            right: 0.5,
            wrong: 100.5,
        };
        assert!(short_words(Rule::USUAL, poor).starts_with("More than 200"));
    }
}
