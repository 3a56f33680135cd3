//! The close-ups of the collar and of the seed, and the cards of all that is looked at there: what
//! a page may rely on.

use std::collections::BTreeSet;
use std::path::Path;

use quick_xml::Reader;
use quick_xml::events::Event;
use standbook_drawing::{Drawing, Nature, Shown, collar, seed, state};
use standbook_key::{Key, KeyFiles, load};

/// The most that one file may weigh.
const MOST_BYTES: usize = 6_144;

/// Words as long as a page may give a drawing, with what XML has to escape.
const TITLE: &str = "Ligule: skin with a hair fringe & more";
const DESC: &str = "A band of skin with hairs along its top, like an eyelid with \"lashes\"; two rows \
    of words are enough for what can be seen in a drawing of this size.";

/// The traits drawn close at the collar, the lowest sheath, the blade, the joint and the seed.
const TRAITS: [&str; 13] = [
    "sheath_hairs",
    "sheath_hair_texture",
    "collar_hairs",
    "blade_hairs_upper",
    "blade_edge_hairs",
    "sheath_edge_hairs",
    "blade_hairs_lower",
    "node_hairs",
    "ligule_type",
    "ligule_edge",
    "ligule_texture",
    "auricles",
    "seed_attached",
];

/// Heights in millimetres from the least to the greatest that the key allows.
const HEIGHTS: [&str; 8] = ["0.05", "0.3", "0.5", "1", "2.5", "6", "10", "30"];

fn key() -> Key {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year");
    let files = KeyFiles::read_folder(&folder).expect("the key's folder can be read");
    load(&files).key.expect("the key has no fault")
}

/// The states of a trait, by id.
fn states_of(key: &Key, trait_id: &str) -> Vec<String> {
    let found = key.traits.iter().find(|t| t.id.as_str() == trait_id);
    let found = found.unwrap_or_else(|| panic!("the key has {trait_id}"));
    let states = found.states().iter();
    states.map(|state| state.id.as_str().to_owned()).collect()
}

/// Well-formed, not too heavy, and nothing drawn outside the square.
fn check(drawing: &Drawing, what: &str) {
    let file = drawing.file(TITLE, DESC);
    assert!(file.len() <= MOST_BYTES, "{what}: {} bytes", file.len());
    let mut reader = Reader::from_str(&file);
    reader.config_mut().check_end_names = true;
    let mut marks = 0;
    loop {
        match reader.read_event() {
            Ok(Event::Eof) => break,
            Ok(Event::Start(element) | Event::Empty(element)) => {
                for attribute in element.attributes() {
                    let attribute = attribute.unwrap_or_else(|e| panic!("{what}: {e}"));
                    if attribute.key.as_ref() == "d" {
                        within(&attribute.value, what);
                        marks += 1;
                    }
                }
            }
            Ok(_) => {}
            Err(e) => panic!("{what}: {e}"),
        }
    }
    assert!(marks > 0, "{what} draws nothing");
}

/// Every point of a path's lines lies in the square; bends are followed.
fn within(path: &str, what: &str) {
    let mut at = (0.0, 0.0);
    for (command, numbers) in commands(path) {
        let pairs: Vec<(f64, f64)> = numbers
            .chunks(2)
            .map(|pair| match (command, pair) {
                ('l' | 'q', [x, y]) => (at.0 + x, at.1 + y),
                (_, [x, y]) => (*x, *y),
                _ => panic!("{what}: odd number of coordinates in {path}"),
            })
            .collect();
        let line: Vec<(f64, f64)> = std::iter::once(at).chain(pairs).collect();
        for step in 0..=8 {
            let (x, y) = on(&line, f64::from(step) / 8.0);
            let free = command == 'M' && step < 8;
            assert!(
                free || ((-0.1..=100.1).contains(&x) && (-0.1..=100.1).contains(&y)),
                "{what}: ({x}, {y}) lies outside, in {path}"
            );
        }
        at = *line.last().expect("a line has points");
    }
}

/// A point on a line bent towards the points between its ends.
fn on(line: &[(f64, f64)], t: f64) -> (f64, f64) {
    let mut line = line.to_vec();
    while line.len() > 1 {
        line = line
            .windows(2)
            .map(|two| {
                let ((ax, ay), (bx, by)) = (two[0], two[1]);
                (ax + (bx - ax) * t, ay + (by - ay) * t)
            })
            .collect();
    }
    line[0]
}

/// A path's commands with their numbers; a minus or a letter starts a new number.
fn commands(path: &str) -> Vec<(char, Vec<f64>)> {
    let mut spaced = String::new();
    for c in path.chars() {
        if c.is_ascii_alphabetic() || c == '-' {
            spaced.push(' ');
        }
        spaced.push(c);
        if c.is_ascii_alphabetic() {
            spaced.push(' ');
        }
    }
    let mut commands: Vec<(char, Vec<f64>)> = Vec::new();
    for word in spaced.split_whitespace() {
        match word.parse() {
            Ok(number) => commands
                .last_mut()
                .expect("starts with a letter")
                .1
                .push(number),
            Err(_) => commands.push((word.chars().next().expect("not empty"), Vec::new())),
        }
    }
    commands.retain(|(command, _)| *command != 'Z');
    commands
}

#[test]
fn every_state_has_a_drawing_of_its_own() {
    let key = key();
    for trait_id in TRAITS {
        let mut seen = BTreeSet::new();
        for state_id in states_of(&key, trait_id) {
            let what = format!("{trait_id} {state_id}");
            let drawing = state(trait_id, &state_id).unwrap_or_else(|| panic!("{what}: none"));
            check(&drawing, &what);
            assert!(
                seen.insert(drawing.body().to_owned()),
                "{what} looks like another"
            );
        }
        assert_eq!(state(trait_id, "no_such_state"), None, "{trait_id}");
    }
}

#[test]
fn ligules_of_different_heights_look_different() {
    let mut seen = BTreeSet::new();
    for mm in HEIGHTS {
        let drawing = state("ligule_length", mm).unwrap_or_else(|| panic!("{mm} mm: none"));
        check(&drawing, mm);
        assert!(
            seen.insert(drawing.body().to_owned()),
            "{mm} mm looks like another"
        );
    }
    for wrong in ["", "tall", "-1", "0", "31", "NaN", "inf"] {
        assert_eq!(state("ligule_length", wrong), None, "{wrong}");
    }
}

#[test]
fn a_specimen_stays_the_same_and_differs_from_another() {
    let key = key();
    for trait_id in [
        "ligule_type",
        "ligule_edge",
        "auricles",
        "sheath_hairs",
        "collar_hairs",
    ] {
        for state_id in states_of(&key, trait_id) {
            let pairs = [("ligule_type", "membrane"), (trait_id, state_id.as_str())];
            let shown = Shown::from(pairs);
            assert_eq!(
                collar(&shown, 7),
                collar(&shown, 7),
                "{trait_id} {state_id}"
            );
            assert_ne!(
                collar(&shown, 7),
                collar(&shown, 8),
                "{trait_id} {state_id}"
            );
        }
    }
    for state_id in states_of(&key, "seed_attached") {
        let shown = Shown::from([("seed_attached", state_id.as_str())]);
        assert_eq!(seed(&shown, 7), seed(&shown, 7), "{state_id}");
        assert_ne!(seed(&shown, 7), seed(&shown, 8), "{state_id}");
    }
}

/// What a plant shows at the collar shows in its close-up.
#[test]
fn the_close_up_tells_states_apart() {
    let key = key();
    let seen_at_collar = [
        "sheath_hairs",
        "collar_hairs",
        "blade_hairs_upper",
        "blade_edge_hairs",
        "sheath_edge_hairs",
        "ligule_type",
        "ligule_edge",
        "auricles",
    ];
    for trait_id in seen_at_collar {
        let mut seen = BTreeSet::new();
        for state_id in states_of(&key, trait_id) {
            let pairs = [("ligule_type", "membrane"), (trait_id, state_id.as_str())];
            let drawing = collar(&Shown::from(pairs), 3);
            let new = seen.insert(drawing.body().to_owned());
            assert!(new, "{trait_id} {state_id} looks like another");
        }
    }
}

#[test]
fn no_seed_where_nothing_is_said_of_it() {
    assert_eq!(seed(&Shown::default(), 1), None);
    let unknown = Shown::from([("seed_attached", "no_such_state")]);
    assert_eq!(seed(&unknown, 1), None);
}

#[test]
fn any_plant_can_be_drawn() {
    let key = key();
    let mut nature = Nature::of(20_260_711);
    let mut pick = |count: usize| (nature.between(0.0, count as f64) as usize).min(count - 1);
    for specimen in 0..200 {
        let mut shown: Vec<(String, String)> = Vec::new();
        for trait_id in TRAITS {
            let states = states_of(&key, trait_id);
            // One more than there are: not said.
            if let Some(state_id) = states.get(pick(states.len() + 1)) {
                shown.push((trait_id.to_owned(), state_id.clone()));
            }
        }
        if let Some(mm) = HEIGHTS.get(pick(HEIGHTS.len() + 1)) {
            shown.push(("ligule_length".to_owned(), (*mm).to_owned()));
        }
        let what = format!("{specimen}: {shown:?}");
        let shown: Shown = shown.into_iter().collect();
        check(&collar(&shown, specimen), &what);
        if let Some(drawing) = seed(&shown, specimen) {
            check(&drawing, &what);
        }
    }
}

/// The heaviest that can be composed.
#[test]
fn the_hairiest_plant_is_light_enough() {
    for edge in ["rounded", "notched", "ragged"] {
        for auricles in ["blunt", "clawlike", "erect_lobes"] {
            for collar_hairs in ["margins", "patch"] {
                let shown = Shown::from([
                    ("ligule_type", "fringed_membrane"),
                    ("ligule_length", "6"),
                    ("ligule_edge", edge),
                    ("auricles", auricles),
                    ("collar_hairs", collar_hairs),
                    ("sheath_hairs", "dense"),
                    ("sheath_hair_texture", "fine"),
                    ("sheath_edge_hairs", "fringed"),
                    ("blade_hairs_upper", "velvety"),
                    ("blade_edge_hairs", "spaced"),
                ]);
                for specimen in 0..6 {
                    let what = format!("{edge} {auricles} {collar_hairs}");
                    check(&collar(&shown, specimen), &what);
                }
            }
        }
    }
}
