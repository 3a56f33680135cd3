//! The fingerprint names the meaning of a key, not how it is written down.

use proptest::prelude::*;
use standbook_key::fingerprint;

use crate::keys::{self, Files, edited, good};

fn of(files: &Files) -> String {
    fingerprint::of_key(&keys::sound(files))
}

#[test]
fn it_is_64_hex_digits() {
    let text = of(&good());
    assert_eq!(text.len(), 64);
    assert!(text.bytes().all(|b| b.is_ascii_hexdigit()));
}

/// Other ways to write the same thing.
#[test]
fn the_manner_of_writing_changes_nothing() {
    let plain = of(&good());
    let plana = "taxa/fictia_plana.yaml";
    for (name, from, to) in [
        (
            "key.yaml",
            "# An invented key for the tests. No such plants exist.\n",
            "",
        ),
        (
            "key.yaml",
            "season: June to August",
            "season: 'June to August'  # all summer",
        ),
        (
            "key.yaml",
            "season: June to August",
            "season: \"June to\\x20August\"",
        ),
        (
            "key.yaml",
            "scope: >-\n  Seedlings of four grasses that do not exist,\n  in their first summer.",
            "scope: Seedlings of four grasses that do not exist, in their first summer.",
        ),
        (
            "key.yaml",
            "authors:\n  - the Standbook contributors",
            "authors: [the Standbook contributors]",
        ),
        (
            "key.yaml",
            "region: Nowhere County",
            "region: >\n     Nowhere\n     County\n",
        ),
        (
            plana,
            "      note: >-\n        flat as a ruler,\n        even when young",
            "      note: |\n        flat as\n        a ruler, even when young",
        ),
        (plana, "    - range: [2, 10]", "    - range: [2.0, 1.0e1]"),
        (
            plana,
            "    - range: [2, 10]",
            "    - range:\n        - 2\n        - 10",
        ),
        // Fields of one map may stand in any order.
        (
            plana,
            "    - state: oval\n      often: sometimes\n      source: bulletin",
            "    - source: bulletin\n      state: oval\n      often: sometimes",
        ),
    ] {
        assert_eq!(of(&edited(name, from, to)), plain, "{from:?} as {to:?}");
    }
    // Sources are named, not counted: their order means nothing.
    let mut files = good();
    let text = String::from_utf8(files["sources.yaml"].clone()).unwrap();
    let (memory, rest) = text.split_at(text.find("  - id: flora").unwrap());
    let memory = memory.strip_prefix("sources:\n").unwrap();
    files.insert(
        "sources.yaml".into(),
        format!("sources:\n{rest}{memory}").into_bytes(),
    );
    assert_eq!(of(&files), plain);
    // Windows line ends.
    let crlf = good()
        .into_iter()
        .map(|(name, bytes)| {
            let text = String::from_utf8(bytes).unwrap().replace('\n', "\r\n");
            (name, text.into_bytes())
        })
        .collect();
    assert_eq!(of(&crlf), plain);
}

/// One fact of every sort, changed to another that is also right.
#[test]
fn any_one_fact_changes_it() {
    let mut seen = vec![("the good key".to_owned(), of(&good()))];
    let plana = "taxa/fictia_plana.yaml";
    let rotunda = "taxa/fictia_rotunda.yaml";
    for (name, from, to) in [
        ("key.yaml", "id: test-meadow", "id: test-meadow-2"),
        ("key.yaml", "title: Four", "title: For"),
        ("key.yaml", "first summer.", "first summer!"),
        ("key.yaml", "June to", "July to"),
        ("key.yaml", "Nowhere", "Elsewhere"),
        ("key.yaml", "the Standbook contributors", "nobody"),
        ("key.yaml", "Ask the owner", "Always ask the owner"),
        ("key.yaml", "name: sown grass", "name: planted grass"),
        ("sources.yaml", "A flora", "The flora"),
        ("sources.yaml", "org/flora", "org/floras"),
        ("sources.yaml", "kind: extension", "kind: bulletin"),
        ("traits.yaml", "name: tiller base", "name: base"),
        ("traits.yaml", "class: tiller_base", "class: habit"),
        ("traits.yaml", "kind: ordered", "kind: states"),
        ("traits.yaml", "round or flat", "flat or round"),
        (
            "traits.yaml",
            "where: its widest place",
            "where: the middle",
        ),
        ("traits.yaml", "and roll it.", "and roll it twice."),
        ("traits.yaml", "effort_s: 15", "effort_s: 16"),
        (
            "traits.yaml",
            "needs: [lens, backlight]",
            "needs: [backlight, lens]",
        ),
        (
            "traits.yaml",
            "until_stage: tillering",
            "until_stage: heading",
        ),
        ("traits.yaml", "    until_stage: tillering\n", ""),
        (
            "traits.yaml",
            "      states: [membrane]",
            "      states: [membrane, hairs]",
        ),
        ("traits.yaml", "rate: 0.06", "rate: 0.07"),
        ("traits.yaml", "[hairs, absent]", "[hairs, membrane]"),
        (
            "traits.yaml",
            "      source: bulletin",
            "      source: flora",
        ),
        ("traits.yaml", "unit: mm", "unit: cm"),
        ("traits.yaml", "[0.5, 40]", "[0.5, 41]"),
        (
            "traits.yaml",
            "Rolls like a pencil lead.",
            "Rolls like a pencil.",
        ),
        ("traits.yaml", "name: slightly flattened", "name: oval"),
        (
            plana,
            "scientific_name: Fictia plana",
            "scientific_name: Fictia planissima",
        ),
        (plana, "flat tuftgrass", "flat tuft-grass"),
        (plana, "role: planted", "role: weed"),
        (plana, "group: sown", "group: weed"),
        (
            plana,
            "often: usually\n      source: flora\n      plant",
            "often: always\n      source: flora\n      plant",
        ),
        (plana, "often: sometimes", "often: rarely"),
        (plana, "      plant: grown\n      note", "      note"),
        (
            plana,
            "      plant: grown\n      note",
            "      plant: seedling\n      note",
        ),
        (plana, "flat as a ruler", "flat as a board"),
        (plana, "[2, 10]", "[2, 10.5]"),
        (plana, "[0, 3]", "[1, 3]"),
        (plana, "state: torn", "state: whole"),
        (
            plana,
            "  - taxon: fictia_rotunda",
            "  - taxon: novagramen_nudum",
        ),
        (
            plana,
            "  - taxon: fictia_rotunda",
            "  - outside: fictia_rotunda",
        ),
        (plana, "its round tiller", "its tiller"),
        (
            plana,
            "separates: bitter smell\n    source: memory",
            "separates: bitter smell\n    source: flora",
        ),
        (rotunda, "smells of new hay", "smells of hay"),
        (rotunda, "often: sometimes", "often: usually"),
        (
            "couplets.yaml",
            "text: Ligule a skin.",
            "text: Ligule a film.",
        ),
        ("couplets.yaml", "states: [oval, flat]", "states: [flat]"),
        ("couplets.yaml", "[0.5, 4]", "[0.5, 4.5]"),
        (
            "couplets.yaml",
            "        when: {trait: blade_width, range: [0.5, 4]}\n",
            "",
        ),
        (
            "couplets.yaml",
            "taxa: [fictia_plana]",
            "taxa: [fictia_plana, fictia_rotunda]",
        ),
    ] {
        let mut files = edited(name, from, to);
        // The one change that would contradict the lead: leave the couplets out of it.
        if to.contains("fictia_plana, fictia_rotunda") {
            let text = String::from_utf8(files["couplets.yaml"].clone()).unwrap();
            files.insert(
                "couplets.yaml".into(),
                text.replace(
                    "        when: {trait: tiller_base, states: [oval, flat]}\n",
                    "",
                )
                .into_bytes(),
            );
        }
        seen.push((format!("{name}: {from} -> {to}"), of(&files)));
    }
    let mut files = good();
    files.remove("couplets.yaml");
    seen.push(("no couplets".into(), of(&files)));
    for (at, (what, one)) in seen.iter().enumerate() {
        for (other_what, other) in &seen[..at] {
            assert_ne!(one, other, "{what} and {other_what}");
        }
    }
}

/// Neighbouring texts must not run together.
#[test]
fn moving_a_word_from_one_text_to_the_next_changes_it() {
    let a = serde_json::json!(["a b", "c"]);
    let b = serde_json::json!(["a", "b c"]);
    assert_ne!(fingerprint::of_json(&a), fingerprint::of_json(&b));
    let white = serde_json::json!(["a  \n b", " c"]);
    assert_eq!(fingerprint::of_json(&a), fingerprint::of_json(&white));
    for (a, b) in [
        ("1", "\"1\""),
        ("null", "\"\""),
        ("[]", "{}"),
        ("[[],1]", "[[1]]"),
        ("0", "false"),
    ] {
        let read = |text: &str| serde_json::from_str::<serde_json::Value>(text).unwrap();
        assert_ne!(
            fingerprint::of_json(&read(a)),
            fingerprint::of_json(&read(b)),
            "{a} {b}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..Default::default() })]

    /// Comments, blank lines, trailing blanks and deeper indentation, anywhere outside of
    /// folded text.
    #[test]
    fn white_space_and_comments_change_nothing(seed in proptest::collection::vec(0..6u8, 120), factor in 1..4usize) {
        let mut files = good();
        for bytes in files.values_mut() {
            let text = String::from_utf8(bytes.clone()).unwrap();
            let mut new = String::new();
            // Lines of folded text: nothing may be put between them.
            let mut folded_deeper_than = None;
            for (line, seed) in text.lines().zip(seed.iter().cycle()) {
                let indent = line.len() - line.trim_start().len();
                let was_inside = folded_deeper_than.is_some();
                if folded_deeper_than.is_some_and(|limit| indent <= limit || line.is_empty()) {
                    folded_deeper_than = None;
                }
                let inside = folded_deeper_than.is_some();
                // All indents times one factor; the dash of an item counts as blanks.
                let (blanks, rest) = line.split_at(indent);
                let rest = match rest.strip_prefix("- ") {
                    Some(item) => format!("-{}{item}", " ".repeat(2 * factor - 1)),
                    None => rest.to_owned(),
                };
                match seed {
                    0 if !inside => new.push('\n'),
                    1 if !inside => new.push_str("# a remark: with [signs] & \"quotes\"\n"),
                    // So far in, right behind folded text, it would be part of that text.
                    2 if !inside && !was_inside => new.push_str("        # a remark far in\n"),
                    _ => {}
                }
                new.push_str(&blanks.repeat(factor));
                new.push_str(&rest);
                match seed {
                    3 if !inside => new.push_str("   "),
                    4 if !inside && !line.ends_with(">-") => new.push_str(" # why"),
                    _ => {}
                }
                new.push('\n');
                if line.ends_with(">-") {
                    folded_deeper_than = Some(indent);
                }
            }
            *bytes = new.into_bytes();
        }
        prop_assert_eq!(of(&files), of(&good()));
    }

    /// Any letter of any text counts.
    #[test]
    fn any_letter_of_any_value_counts(at in 0..10_000usize, letter in "[a-z]") {
        let mut files = good();
        let names: Vec<String> = files.keys().cloned().collect();
        let name = &names[at % names.len()];
        let text = String::from_utf8(files[name].clone()).unwrap();
        // A letter of a value that is free text: anything else may become a fault.
        let free = ["title: ", "season: ", "region: ", "citation: F", "where: ", "how: ", "looks: ", "common_name: ", "separates: ", "mark: "];
        let starts: Vec<usize> = free.iter().flat_map(|f| text.match_indices(f).map(|(i, m)| i + m.len())).collect();
        prop_assume!(!starts.is_empty());
        let start = starts[at % starts.len()];
        prop_assume!(!text[start..].starts_with(&letter));
        let changed = format!("{}{letter}{}", &text[..start], &text[start..]);
        files.insert(name.clone(), changed.into_bytes());
        prop_assert_ne!(of(&files), of(&good()));
    }
}
