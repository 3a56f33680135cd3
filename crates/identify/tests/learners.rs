//! The engine beside general-purpose learners, on open data and the same folds.
//!
//! In: two classic sets (their source and licence: `reference/README.md`) and what
//! scikit-learn's CategoricalNB and DecisionTreeClassifier make of them in ten folds, kept in
//! `tests/beside/learners.json` (made by `learners.py` there) or named by `STANDBOOK_LEARNERS`.
//! Here a key is estimated from the training rows of each fold: chances from counts, missing
//! cells as *can't tell*. It is walked with every trait, and one trait at a time by *Look next
//! at*.
//!
//! What there is to choose (the smoothing of counts, the certainty at which a walk stops) is
//! chosen inside the training rows, by a fifth of them held out, never by the fold that is named.
//! A question more costs as much as naming [`QUESTION`] more rows rightly is worth.
//!
//! From the kept file the test takes the first repeat; `cargo xtask learners` makes folds of a new
//! seed and takes all.

#![allow(clippy::unwrap_used)]

use std::path::Path;

use serde_json::Value;
use standbook_identify::{Answer, Evidence, Planted, Reading, Situation, Table, looks, posterior};

/// Added to every count (alpha of Laplace and Lidstone).
const ALPHAS: [f64; 4] = [0.01, 0.03, 0.1, 1.0];

/// A walk stops when the likeliest class has this probability.
const CERTAIN: [f64; 4] = [0.9, 0.94, 0.96, 0.99];

/// The share of rows that must be named rightly beyond for one more question to be worth asking
/// (convention of this comparison).
const QUESTION: f64 = 0.012;

struct Data {
    class: Vec<usize>,
    classes: Vec<String>,
    /// `cells[row][trait]`: the state; `None` is missing.
    cells: Vec<Vec<Option<usize>>>,
    states: Vec<usize>,
}

fn read(name: &str, label: &str, leave_out: &str) -> Data {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/reference/{name}.csv"));
    let mut reader = csv::Reader::from_path(path).unwrap();
    let header: Vec<String> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let at = |name: &str| header.iter().position(|h| h == name).unwrap();
    let traits: Vec<usize> = (0..header.len())
        .filter(|&c| header[c] != label && header[c] != leave_out)
        .collect();
    let sorted = |column: usize| -> Vec<String> {
        let mut all: Vec<String> = rows.iter().map(|r| r[column].to_owned()).collect();
        all.sort_unstable();
        all.dedup();
        all.retain(|v| v != "NA");
        all
    };
    let classes = sorted(at(label));
    let states: Vec<Vec<String>> = traits.iter().map(|&c| sorted(c)).collect();
    let place = |known: &[String], value: &str| known.iter().position(|v| v == value);
    Data {
        class: rows
            .iter()
            .map(|r| place(&classes, &r[at(label)]).unwrap())
            .collect(),
        cells: rows
            .iter()
            .map(|r| {
                let cell = |(&c, known): (&usize, &Vec<String>)| place(known, &r[c]);
                traits.iter().zip(&states).map(cell).collect()
            })
            .collect(),
        states: states.iter().map(Vec::len).collect(),
        classes,
    }
}

impl Data {
    fn learn(&self, rows: &[usize], alpha: f64) -> Table {
        let n = self.classes.len();
        // A class that no training row has stays possible, barely.
        let mut classes = vec![1e-6; n];
        let mut counts: Vec<Vec<Vec<f64>>> = self
            .states
            .iter()
            .map(|&states| vec![vec![0.0; n]; states])
            .collect();
        for &row in rows {
            classes[self.class[row]] += 1.0;
            for (column, cell) in counts.iter_mut().zip(&self.cells[row]) {
                if let Some(state) = cell {
                    column[*state][self.class[row]] += 1.0;
                }
            }
        }
        let names: Vec<&str> = self.classes.iter().map(String::as_str).collect();
        Table::from_counts(&names, &classes, &counts, alpha)
    }

    fn answer(&self, row: usize, trait_index: usize) -> Answer {
        Answer {
            trait_index,
            reading: match self.cells[row][trait_index] {
                Some(state) => Reading::States(vec![state]),
                None => Reading::CannotTell,
            },
        }
    }

    /// Whether a row is named rightly with every trait.
    fn whole(&self, table: &Table, row: usize) -> bool {
        let mut evidence = Evidence::default();
        for at in 0..self.states.len() {
            evidence.add(self.answer(row, at));
        }
        best(&posterior(table, &evidence)).0 == self.class[row]
    }

    /// Whether a row is named rightly one trait at a time, and after how many questions. A
    /// question that can't be told counts as asked.
    fn asked(&self, table: &Table, row: usize, certain: f64) -> (bool, usize) {
        let mut evidence = Evidence::default();
        let situation = Situation::default();
        loop {
            let p = posterior(table, &evidence);
            let (class, sure) = best(&p);
            let next = looks(table, &p, &evidence, &situation, Planted::ByRole);
            let asked = evidence.answers().len();
            match next.first() {
                Some(look) if sure < certain => {
                    evidence.add(self.answer(row, look.trait_index));
                }
                _ => return (class == self.class[row], asked),
            }
        }
    }

    /// The smoothing that names most held-out rows rightly with every trait.
    fn choose_alpha(&self, rows: &[usize]) -> f64 {
        let (held, kept) = hold_out(rows);
        let score = |alpha: f64| {
            let table = self.learn(&kept, alpha);
            held.iter().filter(|&&row| self.whole(&table, row)).count()
        };
        let mut best = (ALPHAS[0], 0);
        for alpha in ALPHAS {
            let right = score(alpha);
            if right > best.1 {
                best = (alpha, right);
            }
        }
        best.0
    }

    /// The smoothing and the certainty that pay best on held-out rows, one trait at a time.
    fn choose_stop(&self, rows: &[usize]) -> (f64, f64) {
        let (held, kept) = hold_out(rows);
        let mut best = (ALPHAS[0], CERTAIN[0], f64::MIN);
        for alpha in ALPHAS {
            let table = self.learn(&kept, alpha);
            for certain in CERTAIN {
                let pay: f64 = held
                    .iter()
                    .map(|&row| self.asked(&table, row, certain))
                    .map(|(right, asked)| f64::from(u8::from(right)) - QUESTION * asked as f64)
                    .sum();
                if pay > best.2 {
                    best = (alpha, certain, pay);
                }
            }
        }
        (best.0, best.1)
    }
}

/// Every fifth training row is held out for choosing.
fn hold_out(rows: &[usize]) -> (Vec<usize>, Vec<usize>) {
    let pick = |held: bool| {
        let wanted = move |at: usize| (at.is_multiple_of(5)) == held;
        let rows = rows.iter().enumerate();
        rows.filter(|(at, _)| wanted(*at))
            .map(|(_, row)| *row)
            .collect()
    };
    (pick(true), pick(false))
}

fn best(p: &[f64]) -> (usize, f64) {
    let first = (0..p.len()).max_by(|&a, &b| p[a].total_cmp(&p[b]).then(b.cmp(&a)));
    first.map_or((0, 0.0), |at| (at, p[at]))
}

/// What both sides made of one set.
#[derive(Default)]
struct Tally {
    rows: f64,
    ours_whole: f64,
    ours_asked: f64,
    questions: f64,
    nb: f64,
    tree: f64,
    comparisons: f64,
    tree_traits: f64,
}

fn tally(name: &str, label: &str, leave_out: &str, repeats: &[Value]) -> Tally {
    let data = read(name, label, leave_out);
    let mut sum = Tally::default();
    for repeat in repeats {
        let folds: Vec<u32> = repeat["folds"]
            .as_str()
            .unwrap()
            .chars()
            .map(|c| c.to_digit(10).unwrap())
            .collect();
        assert_eq!(folds.len(), data.class.len());
        for fold in 0..10 {
            let rows = |of_fold: bool| -> Vec<usize> {
                let all = 0..folds.len();
                all.filter(|&row| (folds[row] == fold) == of_fold).collect()
            };
            let (named, training) = (rows(true), rows(false));
            let table = data.learn(&training, data.choose_alpha(&training));
            let right = named.iter().filter(|&&row| data.whole(&table, row));
            sum.ours_whole += right.count() as f64;
            let (alpha, certain) = data.choose_stop(&training);
            let table = data.learn(&training, alpha);
            for &row in &named {
                let (right, asked) = data.asked(&table, row, certain);
                sum.ours_asked += f64::from(u8::from(right));
                sum.questions += asked as f64;
            }
        }
        let theirs = |what: &str| repeat[what].as_f64().unwrap();
        sum.rows += folds.len() as f64;
        sum.nb += theirs("nb_right");
        sum.tree += theirs("tree_right");
        sum.comparisons += theirs("tree_comparisons");
        sum.tree_traits += theirs("tree_traits");
    }
    let of = |x: f64| x / sum.rows;
    println!(
        "{name:<9} every trait: here {:.4}, CategoricalNB {:.4} | one at a time: here {:.4} after \
         {:.2} questions, DecisionTreeClassifier {:.4} after {:.2} comparisons of {:.2} traits",
        of(sum.ours_whole),
        of(sum.nb),
        of(sum.ours_asked),
        of(sum.questions),
        of(sum.tree),
        of(sum.comparisons),
        of(sum.tree_traits)
    );
    sum
}

#[test]
fn no_worse_than_general_learners() {
    let given = std::env::var("STANDBOOK_LEARNERS").ok();
    let path = given.clone().unwrap_or_else(|| {
        format!(
            "{}/../../tests/beside/learners.json",
            env!("CARGO_MANIFEST_DIR")
        )
    });
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let theirs: Value = serde_json::from_str(&text).unwrap();
    println!(
        "standbook-identify {}, beside {}",
        env!("CARGO_PKG_VERSION"),
        theirs["versions"]
    );
    for (at, (name, label, leave_out)) in [("zoo", "type", "animal"), ("soybean", "Class", "")]
        .into_iter()
        .enumerate()
    {
        let set = &theirs["sets"][at];
        assert_eq!(set["name"], name);
        let repeats = set["repeats"].as_array().unwrap();
        let repeats = match given {
            Some(_) => repeats,
            None => &repeats[..1],
        };
        let sum = tally(name, label, leave_out, repeats);
        assert!(sum.ours_whole >= sum.nb, "{name}: every trait");
        // Zoo: taking traits as independent costs about two of 101 animals against a tree, which
        // does not, at about as many questions. Known, and held there. Folds of a new seed may
        // differ from the kept ones by a little luck.
        let luck = if given.is_some() { 0.004 } else { 0.0 };
        let (short, longer) = match name {
            "zoo" => (0.03, 0.3),
            _ => (luck, 0.0),
        };
        assert!(
            sum.ours_asked >= sum.tree - short * sum.rows,
            "{name}: one at a time"
        );
        assert!(
            sum.questions <= sum.comparisons + longer * sum.rows,
            "{name}: questions"
        );
    }
}
