//! Whole plants, tiller bases, places to look: the same for the same specimen, small, well formed,
//! within their square.

use std::collections::BTreeMap;

use quick_xml::Reader;
use quick_xml::events::Event;
use standbook_drawing::{Drawing, Nature, Shown, base, locator, measure, seedling, state};
use standbook_key::LeafStage;

/// Traits whose states are drawn here, with their states as in the key.
const STATES: [(&str, &[&str]); 16] = [
    (
        "tiller_base",
        &["round", "slightly_flattened", "strongly_flattened"],
    ),
    ("vernation", &["rolled", "folded"]),
    ("growth_habit", &["upright", "spreading", "prostrate"]),
    ("low_branching", &["no", "yes"]),
    ("runners", &["none", "rhizomes", "stolons"]),
    ("stem_section", &["round_or_oval", "triangular"]),
    ("sheath_keel", &["rounded", "keeled"]),
    ("sheath_closure", &["open", "closed"]),
    ("blade_base", &["same_width", "narrowed"]),
    ("blade_midrib", &["faint", "prominent", "white_prominent"]),
    ("blade_tip", &["tapering", "boat_shaped"]),
    ("blade_edge", &["smooth", "rough", "crinkled"]),
    ("blade_surface", &["smooth", "rough"]),
    (
        "first_leaf",
        &["narrow_upright", "narrow_level", "broad_spreading"],
    ),
    (
        "blade_color",
        &[
            "grass_green",
            "blue_green",
            "yellow_green",
            "dark_green",
            "light_green",
        ],
    ),
    (
        "base_color",
        &["green", "purple_red", "whitish", "blue_waxy", "brown"],
    ),
];

/// States of other traits that a whole plant or a base shows too.
const ALSO: [(&str, &[&str]); 8] = [
    ("sheath_hairs", &["none", "sparse", "dense"]),
    ("sheath_hair_texture", &["fine", "coarse"]),
    (
        "blade_hairs_upper",
        &["none", "near_base", "scattered", "velvety"],
    ),
    ("blade_edge_hairs", &["none", "near_base", "spaced"]),
    ("blade_hairs_lower", &["none", "scattered", "dense"]),
    ("node_hairs", &["none", "hairy"]),
    (
        "seed_attached",
        &[
            "hairy_awned",
            "hairy_awnless",
            "smooth_shiny",
            "flat_backed_dull",
            "bur",
            "long_awned",
            "bare_small",
            "other",
        ],
    ),
    ("blade_width", &["1", "4", "9", "25", "not a number"]),
];

/// A title and description longer than the key has any.
const WORDS: &str = "A title or a description of the greatest length that the key allows, which is one hundred and ten.";

/// What must hold for every drawing.
fn sound(drawing: &Drawing, what: &str) {
    let file = drawing.file(WORDS, WORDS);
    assert!(file.len() <= 6_144, "{what}: {} bytes", file.len());
    assert!(drawing.body().contains("<path"), "{what}: empty");
    let mut reader = Reader::from_str(&file);
    loop {
        match reader.read_event() {
            Ok(Event::Eof) => break,
            Ok(_) => {}
            Err(fault) => panic!("{what}: {fault}\n{file}"),
        }
    }
    within(drawing, what);
}

/// All points of all paths, control points among them, lie in the square.
fn within(drawing: &Drawing, what: &str) {
    for path in drawing.body().split(" d=\"").skip(1) {
        let path = path.split('"').next().unwrap_or_default();
        let (mut at, mut start) = ((0.0, 0.0), (0.0, 0.0));
        let mut rest = path;
        while let Some(command) = rest.chars().next() {
            rest = &rest[1..];
            let end = rest
                .find(|c: char| c.is_ascii_alphabetic())
                .unwrap_or(rest.len());
            // A minus ends the number before it.
            let numbers: Vec<f64> = rest[..end]
                .replace('-', " -")
                .split_whitespace()
                .map(|n| {
                    n.parse()
                        .unwrap_or_else(|_| panic!("{what}: {n:?} in {path}"))
                })
                .collect();
            rest = &rest[end..];
            let points: Vec<(f64, f64)> = numbers
                .chunks(2)
                .map(|pair| match command {
                    'l' | 'q' => (at.0 + pair[0], at.1 + pair[1]),
                    _ => (pair[0], pair[1]),
                })
                .collect();
            for (x, y) in &points {
                assert!(
                    (-0.05..=100.05).contains(x) && (-0.05..=100.05).contains(y),
                    "{what}: {x} {y} in {path}"
                );
            }
            if command == 'Z' {
                at = start;
            } else {
                at = *points.last().unwrap_or_else(|| panic!("{what}: {path}"));
            }
            if command == 'M' {
                start = at;
            }
        }
    }
}

#[test]
fn every_state_has_a_drawing_of_its_own() {
    for (trait_id, states) in STATES {
        let mut seen: BTreeMap<String, &str> = BTreeMap::new();
        for state_id in states {
            let what = format!("{trait_id} {state_id}");
            let drawing = state(trait_id, state_id).unwrap_or_else(|| panic!("{what}: none"));
            sound(&drawing, &what);
            if let Some(other) = seen.insert(drawing.body().to_owned(), state_id) {
                panic!("{trait_id}: {state_id} and {other} look the same");
            }
        }
        assert_eq!(state(trait_id, "no such state"), None, "{trait_id}");
    }
    assert_eq!(state("no such trait", "none"), None);
}

#[test]
fn every_trait_that_is_looked_at_has_its_place() {
    let key = std::fs::read_to_string("../../keys/tallgrass-first-year/traits.yaml")
        .unwrap_or_else(|fault| panic!("{fault}"));
    let mut traits = 0;
    for entry in key.split("\n  - id: ").skip(1) {
        let trait_id = entry.lines().next().unwrap_or_default();
        let kind = |kind: &str| entry.contains(&format!("\n    kind: {kind}\n"));
        if entry.starts_with("traits") || kind("note") {
            assert_eq!(locator(trait_id), None);
            continue;
        }
        traits += 1;
        let drawing = locator(trait_id).unwrap_or_else(|| panic!("{trait_id}: no place"));
        let file = drawing.file(WORDS, WORDS);
        assert!(file.len() <= 6_144, "{trait_id}");
        assert!(drawing.body().contains("class=\"m"), "{trait_id}: no mark");
        within(&drawing, trait_id);
        assert_eq!(measure(trait_id).is_some(), kind("measure"), "{trait_id}");
        if let Some(drawing) = measure(trait_id) {
            sound(&drawing, trait_id);
        }
    }
    assert_eq!(traits, 31);
}

/// A plant with a state, or none, of every trait.
fn any_plant(nature: &mut Nature) -> Shown {
    let mut pick = |count: usize| (nature.between(0.0, count as f64) as usize).min(count - 1);
    let mut shown = Vec::new();
    for (trait_id, states) in STATES.iter().chain(&ALSO) {
        if let Some(state_id) = states.get(pick(states.len() + 1)) {
            shown.push((*trait_id, *state_id));
        }
    }
    shown.into_iter().collect()
}

#[test]
fn whatever_a_plant_shows_it_is_drawn_within_the_square() {
    let mut nature = Nature::of(2_026);
    for number in 0..200 {
        let shown = any_plant(&mut nature);
        for (stage_id, stage, _) in LeafStage::ALL {
            let what = format!("{number} {stage_id} {shown:?}");
            let plant = seedling(&shown, stage, number);
            let file = plant.file(WORDS, WORDS);
            assert!(file.len() <= 6_144, "{what}: {} bytes", file.len());
            within(&plant, &what);
        }
        sound(&base(&shown, number), &format!("base {number} {shown:?}"));
    }
}

/// The plant that carries everything at once, on many specimens.
#[test]
fn the_richest_plant_stays_small() {
    for habit in ["upright", "spreading", "prostrate"] {
        let shown = Shown::from([
            ("growth_habit", habit),
            ("sheath_hairs", "dense"),
            ("runners", "stolons"),
            ("low_branching", "yes"),
            ("blade_hairs_upper", "velvety"),
            ("blade_hairs_lower", "dense"),
            ("blade_edge_hairs", "spaced"),
            ("seed_attached", "hairy_awned"),
            ("blade_midrib", "white_prominent"),
            ("node_hairs", "hairy"),
        ]);
        for specimen in 0..300 {
            for (stage_id, stage, _) in LeafStage::ALL {
                let plant = seedling(&shown, stage, specimen);
                sound(&plant, &format!("{habit} {stage_id} {specimen}"));
            }
        }
    }
}

#[test]
fn a_specimen_is_itself_and_no_other() {
    let shown = Shown::from([("growth_habit", "spreading"), ("sheath_hairs", "dense")]);
    for specimen in 0..50 {
        for (_, stage, _) in LeafStage::ALL {
            let plant = |number| seedling(&shown, stage, number).file("", "");
            assert_eq!(plant(specimen), plant(specimen));
            assert_ne!(plant(specimen), plant(specimen + 1));
        }
        let base = |number| base(&shown, number).file("", "");
        assert_eq!(base(specimen), base(specimen));
        assert_ne!(base(specimen), base(specimen + 1));
    }
}
