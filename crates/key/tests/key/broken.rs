//! Broken keys on disk, each with the whole report it must get.
//!
//! A case is a folder of `tests/keys/broken`: files laid over the good key, `removed.txt`
//! with the names of files to take away (one a line, may be missing), and `expected.txt`.
//! Cases whose name begins with `note_` compare the notes too; the others faults alone.
//! `UPDATE_EXPECTED=1` rewrites `expected.txt`: read each before you keep it.

use crate::keys::{self, contents, good, load_files};

#[test]
fn the_good_key_has_no_finding_and_all_its_parts() {
    let loaded = load_files(&good());
    let key = loaded.key.unwrap();
    assert_eq!(loaded.report.findings, [], "neither fault nor note");
    assert_eq!(key.taxa.len(), 4);
    assert_eq!(key.traits.len(), 5);
    assert_eq!(key.couplets.as_ref().unwrap().couplets.len(), 3);
    assert_eq!(key.sources.len(), 3);
    let taken = &key.trait_by_id("ligule_type").unwrap().misread.taken_for[0];
    assert_eq!(
        (taken.shown.as_str(), taken.said.as_str(), taken.share),
        ("hairs", "membrane", 0.2)
    );
    let set = &key.together[0];
    assert_eq!((set.traits.len(), set.overlap), (2, 0.25));
}

#[test]
fn every_broken_key_gets_exactly_its_report() {
    let update = std::env::var_os("UPDATE_EXPECTED").is_some();
    let mut wrong = Vec::new();
    let mut cases = 0;
    let mut pointed = 0;
    for entry in std::fs::read_dir(keys::folder().join("broken")).unwrap() {
        let folder = entry.unwrap().path();
        let case = folder.file_name().unwrap().to_str().unwrap().to_owned();
        let mut files = good();
        let mut laid_over = contents(&folder);
        let expected = laid_over.remove("expected.txt").unwrap_or_default();
        let removed = laid_over.remove("removed.txt").unwrap_or_default();
        for name in String::from_utf8(removed).unwrap().lines() {
            assert!(files.remove(name).is_some(), "{case}: no file {name}");
        }
        files.extend(laid_over);

        let loaded = load_files(&files);
        let with_notes = case.starts_with("note_");
        let lines: Vec<String> = loaded
            .report
            .findings
            .iter()
            .filter(|f| with_notes || f.weight == standbook_key::Weight::Fault)
            .map(|f| format!("{f}\n"))
            .collect();
        let found = lines.concat();
        assert!(!found.is_empty(), "{case}: nothing found");
        assert_eq!(loaded.key.is_some(), with_notes, "{case}");
        if update {
            std::fs::write(folder.join("expected.txt"), &found).unwrap();
        } else if found.as_bytes() != expected {
            let expected = String::from_utf8_lossy(&expected);
            wrong.push(format!(
                "== {case}\n-- expected\n{expected}-- found\n{found}"
            ));
        }
        cases += 1;
        pointed += check_places(&case, &loaded.report, &files);
    }
    assert!(
        pointed >= 30,
        "only {pointed} places compared with the text"
    );
    assert!(cases >= 40, "only {cases} cases found");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A finding that begins with a quoted word and says what it is not points at that very
/// word: checked against the file's text, without the reader under test. Returns how many.
fn check_places(case: &str, report: &standbook_key::Report, files: &keys::Files) -> usize {
    let mut pointed = 0;
    for finding in &report.findings {
        let about_a_word = [
            "is not a ",
            "is not an ",
            "is not another ",
            "stands twice here",
        ];
        let word = finding.problem.strip_prefix('`').and_then(|rest| {
            let (word, rest) = rest.split_once("` ")?;
            about_a_word
                .iter()
                .any(|start| rest.starts_with(start))
                .then_some(word)
        });
        // A look-alike's place is that of its item, not of the word in it.
        let Some(word) = word.filter(|_| case != "look_alike") else {
            continue;
        };
        let text = std::str::from_utf8(&files[&finding.file]).unwrap();
        let line = text.lines().nth(finding.place.line as usize - 1).unwrap();
        let there: String = line
            .chars()
            .skip(finding.place.column as usize - 1)
            .collect();
        assert!(there.starts_with(word), "{case}: {finding}\nthere: {there}");
        pointed += 1;
    }
    pointed
}
