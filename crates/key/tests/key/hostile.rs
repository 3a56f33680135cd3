//! Files made to exhaust the reader: it stays within a time, and says what is too much.

use std::fmt::Write;
use std::time::{Duration, Instant};

use crate::keys::{self, Files, good, load_files};

/// Time one load may take in a debug build on a slow machine. Measured: see each case's
/// print with `--nocapture`; all stay below a fifth of this.
const LONGEST: Duration = Duration::from_secs(20);

fn timed(what: &str, files: &Files) -> String {
    let start = Instant::now();
    let loaded = load_files(files);
    let took = start.elapsed();
    println!(
        "{what}: {took:?}, {} findings",
        loaded.report.findings.len()
    );
    assert!(took < LONGEST, "{what} took {took:?}");
    assert!(loaded.key.is_none(), "{what}");
    loaded.report.faults().next().unwrap().to_string()
}

/// Repeats `line` (with `N` replaced by a running number) up to the largest file size.
fn fill(head: &str, line: &str, from: usize) -> String {
    let mut text = head.to_owned();
    let mut n = from;
    while text.len() + line.len() + 10 < standbook_key::yaml::LARGEST_BYTES {
        text.push_str(&line.replace('N', &n.to_string()));
        n += 1;
    }
    text
}

#[test]
fn a_file_over_the_limit_is_not_read() {
    let bytes = vec![b' '; standbook_key::yaml::LARGEST_BYTES + 1];
    let fault = timed("too large", &keys::with("key.yaml", bytes));
    assert!(
        fault.contains("the file has 4194305 bytes; at most 4194304 are read"),
        "{fault}"
    );
}

#[test]
fn nesting_in_every_style_is_refused() {
    for (what, text) in [
        ("brackets", "[".repeat(100_000)),
        (
            "closed brackets",
            "[".repeat(100_000) + &"]".repeat(100_000),
        ),
        ("braces", "{a: ".repeat(100_000)),
        ("dashes", "- ".repeat(100_000)),
        ("questions", "? ".repeat(100_000)),
        (
            "keys",
            (0..2000).fold(String::new(), |mut text, n| {
                let _ = writeln!(text, "{}a:", " ".repeat(n));
                text
            }),
        ),
    ] {
        let fault = timed(what, &keys::with("traits.yaml", text));
        assert!(fault.starts_with("traits.yaml:"), "{what}: {fault}");
    }
}

/// The bomb of nine levels, each nine times the one before, makes 9^9 values when unfolded.
#[test]
fn aliases_are_never_unfolded() {
    let mut text = "a0: &a0 [x,x,x,x,x,x,x,x,x]\n".to_owned();
    for n in 1..10 {
        let refs = vec![format!("*a{}", n - 1); 9].join(",");
        let _ = writeln!(text, "a{n}: &a{n} [{refs}]");
    }
    let fault = timed("bomb", &keys::with("sources.yaml", text));
    assert!(fault.contains("an anchor"), "{fault}");
}

#[test]
fn huge_maps_lists_and_texts_are_bounded() {
    let head = String::from_utf8(good()["taxa/fictia_plana.yaml"].clone()).unwrap();
    let taxon = |line: &str| fill(&head, line, 0);
    let wide = |outer: &str, inner: &str, per: usize| {
        // Just below the limit of one map, again and again.
        let mut text = String::new();
        let mut n = 0;
        while text.len() < 4_000_000 {
            text.push_str(&outer.replace('N', &n.to_string()));
            for m in 0..per {
                text.push_str(&inner.replace('N', &m.to_string()));
            }
            n += 1;
        }
        text
    };
    let up_to_profile = head.split("profile:").next().unwrap().to_owned() + "profile:\n";
    for (what, name, text) in [
        ("unknown fields", "taxa/fictia_plana.yaml", taxon("kN: 1\n")),
        ("one key again and again", "key.yaml", fill("", "id: a\n", 0)),
        ("sources", "sources.yaml", fill("sources:\n", "  - {id: sN, citation: c, kind: k}\n", 0)),
        (
            "maps of many keys",
            "key.yaml",
            wide("aN:\n", "  kN: 1\n", 999),
        ),
        (
            "facts of unknown sources",
            "taxa/fictia_plana.yaml",
            up_to_profile.clone()
                + &wide("  tN:\n", "    - {state: x, often: y, source: bulletinsN}\n", 999),
        ),
        (
            "misspelt words",
            "taxa/fictia_plana.yaml",
            up_to_profile.clone()
                + &["tiller_base", "ligule_type", "ligule_edge"].map(|id| {
                    let fact = "    - {state: rond, often: usualy, source: floora}\n";
                    format!("  {id}:\n{}", fact.repeat(999))
                })
                .concat(),
        ),
        (
            "states",
            "traits.yaml",
            wide(
                "  - id: tN\n    kind: states\n    states:\n",
                "      - {id: aN, name: a, looks: b}\n",
                999,
            )
            .replacen("  - id", "traits:\n  - id", 1),
        ),
        (
            "couplets in a chain",
            "couplets.yaml",
            (1..1000).fold("couplets:\n".to_owned(), |mut text, n| {
                let when = "when: {trait: blade_width, range: [1, 2]}";
                let to = n + 1;
                let _ = writeln!(
                    text,
                    "  - number: {n}\n    leads:\n    - {{text: a, {when}, to: {to}}}\n    - {{text: b, {when}, taxa: [fictia_plana, novagramen_nudum]}}"
                );
                text
            }),
        ),
        (
            "leads of couplets",
            "couplets.yaml",
            (1..60).fold("couplets:\n".to_owned(), |mut text, n| {
                let _ = writeln!(text, "  - number: {n}\n    leads:");
                for _ in 0..900 {
                    let when = "when: {trait: blade_width, range: [1, 2]}";
                    let _ = writeln!(text, "    - {{text: a, {when}, to: {}}}", n + 1);
                }
                text
            }),
        ),
        ("one long text", "key.yaml", fill("title: ", "word ", 0)),
        ("comments", "key.yaml", fill("", "# word\n", 0)),
        ("one long key", "key.yaml", "k".repeat(4_000_000) + ": 1\n"),
        ("open quote", "key.yaml", fill("a: \"", "word\n ", 0)),
    ] {
        let fault = timed(what, &keys::with(name, text));
        assert!(!fault.is_empty());
    }
}

#[test]
fn a_list_of_too_many_items_says_so() {
    let text = "sources:\n".to_owned() + &"  - a\n".repeat(1001);
    let faults = keys::faults(&keys::with("sources.yaml", text));
    assert_eq!(
        faults[0],
        "sources.yaml:1002:5: fault: more than 1000 items in one list or map\n  mend: a key has no such long lists; remove what does not belong to the key"
    );
}

#[test]
fn more_faults_than_anyone_reads_are_cut_with_a_word() {
    let text = "sources:\n".to_owned() + &"  - a\n".repeat(900);
    let files = keys::with("sources.yaml", text);
    let report = load_files(&files).report;
    let here: Vec<_> = report
        .faults()
        .filter(|f| f.file == "sources.yaml")
        .collect();
    assert_eq!(here.len(), standbook_key::fault::MOST_OF_A_FILE + 1);
    assert!(
        here[500].problem.contains("only 500 findings"),
        "{}",
        here[500]
    );
    // The other files are still heard.
    assert!(report.faults().any(|f| f.file == "taxa/fictia_plana.yaml"));
}

#[test]
fn a_text_longer_than_a_page_is_refused() {
    let text = |n: usize| "x".repeat(n);
    let edit = |n| {
        keys::edited(
            "key.yaml",
            "Four invented grasses of the test meadow",
            &text(n),
        )
    };
    assert_eq!(keys::faults(&edit(4000)), [""; 0]);
    assert_eq!(
        keys::faults(&edit(4001)),
        ["key.yaml:3:8: fault: `title` is longer than 4000 characters\n  mend: shorten it"]
    );
}

/// A list too long to be shown is named instead of printed.
#[test]
fn many_states_are_not_all_listed() {
    let states: String = (0..13)
        .map(|n| format!("      - {{id: shade_{n}, name: a, looks: b}}\n"))
        .collect();
    let last = "      - id: torn\n        name: torn\n        looks: Ragged edge.\n";
    let mut files = keys::edited("traits.yaml", last, &format!("{last}{states}"));
    let rotunda = String::from_utf8(files["taxa/fictia_rotunda.yaml"].clone()).unwrap();
    let wrong = rotunda.replace("state: whole", "state: glittering");
    files.insert("taxa/fictia_rotunda.yaml".into(), wrong.into_bytes());
    assert_eq!(
        keys::faults(&files),
        [
            "taxa/fictia_rotunda.yaml:16:14: fault: `glittering` is not a state of `ligule_edge`\n  mend: see its states in traits.yaml"
        ]
    );
}
