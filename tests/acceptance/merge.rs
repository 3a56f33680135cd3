//! `standbook merge`: what it says, what it does when it is killed or the disk is full.

use std::fs;
use std::path::Path;

use standbook_fieldbook::Book;

use crate::full_disk::{can_mount, on_a_small_disk};
use crate::killed::assert_intact;
use crate::program::{PROGRAM, run};
use crate::safe::{copy_book, kill_at_any_moment, make_book, rows_by_another_reader};

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn count(path: &Path) -> usize {
    Book::open(path).unwrap().count().unwrap()
}

#[test]
fn another_book_comes_and_a_report_says_what() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let (into, from, report) = (
        at("into.standbook"),
        at("from.standbook"),
        at("report.json"),
    );
    make_book(&into, 3);
    make_book(&from, 5);
    let before = fs::read(&from).unwrap();
    let looked = run(&["merge", text(&into), text(&from), "--look"]);
    assert_eq!(looked.code, 0, "{}", looked.err);
    assert!(
        looked.out.contains("11 records would come"),
        "{}",
        looked.out
    );
    assert_eq!(count(&into), 9);

    let said = run(&["merge", text(&into), text(&from), "--report", text(&report)]);
    assert_eq!(said.code, 0, "{}", said.err);
    for line in [
        "11 records came; 0 were here already.",
        "frame: 5 new",
        "Odile Farrow: 11 new",
        "Long meadow, 14 July 2026: 8 records",
    ] {
        assert!(said.out.contains(line), "{line}: {}", said.out);
    }
    let report: serde_json::Value = serde_json::from_slice(&fs::read(&report).unwrap()).unwrap();
    assert_eq!(report["kinds"]["frame"]["new"], 5);
    // The same picture lies in both.
    assert_eq!(report["pictures"]["already"], 1);
    assert_eq!(fs::read(&from).unwrap(), before);
    let again = run(&["merge", text(&into), text(&from)]);
    assert!(
        again.out.contains("Nothing new: all 11 are here already."),
        "{}",
        again.out
    );
    // Both ways round it is the same book.
    let other = copy_book(&from, &at("other.standbook"));
    run(&["merge", text(&other), text(&into)]);
    assert_eq!(count(&other), count(&into));
    assert_intact(&into);
}

#[test]
fn what_is_wrong_is_said_with_the_name_of_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("into.standbook");
    make_book(&into, 1);
    let nothing = run(&["merge", text(&into), text(&folder.path().join("nowhere"))]);
    assert_eq!(nothing.code, 1);
    assert!(
        nothing.err.contains("nowhere: there is no such file"),
        "{}",
        nothing.err
    );
    let own = run(&["merge", text(&into), text(&into)]);
    assert_eq!(own.code, 1);
    let no_book = run(&["merge", text(&folder.path().join("new")), text(&into)]);
    assert_eq!(no_book.code, 1);
    assert!(
        !folder.path().join("new").exists(),
        "merging makes no new book"
    );
}

#[test]
fn a_merge_that_is_killed_brings_all_or_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let (small, from) = (at("small.standbook"), at("from.standbook"));
    make_book(&small, 3);
    make_book(&from, 1_500);
    let (before, whole) = (count(&small), count(&small) + count(&from));
    let from_bytes = fs::read(&from).unwrap();
    let mut n = 0;
    let prepare = || {
        n += 1;
        vec![
            copy_book(&small, &at(&format!("into-{n}.standbook"))),
            from.clone(),
        ]
    };
    kill_at_any_moment(prepare, &["merge", "{0}", "{1}"], |paths, ended| {
        let held = count(&paths[0]);
        assert!(
            held == whole || (held == before && !ended),
            "{held} records, {before} or {whole}"
        );
        assert_intact(&paths[0]);
        assert_eq!(fs::read(&from).unwrap(), from_bytes);
        let again = run(&["merge", text(&paths[0]), text(&from)]);
        assert_eq!((again.code, count(&paths[0])), (0, whole), "{}", again.err);
    });
}

#[test]
fn a_full_disk_leaves_the_book_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let (disk, out) = (at("disk"), at("out"));
    fs::create_dir(&disk).unwrap();
    fs::create_dir(&out).unwrap();
    if !can_mount(&disk) {
        return;
    }
    let (into, from) = (at("into.standbook"), at("from.standbook"));
    make_book(&into, 3);
    make_book(&from, 4_000);
    assert!(fs::metadata(&from).unwrap().len() > 1_000_000, "fits twice");
    let rows = rows_by_another_reader(&into);
    // The disk is gone with its name space, so what is left on it is copied out.
    let script = "cp \"$3\" \"$1/into.standbook\"; \"$2\" merge \"$1/into.standbook\" \"$4\"; code=$?; \
                  rm -f \"$1\"/lumber; cp -r \"$1\"/. \"$5\"; exit $code";
    let said = on_a_small_disk(&disk, script)
        .args([Path::new(PROGRAM), &into, &from, &out])
        .output()
        .unwrap();
    let err = String::from_utf8_lossy(&said.stderr);
    assert_eq!(said.status.code(), Some(1), "{err}");
    assert!(err.contains("the disk is full"), "{err}");
    assert_intact(&out.join("into.standbook"));
    assert_eq!(rows_by_another_reader(&out.join("into.standbook")), rows);
    let left = fs::read_dir(&out).unwrap().count();
    assert!(left <= 3, "work in progress was left behind");
}
