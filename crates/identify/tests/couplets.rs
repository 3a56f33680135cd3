//! Grown couplets pass the key reader's own checks and lead every taxon home; authored ones
//! are walked by words or by the answers at hand.

#![allow(clippy::unwrap_used)]

mod common;

use std::collections::BTreeSet;

use common::{files, key, likeliest, state, table};
use standbook_identify::couplets::{CoupletStep, grow, walk};
use standbook_identify::{Answer, Evidence, Planted, Reading, Situation, assess, looks};
use standbook_key::couplet::{Couplet, Couplets, Lead, LeadReading, LeadTest, LeadTo};
use standbook_key::{FactValue, KeyFiles, LeafStage, Often, StateId, TaxonId, TraitId, load};

/// More would fit no booklet.
const MOST_COUPLETS: usize = 100;

/// Couplets as the text of `couplets.yaml`.
fn as_yaml(couplets: &Couplets) -> String {
    // A JSON string is a quoted YAML text.
    let quoted = |text: &str| serde_json::to_string(text).unwrap();
    let list = |ids: Vec<&str>| format!("[{}]", ids.join(", "));
    let mut yaml = "couplets:\n".to_owned();
    for couplet in &couplets.couplets {
        yaml += &format!("  - number: {}\n    leads:\n", couplet.number);
        for lead in &couplet.leads {
            yaml += &format!("      - text: {}\n", quoted(&lead.text));
            if let Some(test) = &lead.when {
                let reading = match &test.reading {
                    LeadReading::States(states) => {
                        format!(
                            "states: {}",
                            list(states.iter().map(StateId::as_str).collect())
                        )
                    }
                    LeadReading::Range { low, high } => format!("range: [{low}, {high}]"),
                };
                yaml += &format!("        when: {{trait: {}, {reading}}}\n", test.trait_id);
            }
            yaml += &match &lead.to {
                LeadTo::Couplet(to) => format!("        to: {to}\n"),
                LeadTo::Taxa(taxa) => {
                    format!(
                        "        taxa: {}\n",
                        list(taxa.iter().map(TaxonId::as_str).collect())
                    )
                }
            };
        }
    }
    yaml
}

#[test]
fn grown_couplets_pass_the_checks_of_the_key() {
    let grown = grow(key());
    let contents = files()
        .iter()
        .map(|(name, bytes)| (name.to_owned(), bytes.to_vec()))
        .chain([("couplets.yaml".to_owned(), as_yaml(&grown).into_bytes())])
        .collect::<Vec<_>>();
    let loaded = load(&KeyFiles::from_contents(contents));
    let faults: Vec<String> = loaded.report.faults().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    // Read back, they are the same couplets.
    assert_eq!(loaded.key.unwrap().couplets, Some(grown));
}

#[test]
fn grown_couplets_fit_a_booklet() {
    let grown = grow(key());
    let n = grown.couplets.len();
    let ends: Vec<usize> = grown
        .couplets
        .iter()
        .flat_map(|c| &c.leads)
        .filter_map(|lead| match &lead.to {
            LeadTo::Taxa(taxa) => Some(taxa.len()),
            LeadTo::Couplet(_) => None,
        })
        .collect();
    println!(
        "{n} couplets, {} ends, {} of them with one taxon, the largest with {}",
        ends.len(),
        ends.iter().filter(|n| **n == 1).count(),
        ends.iter().max().unwrap()
    );
    assert!((2..=MOST_COUPLETS).contains(&n), "{n} couplets");
    // Numbers run from 1 in reading order, and every couplet but the first is led to.
    let numbers: Vec<u32> = grown.couplets.iter().map(|c| c.number).collect();
    assert_eq!(numbers, (1..=n as u32).collect::<Vec<_>>());
    assert_eq!(grown.back_references().len(), n - 1);
    // No way through is longer than anybody reads: leads go on to other couplets only (no loop,
    // by the key's own check), so the longest ways are found in as many rounds as it has couplets.
    let mut ways = vec![1_usize; n];
    for _ in 0..n {
        for (at, couplet) in grown.couplets.iter().enumerate() {
            for lead in &couplet.leads {
                if let LeadTo::Couplet(to) = lead.to {
                    ways[at] = ways[at].max(1 + ways[to as usize - 1]);
                }
            }
        }
    }
    println!("the longest way reads {} couplets", ways[0]);
    assert!(ways[0] <= 12, "{}", ways[0]);
    for couplet in &grown.couplets {
        let trait_of = |lead: &Lead| lead.when.as_ref().unwrap().trait_id.clone();
        let first = trait_of(&couplet.leads[0]);
        let one = key().trait_by_id(first.as_str()).unwrap();
        assert!(one.decides, "couplet {} asks for colour", couplet.number);
        let mut seen = BTreeSet::new();
        for lead in &couplet.leads {
            assert!(!lead.text.trim().is_empty(), "couplet {}", couplet.number);
            assert!(
                lead.text.starts_with(|c: char| !c.is_lowercase()),
                "{}",
                lead.text
            );
            assert_eq!(trait_of(lead), first, "one question a couplet");
            let LeadReading::States(states) = &lead.when.as_ref().unwrap().reading else {
                panic!("a grown couplet asks for no ruler");
            };
            for state in states {
                assert!(
                    seen.insert(state),
                    "two leads of {} ask for {state}",
                    couplet.number
                );
            }
        }
    }
}

/// A taxon stands behind a lead that it shows at least sometimes, or where nothing more than a
/// rare state is known of it; not behind one that it shows but rarely.
#[test]
fn rare_states_are_not_followed() {
    let (mut n, mut rare) = (0, 0);
    for lead in grow(key()).couplets.iter().flat_map(|c| &c.leads) {
        let (LeadTo::Taxa(taxa), Some(test)) = (&lead.to, &lead.when) else {
            continue;
        };
        let LeadReading::States(wanted) = &test.reading else {
            continue;
        };
        for id in taxa {
            let facts = key().taxon(id.as_str()).unwrap();
            let facts = facts.facts(test.trait_id.as_str());
            let shown = |meant: &dyn Fn(&StateId) -> bool| {
                facts.iter().any(|f| {
                    matches!(&f.value, FactValue::State { state, often }
                        if meant(state) && *often > Often::Rarely)
                })
            };
            let known = shown(&|_| true);
            // Of a state seen sometimes and no other recorded, the usual one is another.
            let at = table().trait_index(test.trait_id.as_str()).unwrap();
            let row = table().row_index(id.as_str()).unwrap();
            let states = &table().traits[at].states;
            let usual = likeliest(table(), at, row, 0..states.len()).unwrap();
            assert!(
                !known || shown(&|s| wanted.contains(s)) || wanted.contains(&states[usual]),
                "{id} behind {}",
                lead.text
            );
            n += 1;
        }
    }
    // The key has rare states, or this checks nothing.
    for fact in key().taxa.iter().flat_map(|t| t.profile.values()).flatten() {
        let is_rare = matches!(
            &fact.value,
            FactValue::State {
                often: Often::Rarely,
                ..
            }
        );
        rare += usize::from(is_rare);
    }
    println!("{n} ends, {rare} rare states in the key");
    assert!(n > 50 && rare > 0);
}

#[test]
fn growing_is_deterministic() {
    assert_eq!(grow(key()), grow(&key().clone()));
}

/// The lead's states of a couplet, as positions of its trait.
fn asked_states(couplet: &Couplet) -> (usize, Vec<usize>) {
    let test = couplet.leads[0].when.as_ref().unwrap();
    let at = table().trait_index(test.trait_id.as_str()).unwrap();
    let states = couplet
        .leads
        .iter()
        .flat_map(|lead| match &lead.when.as_ref().unwrap().reading {
            LeadReading::States(states) => states.clone(),
            LeadReading::Range { .. } => Vec::new(),
        })
        .map(|s| table().traits[at].state_index(s.as_str()).unwrap())
        .collect();
    (at, states)
}

/// Answers couplet after couplet with what the taxon most likely shows of what is asked,
/// beginning with `evidence`; the evidence at the end and the taxa there.
fn led_home(couplets: &Couplets, row: usize, mut evidence: Evidence) -> (Evidence, CoupletStep) {
    loop {
        let walked = walk(couplets, table(), &evidence, &[]);
        agrees_with_leads(couplets, &evidence, &walked.path, &walked.at);
        let CoupletStep::Read(number) = walked.at else {
            return (evidence, walked.at);
        };
        let (at, states) = asked_states(couplets.by_number(number).unwrap());
        assert!(evidence.reading(at).is_none(), "asked twice");
        evidence.add(state(at, likeliest(table(), at, row, states).unwrap()));
    }
}

/// Every lead on the path asks for what was answered, and leads to the next one.
fn agrees_with_leads(
    couplets: &Couplets,
    evidence: &Evidence,
    path: &[(u32, usize)],
    end: &CoupletStep,
) {
    let mut expected = path.first().map(|_| couplets.couplets[0].number);
    let mut last = None;
    for &(number, at) in path {
        assert_eq!(Some(number), expected);
        let lead = &couplets.by_number(number).unwrap().leads[at];
        let test = lead.when.as_ref().unwrap();
        let index = table().trait_index(test.trait_id.as_str()).unwrap();
        let (Some(Reading::States(seen)), LeadReading::States(wanted)) =
            (evidence.reading(index), &test.reading)
        else {
            panic!("{} was not answered", test.trait_id);
        };
        assert!(
            seen.iter()
                .any(|s| wanted.contains(&table().traits[index].states[*s]))
        );
        expected = match lead.to {
            LeadTo::Couplet(to) => Some(to),
            LeadTo::Taxa(_) => None,
        };
        last = Some(&lead.to);
    }
    match (end, last) {
        (CoupletStep::End(taxa), Some(LeadTo::Taxa(there))) => assert_eq!(taxa, there),
        (CoupletStep::Read(n) | CoupletStep::Stuck(n), Some(LeadTo::Couplet(to))) => {
            assert_eq!(n, to);
        }
        (CoupletStep::Read(1), None) | (CoupletStep::Stuck(1), None) => {}
        other => panic!("{other:?}"),
    }
}

#[test]
fn every_taxon_is_led_home() {
    let grown = grow(key());
    let mut lengths = Vec::new();
    let mut alone = 0;
    for (row, taxon) in key().taxa.iter().enumerate() {
        let (evidence, end) = led_home(&grown, row, Evidence::default());
        let CoupletStep::End(taxa) = end else {
            panic!("{}: {end:?}", taxon.id)
        };
        assert!(taxa.contains(&taxon.id), "{} ends in {taxa:?}", taxon.id);
        alone += usize::from(taxa.len() == 1);
        lengths.push(evidence.answers().len());
    }
    let mean = lengths.iter().sum::<usize>() as f64 / lengths.len() as f64;
    println!(
        "{alone} of {} end alone, after {mean:.1} couplets",
        lengths.len()
    );
    assert!(lengths.iter().all(|n| *n <= 12));
    // Ratchet; measured 30 to 34 while the key grew.
    assert!(alone >= 29, "{alone}");
}

/// A first-summer plant must not be led astray by a mark that it can't show yet.
#[test]
fn no_couplet_asks_for_what_a_young_plant_cannot_show() {
    for couplet in &grow(key()).couplets {
        for test in couplet.leads.iter().filter_map(|l| l.when.as_ref()) {
            let one = key().trait_by_id(test.trait_id.as_str()).unwrap();
            assert!(
                one.visible_at(LeafStage::FewLeaves),
                "couplet {} asks for {}",
                couplet.number,
                one.id
            );
        }
    }
}

/// From the free walk to couplets and back: what was answered stays, and leads as far as it
/// goes.
#[test]
fn changing_over_keeps_the_answers() {
    let grown = grow(key());
    let table = table();
    let mut stuck = 0;
    for (row, taxon) in key().taxa.iter().enumerate() {
        // Four looks of the free walk.
        let mut free = Evidence::default();
        for _ in 0..4 {
            let p = assess(table, &free, Planted::ByRole).posterior;
            let situation = Situation::default();
            let look = looks(table, &p, &free, &situation, Planted::ByRole)
                .into_iter()
                .find(|l| table.traits[l.trait_index].bins.is_none());
            // Nothing is left to ask.
            let Some(look) = look else { break };
            let all = 0..table.traits[look.trait_index].states.len();
            let seen = likeliest(table, look.trait_index, row, all).unwrap();
            free.add(state(look.trait_index, seen));
        }
        let before = free.clone();
        let walked = walk(&grown, table, &free, &[]);
        agrees_with_leads(&grown, &free, &walked.path, &walked.at);
        assert_eq!(free, before);
        // On through the couplets: the first answers still stand, first.
        let (all, end) = led_home(&grown, row, free);
        let n = before.answers().len();
        assert!(n >= 3, "{}", taxon.id);
        assert_eq!(all.answers()[..n], before.answers()[..]);
        match end {
            CoupletStep::End(taxa) => assert!(taxa.contains(&taxon.id), "{}", taxon.id),
            _ => stuck += 1,
        }
        // And back: the free walk has them all, in whatever order.
        let mut again = Evidence::default();
        all.answers()
            .iter()
            .rev()
            .for_each(|a| again.add(a.clone()));
        let p = assess(table, &all, Planted::ByRole).posterior;
        let q = assess(table, &again, Planted::ByRole).posterior;
        assert!(p.iter().zip(&q).all(|(p, q)| (p - q).abs() < 1e-12));
        assert_eq!(
            walk(&grown, table, &again, &[]),
            walk(&grown, table, &all, &[])
        );
    }
    // Every likeliest state stands on a lead.
    assert_eq!(stuck, 0, "walks that the free walk has to take over");
}

/// Where answers fit several leads, or none can be told, the free walk takes over.
#[test]
fn wavering_and_untold_answers_stop_a_walk() {
    let grown = grow(key());
    let first = &grown.couplets[0];
    let (at, states) = asked_states(first);
    let wavering = Answer {
        trait_index: at,
        reading: Reading::States(states),
    };
    let untold = Answer {
        trait_index: at,
        reading: Reading::CannotTell,
    };
    for answer in [wavering, untold] {
        let evidence = Evidence::default().with(answer);
        let walked = walk(&grown, table(), &evidence, &[]);
        assert_eq!((walked.path.len(), walked.at), (0, CoupletStep::Stuck(1)));
        // A lead picked by hand leads on.
        let walked = walk(&grown, table(), &evidence, &[(1, 0)]);
        assert_eq!(walked.path[0], (1, 0));
    }
}

fn lead(text: &str, when: Option<LeadTest>, to: LeadTo) -> Lead {
    Lead {
        text: text.to_owned(),
        when,
        to,
    }
}

fn ends(ids: &[&str]) -> LeadTo {
    LeadTo::Taxa(ids.iter().map(|id| TaxonId::new(*id)).collect())
}

/// As someone would write them: words, a measure, and states.
fn authored() -> Couplets {
    let width = |low, high| {
        Some(LeadTest {
            trait_id: TraitId::new("blade_width"),
            reading: LeadReading::Range { low, high },
        })
    };
    let rolled = |id: &str| {
        Some(LeadTest {
            trait_id: TraitId::new("vernation"),
            reading: LeadReading::States(vec![StateId::new(id)]),
        })
    };
    Couplets {
        couplets: vec![
            Couplet {
                number: 10,
                leads: vec![
                    lead("Smells of soap", None, ends(&["bothriochloa_ischaemum"])),
                    lead("Smells of hay", None, LeadTo::Couplet(20)),
                ],
            },
            Couplet {
                number: 20,
                leads: vec![
                    lead("Blades to 5 mm wide", width(0.2, 5.0), LeadTo::Couplet(30)),
                    lead("Wider", width(5.0, 120.0), ends(&["panicum_virgatum"])),
                ],
            },
            Couplet {
                number: 30,
                leads: vec![
                    lead("Rolled", rolled("rolled"), ends(&["bouteloua_gracilis"])),
                    lead(
                        "Folded",
                        rolled("folded"),
                        ends(&["schizachyrium_scoparium"]),
                    ),
                ],
            },
        ],
    }
}

#[test]
fn authored_couplets_are_walked_by_words_and_answers() {
    let (couplets, table) = (authored(), table());
    let mut evidence = Evidence::default();
    let step = |evidence: &Evidence, chosen: &[(u32, usize)]| {
        let walked = walk(&couplets, table, evidence, chosen);
        (walked.path, walked.at)
    };
    let at = |id: &str| table.trait_index(id).unwrap();
    // Nothing but words in the first: answers can't take it.
    evidence.add(Answer {
        trait_index: at("blade_width"),
        reading: Reading::Measure(3.0),
    });
    assert_eq!(step(&evidence, &[]), (vec![], CoupletStep::Read(10)));
    let taxa = |id: &str| CoupletStep::End(vec![TaxonId::new(id)]);
    assert_eq!(
        step(&evidence, &[(10, 0)]),
        (vec![(10, 0)], taxa("bothriochloa_ischaemum"))
    );
    // The measure takes the second by itself.
    let hay = [(10, 1)];
    assert_eq!(
        step(&evidence, &hay),
        (vec![(10, 1), (20, 0)], CoupletStep::Read(30))
    );
    let folded = evidence.with(state(at("vernation"), 1));
    assert_eq!(
        step(&folded, &hay),
        (
            vec![(10, 1), (20, 0), (30, 1)],
            taxa("schizachyrium_scoparium")
        )
    );
    // A lead taken by hand goes before the answers.
    assert_eq!(
        step(&folded, &[(10, 1), (20, 1)]),
        (vec![(10, 1), (20, 1)], taxa("panicum_virgatum"))
    );
    // On the border both leads fit.
    let border = Evidence::default().with(Answer {
        trait_index: at("blade_width"),
        reading: Reading::Measure(5.0),
    });
    assert_eq!(step(&border, &hay), (vec![(10, 1)], CoupletStep::Stuck(20)));
    // A lead or couplet that does not exist is not taken.
    assert_eq!(
        step(&evidence, &[(10, 7), (99, 0)]),
        (vec![], CoupletStep::Read(10))
    );
}

/// Couplets that nobody checked: a circle, a lead to nowhere, none at all. No hang, no panic.
#[test]
fn unsound_couplets_end_somewhere() {
    let mut circle = authored();
    circle.couplets[2].leads[0].to = LeadTo::Couplet(10);
    let table = table();
    let mut evidence = Evidence::default();
    let at = |id: &str| table.trait_index(id).unwrap();
    evidence.add(state(at("vernation"), 0));
    evidence.add(Answer {
        trait_index: at("blade_width"),
        reading: Reading::Measure(3.0),
    });
    let walked = walk(&circle, table, &evidence, &[(10, 1)]);
    assert!(matches!(walked.at, CoupletStep::Stuck(_)), "{walked:?}");
    circle.couplets[2].leads[0].to = LeadTo::Couplet(77);
    let walked = walk(&circle, table, &evidence, &[(10, 1)]);
    assert_eq!(walked.at, CoupletStep::Stuck(77));
    let none = Couplets {
        couplets: Vec::new(),
    };
    assert_eq!(walk(&none, table, &evidence, &[]).at, CoupletStep::Stuck(0));
}

/// A key of one taxon, or of twins, needs no couplet and must not panic.
#[test]
fn small_keys_grow_no_couplets() {
    let mut key = key().clone();
    key.taxa.truncate(1);
    assert!(grow(&key).couplets.is_empty());
    key.taxa.clear();
    assert!(grow(&key).couplets.is_empty());
}
