//! Whole copies, and the way back. That the program itself may be killed meanwhile is tested with
//! the built program (`tests/acceptance/backup.rs`).

use std::fs;
use std::path::{Path, PathBuf};

use super::exchange::rich;
use super::*;
use crate::BookError;
use crate::open::beside;
use crate::safe::backup::{Care, Made, Manifest, Rotation, folder_beside, list, restore, verify};

fn make(book: &Book, to: &Path) -> Made {
    book.back_up(to, &Rotation::default(), Care::Quick).unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

fn picture_of(made: &Made) -> PathBuf {
    made.folder
        .parent()
        .unwrap()
        .join("photos")
        .join(&made.manifest.photos[0].file)
}

#[test]
fn a_backup_is_whole_and_leads_back_to_the_same_records() {
    let s = rich();
    let to = folder_beside(&s.path());
    let made = make(&s.book, &to);
    assert_eq!(names(&made.folder), ["manifest.json", "season.book"]);
    assert_eq!(names(&to).len(), 2, "the copy, and the folder of pictures");
    let manifest = &made.manifest;
    assert_eq!(manifest.records, s.export().lines().count());
    assert_eq!(
        (manifest.photos.len(), manifest.lacking.len(), made.copied),
        (1, 0, 1)
    );
    let hash = |path: &Path| {
        use sha2::Digest;
        crate::photo::hex(&sha2::Sha256::digest(fs::read(path).unwrap()))
    };
    assert_eq!(manifest.sha256, hash(&made.folder.join("season.book")));
    assert_eq!(manifest.photos[0].sha256, hash(&picture_of(&made)));
    assert_eq!(verify(&made.folder).unwrap(), (manifest.clone(), vec![]));

    let back = s.folder.path().join("back.book");
    let restored = restore(&made.folder, &back, false, false).unwrap();
    assert_eq!((restored.aside, restored.lacking.len()), (None, 0));
    let book = Book::open(&back).unwrap();
    assert_eq!(exported(&book), s.export());
    assert!(book.photo_path(&manifest.photos[0].sha256).is_some());
    assert_sound(&book);
}

#[test]
fn pictures_are_copied_once_and_a_spoilt_copy_is_found_by_care() {
    let s = rich();
    let to = folder_beside(&s.path());
    let first = make(&s.book, &to);
    let second = make(&s.book, &to);
    assert_eq!(second.copied, 0);
    assert_ne!(first.folder, second.folder, "two in one second");
    let kept = picture_of(&first);
    let right = fs::read(&kept).unwrap();
    let mut spoilt = right.clone();
    spoilt[3] ^= 1;
    fs::write(&kept, &spoilt).unwrap();
    assert_eq!(make(&s.book, &to).copied, 0, "by its size it is sound");
    let thorough = s
        .book
        .back_up(&to, &Rotation::default(), Care::Thorough)
        .unwrap();
    assert_eq!((thorough.copied, fs::read(&kept).unwrap()), (1, right));
    // Lost from the book itself: the records are copied all the same, and it is said.
    let sha256 = &thorough.manifest.photos[0].sha256;
    fs::remove_file(s.book.photo_path(sha256).unwrap()).unwrap();
    fs::remove_file(&kept).unwrap();
    let lacking = make(&s.book, &to).manifest;
    assert_eq!((lacking.photos.len(), &lacking.lacking[0]), (0, sha256));
}

#[test]
fn old_ones_go_and_those_of_other_books_stay() {
    let (s, other) = (Sample::new(), Sample::new());
    let stick = tempfile::tempdir().unwrap();
    let theirs = make(&other.book, stick.path());
    let rotation = Rotation {
        last: 2,
        days: 1,
        months: 1,
    };
    let (mut folders, mut removed) = (Vec::new(), Vec::new());
    for _ in 0..4 {
        let made = s
            .book
            .back_up(stick.path(), &rotation, Care::Quick)
            .unwrap();
        folders.push(made.folder);
        removed.extend(made.removed);
    }
    let found = list(stick.path(), &s.path());
    let stayed: Vec<_> = found.into_iter().map(|found| found.folder).collect();
    assert_eq!(stayed, folders[2..]);
    assert_eq!(removed, folders[..2]);
    assert_eq!(list(stick.path(), &other.path())[0].folder, theirs.folder);
}

#[test]
fn a_stick_that_is_not_there_is_said_and_not_made() {
    let s = Sample::new();
    let stick = s.folder.path().join("stick");
    let error = s
        .book
        .back_up(&stick, &Rotation::default(), Care::Quick)
        .unwrap_err();
    assert!(error.to_string().contains("Plug in the stick"), "{error}");
    assert!(!stick.exists());
}

#[test]
fn a_changed_backup_leads_nowhere() {
    let s = rich();
    let to = folder_beside(&s.path());
    let made = make(&s.book, &to);
    let back = s.folder.path().join("back.book");
    let refused = |says: &str| {
        let error = restore(&made.folder, &back, false, false).unwrap_err();
        assert!(error.to_string().contains(says), "{error}");
        assert!(!back.exists());
    };
    let change = |path: &Path, says: &str| {
        let whole = fs::read(path).unwrap();
        let mut changed = whole.clone();
        let middle = changed.len() / 2;
        changed[middle] ^= 1;
        fs::write(path, &changed).unwrap();
        refused(says);
        let sound = verify(&made.folder).is_ok_and(|(_, lacking)| lacking.is_empty());
        assert!(!sound, "{}", path.display());
        fs::write(path, &whole[..whole.len() - 1]).unwrap();
        refused(says);
        fs::write(path, &whole).unwrap();
    };
    change(
        &made.folder.join("season.book"),
        "no longer what was backed up",
    );
    change(&picture_of(&made), "missing or changed");
    // A manifest that leads elsewhere.
    let path = made.folder.join("manifest.json");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(
        &path,
        text.replace("\"season.book\"", "\"../../season.book\""),
    )
    .unwrap();
    refused("outside the backup");
    fs::write(&path, text.replace("backup 1", "backup 2")).unwrap();
    refused("`standbook backup 2`");
    fs::write(&path, &text).unwrap();
    // The folder above it, as somebody may type.
    let error = restore(&to, &back, false, false).unwrap_err().to_string();
    assert!(
        error.contains(&made.folder.display().to_string()),
        "{error}"
    );
    // Pictures lost: every record, when asked for.
    fs::remove_file(picture_of(&made)).unwrap();
    refused("--without-pictures");
    let restored = restore(&made.folder, &back, false, true).unwrap();
    assert_eq!(restored.lacking.len(), 1);
    assert_eq!(exported(&Book::open(&back).unwrap()), s.export());
}

#[test]
fn what_lies_there_is_put_aside_whole_or_left_alone() {
    let s = rich();
    let made = make(&s.book, &folder_beside(&s.path()));
    let path = s.path();
    let later = s.keep(record(a_frame(s.point, 9)));
    let with_later = s.export();
    let error = restore(&made.folder, &path, false, false).unwrap_err();
    assert!(error.to_string().contains("--aside"), "{error}");
    // Open here: it is in use.
    let error = restore(&made.folder, &path, true, false).unwrap_err();
    assert!(error.to_string().contains("another program"), "{error}");
    assert_eq!(s.export(), with_later);
    drop(s.book);
    let restored = restore(&made.folder, &path, true, false).unwrap();
    let aside = Book::open(restored.aside.unwrap()).unwrap();
    assert_eq!(exported(&aside), with_later);
    assert!(aside.get(later).unwrap().is_some());
    assert!(aside.photo_path(&made.manifest.photos[0].sha256).is_some());
    let book = Book::open(&path).unwrap();
    assert_eq!(exported(&book).lines().count(), made.manifest.records);
    assert!(book.get(later).unwrap().is_none());
    // And merged, nothing is lost between the two.
    book.merge(aside.path(), false).unwrap();
    assert_eq!(exported(&book), with_later);
}

#[test]
fn a_damaged_book_with_a_log_is_put_aside_with_its_log() {
    let s = rich();
    let made = make(&s.book, &folder_beside(&s.path()));
    let (path, dir) = (s.path(), s.folder);
    drop(s.book);
    fs::write(&path, "no book any more").unwrap();
    fs::write(beside(&path, "-wal"), "a log of it").unwrap();
    let restored = restore(&made.folder, &path, true, false).unwrap();
    let aside = restored.aside.unwrap();
    assert_eq!(fs::read(&aside).unwrap(), b"no book any more");
    assert_eq!(fs::read(beside(&aside, "-wal")).unwrap(), b"a log of it");
    assert_eq!(
        exported(&Book::open(&path).unwrap()).lines().count(),
        made.manifest.records
    );
    drop(dir);
}

#[test]
fn a_log_without_its_book_never_meets_the_new_one() {
    let s = rich();
    let made = make(&s.book, &folder_beside(&s.path()));
    let back = s.folder.path().join("back.book");
    fs::copy(beside(&s.path(), "-wal"), beside(&back, "-wal")).unwrap();
    assert!(restore(&made.folder, &back, false, false).is_err());
    let restored = restore(&made.folder, &back, true, false).unwrap();
    assert!(beside(&restored.aside.unwrap(), "-wal").exists());
    assert_eq!(exported(&Book::open(&back).unwrap()), s.export());
}

#[test]
fn a_copy_is_of_one_moment_while_records_come_in() {
    let s = Sample::new();
    let to = folder_beside(&s.path());
    let stop = std::sync::atomic::AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for number in 1.. {
                if stop.load(std::sync::atomic::Ordering::Relaxed) {
                    break;
                }
                s.keep(record(a_frame(s.point, number)));
            }
        });
        for n in 0..5 {
            let made = make(&s.book, &to);
            let back = s.folder.path().join(format!("back-{n}"));
            restore(&made.folder, &back, false, false).unwrap();
            let book = Book::open(&back).unwrap();
            assert_sound(&book);
            // A prefix of what was kept, each frame whole.
            let frames = book.frames_at(s.point).unwrap();
            let numbers: Vec<u32> = frames.iter().map(|frame| frame.body.number).collect();
            assert_eq!(numbers, (1..=frames.len() as u32).collect::<Vec<_>>());
            assert!(frames.iter().all(|frame| frame.body.tallies.len() == 1));
        }
        stop.store(true, std::sync::atomic::Ordering::Relaxed);
    });
    // It may stand on a stick that cannot be written: one file, no log needed.
    let newest = list(&to, &s.path()).pop().unwrap();
    let header = fs::read(newest.folder.join("season.book")).unwrap();
    assert_eq!(
        header[18..20],
        [1, 1],
        "no WAL (sqlite.org, Database File Format, 1.3.3)"
    );
    assert!(matches!(
        Manifest::read(s.folder.path()),
        Err(BookError::Backup { .. })
    ));
}
