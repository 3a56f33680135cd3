//! Opening: what is not a book, what is too new, what cannot be written.

use std::fs;

use super::*;
use crate::{BookError, SCHEMA_VERSION};

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

#[test]
fn making_and_opening() {
    let dir = folder();
    let path = dir.path().join("a.book");
    assert_eq!(
        Book::open(&path).unwrap_err(),
        BookError::Missing { path: path.clone() }
    );
    assert!(!path.exists());
    drop(Book::create(&path).unwrap());
    assert_eq!(
        Book::create(&path).unwrap_err(),
        BookError::Exists { path: path.clone() }
    );
    assert_eq!(Book::open(&path).unwrap().read_only(), None);
    assert!(Book::open_or_create(&path).is_ok());
    assert!(Book::open_or_create(dir.path().join("b.book")).is_ok());
    let nowhere = dir.path().join("no/such/folder/c.book");
    assert_eq!(
        Book::create(&nowhere).unwrap_err(),
        BookError::NoFolder { path: nowhere }
    );
}

#[test]
fn an_empty_file_is_no_book_but_may_become_one() {
    let dir = folder();
    let path = dir.path().join("a.book");
    fs::write(&path, "").unwrap();
    assert!(matches!(Book::open(&path), Err(BookError::NotABook { .. })));
    drop(Book::open_or_create(&path).unwrap());
    assert!(Book::open(&path).is_ok());
}

#[test]
fn a_crash_while_making_a_book_leaves_something_that_can_be_made_again() {
    let dir = folder();
    let path = dir.path().join("a.book");
    // What is there after the switch to WAL and before the first step.
    rusqlite::Connection::open(&path)
        .unwrap()
        .pragma_update(None, "journal_mode", "WAL")
        .unwrap();
    assert!(fs::metadata(&path).unwrap().len() > 0);
    assert!(matches!(Book::open(&path), Err(BookError::NotABook { .. })));
    drop(Book::create(&path).unwrap());
    assert!(Book::open(&path).is_ok());
}

#[test]
fn other_things_are_refused_and_left_alone() {
    let dir = folder();
    let is_no_book = |path: &std::path::Path| {
        for error in [
            Book::open(path).unwrap_err(),
            Book::open_or_create(path).unwrap_err(),
            Book::open_read_only(path).unwrap_err(),
        ] {
            assert!(matches!(error, BookError::NotABook { .. }), "{error}");
        }
    };
    is_no_book(dir.path());
    let foreign = dir.path().join("foreign.db");
    rusqlite::Connection::open(&foreign)
        .unwrap()
        .execute_batch("CREATE TABLE t (x)")
        .unwrap();
    let mut files = vec![foreign];
    for (name, bytes) in [
        ("short", b"SQLite".to_vec()),
        (
            "text",
            b"Dear diary, today the seed went in at last.\n".repeat(200),
        ),
        (
            "noise",
            (0..100_000_u32)
                .map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8)
                .collect(),
        ),
    ] {
        let path = dir.path().join(name);
        fs::write(&path, bytes).unwrap();
        files.push(path);
    }
    for path in files {
        let before = fs::read(&path).unwrap();
        is_no_book(&path);
        assert_eq!(fs::read(&path).unwrap(), before, "{}", path.display());
    }
    // Right at the start, then noise: no panic, and an error that says so.
    let path = dir.path().join("torn");
    let mut bytes = b"SQLite format 3\0".to_vec();
    bytes.extend((0..50_000_u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8));
    fs::write(&path, bytes).unwrap();
    let error = Book::open(&path).unwrap_err();
    assert!(
        matches!(
            error,
            BookError::NotABook { .. } | BookError::Damaged { .. }
        ),
        "{error}"
    );
}

#[test]
fn a_newer_book_is_refused_with_both_versions() {
    let s = Sample::new();
    let path = s.path();
    s.book.on_writer(|conn| {
        conn.pragma_update(None, "user_version", SCHEMA_VERSION + 1)
            .unwrap()
    });
    drop(s.book);
    let before = fs::read(&path).unwrap();
    for error in [
        Book::open(&path).unwrap_err(),
        Book::open_or_create(&path).unwrap_err(),
        Book::open_read_only(&path).unwrap_err(),
    ] {
        assert_eq!(
            error,
            BookError::NewerVersion {
                path: path.clone(),
                found: SCHEMA_VERSION + 1,
                known: SCHEMA_VERSION
            }
        );
    }
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn open_for_viewing_shows_everything_and_keeps_nothing() {
    let s = Sample::new();
    let view = Book::open_read_only(s.path()).unwrap();
    assert!(view.read_only().is_some());
    assert_eq!(exported(&view), s.export());
    let error = view.append(vec![record(a_site())]).unwrap_err();
    assert!(matches!(error, BookError::ReadOnly { .. }), "{error}");
    let picture = view.add_photo(
        b"\xFF\xD8\xFF",
        s.point,
        "",
        "A. Fenn",
        "phone",
        RecordId::new(),
    );
    assert!(matches!(picture, Err(BookError::ReadOnly { .. })));
    assert!(matches!(view.import(&b"{}"[..]), Err(BookError::Import(_))));
    // It sees what is written meanwhile.
    s.keep(record(a_site()));
    assert_eq!(view.sites().unwrap().len(), 2);
}

/// Set for the child that runs as an ordinary user, for whom file rights count.
#[cfg(unix)]
const AS_USER: &str = "STANDBOOK_TEST_AS_USER";

/// The rights on files do not bind root, so the checks run in a child with another user id.
#[cfg(unix)]
#[test]
fn files_and_folders_without_the_right_to_write() {
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;

    if std::env::var_os(AS_USER).is_some() {
        return without_the_right_to_write();
    }
    let dir = folder();
    fs::set_permissions(dir.path(), fs::Permissions::from_mode(0o777)).unwrap();
    let program = dir.path().join("tests");
    fs::copy(std::env::current_exe().unwrap(), &program).unwrap();
    fs::set_permissions(&program, fs::Permissions::from_mode(0o755)).unwrap();
    let mut child = std::process::Command::new(&program);
    child
        .args([
            "--exact",
            "tests::opening::files_and_folders_without_the_right_to_write",
            "--nocapture",
        ])
        .env(AS_USER, "1")
        .env("TMPDIR", dir.path())
        .current_dir(dir.path());
    if may_write_anyway(dir.path()) {
        child.uid(65_534); // `nobody` on most systems; any id but 0 will do
    }
    let output = child.output().unwrap();
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(
        output.status.success() && said.contains("checked as a user"),
        "{said}\n{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

#[cfg(unix)]
fn may_write_anyway(dir: &std::path::Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    let probe = dir.join("probe");
    fs::write(&probe, "").unwrap();
    fs::set_permissions(&probe, fs::Permissions::from_mode(0o444)).unwrap();
    fs::OpenOptions::new().write(true).open(&probe).is_ok()
}

#[cfg(unix)]
fn without_the_right_to_write() {
    use std::os::unix::fs::PermissionsExt;
    let mode = |path: &std::path::Path, mode| {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap()
    };
    let views = |path: &std::path::Path| {
        let book = Book::open(path).unwrap();
        assert!(book.read_only().is_some());
        assert_eq!(book.sites().unwrap().len(), 1);
        let error = book.append(vec![record(a_site())]).unwrap_err();
        assert!(matches!(error, BookError::ReadOnly { .. }), "{error}");
    };

    // A file that may not be written, in a folder that may.
    let Sample {
        folder: dir, book, ..
    } = Sample::new();
    let path = book.path().to_owned();
    drop(book);
    mode(&path, 0o444);
    views(&path);
    // Neither file nor folder; a name that has to be quoted for SQLite.
    let odd = dir.path().join("50% off? #1.book");
    fs::rename(&path, &odd).unwrap();
    for beside in ["-wal", "-shm"] {
        let _ = fs::remove_file(crate::open::beside(&path, beside));
    }
    mode(dir.path(), 0o555);
    views(&odd);
    // A folder that may not be written around a file that may.
    mode(&odd, 0o644);
    views(&odd);
    let error = Book::create(dir.path().join("new.book")).unwrap_err();
    assert!(matches!(error, BookError::File { .. }), "{error}");
    let error = Book::open_or_create(dir.path().join("new.book")).unwrap_err();
    assert!(matches!(error, BookError::File { .. }), "{error}");
    mode(dir.path(), 0o755);

    // A book of version 1 that cannot be brought to version 2 is shown as it is.
    let old = folder();
    let path = old.path().join("old.book");
    drop(super::migrate::version_1(&path, ""));
    for (of_file, of_folder) in [(0o444, 0o755), (0o444, 0o555), (0o644, 0o555)] {
        for beside in ["-wal", "-shm"] {
            let _ = fs::remove_file(crate::open::beside(&path, beside));
        }
        mode(&path, of_file);
        mode(old.path(), of_folder);
        let before = fs::read(&path).unwrap();
        let book = Book::open(&path).unwrap();
        assert!(book.read_only().is_some());
        super::migrate::shows_version_1(&book);
        drop(book);
        assert_eq!(fs::read(&path).unwrap(), before);
        mode(old.path(), 0o755);
    }
    mode(&path, 0o644);
    let book = Book::open(&path).unwrap();
    assert_eq!(book.read_only(), None);
    assert_eq!(exported(&book), super::migrate::EXPORT);

    // Newest records still in -wal, copied to a folder that may not be written: refused, not shown without them.
    let s = Sample::new();
    let copy = folder();
    let path = copy.path().join("copy.book");
    fs::copy(s.path(), &path).unwrap();
    fs::copy(
        crate::open::beside(&s.path(), "-wal"),
        crate::open::beside(&path, "-wal"),
    )
    .unwrap();
    mode(copy.path(), 0o555);
    assert_eq!(
        Book::open(&path).unwrap_err(),
        BookError::WalUnreadable { path: path.clone() }
    );
    // No right to read at all.
    mode(copy.path(), 0o755);
    mode(&path, 0o000);
    let error = Book::open(&path).unwrap_err();
    assert!(matches!(error, BookError::File { .. }), "{error}");
    println!("checked as a user");
}
