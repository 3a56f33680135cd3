//! How well one thing is remembered: a difference between two grasses, or how to see a trait.
//!
//! In: whether answers were right, and on which day. Out: the chance that the next is, on any day,
//! and the day on which it has fallen so far.
//!
//! The model: what is remembered has a *stability* (days until the chance has fallen to 0.9) and a
//! *difficulty* (1 to 10). A right answer lifts stability, the more so the more had been forgotten;
//! a wrong one lowers it. The chance falls as a power of time.
//! Source: Ye, Su & Cao 2022, "A Stochastic Shortest Path Algorithm for Optimizing Spaced Repetition
//! Scheduling" (KDD '22), in its sixth form with published default parameters, which were fitted to
//! many learners' reviews of words and facts, not of grasses: they say when to ask again, never how good
//! a scout is. Reference values: the Python library `fsrs` 6.3.2.
//!
//! Units: days. Not here: whether she guessed; how good her eye is (`skill`).

use serde::{Deserialize, Serialize};

/// Stability after a first answer that was wrong, and right, days.
const FIRST_STABILITY: [f64; 2] = [0.212, 2.3065];
/// Difficulty after a first wrong answer, and how the first answer moves it.
const FIRST_DIFFICULTY: [f64; 2] = [6.4133, 0.8334];
/// How an answer moves difficulty, and how far it is drawn back each time.
const DIFFICULTY_STEP: [f64; 2] = [3.0194, 0.001];
/// Growth of stability with a right answer: log of its scale, power of stability, of what was forgotten.
const GROWTH: [f64; 3] = [1.8722, 0.1666, 0.796];
/// Stability after a wrong answer: scale, powers of difficulty and stability, of what was forgotten.
const LAPSE: [f64; 4] = [1.4835, 0.0614, 0.2629, 1.6483];
/// Answers of one day: scale, shift, power of stability.
const SAME_DAY: [f64; 3] = [0.5425, 0.0912, 0.0658];
/// Power with which the chance falls.
const DECAY: f64 = 0.1542;
/// Stability is never below this, days.
const LEAST_STABILITY: f64 = 0.001;
/// The chance at which stability is counted.
const AT_STABILITY: f64 = 0.9;
/// Rating of a right answer in the published form, of 1 (forgotten) to 4 (easy).
const RIGHT: f64 = 3.0;
const WRONG: f64 = 1.0;
const EASY: f64 = 4.0;

/// What is known of one thing remembered.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Memory {
    /// Days until the chance of a right answer has fallen to 0.9.
    pub stability_days: f64,
    /// 1 (easy) to 10.
    pub difficulty: f64,
    /// Day of the last answer.
    pub day: f64,
}

impl Memory {
    /// After the first answer.
    pub fn first(right: bool, day: f64) -> Memory {
        Memory {
            stability_days: FIRST_STABILITY[usize::from(right)],
            difficulty: first_difficulty(rating(right)).clamp(1.0, 10.0),
            day,
        }
    }

    /// After one more answer. A clock that went back counts as no time.
    #[must_use]
    pub fn answered(self, right: bool, day: f64) -> Memory {
        let passed = (day - self.day).max(0.0);
        let stability = if passed < 1.0 {
            self.same_day(right)
        } else if right {
            self.grown(self.chance(day))
        } else {
            self.lapsed(self.chance(day))
        };
        Memory {
            stability_days: stability.max(LEAST_STABILITY),
            difficulty: self.harder_or_easier(right),
            day: self.day.max(day),
        }
    }

    /// The chance of a right answer on a day, 0 to 1, apart from guessing.
    pub fn chance(self, day: f64) -> f64 {
        let passed = (day - self.day).max(0.0);
        (1.0 + factor() * passed / self.stability_days).powf(-DECAY)
    }

    /// The day on which the chance has fallen to `chance` (above 0, below 1).
    pub fn falls_to(self, chance: f64) -> f64 {
        self.day + self.stability_days / factor() * (chance.powf(-1.0 / DECAY) - 1.0)
    }

    fn same_day(self, right: bool) -> f64 {
        let [scale, shift, power] = SAME_DAY;
        let change =
            (scale * (rating(right) - RIGHT + shift)).exp() * self.stability_days.powf(-power);
        self.stability_days * if right { change.max(1.0) } else { change }
    }

    fn grown(self, chance: f64) -> f64 {
        let [scale, power, forgotten] = GROWTH;
        self.stability_days
            * (1.0
                + scale.exp()
                    * (11.0 - self.difficulty)
                    * self.stability_days.powf(-power)
                    * (((1.0 - chance) * forgotten).exp() - 1.0))
    }

    fn lapsed(self, chance: f64) -> f64 {
        let [scale, difficulty, stability, forgotten] = LAPSE;
        let long = scale
            * self.difficulty.powf(-difficulty)
            * ((self.stability_days + 1.0).powf(stability) - 1.0)
            * ((1.0 - chance) * forgotten).exp();
        let short = self.stability_days / (SAME_DAY[0] * SAME_DAY[1]).exp();
        long.min(short)
    }

    fn harder_or_easier(self, right: bool) -> f64 {
        let [step, back] = DIFFICULTY_STEP;
        let moved = -step * (rating(right) - RIGHT);
        let damped = self.difficulty + (10.0 - self.difficulty) * moved / 9.0;
        (back * first_difficulty(EASY) + (1.0 - back) * damped).clamp(1.0, 10.0)
    }
}

fn rating(right: bool) -> f64 {
    if right { RIGHT } else { WRONG }
}

fn first_difficulty(rating: f64) -> f64 {
    let [base, step] = FIRST_DIFFICULTY;
    base - (step * (rating - 1.0)).exp() + 1.0
}

/// So that the chance is 0.9 after as many days as stability says.
fn factor() -> f64 {
    AT_STABILITY.powf(-1.0 / DECAY) - 1.0
}
