//! What a reader said who saw the bare cards only, shuffled, at 120 px, with the question of each
//! and its possible answers (`fresh_eyes.csv`: the state drawn, the state said). Make new sheets
//! with the example `cards` and a number; ask again after redrawing.

#![allow(clippy::unwrap_used)]

use std::path::PathBuf;

/// At least this share of cards must have been read rightly.
const READ_RIGHTLY: f64 = 0.95;

#[test]
fn cards_are_read_rightly_by_fresh_eyes() {
    let here = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let sheet = std::fs::read_to_string(here.join("tests/fresh_eyes.csv")).unwrap();
    let files = standbook_key::KeyFiles::read_folder(&here.join("../../keys/tallgrass-first-year"));
    let key = standbook_key::load(&files.unwrap()).key.unwrap();
    let mut lines = sheet.lines();
    assert_eq!(lines.next(), Some("trait,state,said"));
    let read: Vec<Vec<&str>> = lines.map(|l| l.split(',').collect()).collect();
    // Every state of the key that has a drawing was asked, once.
    let mut asked: Vec<(&str, &str)> = read.iter().map(|r| (r[0], r[1])).collect();
    let mut drawn: Vec<(&str, &str)> = key
        .traits
        .iter()
        .flat_map(|one| {
            one.states()
                .iter()
                .map(|s| (one.id.as_str(), s.id.as_str()))
        })
        .filter(|(one, state)| standbook_drawing::state(one, state).is_some())
        .collect();
    asked.sort_unstable();
    drawn.sort_unstable();
    assert_eq!(asked, drawn);
    let right = read.iter().filter(|r| r[1] == r[2]).count();
    let share = right as f64 / read.len() as f64;
    assert!(share >= READ_RIGHTLY, "{right} of {}", read.len());
}
