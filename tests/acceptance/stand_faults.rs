//! `standbook stand` on files and command lines that can't be taken.
//!
//! Each file of `stand/faults` has beside it, as `.expected`, what must be said of it, with
//! `FILE` for its path. What is wanted on the command line is in the `.options` beside it, one a
//! line, if any. Read a new `.expected` before accepting it.

use std::fs;
use std::path::Path;

use crate::program::run;
use crate::stand::stand;

#[test]
fn every_faulty_file_is_refused_as_expected() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/acceptance/stand/faults");
    let mut tried = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let file = entry.unwrap().path();
        if file.extension().is_none_or(|e| e != "csv") {
            continue;
        }
        let options = fs::read_to_string(file.with_extension("options")).unwrap_or_default();
        let mut args = vec!["stand", file.to_str().unwrap(), "--json"];
        args.extend(options.lines());
        let said = run(&args);
        assert_eq!(
            (said.code, said.out.as_str()),
            (1, ""),
            "{}",
            file.display()
        );
        let told = said.err.replace(file.to_str().unwrap(), "FILE");
        let wanted = fs::read_to_string(file.with_extension("expected")).unwrap_or_default();
        assert_eq!(told, wanted, "{}", file.display());
        tried += 1;
    }
    assert!(tried >= 15, "{tried} files");
}

/// Bytes that an editor would spoil are written here.
#[test]
fn bytes_that_are_no_utf8() {
    for (file, wanted) in [
        (
            &b"point,frame,cell,taxon\n1,1,1,switchgr\xe4ss\n\xff,1,2,switchgrass\n"[..],
            &[
                ":2: column 4 (taxon): not UTF-8",
                ":3: column 1 (point): not UTF-8",
            ][..],
        ),
        (b"\xff\xfep\0o\0i\0n\0t\0", &[":1: column 1: UTF-16"]),
        (b"\xe9\xe9,\xff\n1,2\n", &[":1: column 1: the header"]),
        (b"", &[":1: column 1: the header"]),
    ] {
        let said = stand(file, &[]);
        assert_eq!((said.code, said.out.as_str()), (1, ""), "{}", said.err);
        for wanted in wanted {
            assert!(said.err.contains(wanted), "{wanted}:\n{}", said.err);
        }
    }
}

#[test]
fn of_many_faults_the_first_fifty_are_told_and_all_are_counted() {
    let file = format!(
        "point,frame,cell,taxon\n{}",
        "1,1,26,switchgrass\n".repeat(60)
    );
    let said = stand(file.as_bytes(), &[]);
    assert_eq!(
        said.err.matches(": cell 26 is not").count(),
        50,
        "{}",
        said.err
    );
    assert!(
        said.err.contains("first 50") && said.err.contains("60 fault(s)"),
        "{}",
        said.err
    );
}

/// Exit code 2, words of help, nothing on standard output.
#[track_caller]
fn wrong(options: &[&str], wanted: &str) {
    let said = stand(b"point,frame,cell,taxon\n1,1,1,switchgrass\n", options);
    assert_eq!(
        (said.code, said.out.as_str()),
        (2, ""),
        "{options:?}: {}",
        said.err
    );
    assert!(said.err.contains(wanted), "{options:?}: {}", said.err);
}

#[test]
fn a_wrong_command_line() {
    let dates = |seeded, visited| ["--seeded", seeded, "--visited", visited];
    wrong(&dates("12 May", "2026-10-10"), "2026-05-12");
    wrong(&dates("2026-05-12", "2026-02-30"), "--visited `2026-02-30`");
    wrong(&["--seeded", "2026-05-12"], "--visited");
    wrong(&["--visited", "2026-05-12"], "--seeded");
    wrong(
        &["--purpose", "lawn"],
        "forage, biomass, conservation or wildlife",
    );
    wrong(&["--planted", "swichgrass"], "`switchgrass`");
    wrong(&["--confidence", "80"], "90, 95 or 99");
    wrong(&["--cells", "0"], "1 to 10000");
    wrong(&["--cell-side-cm", "NaN"], "above 0");
    wrong(&["--quadrat-m2", "0"], "above 0");
    wrong(&["--quadrat-m2=-1"], "above 0");
    wrong(&["--row-m", "3"], "--row-spacing-cm");
    wrong(
        &[
            "--quadrat-m2",
            "1",
            "--row-m",
            "3",
            "--row-spacing-cm",
            "20",
        ],
        "cannot be used",
    );
    wrong(&["--row-m", "inf", "--row-spacing-cm", "20"], "above 0");
}

#[test]
fn a_visit_before_the_seeding_is_told() {
    let said = stand(
        b"point,frame,cell,taxon\n1,1,1,switchgrass\n",
        &[
            "--planted",
            "switchgrass",
            "--seeded",
            "2026-05-12",
            "--visited",
            "2026-05-01",
        ],
    );
    assert!(
        said.out
            .starts_with("No verdict: the visit lies before the seeding"),
        "{}{}",
        said.out,
        said.err
    );
}

#[test]
fn a_file_that_is_not_there() {
    let said = run(&["stand", "no-such-file.csv"]);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(
        said.err.starts_with("error: ") && said.err.contains("\n\nhint: "),
        "{}",
        said.err
    );
}
