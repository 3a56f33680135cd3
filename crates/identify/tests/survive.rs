//! A single misread answer must be survivable: the true name stays in sight, no other name
//! is settled, and looking again brings it back.
//!
//! Every taxon of the key that ships is answered as its profile says (all that can be seen at
//! tillering), then each deciding trait in turn is misread as each of its other states. Run
//! with `--nocapture` for the figures.

#![allow(clippy::unwrap_used)]

mod common;

use common::{asked, key, modal_evidence, modal_reading, rank, replaced, state, table};
use standbook_identify::look_next::looks;
use standbook_identify::{
    Answer, Assessment, Evidence, Outcome, Planted, Reading, Situation, assess,
};
use standbook_key::TaxonId;
use standbook_key::pairs::unseparated;

/// After one misread answer the true name is among so many names (measured: the second at
/// worst).
const AMONG: usize = 3;

/// One misread answer never pushes the true name below this (measured 0.070).
const AT_LEAST: f64 = 0.05;

/// Wrong names settled, and plants counted on the wrong side, when one look in a walk by
/// *Look next at* is misread (measured 1 and 0 of 572).
const SLIP_SETTLED_WRONG: f64 = 0.005;
const SLIP_COUNTED_WRONG: f64 = 0.005;

/// At least this share of misreadings leaves the true name first (measured 0.974).
const STILL_FIRST: f64 = 0.96;

fn judged(evidence: &Evidence) -> Assessment {
    assess(table(), evidence, Planted::ByRole)
}

/// Evidence with one misread answer, and where.
struct Case {
    row: usize,
    full: Evidence,
    at: usize,
    misread: Answer,
    name: String,
}

impl Case {
    fn trait_index(&self) -> usize {
        self.misread.trait_index
    }
}

/// The misread evidence: traits that don't apply after the slip are not asked.
fn misread_evidence(case: &Case) -> Evidence {
    let answers = replaced(&case.full, &case.misread);
    asked(table(), answers.answers().to_vec())
}

fn cases() -> Vec<Case> {
    let (key, table) = (key(), table());
    let mut cases = Vec::new();
    for (row, taxon) in key.taxa.iter().enumerate() {
        let full = modal_evidence(key, table, taxon, row);
        for (at, answer) in full.answers().iter().enumerate() {
            let columns = &table.traits[answer.trait_index];
            let Reading::States(truth) = &answer.reading else {
                continue;
            };
            for other in (0..columns.states.len()).filter(|s| !truth.contains(s)) {
                if columns.decides {
                    cases.push(Case {
                        row,
                        full: full.clone(),
                        at,
                        misread: state(answer.trait_index, other),
                        name: format!(
                            "{} {} {} taken for {}",
                            taxon.id, columns.id, columns.states[truth[0]], columns.states[other]
                        ),
                    });
                }
            }
        }
    }
    assert!(cases.len() > 1000, "{} cases", cases.len());
    cases
}

/// Whether no deciding trait, `but_for` one, parts two rows, by the key's own check.
fn twins(a: usize, b: usize, but_for: Option<usize>) -> bool {
    let mut traits = key().traits.clone();
    traits.retain(|t| but_for.is_none_or(|at| table().traits[at].id != t.id));
    let pairs = unseparated(&traits, &key().taxa);
    let id = |row: usize| -> &TaxonId { &table().rows[row].id };
    pairs.contains(&(id(a), id(b))) || pairs.contains(&(id(b), id(a)))
}

/// First, or second to a taxon that no deciding trait, `but_for` one, parts from it.
fn first_or_twin(assessment: &Assessment, row: usize, but_for: Option<usize>) -> bool {
    match rank(&assessment.ranking, row) {
        0 => true,
        1 => twins(assessment.ranking[0].0, row, but_for),
        _ => false,
    }
}

#[test]
fn every_taxon_answered_in_full_comes_out_first() {
    let (key, table) = (key(), table());
    let mut n_by_outcome = std::collections::BTreeMap::<&str, usize>::new();
    for (row, taxon) in key.taxa.iter().enumerate() {
        let evidence = modal_evidence(key, table, taxon, row);
        let judged = judged(&evidence);
        *n_by_outcome.entry(judged.outcome.id()).or_default() += 1;
        if judged.outcome != Outcome::Settled(row) {
            println!(
                "{}: {} at {:.3} with {} answers, first {} at {:.3}",
                taxon.id,
                judged.outcome.id(),
                judged.posterior[row],
                evidence.answers().len(),
                table.rows[judged.ranking[0].0].id,
                judged.ranking[0].1
            );
        }
        assert!(first_or_twin(&judged, row, None), "{}", taxon.id);
        // Not even where colour moves the names against one another (Canada and Virginia
        // wild-rye): that is a split.
        assert_ne!(judged.outcome, Outcome::TooLittleSeen, "{}", taxon.id);
        assert!(
            !matches!(judged.outcome, Outcome::Settled(other) if other != row),
            "{} is settled as another",
            taxon.id
        );
    }
    println!("outcomes of full modal answers: {n_by_outcome:?}");
    // Ratchet; measured 44 of 52.
    assert!(n_by_outcome["settled"] >= 43, "{n_by_outcome:?}");
}

#[test]
fn one_misread_answer_is_survivable() {
    let table = table();
    let cases = cases();
    let mut ranks = [0_usize; AMONG + 1];
    let mut probabilities = Vec::new();
    let mut outcomes = std::collections::BTreeMap::<&str, usize>::new();
    let mut wrong_settled = Vec::new();
    let mut too_far = Vec::new();
    for case in &cases {
        let judged = judged(&misread_evidence(case));
        let place = rank(&judged.ranking, case.row);
        let p = judged.posterior[case.row];
        ranks[place.min(AMONG)] += 1;
        probabilities.push(p);
        let right = judged.outcome.rows().contains(&case.row);
        let outcome = match &judged.outcome {
            Outcome::Settled(_) if right => "settled, right",
            Outcome::Settled(_) => "settled, wrong",
            Outcome::Leaning(_) if right => "leaning, right",
            Outcome::Leaning(_) => "leaning, wrong",
            Outcome::SplitBetween(_) if right => "split, with it",
            Outcome::SplitBetween(_) => "split, without it",
            other => other.id(),
        };
        *outcomes.entry(outcome).or_default() += 1;
        let first = judged.ranking[0];
        let line = format!(
            "{}: place {}, {p:.3}; first {} at {:.3}, {}",
            case.name,
            place + 1,
            table.rows[first.0].id,
            first.1,
            judged.outcome.id()
        );
        if outcome == "settled, wrong" {
            wrong_settled.push(line.clone());
        }
        if place >= AMONG || p < AT_LEAST {
            too_far.push(line);
        }
    }
    probabilities.sort_by(f64::total_cmp);
    let n = cases.len();
    let share = |part: usize| part as f64 / n as f64;
    println!("{n} misread answers; true name at place 1, 2, ...: {ranks:?}");
    for percent in [0, 1, 5, 25, 50] {
        let p = probabilities[n * percent / 100];
        println!("probability of the true name, {percent} % of cases below: {p:.3}");
    }
    println!("outcomes: {outcomes:?}");
    assert!(too_far.is_empty(), "{}", too_far.join("\n"));
    // Measured 0 of 2070.
    assert!(wrong_settled.is_empty(), "{}", wrong_settled.join("\n"));
    assert!(share(ranks[0]) >= STILL_FIRST, "{ranks:?}");
}

/// Answering again with what is there, so that both states stand, or taking the answer back
/// with *can't tell*, brings the name back to the first place.
#[test]
fn a_second_look_restores_the_name() {
    let mut failures = Vec::new();
    for case in cases() {
        let both = misread_evidence(&case);
        // Looked again: the true state joins, and what was not asked is asked after all.
        let both = case
            .full
            .answers()
            .iter()
            .fold(both, |evidence, answer| evidence.with(answer.clone()));
        let seen = both.reading(case.trait_index()).unwrap();
        assert!(matches!(seen, Reading::States(states) if states.len() == 2));
        // With both states, or none, the trait itself says little: a taxon that it alone
        // parts from the true one may stand first.
        let restored =
            |judged: &Assessment| first_or_twin(judged, case.row, Some(case.trait_index()));
        let first = |judged: &Assessment| table().rows[judged.ranking[0].0].id.clone();
        let again = judged(&both);
        if !restored(&again) {
            failures.push(format!(
                "{}: both states, first {}",
                case.name,
                first(&again)
            ));
        }
        let taken_back = Answer {
            trait_index: case.trait_index(),
            reading: Reading::CannotTell,
        };
        let open = replaced(&case.full, &taken_back);
        let untold = judged(&open);
        if !restored(&untold) {
            failures.push(format!(
                "{}: can't tell, first {}",
                case.name,
                first(&untold)
            ));
        }
        let left_out = judged(&case.full.without(case.at));
        assert_eq!(untold.posterior, left_out.posterior, "{}", case.name);
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// Harder, and nearer to the field: a scout follows *Look next at*, misreads one look and stops
/// as soon as a name is settled, so that few answers stand against the slip.
#[test]
fn a_slip_while_following_the_looks() {
    let (key, table) = (key(), table());
    let situation = Situation::default();
    // Walks; `slip` is the number of the look to misread, and as which of the other states.
    let walk = |row: usize, slip: Option<(usize, usize)>| -> (Evidence, bool) {
        let taxon = &key.taxa[row];
        let mut evidence = Evidence::default();
        let mut slipped = false;
        for n in 0..20 {
            let now = judged(&evidence);
            if matches!(now.outcome, Outcome::Settled(_)) {
                break;
            }
            let next = looks(
                table,
                &now.posterior,
                &evidence,
                &situation,
                Planted::ByRole,
            );
            let Some(look) = next.first() else { break };
            let at = look.trait_index;
            let mut reading =
                modal_reading(key, table, taxon, row, at).unwrap_or(Reading::CannotTell);
            if let (Some((when, which)), Reading::States(truth)) = (slip, &reading)
                && when == n
            {
                let others = (0..table.traits[at].states.len()).filter(|s| !truth.contains(s));
                if let Some(other) = others.clone().nth(which) {
                    reading = Reading::States(vec![other]);
                    slipped = true;
                }
            }
            evidence.add(Answer {
                trait_index: at,
                reading,
            });
        }
        (evidence, slipped)
    };
    let (mut n, mut wrong, mut right, mut counted_wrong) = (0, Vec::new(), 0, 0);
    for row in 0..key.taxa.len() {
        let truth = judged(&walk(row, None).0).counts_as;
        for when in 0..6 {
            for which in 0..8 {
                let (evidence, slipped) = walk(row, Some((when, which)));
                if !slipped {
                    continue;
                }
                n += 1;
                let end = judged(&evidence);
                match end.outcome {
                    Outcome::Settled(name) if name == row => right += 1,
                    Outcome::Settled(name) => wrong.push(format!(
                        "{} settled as {} after look {when} was misread",
                        table.rows[row].id, table.rows[name].id
                    )),
                    _ => {}
                }
                use standbook_identify::CountsAs::Undecided;
                let undecided = end.counts_as == Undecided || truth == Undecided;
                counted_wrong += usize::from(!undecided && end.counts_as != truth);
            }
        }
    }
    println!(
        "{n} walks with one slip: {right} settled rightly, {} settled wrongly, {counted_wrong} counted wrongly",
        wrong.len()
    );
    wrong.iter().for_each(|w| println!("  {w}"));
    let share = |part: usize| part as f64 / f64::from(n);
    assert!(n > 400, "{n} walks");
    assert!(share(wrong.len()) <= SLIP_SETTLED_WRONG);
    assert!(share(counted_wrong) <= SLIP_COUNTED_WRONG);
}
