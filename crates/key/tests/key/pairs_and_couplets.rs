//! Pairs of taxa that nothing separates, and the graph of couplets.

use standbook_key::couplet::{Couplet, Couplets, Lead, LeadTo};
use standbook_key::{Key, TaxonId, pairs};

use crate::keys::{edited, good, load_files, sound};

fn unseparated(key: &Key) -> Vec<(&str, &str)> {
    pairs::unseparated(&key.traits, &key.taxa)
        .into_iter()
        .map(|(a, b)| (a.as_str(), b.as_str()))
        .collect()
}

/// The good key without its couplets, with `profile` for both `fictia` taxa.
fn two(plana: &str, rotunda: &str) -> Key {
    let mut files = good();
    files.retain(|name, _| !name.contains("novagramen") && name != "couplets.yaml");
    for (id, profile) in [("fictia_plana", plana), ("fictia_rotunda", rotunda)] {
        let text = format!(
            "id: {id}\nscientific_name: A\ncommon_name: a\nrole: weed\ngroup: weed\nprofile: {profile}\n"
        );
        files.insert(format!("taxa/{id}.yaml"), text.into_bytes());
    }
    sound(&files)
}

fn separated(plana: &str, rotunda: &str) -> bool {
    let key = two(plana, rotunda);
    let other = two(rotunda, plana);
    let one = unseparated(&key).is_empty();
    assert_eq!(
        one,
        unseparated(&other).is_empty(),
        "the order of two taxa is nothing"
    );
    one
}

fn base(facts: &[(&str, &str)]) -> String {
    let facts: Vec<String> = facts
        .iter()
        .map(|(state, often)| format!("{{state: {state}, often: {often}, source: flora}}"))
        .collect();
    format!("{{tiller_base: [{}]}}", facts.join(", "))
}

fn width(low: f64, high: f64) -> String {
    format!("{{blade_width: [{{range: [{low}, {high}], source: flora}}]}}")
}

#[test]
fn states_separate_when_none_is_shared_but_rarely() {
    let round = base(&[("round", "always")]);
    assert!(separated(&round, &base(&[("flat", "usually")])));
    assert!(!separated(&round, &base(&[("round", "usually")])));
    assert!(!separated(
        &round,
        &base(&[("flat", "usually"), ("round", "sometimes")])
    ));
    assert!(separated(
        &round,
        &base(&[("flat", "usually"), ("round", "rarely")])
    ));
    // Only rare states are known: that separates nothing.
    assert!(!separated(&round, &base(&[("flat", "rarely")])));
}

#[test]
fn measures_separate_when_their_ranges_lie_apart() {
    assert!(separated(&width(1.0, 2.0), &width(2.5, 4.0)));
    assert!(!separated(&width(1.0, 2.0), &width(2.0, 4.0)), "they touch");
    assert!(!separated(&width(1.0, 9.0), &width(2.0, 4.0)));
    // Two sources together span from the lowest to the highest.
    let both = "{blade_width: [{range: [1, 2], source: flora}, {range: [6, 7], source: memory}]}";
    assert!(!separated(both, &width(3.0, 4.0)));
    // Only an upper end is known: 0 to 3.
    assert!(!separated(&width(0.0, 3.0), &width(1.0, 2.0)));
    assert!(separated(&width(0.0, 3.0), &width(4.0, 5.0)));
}

#[test]
fn a_cell_that_nobody_recorded_separates_nothing() {
    assert!(!separated(&base(&[("round", "always")]), &width(1.0, 2.0)));
    assert!(!separated("{}", "{}"));
}

#[test]
fn a_trait_that_only_supports_separates_nothing() {
    let apart = |decides: &str| {
        let files = edited(
            "traits.yaml",
            "from_stage: few_leaves\n    decides: true\n    misread:\n      rate: 0.06",
            &format!(
                "from_stage: few_leaves\n    decides: {decides}\n    misread:\n      rate: 0.06"
            ),
        );
        let key = sound(&files);
        let traits: Vec<_> = key
            .traits
            .iter()
            .filter(|t| t.id == "tiller_base")
            .cloned()
            .collect();
        pairs::unseparated(&traits, &key.taxa).len()
    };
    // Four taxa make six pairs. The base parts plana from rotunda and from hirsutum; nothing
    // is recorded of it in nudum.
    assert_eq!(apart("true"), 4);
    assert_eq!(apart("false"), 6);
}

#[test]
fn every_pair_is_named_once_in_order_of_ids() {
    let key = sound(&good());
    assert_eq!(unseparated(&key), [("", ""); 0]);
    let without: Vec<_> = key
        .traits
        .iter()
        .filter(|t| t.id == "tiller_base")
        .cloned()
        .collect();
    let pairs: Vec<String> = pairs::unseparated(&without, &key.taxa)
        .iter()
        .map(|(a, b)| format!("{a} {b}"))
        .collect();
    assert_eq!(
        pairs,
        [
            "fictia_plana novagramen_nudum",
            "fictia_rotunda novagramen_hirsutum",
            "fictia_rotunda novagramen_nudum",
            "novagramen_hirsutum novagramen_nudum",
        ]
    );
}

fn couplets(ways: &[(u32, &[u32])]) -> Couplets {
    let lead = |to: u32| Lead {
        text: format!("to {to}"),
        when: None,
        // 0 stands for an end.
        to: match to {
            0 => LeadTo::Taxa(vec![TaxonId::new("a")]),
            n => LeadTo::Couplet(n),
        },
    };
    Couplets {
        couplets: ways
            .iter()
            .map(|(number, leads)| Couplet {
                number: *number,
                leads: leads.iter().map(|to| lead(*to)).collect(),
            })
            .collect(),
    }
}

#[test]
fn back_references_name_every_couplet_that_leads_here_once_and_ascending() {
    let key = sound(&good());
    let back = key.couplets.unwrap().back_references();
    assert_eq!(
        back.into_iter().collect::<Vec<_>>(),
        [(2, vec![1]), (3, vec![1])]
    );

    // 4 is reached from 2 (by two leads) and from 3; couplets stand out of order.
    let back =
        couplets(&[(1, &[3, 2]), (3, &[4, 0]), (2, &[4, 4]), (4, &[0, 0])]).back_references();
    assert_eq!(
        back.into_iter().collect::<Vec<_>>(),
        [(2, vec![1]), (3, vec![1]), (4, vec![2, 3])]
    );
    assert!(couplets(&[(1, &[0, 0])]).back_references().is_empty());
}

#[test]
fn couplets_are_found_by_number_wherever_they_stand() {
    let some = couplets(&[(1, &[7, 0]), (7, &[0, 0])]);
    assert_eq!(some.by_number(7).unwrap().leads.len(), 2);
    assert!(some.by_number(2).is_none());
}

/// Two ways to the same couplet are no circle.
#[test]
fn couplets_that_join_again_are_sound() {
    let files = edited(
        "couplets.yaml",
        "        taxa: [novagramen_hirsutum]\n      - text: Blade wide.\n        taxa: [novagramen_nudum]\n",
        "        taxa: [novagramen_hirsutum]\n      - text: Blade wide.\n        to: 4\n      - text: Blade wider.\n        to: 4\n  - number: 4\n    leads:\n      - text: Bare.\n        taxa: [novagramen_nudum]\n      - text: Hairy.\n        taxa: [novagramen_hirsutum]\n",
    );
    assert_eq!(load_files(&files).report.findings, []);
}
