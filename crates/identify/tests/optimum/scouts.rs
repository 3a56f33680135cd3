//! Whether looking ahead pays on the whole key: plants drawn from the table, misreadings and all,
//! walked until settled by *Look next at* and by bits per second of single looks.
//!
//! The plants are the table's own, so this compares ways of asking and says nothing of how true
//! the table is (crate `evaluate` does that). Both ways meet the same plants with the same answers.

use standbook_identify::look_next::TAP_S;
use standbook_identify::{
    Answer, Evidence, Look, Outcome, Planted, Reading, Situation, Table, assess, looks,
};

use super::common::table;

/// Plants of each taxon.
const PLANTS: usize = 12;

/// Nobody looks at more traits of one plant.
const PATIENCE: usize = 20;

/// How one way of asking went.
#[derive(Debug, Default, Clone, Copy)]
struct Went {
    seconds: f64,
    looks: usize,
    settled: usize,
    right: usize,
}

/// The answers to every trait of one plant.
fn plant(table: &Table, row: usize, rng: &mut fastrand::Rng) -> Vec<Reading> {
    table
        .traits
        .iter()
        .map(|columns| {
            let mut left = rng.f64();
            let drawn = columns.chances.iter().position(|chances| {
                left -= chances[row];
                left < 0.0
            });
            let state = drawn.unwrap_or(columns.chances.len() - 1);
            match &columns.bins {
                None => Reading::States(vec![state]),
                Some(bins) => {
                    let step = (bins.highest / bins.lowest).ln() / bins.n as f64;
                    Reading::Measure(bins.lowest * ((state as f64 + 0.5) * step).exp())
                }
            }
        })
        .collect()
}

fn walk(went: &mut Went, row: usize, plant: &[Reading], choose: fn(&Table, &[Look]) -> usize) {
    let table = table();
    let mut evidence = Evidence::default();
    for _ in 0..=PATIENCE {
        let said = assess(table, &evidence, Planted::ByRole);
        if let Outcome::Settled(name) = said.outcome {
            went.settled += 1;
            went.right += usize::from(name == row);
            return;
        }
        let situation = Situation::default();
        let next = looks(
            table,
            &said.posterior,
            &evidence,
            &situation,
            Planted::ByRole,
        );
        if next.is_empty() || evidence.answers().len() == PATIENCE {
            return;
        }
        let trait_index = choose(table, &next);
        went.seconds += f64::from(table.traits[trait_index].effort_s) + TAP_S;
        went.looks += 1;
        evidence.add(Answer {
            trait_index,
            reading: plant[trait_index].clone(),
        });
    }
}

/// The best single look, as if nothing were looked at ahead.
fn single(table: &Table, looks: &[Look]) -> usize {
    let worth = |look: &Look| (table.traits[look.trait_index].decides, look.bits_per_second);
    let best = looks.iter().max_by(|a, b| {
        let ((da, ba), (db, bb)) = (worth(a), worth(b));
        da.cmp(&db).then(ba.total_cmp(&bb))
    });
    best.unwrap().trait_index
}

#[test]
fn looking_ahead_saves_time_and_settles_no_fewer() {
    let table = table();
    let mut rng = fastrand::Rng::with_seed(7);
    let (mut ahead, mut alone) = (Went::default(), Went::default());
    for row in 0..table.rows.len() - 1 {
        for _ in 0..PLANTS {
            let plant = plant(table, row, &mut rng);
            walk(&mut ahead, row, &plant, |_, looks| looks[0].trait_index);
            walk(&mut alone, row, &plant, single);
        }
    }
    let n = ((table.rows.len() - 1) * PLANTS) as f64;
    for (what, went) in [("ahead", ahead), ("single", alone)] {
        println!(
            "{what}: {:.1} s and {:.2} looks a plant, of {n} plants {} settled, {} rightly",
            went.seconds / n,
            went.looks as f64 / n,
            went.settled,
            went.right
        );
    }
    // Half a plant in a hundred either way is chance.
    let slack = n / 200.0;
    assert!(ahead.seconds <= alone.seconds, "{ahead:?} {alone:?}");
    assert!(ahead.right as f64 >= alone.right as f64 - slack);
}
