//! How near *Look next at* and the grown couplets come to the fewest looks possible.

#![allow(clippy::unwrap_used)]

#[path = "../common/mod.rs"]
mod common;
mod draw;
mod exact;

use draw::{Cells, Small};
use exact::Problem;
use standbook_identify::couplets::{self, CoupletStep, READ_S};
use standbook_identify::look_next::TAP_S;
use standbook_identify::{Answer, Evidence, Planted, Reading, Situation, Table, looks, posterior};

/// Small keys of each kind.
const DRAWN: usize = 200;

fn drawn(cells: Cells) -> Vec<Small> {
    let mut rng = fastrand::Rng::with_seed(20_261_125);
    let mut all = Vec::new();
    while all.len() < DRAWN {
        let n = rng.usize(4..=14);
        all.extend(Small::draw(n, cells, &mut rng));
    }
    all
}

/// Expected effort of following *Look next at* until one taxon is left, seconds.
fn effort_of_looks(problem: &Problem, table: &Table) -> f64 {
    problem.effort_of(&mut |answers, set| {
        let mut evidence = Evidence::default();
        for &(trait_index, state) in answers {
            evidence.add(Answer {
                trait_index,
                reading: Reading::States(vec![state]),
            });
        }
        let p = posterior(table, &evidence);
        let next = looks(table, &p, &evidence, &Situation::default(), Planted::ByRole);
        // A look that can only confirm what is known would be waste without doubt.
        let best = next.first().unwrap_or_else(|| panic!("{set:b}: no look"));
        best.trait_index
    })
}

/// Expected effort of reading grown couplets until they end, seconds.
fn effort_of_couplets(problem: &Problem, small: &Small, unit: bool) -> f64 {
    let key = small.key(unit);
    let grown = couplets::grow(&key);
    let table = Table::compile(&key);
    problem.effort_of(&mut |answers, _| {
        let mut evidence = Evidence::default();
        for &(question, state) in answers {
            let id = &self::common::table().traits[small.questions[question]].id;
            evidence.add(Answer {
                trait_index: table.trait_index(id.as_str()).unwrap(),
                reading: Reading::States(vec![state]),
            });
        }
        let walked = couplets::walk(&grown, &table, &evidence, &[]);
        let CoupletStep::Read(number) = walked.at else {
            panic!("{:?}", walked.at)
        };
        let couplet = grown.by_number(number).unwrap();
        let asked = &couplet.leads[0].when.as_ref().unwrap().trait_id;
        let ids = small
            .questions
            .iter()
            .map(|&q| &self::common::table().traits[q].id);
        ids.into_iter().position(|id| id == asked).unwrap()
    })
}

fn mean(of: &[f64]) -> f64 {
    of.iter().sum::<f64>() / of.len() as f64
}

fn told(what: &str, ratios: &[f64]) -> f64 {
    let mut sorted = ratios.to_vec();
    sorted.sort_by(f64::total_cmp);
    let at = |share: f64| sorted[((sorted.len() - 1) as f64 * share) as usize];
    println!(
        "{what}: mean {:.4}, half under {:.4}, nine in ten under {:.4}, worst {:.4}, {} of {} exactly best",
        mean(ratios),
        at(0.5),
        at(0.9),
        at(1.0),
        ratios.iter().filter(|r| **r < 1.0 + 1e-9).count(),
        ratios.len(),
    );
    mean(ratios)
}

#[test]
fn measure() {
    for cells in [Cells::Recorded, Cells::Filled] {
        let all = drawn(cells);
        println!(
            "{cells:?}: {:.1} taxa, {:.1} questions",
            mean(&all.iter().map(|s| s.taxa.len() as f64).collect::<Vec<_>>()),
            mean(
                &all.iter()
                    .map(|s| s.questions.len() as f64)
                    .collect::<Vec<_>>()
            )
        );
        for unit in [true, false] {
            for roles in [false, true] {
                let r: Vec<f64> = all
                    .iter()
                    .map(|s| {
                        let mut problem = s.problem(TAP_S);
                        if unit {
                            problem = problem.with_even_effort(1.0 + TAP_S);
                        }
                        let best = problem.optimum();
                        let r = effort_of_looks(&problem, &s.table(unit, roles)) / best;
                        assert!(r > 1.0 - 1e-9);
                        r
                    })
                    .collect();
                told(&format!("looks unit {unit} roles {roles}"), &r);
            }
            let r: Vec<f64> = all
                .iter()
                .map(|s| {
                    let mut problem = s.problem(READ_S);
                    if unit {
                        problem = problem.with_even_effort(1.0 + READ_S);
                    }
                    let best = problem.optimum();
                    effort_of_couplets(&problem, s, unit) / best
                })
                .collect();
            told(&format!("couplets unit {unit}"), &r);
        }
    }
}
