//! How far a scout's eye can be trusted in one thing: her hit rate, with limits.
//!
//! In: answers that were right or wrong, how long ago, and from where (practice with or without the
//! book open, or plants of the field that somebody else looked at again). Out: a posterior of her hit
//! rate with limits, and whether it meets a rule that the office set.
//!
//! The model: a beta posterior from a start that knows nothing (Jeffreys, shapes 1/2). What was long ago
//! counts less: an answer halves in weight every `half_life_days`, so that limits widen again when nobody
//! has looked for a season. Practice without and with the book are kept apart, but where a rule of the
//! office says that both count.
//! Source: Jeffreys' interval, Brown, Cai & DasGupta 2001, Statistical Science 16:101-133; weighing by age
//! is exponential smoothing of a binomial (West & Harrison's discounting, from memory). The half-life is
//! the office's; the default has no source and says so.
//!
//! Units: days; shares from 0 to 1. Not here: when to practise (`memory`).

use serde::{Deserialize, Serialize};
use standbook_stand::quantile;

/// Days in which an answer loses half of its weight: about a season. No source; a choice.
pub const HALF_LIFE_DAYS: f64 = 120.0;

/// Where an answer comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum From {
    /// Practice without the book.
    WithoutBook,
    /// Practice with the book open.
    WithBook,
    /// A plant of the field that somebody else looked at again.
    Field,
}

/// What is left of the weight of an answer of some age, 0 to 1; one of a clock ahead counts in full.
pub fn freshness(age_days: f64, half_life_days: f64) -> f64 {
    0.5_f64.powf(age_days.max(0.0) / half_life_days)
}

/// One answer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    /// Whether it was right.
    pub right: bool,
    /// The day.
    pub day: f64,
    /// Where it comes from.
    pub from: From,
}

/// A hit rate, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HitRate {
    /// Shape of right answers, the start with it.
    pub right: f64,
    /// Shape of wrong answers.
    pub wrong: f64,
}

impl HitRate {
    /// From answers, as of a day; those of a clock ahead count in full.
    pub fn of<'a>(
        answers: impl IntoIterator<Item = &'a Answer>,
        today: f64,
        half_life_days: f64,
    ) -> HitRate {
        let each = answers.into_iter().map(|answer| (answer, 1.0));
        HitRate::weighed(each, today, half_life_days)
    }

    /// The same of answers that count for less than one each; `weight` from 0 to 1.
    pub fn weighed<'a>(
        answers: impl IntoIterator<Item = (&'a Answer, f64)>,
        today: f64,
        half_life_days: f64,
    ) -> HitRate {
        let mut rate = HitRate {
            right: 0.5,
            wrong: 0.5,
        };
        for (answer, weight) in answers {
            let weight = weight * freshness(today - answer.day, half_life_days);
            *if answer.right {
                &mut rate.right
            } else {
                &mut rate.wrong
            } += weight;
        }
        rate
    }

    /// Answers that it rests on, by weight.
    pub fn answers(self) -> f64 {
        self.right + self.wrong - 1.0
    }

    /// The mean of the posterior, a share.
    pub fn mean(self) -> f64 {
        self.right / (self.right + self.wrong)
    }

    /// The share below which the hit rate lies with this probability (strictly between 0 and 1).
    pub fn quantile(self, probability: f64) -> f64 {
        quantile::beta(probability, self.right, self.wrong)
    }

    /// Both limits of the middle `level` (strictly between 0 and 1) of the posterior.
    pub fn limits(self, level: f64) -> (f64, f64) {
        let out = (1.0 - level) / 2.0;
        (self.quantile(out), self.quantile(1.0 - out))
    }
}

/// When a scout's counts are taken without a second reader.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Rule {
    /// Hit rate to be met, a share.
    pub at_least: f64,
    /// How sure it has to be, a probability.
    pub sure: f64,
}

impl Rule {
    /// The lower 80 % limit reaches nine of ten. Origin: a choice to be set by the office.
    pub const USUAL: Rule = Rule {
        at_least: 0.9,
        sure: 0.8,
    };

    /// Whether a hit rate meets it.
    pub fn is_met(self, rate: HitRate) -> bool {
        rate.quantile(1.0 - self.sure) >= self.at_least
    }

    /// How many right answers in a row, given today, would meet it; `None` for more than `most`.
    pub fn short_by(self, rate: HitRate, most: u32) -> Option<u32> {
        (0..=most).find(|more| {
            self.is_met(HitRate {
                right: rate.right + f64::from(*more),
                ..rate
            })
        })
    }
}
