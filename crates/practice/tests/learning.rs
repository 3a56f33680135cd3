//! Simulated learners under our order, by chance, and in blocks: how many answers until they know it.
//!
//! Outside model: activation by Pavlik & Anderson 2005, "Practice and Forgetting Effects on Vocabulary
//! Memory", Cognitive Science 29:559-586, with the parameters of that paper (from memory): every answer
//! leaves a trace that fades the faster the more active the thing was, and time between sessions
//! counts a fortieth. It is another model than the scheduler's own. A question between two names is right
//! half the time by guessing.
//!
//! The table is kept beside (`learning.txt`); `STANDBOOK_WRITE_TABLES=1` makes it anew.
#![allow(clippy::unwrap_used)]

use std::fmt::Write;
use std::path::Path;

use standbook_practice::memory::Memory;
use standbook_practice::next::{Item, next};

const FADE_SCALE: f64 = 0.217;
const FADE_LEAST: f64 = 0.177;
const THRESHOLD: f64 = -0.704;
const NOISE: f64 = 0.255;
/// Time between sessions counts this much.
const BETWEEN: f64 = 0.025;

const SECONDS_A_DAY: f64 = 86_400.0;
/// One answer with its feedback.
const SECONDS_AN_ANSWER: f64 = 15.0;
/// Five minutes a day.
const ANSWERS_A_DAY: usize = 20;
const PAIRS: usize = 20;
const LEARNERS: u64 = 200;
/// Known: so likely that the mean pair is recalled at the start of a day.
const KNOWN: f64 = 0.8;
const MOST_DAYS: usize = 120;

/// Traces of one thing: when, in seconds as they count, and how fast each fades.
#[derive(Default, Clone)]
struct Traces(Vec<(f64, f64)>);

impl Traces {
    fn activation(&self, now: f64) -> f64 {
        let sum: f64 = self
            .0
            .iter()
            .map(|(at, fade)| (now - at).max(1.0).powf(-fade))
            .sum();
        sum.ln()
    }

    fn recalled(&self, now: f64) -> f64 {
        if self.0.is_empty() {
            return 0.0;
        }
        1.0 / (1.0 + ((THRESHOLD - self.activation(now)) / NOISE).exp())
    }

    fn see(&mut self, now: f64) {
        let fade = match self.0.is_empty() {
            true => FADE_LEAST,
            false => FADE_SCALE * self.activation(now).exp() + FADE_LEAST,
        };
        self.0.push((now, fade));
    }
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Order {
    Ours,
    Chance,
    Blocks,
}

/// Answers given until she knows it, and how much of it a month without practice leaves.
fn learn(order: Order, seed: u64) -> (usize, f64) {
    let mut rng = fastrand::Rng::with_seed(seed);
    let mut traces = vec![Traces::default(); PAIRS];
    let mut items: Vec<Item> = (0..PAIRS)
        .map(|at| Item {
            id: format!("{at:02}"),
            // Each name is taken for the next one.
            concerns: vec![format!("n{at}"), format!("n{}", at + 1)],
            matters: 1.0,
            memory: None,
        })
        .collect();
    let (mut given, mut now, mut last) = (0, 0.0, None::<usize>);
    for day in 0..MOST_DAYS {
        let known: f64 = traces.iter().map(|t| t.recalled(now)).sum::<f64>() / PAIRS as f64;
        if known >= KNOWN {
            break;
        }
        for _ in 0..ANSWERS_A_DAY {
            let at = match order {
                Order::Chance => rng.usize(..PAIRS),
                // Ten in a row of each, round and round.
                Order::Blocks => given / 10 % PAIRS,
                Order::Ours => {
                    let id = last.map(|at| items[at].id.clone());
                    let chosen = next(&items, id.as_deref(), day as f64).unwrap();
                    items.iter().position(|item| item.id == chosen.id).unwrap()
                }
            };
            let right = rng.f64() < traces[at].recalled(now) || rng.bool();
            traces[at].see(now);
            items[at].memory = Some(match items[at].memory {
                None => Memory::first(right, day as f64),
                Some(memory) => memory.answered(right, day as f64),
            });
            last = Some(at);
            given += 1;
            now += SECONDS_AN_ANSWER;
        }
        now += BETWEEN * SECONDS_A_DAY;
    }
    let month = now + 30.0 * BETWEEN * SECONDS_A_DAY;
    let left = traces.iter().map(|t| t.recalled(month)).sum::<f64>() / PAIRS as f64;
    (given, left)
}

fn median(mut numbers: Vec<f64>) -> f64 {
    numbers.sort_by(f64::total_cmp);
    numbers[numbers.len() / 2]
}

#[test]
fn our_order_takes_fewer_answers_than_chance_or_blocks() {
    let mut table = String::from(
        "Answers until 20 pairs are known (mean recall 0.8 at the start of a day), 20 answers a day,\n\
         median of 200 simulated learners; recall after a month without practice.\n\n\
         order    answers  after a month\n",
    );
    let mut needed = Vec::new();
    for order in [Order::Ours, Order::Chance, Order::Blocks] {
        let all: Vec<(usize, f64)> = (0..LEARNERS).map(|seed| learn(order, seed)).collect();
        let answers = median(all.iter().map(|(given, _)| *given as f64).collect());
        let left = median(all.iter().map(|(_, left)| *left).collect());
        writeln!(
            table,
            "{:<8} {answers:>7}  {left:.2}",
            format!("{order:?}").to_lowercase()
        )
        .unwrap();
        needed.push(answers);
    }
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/learning.txt");
    if std::env::var_os("STANDBOOK_WRITE_TABLES").is_some() {
        std::fs::write(&kept, &table).unwrap();
    }
    assert_eq!(table, std::fs::read_to_string(&kept).unwrap());
    assert!(needed[0] < needed[1] && needed[1] < needed[2], "{table}");
}
