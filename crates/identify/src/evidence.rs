//! What a scout saw on one plant: answers, in the order given.
//!
//! In: trait and value as text (from a form, a file, a book). Out: readings by position in a
//! table, or what is wrong with each value and how to mend it.
//!
//! A value is one state, several joined by `|` (both seen on one plant, or she wavers), a
//! number in the trait's unit, or [`CANNOT_TELL`]. Two answers to one trait add their states.

use std::collections::BTreeSet;

use standbook_key::{Key, LeafStage, Need, TraitKind};

use crate::table::Table;

/// The answer that costs nothing.
pub const CANNOT_TELL: &str = "cannot_tell";

/// What was seen of one trait.
#[derive(Debug, Clone, PartialEq)]
pub enum Reading {
    /// One state or several, by position, ascending, never empty.
    States(Vec<usize>),
    /// A measure in the trait's unit.
    Measure(f64),
    /// Looked, and could not tell.
    CannotTell,
}

/// One answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The trait, by position in the table.
    pub trait_index: usize,
    /// What was seen.
    pub reading: Reading,
}

/// All answers for one plant, in the order in which traits were first answered.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Evidence {
    answers: Vec<Answer>,
}

/// The plant's age and the tools in hand: what can be looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Situation {
    /// How far the plant has grown.
    pub leaf_stage: LeafStage,
    /// What is in hand.
    pub tools: BTreeSet<Need>,
}

impl Default for Situation {
    /// A tillering plant and every tool.
    fn default() -> Self {
        Situation {
            leaf_stage: LeafStage::Tillering,
            tools: Need::ALL.iter().map(|(_, need, _)| *need).collect(),
        }
    }
}

/// A value that can't be taken, and how to mend it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AnswerFault {
    /// There is no such trait.
    #[error("`{given}` is not a trait of this key; {hint}")]
    UnknownTrait {
        /// What was given, shortened.
        given: String,
        /// How to mend it.
        hint: String,
    },
    /// There is no such state.
    #[error("`{given}` is not a state of `{trait_id}`; {hint}")]
    UnknownState {
        /// The trait.
        trait_id: String,
        /// What was given, shortened.
        given: String,
        /// How to mend it.
        hint: String,
    },
    /// It is not a number in the trait's unit.
    #[error(
        "`{given}` is not a number; write `{trait_id}` as a plain number in {unit}, such as 2.5"
    )]
    NotANumber {
        /// The trait.
        trait_id: String,
        /// What was given, shortened.
        given: String,
        /// The unit.
        unit: String,
    },
    /// No plant has that.
    #[error(
        "{given} {unit} can't be right for `{trait_id}`: from {lowest} to {highest} {unit} is possible; check the unit"
    )]
    Absurd {
        /// The trait.
        trait_id: String,
        /// What was given.
        given: String,
        /// The unit.
        unit: String,
        /// Smallest sensible value.
        lowest: f64,
        /// Largest sensible value.
        highest: f64,
    },
    /// Nothing was given.
    #[error("`{trait_id}` has no value; write a state, a number, or `cannot_tell`")]
    Empty {
        /// The trait.
        trait_id: String,
    },
}

impl Evidence {
    /// The answers.
    pub fn answers(&self) -> &[Answer] {
        &self.answers
    }

    /// The answers to some of the traits only.
    pub fn only(&self, keep: impl Fn(usize) -> bool) -> Evidence {
        let kept = self.answers.iter().filter(|a| keep(a.trait_index));
        Evidence {
            answers: kept.cloned().collect(),
        }
    }

    /// The reading of a trait, if it was answered.
    pub fn reading(&self, trait_index: usize) -> Option<&Reading> {
        self.answers
            .iter()
            .find(|a| a.trait_index == trait_index)
            .map(|a| &a.reading)
    }

    /// Adds an answer. States add to states given before; of two measures the last counts, as
    /// it corrects the first; *can't tell* never removes what was seen.
    pub fn add(&mut self, answer: Answer) {
        let known = self
            .answers
            .iter_mut()
            .find(|a| a.trait_index == answer.trait_index);
        let Some(known) = known else {
            self.answers.push(answer);
            return;
        };
        match (&mut known.reading, answer.reading) {
            (Reading::States(states), Reading::States(more)) => {
                states.extend(more);
                states.sort_unstable();
                states.dedup();
            }
            (_, Reading::CannotTell) => {}
            (reading, newer) => *reading = newer,
        }
    }

    /// The same evidence without one answer, by position.
    pub fn without(&self, at: usize) -> Evidence {
        let mut answers = self.answers.clone();
        if at < answers.len() {
            answers.remove(at);
        }
        Evidence { answers }
    }

    /// The same evidence with one more answer.
    pub fn with(&self, answer: Answer) -> Evidence {
        let mut more = self.clone();
        more.add(answer);
        more
    }
}

/// Reads one trait and its value; `None` for a remark, which is kept by others and never
/// weighed.
pub fn parse(
    key: &Key,
    table: &Table,
    trait_id: &str,
    value: &str,
) -> Result<Option<Answer>, AnswerFault> {
    let trait_id = trait_id.trim();
    let value = value.trim();
    let Some(one) = key.trait_by_id(trait_id) else {
        return Err(AnswerFault::UnknownTrait {
            given: short(trait_id),
            hint: hint(
                trait_id,
                key.traits.iter().map(|t| t.id.as_str()),
                "see traits.yaml",
            ),
        });
    };
    if value.is_empty() {
        return Err(AnswerFault::Empty {
            trait_id: trait_id.to_owned(),
        });
    }
    let Some(trait_index) = table.trait_index(trait_id) else {
        return Ok(None);
    };
    if value == CANNOT_TELL {
        return Ok(Some(Answer {
            trait_index,
            reading: Reading::CannotTell,
        }));
    }
    let reading = match &one.kind {
        TraitKind::Measure(measure) => {
            let number: f64 = value.parse().map_err(|_| AnswerFault::NotANumber {
                trait_id: trait_id.to_owned(),
                given: short(value),
                unit: measure.unit.clone(),
            })?;
            if !(measure.lowest..=measure.highest).contains(&number) {
                return Err(AnswerFault::Absurd {
                    trait_id: trait_id.to_owned(),
                    given: short(value),
                    unit: measure.unit.clone(),
                    lowest: measure.lowest,
                    highest: measure.highest,
                });
            }
            Reading::Measure(number)
        }
        _ => {
            let mut states = Vec::new();
            for part in value.split('|') {
                let part = part.trim();
                let at = table.traits[trait_index].state_index(part).ok_or_else(|| {
                    AnswerFault::UnknownState {
                        trait_id: trait_id.to_owned(),
                        given: short(part),
                        hint: hint(
                            part,
                            one.states().iter().map(|s| s.id.as_str()),
                            "see its states in traits.yaml",
                        ),
                    }
                })?;
                states.push(at);
            }
            states.sort_unstable();
            states.dedup();
            Reading::States(states)
        }
    };
    Ok(Some(Answer {
        trait_index,
        reading,
    }))
}

/// A reading as text, the form that [`parse`] reads.
pub fn value_text(table: &Table, answer: &Answer) -> String {
    match &answer.reading {
        Reading::CannotTell => CANNOT_TELL.to_owned(),
        Reading::Measure(number) => number.to_string(),
        Reading::States(states) => states
            .iter()
            .map(|&s| table.traits[answer.trait_index].states[s].as_str())
            .collect::<Vec<_>>()
            .join("|"),
    }
}

fn hint<'a>(wrong: &str, known: impl Iterator<Item = &'a str> + Clone, otherwise: &str) -> String {
    standbook_key::fault::suggest(wrong, known, otherwise)
}

fn short(text: &str) -> String {
    standbook_key::fault::short(text)
}
