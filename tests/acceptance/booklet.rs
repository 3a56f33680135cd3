//! `standbook booklet`: the key on paper, one whole file or none.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::check::{copy_of_the_key, damage};
use crate::program::{PROGRAM, Said, key_folder, run};

fn booklet(key: &Path, out: &Path, more: &[&str]) -> Said {
    let mut line = vec![
        std::ffi::OsStr::new("booklet"),
        key.as_os_str(),
        "--out".as_ref(),
        out.as_os_str(),
    ];
    line.extend(more.iter().map(std::ffi::OsStr::new));
    run(&line)
}

/// The names in a folder, sorted.
fn names(folder: &Path) -> Vec<String> {
    let all = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = all
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_whole_file_takes_the_place_of_the_old_one() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("my booklet.html");
    fs::write(&out, "the old one").unwrap();
    let said = booklet(&key_folder(), &out, &[]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains("my booklet.html"), "{}", said.out);
    let page = fs::read_to_string(&out).unwrap();
    assert!(page.starts_with("<!doctype html>") && page.ends_with("</html>\n"));
    assert!(page.contains("big bluestem") && page.contains("148mm 210mm"));
    assert_eq!(names(folder.path()), ["my booklet.html"]);

    let said = booklet(&key_folder(), &out, &["--paper", "half-letter"]);
    assert_eq!(said.code, 0);
    assert!(fs::read_to_string(&out).unwrap().contains("5.5in 8.5in"));
}

#[test]
fn without_out_it_is_named_booklet_and_a_dash_prints_it() {
    let folder = tempfile::tempdir().unwrap();
    let done = Command::new(PROGRAM)
        .current_dir(folder.path())
        .arg("booklet")
        .arg(key_folder())
        .output()
        .unwrap();
    assert!(done.status.success());
    assert_eq!(names(folder.path()), ["booklet.html"]);
    let kept = fs::read_to_string(folder.path().join("booklet.html")).unwrap();
    let printed = booklet(&key_folder(), Path::new("-"), &[]);
    assert_eq!((printed.code, printed.err.as_str()), (0, ""));
    assert_eq!(printed.out, kept);
}

#[test]
fn a_faulty_key_makes_no_booklet() {
    let (folder, key) = copy_of_the_key();
    damage(&key);
    let place = folder.path().join("out");
    fs::create_dir(&place).unwrap();
    let out = place.join("booklet.html");
    fs::write(&out, "the old one").unwrap();
    let said = booklet(&key, &out, &[]);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(
        said.err.contains("3 fault(s)") && said.err.contains("standbook check"),
        "{}",
        said.err
    );
    assert_eq!(fs::read_to_string(&out).unwrap(), "the old one");
    assert_eq!(names(&place), ["booklet.html"]);
    let said = booklet(&folder.path().join("no key"), &out, &[]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("no key"), "{}", said.err);
}

#[test]
fn a_paper_that_there_is_not_is_refused_with_the_choices() {
    let folder = tempfile::tempdir().unwrap();
    let said = booklet(
        &key_folder(),
        &folder.path().join("b.html"),
        &["--paper", "foolscap"],
    );
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    for part in ["foolscap", "a5", "half-letter"] {
        assert!(said.err.contains(part), "{part}: {}", said.err);
    }
    assert!(names(folder.path()).is_empty());
}

/// The disk takes the first 64 blocks and no more: the old file stays, and no half of a new one.
#[test]
fn a_file_that_cannot_be_written_whole_leaves_the_old_one() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("booklet.html");
    fs::write(&out, "the old one").unwrap();
    let done = Command::new("sh")
        .args(["-c", "trap '' XFSZ; ulimit -f 64; exec \"$0\" \"$@\""])
        .arg(PROGRAM)
        .arg("booklet")
        .arg(key_folder())
        .arg("--out")
        .arg(&out)
        .output()
        .unwrap();
    let err = String::from_utf8(done.stderr).unwrap();
    assert_eq!(done.status.code(), Some(1), "{err}");
    assert!(err.contains("booklet.html can't be written"), "{err}");
    assert_eq!(fs::read_to_string(&out).unwrap(), "the old one");
    assert_eq!(names(folder.path()), ["booklet.html"]);
}

#[test]
fn a_folder_or_a_place_that_is_not_there_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let taken = folder.path().join("taken");
    fs::create_dir(&taken).unwrap();
    let said = booklet(&key_folder(), &taken, &[]);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(
        said.err
            .contains("taken can't be written: a folder or a device"),
        "{}",
        said.err
    );
    let said = booklet(&key_folder(), &folder.path().join("none/b.html"), &[]);
    assert_eq!(said.code, 1);
    assert!(
        said.err.contains("none/b.html") && said.err.contains("--out"),
        "{}",
        said.err
    );
    assert_eq!(names(folder.path()), ["taken"]);
    assert!(names(&taken).is_empty());
}

/// A link to a file is followed: the file is replaced, the link stays.
#[test]
fn a_link_stays_a_link() {
    let folder = tempfile::tempdir().unwrap();
    let (file, link) = (
        folder.path().join("kept.html"),
        folder.path().join("link.html"),
    );
    fs::write(&file, "the old one").unwrap();
    std::os::unix::fs::symlink(&file, &link).unwrap();
    assert_eq!(booklet(&key_folder(), &link, &[]).code, 0);
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert!(fs::read_to_string(&file).unwrap().ends_with("</html>\n"));
}
