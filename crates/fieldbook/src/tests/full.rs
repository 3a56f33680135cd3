//! A full disk.

use super::*;
use crate::{BookError, Kept};

fn large_frame(point: RecordId, number: u32) -> Record {
    let tallies = (1..=100)
        .map(|cell| Tally {
            cell: Some(cell),
            what: Counted::Taxon("a".repeat(80)),
            plants: None,
        })
        .collect();
    record(Frame {
        shape: FrameShape::Grid {
            cells: 100,
            cell_side_cm: 15.0,
        },
        tallies,
        ..a_frame(point, number)
    })
}

/// Fills the book; gives the ids acknowledged and the record that no longer fitted.
fn fill(s: &Sample) -> (Vec<RecordId>, Record, BookError) {
    let mut acknowledged = Vec::new();
    for number in 1..2_000 {
        let frame = large_frame(s.point, number);
        match s.book.append(vec![frame.clone()]) {
            Ok(_) => acknowledged.push(frame.id),
            Err(error) => return (acknowledged, frame, error),
        }
    }
    panic!("the disk never got full");
}

fn held(s: &Sample) -> Vec<RecordId> {
    s.book
        .frames_at(s.point)
        .unwrap()
        .into_iter()
        .map(|frame| frame.id)
        .collect()
}

#[test]
fn a_full_disk_refuses_clearly_and_takes_nothing_away() {
    let s = Sample::new();
    // A limit on pages gives the same answer as a full disk: SQLITE_FULL.
    s.book.on_writer(|conn| {
        let pages: i64 = conn
            .pragma_query_value(None, "page_count", |row| row.get(0))
            .unwrap();
        conn.pragma_update(None, "max_page_count", pages + 40)
            .unwrap();
    });
    let (acknowledged, refused, error) = fill(&s);
    assert_eq!(error, BookError::Full { path: s.path() });
    assert!(acknowledged.len() > 1);
    assert_eq!(held(&s), acknowledged);
    assert_sound(&s.book);
    // Still full: sent again, it is refused again.
    let before = s.export();
    assert!(s.book.append(vec![refused.clone()]).is_err());
    assert_eq!(s.export(), before);
    // Room is made.
    s.book.on_writer(|conn| {
        conn.pragma_update(None, "max_page_count", 1_000_000)
            .unwrap()
    });
    assert_eq!(s.book.append(vec![refused]).unwrap(), [Kept::New]);
    assert_sound(&s.book);
}

#[test]
fn a_call_too_large_for_the_disk_does_not_take_its_neighbours_down() {
    let s = Sample::new();
    s.book.on_writer(|conn| {
        let pages: i64 = conn
            .pragma_query_value(None, "page_count", |row| row.get(0))
            .unwrap();
        conn.pragma_update(None, "max_page_count", pages + 60)
            .unwrap();
    });
    let (release, wait) = std::sync::mpsc::channel::<()>();
    let blocked = s.book.clone();
    let holder = std::thread::spawn(move || blocked.on_writer(move |_| wait.recv().unwrap()));
    let huge: Vec<Record> = (100..200)
        .map(|number| large_frame(s.point, number))
        .collect();
    std::thread::scope(|scope| {
        let too_large = scope.spawn(|| s.book.append(huge));
        for number in 1..=4 {
            let (book, point) = (s.book.clone(), s.point);
            scope.spawn(move || {
                assert_eq!(
                    book.append(vec![record(a_frame(point, number))]).unwrap(),
                    [Kept::New]
                )
            });
        }
        std::thread::sleep(std::time::Duration::from_millis(300));
        release.send(()).unwrap();
        assert_eq!(
            too_large.join().unwrap().unwrap_err(),
            BookError::Full { path: s.path() }
        );
    });
    holder.join().unwrap();
    assert_eq!(held(&s).len(), 4);
}

/// On a real file system of 2 MB, where mounting is permitted; elsewhere the tests above stand alone.
#[cfg(target_os = "linux")]
#[test]
fn a_real_disk_of_two_megabytes() {
    let dir = tempfile::tempdir().unwrap();
    let mount = std::process::Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=2m", "tmpfs"])
        .arg(dir.path())
        .output();
    if !mount.is_ok_and(|output| output.status.success()) {
        eprintln!("skipped: mounting is not permitted here");
        return;
    }
    let outcome = std::panic::catch_unwind(|| on_small_disk(dir.path()));
    let unmounted = std::process::Command::new("umount")
        .arg(dir.path())
        .status();
    assert!(unmounted.unwrap().success());
    if let Err(panic) = outcome {
        std::panic::resume_unwind(panic);
    }
}

#[cfg(target_os = "linux")]
fn on_small_disk(disk: &std::path::Path) {
    let ballast = disk.join("ballast");
    std::fs::write(&ballast, vec![1_u8; 200_000]).unwrap();
    let folder = tempfile::tempdir_in(disk).unwrap();
    let book = Book::create(folder.path().join("b")).unwrap();
    let source = Sample::new();
    book.import(source.export().as_bytes()).unwrap();
    let s = Sample {
        folder,
        book,
        ..source
    };
    let (acknowledged, refused, error) = fill(&s);
    assert_eq!(error, BookError::Full { path: s.path() });
    assert_eq!(held(&s), acknowledged);
    let picture = [&b"\xFF\xD8\xFF"[..], &[0; 2_000_000]].concat();
    let error = s
        .book
        .add_photo(&picture, s.point, "", "A. Fenn", "phone", RecordId::new())
        .unwrap_err();
    assert!(matches!(error, BookError::Full { .. }), "{error}");
    assert!(s.book.photos(s.point).unwrap().is_empty());
    // A restart on the full disk still shows everything.
    let path = s.path();
    let Sample {
        folder,
        book,
        point,
        ..
    } = s;
    drop(book);
    let again = Book::open(&path).unwrap();
    assert_eq!(again.frames_at(point).unwrap().len(), acknowledged.len());
    std::fs::remove_file(&ballast).unwrap();
    assert_eq!(again.append(vec![refused]).unwrap(), [Kept::New]);
    assert_sound(&again);
    drop(folder);
}
