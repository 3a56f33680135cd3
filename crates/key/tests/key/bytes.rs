//! No bytes whatever make the reader panic, lose a taxon in silence, or point outside a file.

use proptest::prelude::*;
use standbook_key::{Loaded, Weight};

use crate::keys::{self, Files, good, load_files};

/// What holds of every load, whatever the files.
fn check(files: &Files) -> Loaded {
    let loaded = load_files(files);
    let report = &loaded.report;
    assert_eq!(loaded.key.is_some(), report.is_sound());
    assert!(report.findings.is_sorted(), "sorted");
    assert!(
        report.findings.windows(2).all(|two| two[0] != two[1]),
        "nothing is said twice"
    );
    let again = load_files(files);
    assert_eq!(&again.report, report, "the same every time");
    assert_eq!(again.key, loaded.key, "the same every time");
    for finding in &report.findings {
        // A file that is missing has one line.
        let bytes = files.get(&finding.file).map_or(&[][..], Vec::as_slice);
        let lines = lines(bytes);
        let line = finding.place.line;
        assert!(
            (1..=lines + 1).contains(&line) && finding.place.column >= 1,
            "{finding} in {lines} lines"
        );
        assert!(
            !finding.problem.is_empty() && !finding.mend.is_empty(),
            "{finding}"
        );
        assert!(!finding.problem.contains('\n'), "{finding}");
    }
    if let Some(key) = &loaded.key {
        let taxa = files.keys().filter(|n| n.starts_with("taxa/")).count();
        assert_eq!(key.taxa.len(), taxa, "no taxon is lost in silence");
        assert_eq!(key.couplets.is_some(), files.contains_key("couplets.yaml"));
    }
    loaded
}

/// Lines as YAML counts them: `\r\n`, `\n` and `\r` each end one.
fn lines(bytes: &[u8]) -> u32 {
    let text = String::from_utf8_lossy(bytes).replace("\r\n", "\n");
    text.matches(['\n', '\r']).count() as u32 + 1
}

fn file_name() -> impl Strategy<Value = String> {
    proptest::sample::select(good().into_keys().collect::<Vec<_>>())
}

/// One change to a text. Positions are taken modulo its length.
#[derive(Debug, Clone)]
enum Change {
    DeleteLine(usize),
    DuplicateLine(usize),
    SwapLines(usize, usize),
    InsertLine(usize, String),
    Indent(usize, usize),
    InsertChars(usize, String),
    DeleteChars(usize, usize),
    Bytes(usize, Vec<u8>),
}

fn change() -> impl Strategy<Value = Change> {
    let at = || 0..10_000usize;
    let snippet = proptest::sample::select(vec![
        "a: 1",
        "- b",
        "  - state: round",
        "? x",
        "---",
        "...",
        "&a",
        "*a",
        "!t x",
        "|",
        ">-",
        "{",
        "}",
        "[",
        "]",
        "'",
        "\"",
        "# c",
        "%YAML 1.2",
        "\t",
        "<<: 1",
        "~: ~",
        "- - - x",
        "1: 2",
        "profile:",
        "      source: memory",
        "\u{feff}",
        "\r",
        "\u{85}",
        "\u{2028}",
        "a: 0x1F",
        "a: 1_000",
        "-",
        ":",
        ",",
        "@",
        "`",
        "a: !!int 3",
        "\0",
    ])
    .prop_map(str::to_owned);
    let any_text = prop_oneof![snippet, "\\PC{0,8}", "[ -~]{0,6}"];
    prop_oneof![
        at().prop_map(Change::DeleteLine),
        at().prop_map(Change::DuplicateLine),
        (at(), at()).prop_map(|(a, b)| Change::SwapLines(a, b)),
        (at(), any_text.clone()).prop_map(|(a, t)| Change::InsertLine(a, t)),
        (at(), 0..5usize).prop_map(|(a, n)| Change::Indent(a, n)),
        (at(), any_text).prop_map(|(a, t)| Change::InsertChars(a, t)),
        (at(), 1..10usize).prop_map(|(a, n)| Change::DeleteChars(a, n)),
        (at(), proptest::collection::vec(any::<u8>(), 1..4)).prop_map(|(a, b)| Change::Bytes(a, b)),
    ]
}

fn apply(bytes: &[u8], change: &Change) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes).into_owned();
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let n = lines.len().max(1);
    if lines.is_empty() {
        lines.push(String::new());
    }
    let mut chars: Vec<char> = text.chars().collect();
    match change {
        Change::DeleteLine(at) => {
            lines.remove(at % n);
        }
        Change::DuplicateLine(at) => lines.insert(at % n, lines[at % n].clone()),
        Change::SwapLines(a, b) => lines.swap(a % n, b % n),
        Change::InsertLine(at, line) => lines.insert(at % n, line.clone()),
        Change::Indent(at, by) => {
            let line = &mut lines[at % n];
            *line = format!("{}{}", " ".repeat(*by), line.trim_start());
        }
        Change::InsertChars(at, new) => {
            let at = at % (chars.len() + 1);
            chars.splice(at..at, new.chars());
            return chars.into_iter().collect::<String>().into_bytes();
        }
        Change::DeleteChars(at, many) => {
            let at = at % (chars.len() + 1);
            chars.drain(at..(at + many).min(chars.len()));
            return chars.into_iter().collect::<String>().into_bytes();
        }
        Change::Bytes(at, new) => {
            let mut bytes = bytes.to_vec();
            let at = at % (bytes.len() + 1);
            bytes.splice(at..at, new.iter().copied());
            return bytes;
        }
    }
    (lines.join("\n") + "\n").into_bytes()
}

/// Flow-style YAML of any shape, made of words that a key knows.
fn tree() -> impl Strategy<Value = String> {
    let word = proptest::sample::select(vec![
        "id",
        "round",
        "~",
        "''",
        "1",
        "-3.5",
        "true",
        "flora",
        "state",
        "states",
        "often",
        "always",
        "range",
        "groups",
        "sources",
        "traits",
        "profile",
        "tiller_base",
        "kind",
        "ordered",
        "measure",
        "misread",
        "leads",
        "couplets",
        "number",
        "taxa",
        "when",
        "trait",
        "name",
        "looks",
        "bounds",
        "1e9",
        "\"a b\"",
        "fictia_plana",
        ".inf",
        "applies_to",
        "to",
    ])
    .prop_map(str::to_owned);
    word.clone().prop_recursive(5, 40, 5, move |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 0..5)
                .prop_map(|items| format!("[{}]", items.join(", "))),
            proptest::collection::vec((word.clone(), inner), 0..5).prop_map(|pairs| {
                let pairs: Vec<String> = pairs.iter().map(|(k, v)| format!("{k}: {v}")).collect();
                format!("{{{}}}", pairs.join(", "))
            }),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..Default::default() })]

    #[test]
    fn random_bytes_in_any_file(name in file_name(), bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        check(&keys::with(&name, bytes));
    }

    #[test]
    fn random_text_in_any_file(name in file_name(), text in "(\\PC|[-:,?{}\\[\\]#&*!|>'\" \n\t]){0,200}") {
        check(&keys::with(&name, text));
    }

    #[test]
    fn the_good_key_with_a_few_changes(changes in proptest::collection::vec((file_name(), change()), 1..6)) {
        let mut files = good();
        for (name, change) in &changes {
            let changed = apply(&files[name], change);
            files.insert(name.clone(), changed);
        }
        check(&files);
    }

    #[test]
    fn any_tree_in_any_place(name in file_name(), line in 0..200usize, tree in tree()) {
        // As the whole file, and as the value of any one line.
        check(&keys::with(&name, tree.clone()));
        let text = String::from_utf8(good()[&name].clone()).unwrap();
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let at = line % lines.len();
        if let Some((before, _)) = lines[at].clone().split_once(':') {
            lines[at] = format!("{before}: {tree}");
        }
        check(&keys::with(&name, lines.join("\n")));
    }

    #[test]
    fn any_set_of_files_may_be_missing(keep in proptest::collection::vec(any::<bool>(), 8)) {
        let files: Files = good().into_iter().zip(keep).filter(|(_, keep)| *keep).map(|(f, _)| f).collect();
        let loaded = check(&files);
        for name in ["key.yaml", "traits.yaml", "sources.yaml"] {
            let told = loaded.report.findings.iter().any(|f| f.file == name && f.weight == Weight::Fault);
            prop_assert!(files.contains_key(name) || told);
        }
    }
}

#[test]
fn windows_line_ends_and_a_byte_order_mark_are_read() {
    let plain = keys::sound(&good());
    let mut files = good();
    for bytes in files.values_mut() {
        let text = String::from_utf8(bytes.clone()).unwrap();
        *bytes = format!("\u{feff}{}", text.replace('\n', "\r\n")).into_bytes();
    }
    assert_eq!(keys::sound(&files), plain);
    let text = String::from_utf8(files["taxa/novagramen_nudum.yaml"].clone()).unwrap();
    files.insert(
        "taxa/novagramen_nudum.yaml".into(),
        text.replace("role: weed", "role: wed").into_bytes(),
    );
    let faults = keys::faults(&files);
    assert!(
        faults[0].starts_with("taxa/novagramen_nudum.yaml:4:7: "),
        "{faults:?}"
    );
}
