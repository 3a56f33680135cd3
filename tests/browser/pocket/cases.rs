//! Random answer sets: what scouts report, and what nobody in her senses would.

use fastrand::Rng;
use serde_json::{Value, json};
use standbook_identify::{Answer, Evidence, Planted, Reading, Situation, Table};
use standbook_key::{LeafStage, Need, TaxonId};

/// One walk.
pub struct Case {
    /// As given: a trait may be answered more than once.
    pub answers: Vec<Answer>,
    pub situation: Situation,
    pub mix: Option<Vec<TaxonId>>,
}

impl Case {
    /// The n-th case: kinds take turns.
    pub fn draw(table: &Table, random: &mut Rng, n: usize) -> Case {
        let row = random.usize(..table.rows.len());
        let most = table.traits.len();
        let many = random.usize(1..=most);
        let traits = |random: &mut Rng, n: usize| {
            let mut all: Vec<usize> = (0..most).collect();
            random.shuffle(&mut all);
            all.truncate(n);
            all
        };
        let mut answers: Vec<Answer> = match n % 8 {
            // A plant of one row, seen by an honest scout: a few looks, or many.
            0 | 1 => {
                let n = match n % 8 {
                    0 => many,
                    _ => random.usize(1..=8),
                };
                let at = traits(random, n);
                at.into_iter()
                    .map(|at| drawn(table, random, at, row))
                    .collect()
            }
            // The very picture of a row.
            2 => {
                let at = traits(random, many).into_iter();
                at.map(|at| best(table, at, |chances| chances[row]))
                    .collect()
            }
            // What speaks most for a plant outside the key.
            3 => {
                let outside = table.not_in_key().unwrap();
                let share = |chances: &[f64]| chances[outside] / chances.iter().sum::<f64>();
                let at = traits(random, many).into_iter();
                at.map(|at| best(table, at, share)).collect()
            }
            // Anything at all, few and many.
            4 => {
                let n = random.usize(..4);
                let at = traits(random, n).into_iter();
                at.map(|at| any(table, random, at)).collect()
            }
            5 => traits(random, many)
                .into_iter()
                .map(|at| any(table, random, at))
                .collect(),
            // Two grasses at once: half of the looks went to the neighbour.
            6 => {
                let other = random.usize(..table.rows.len());
                let at = traits(random, many).into_iter();
                at.map(|at| {
                    let row = if random.bool() { row } else { other };
                    best(table, at, |chances| chances[row])
                })
                .collect()
            }
            // Foolish: every trait twice, everything seen, measures of trees and of nothing.
            _ => {
                let at = traits(random, many);
                let twice = at.iter().chain(&at);
                twice.map(|at| foolish(table, random, *at)).collect()
            }
        };
        if random.u8(..4) == 0 {
            let at = random.usize(..most);
            answers.push(any(table, random, at));
        }
        Case {
            answers,
            situation: Situation {
                leaf_stage: LeafStage::ALL[random.usize(..LeafStage::ALL.len())].1,
                tools: Need::ALL
                    .iter()
                    .map(|need| need.1)
                    .filter(|_| random.u8(..4) > 0)
                    .collect(),
            },
            mix: random.bool().then(|| {
                // The plant's own row half of the time, and up to six others.
                let mut rows: Vec<usize> = (0..random.usize(..7))
                    .map(|_| random.usize(..table.rows.len() - 1))
                    .collect();
                rows.extend(random.bool().then_some(row));
                rows.into_iter()
                    .map(|row| table.rows[row].id.clone())
                    .collect()
            }),
        }
    }

    /// The answers as the engine takes them.
    pub fn evidence(&self) -> Evidence {
        let mut evidence = Evidence::default();
        for answer in &self.answers {
            evidence.add(answer.clone());
        }
        evidence
    }

    /// What counts as planted.
    pub fn planted(&self) -> Planted<'_> {
        self.mix
            .as_ref()
            .map_or(Planted::ByRole, |mix| Planted::Mix(mix))
    }

    /// As the page takes it.
    pub fn as_json(&self) -> Value {
        let answers: Vec<Value> = self
            .answers
            .iter()
            .map(|answer| json!([answer.trait_index, reading(&answer.reading)]))
            .collect();
        let tools: Vec<&str> = self.situation.tools.iter().map(|tool| tool.id()).collect();
        json!({
            "answers": answers,
            "situation": {"leaf_stage": self.situation.leaf_stage.id(), "tools": tools},
            "mix": self.mix,
        })
    }
}

/// A reading as the page has it.
pub fn reading(reading: &Reading) -> Value {
    match reading {
        Reading::States(states) => json!(states),
        Reading::Measure(value) => json!(value),
        Reading::CannotTell => Value::Null,
    }
}

/// A state, or a measure in the middle of a bin.
fn told(table: &Table, at: usize, state: usize) -> Answer {
    Answer {
        trait_index: at,
        reading: match &table.traits[at].bins {
            Some(bins) => Reading::Measure(bins.middle_of(state)),
            None => Reading::States(vec![state]),
        },
    }
}

/// The state that has most of something.
fn best(table: &Table, at: usize, of: impl Fn(&[f64]) -> f64) -> Answer {
    let chances = table.traits[at].chances.iter();
    let state = chances
        .map(|column| of(column))
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(0, |(state, _)| state);
    told(table, at, state)
}

/// What a scout reports of a plant of a row, now and then two states or nothing.
fn drawn(table: &Table, random: &mut Rng, at: usize, row: usize) -> Answer {
    let columns = &table.traits[at];
    let n = columns.chances.len();
    let mut left = random.f64();
    let state = (0..n - 1)
        .find(|state| {
            left -= columns.chances[*state][row];
            left < 0.0
        })
        .unwrap_or(n - 1);
    let mut answer = told(table, at, state);
    match (&mut answer.reading, random.u8(..12)) {
        (Reading::States(states), 0) if state + 1 < n => states.push(state + 1),
        (reading, 1) => *reading = Reading::CannotTell,
        _ => {}
    }
    answer
}

/// One state or several, a measure anywhere in its range to the tenth, can't tell.
fn any(table: &Table, random: &mut Rng, at: usize) -> Answer {
    let columns = &table.traits[at];
    let reading = match (&columns.bins, random.u8(..8)) {
        (_, 0) => Reading::CannotTell,
        (Some(bins), _) => {
            let value = bins.lowest + random.f64() * (bins.highest - bins.lowest);
            Reading::Measure((value * 10.0).round() / 10.0)
        }
        (None, 1 | 2) => {
            let mut states: Vec<usize> = (0..columns.states.len())
                .filter(|_| random.bool())
                .collect();
            if states.is_empty() {
                states.push(0);
            }
            Reading::States(states)
        }
        (None, _) => Reading::States(vec![random.usize(..columns.states.len())]),
    };
    Answer {
        trait_index: at,
        reading,
    }
}

fn foolish(table: &Table, random: &mut Rng, at: usize) -> Answer {
    let columns = &table.traits[at];
    let reading = match (&columns.bins, random.u8(..3)) {
        (Some(bins), _) => {
            let odd = [
                0.0,
                -4.0,
                1e-300,
                1e300,
                bins.lowest,
                bins.highest,
                12_000.0,
            ];
            Reading::Measure(odd[random.usize(..odd.len())])
        }
        (None, 0) => Reading::States((0..columns.states.len()).collect()),
        (None, _) => return any(table, random, at),
    };
    Answer {
        trait_index: at,
        reading,
    }
}
