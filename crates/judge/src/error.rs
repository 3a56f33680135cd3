//! Why nothing at all can be said.

use standbook_key::standards::TimingRule;

/// Why there is no judgement. Faults that leave something to say are notes of the judgement.
#[derive(Debug, thiserror::Error)]
pub enum JudgeError {
    /// The standards lack a rule of time.
    #[error(
        "the standards have no timing rule `{}`: load them whole, with the files of keys/standards",
        .rule.id()
    )]
    NoTiming {
        /// The rule.
        rule: TimingRule,
    },
    /// The standards give a rule of time the wrong kind of value.
    #[error("the timing rule `{}` has the wrong kind of value: it needs a {wanted}", .rule.id())]
    BadTiming {
        /// The rule.
        rule: TimingRule,
        /// `number` or `day`.
        wanted: &'static str,
    },
    /// A date outside of what a calendar holds.
    #[error("the year of {date} is out of range: enter a date between 1900 and 2200")]
    BadDate {
        /// The date.
        date: jiff::civil::Date,
    },
    /// The readings left after all impossible ones are out still give no summary.
    #[error("the readings cannot be summed up: {0}")]
    Summary(standbook_stand::summary::SummaryError),
}
