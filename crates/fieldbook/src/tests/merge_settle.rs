//! What merging leaves for people: two corrections made apart, two names, what does not fit together.

use std::fs;

use super::merge::{content, empty, merge, twin};
use super::*;

#[test]
fn two_corrections_are_for_people_to_settle_and_stay_settled() {
    let s = Sample::new();
    let (_folder, other) = twin(&s);
    let east = s.keep(correction(s.plot, 10, a_plot(s.planting, "east")));
    let west = Record {
        author: "B. Reed".into(),
        ..correction(s.plot, 20, a_plot(s.planting, "west"))
    };
    other.append(vec![west.clone()]).unwrap();
    let merged = merge(&s.book, other.path());
    let [twice] = &merged.corrected_twice[..] else {
        panic!("{merged:?}")
    };
    assert_eq!((twice.root, twice.kind.as_str()), (s.plot, "plot"));
    assert_eq!((twice.current.id, twice.others[0].id), (west.id, east));
    let differs = &twice.others[0].differs;
    assert_eq!(differs.len(), 1);
    assert_eq!(
        (differs[0].one.as_str(), differs[0].other.as_str()),
        ("west", "east")
    );
    assert_eq!(s.book.both_corrected().unwrap(), merged.corrected_twice);
    // A merge that brings nothing of it does not tell of it again; the book still does.
    assert!(merge(&s.book, other.path()).corrected_twice.is_empty());

    // The one that does not count now is right.
    assert!(s.book.settle(east, "C. Moor", "laptop").unwrap());
    assert_eq!(s.book.plot(s.plot).unwrap().unwrap().body.name, "east");
    assert!(s.book.both_corrected().unwrap().is_empty());
    let records = s.export().lines().count();
    assert!(!s.book.settle(east, "C. Moor", "laptop").unwrap(), "once");
    assert_eq!(s.export().lines().count(), records);
    // Corrected once more, it is no quarrel again; and the other book learns of all of it.
    let current = s.book.plot(s.plot).unwrap().unwrap().id;
    s.keep(Record {
        born_at: crate::time::later(crate::time::now(), "9999-01-01T00:00:00.000Z"),
        ..correction(current, 1, a_plot(s.planting, "east of the road"))
    });
    assert!(s.book.both_corrected().unwrap().is_empty());
    assert!(merge(&other, &s.path()).corrected_twice.is_empty());
    assert_eq!(content(&other), content(&s.book));
    assert_eq!(
        other.plot(s.plot).unwrap().unwrap().body.name,
        "east of the road"
    );
}

#[test]
fn the_same_correction_made_twice_is_no_quarrel_and_a_return_to_the_start_is() {
    let s = Sample::new();
    let one = s.keep(correction(s.plot, 10, a_plot(s.planting, "east")));
    s.keep(correction(s.plot, 20, a_plot(s.planting, "east")));
    assert!(s.book.both_corrected().unwrap().is_empty());
    // "1" is what both started from: saying it again on one way is not the other's answer.
    s.keep(correction(one, 5, a_plot(s.planting, "1")));
    assert_eq!(s.book.both_corrected().unwrap().len(), 1);
}

#[test]
fn what_does_not_fit_together_is_taken_and_told() {
    let s = Sample::new();
    let (_folder, other) = twin(&s);
    let mine = s.keep(record(an_unknown(s.visit, 2, s.point)));
    let theirs = record(Unknown {
        description: "blue, upright".into(),
        ..an_unknown(s.visit, 2, s.point)
    });
    other.append(vec![theirs.clone()]).unwrap();
    let merged = merge(&s.book, other.path());
    assert_eq!(merged.misfits.len(), 1);
    assert_eq!(
        (merged.misfits[0].record, merged.misfits[0].what.as_str()),
        (theirs.id, "unknown 2")
    );
    let numbers: Vec<_> = s
        .book
        .unknowns(s.visit)
        .unwrap()
        .iter()
        .map(|u| (u.id, u.body.number))
        .collect();
    assert_eq!(numbers, [(s.unknown, 1), (mine, 2), (theirs.id, 2)]);
    // An exchange file of such a book can be merged as well, and it can go on.
    let (folder, third) = empty();
    let file = folder.path().join("both.jsonl");
    fs::write(&file, s.export()).unwrap();
    assert_eq!(merge(&third, &file).misfits.len(), 2, "each of the other");
    third
        .append(vec![correction(
            theirs.id,
            1,
            an_unknown(s.visit, 3, s.point),
        )])
        .unwrap();
}

#[test]
fn two_names_for_one_plant_are_told_until_a_third_agrees() {
    let s = Sample::new();
    let (_folder, other) = twin(&s);
    let opinion = |author: &str, second: u8, taxon: &str| Record {
        author: author.into(),
        born_at: format!("2026-08-01T10:00:{second:02}.000Z"),
        ..record(Opinion {
            taxon: Some(taxon.into()),
            ..an_opinion(s.unknown)
        })
    };
    s.book
        .append(vec![opinion("A. Fenn", 1, "sorghastrum_nutans")])
        .unwrap();
    other
        .append(vec![opinion("B. Reed", 2, "panicum_virgatum")])
        .unwrap();
    let merged = merge(&s.book, other.path());
    let [apart] = &merged.named_apart[..] else {
        panic!("{merged:?}")
    };
    assert_eq!((apart.what.as_str(), apart.root), ("unknown 1", s.unknown));
    assert_eq!(
        (apart.last.author.as_str(), apart.before.author.as_str()),
        ("B. Reed", "A. Fenn")
    );
    assert_eq!(s.book.named_apart().unwrap(), merged.named_apart);
    // Repeating oneself settles nothing.
    s.book
        .append(vec![opinion("B. Reed", 3, "panicum_virgatum")])
        .unwrap();
    assert_eq!(s.book.named_apart().unwrap().len(), 1);
    s.book
        .append(vec![opinion("C. Moor", 4, "panicum_virgatum")])
        .unwrap();
    assert!(s.book.named_apart().unwrap().is_empty());
}

#[test]
fn a_frame_number_given_twice_by_one_scout_is_told_in_any_version_of_its_point() {
    let s = Sample::new();
    let (_folder, other) = twin(&s);
    let mine = s.keep(record(a_frame(s.point, 1)));
    s.keep(record(a_frame(s.point, 2)));
    // There the point was corrected first, and the frame names the correction.
    let moved = correction(s.point, 5, a_point(s.plot, s.visit, "1a"));
    let theirs = record(a_frame(moved.id, 1));
    other.append(vec![moved, theirs.clone()]).unwrap();
    let told: Vec<RecordId> = merge(&s.book, other.path())
        .misfits
        .iter()
        .map(|m| m.record)
        .collect();
    assert_eq!(told, [theirs.id]);
    assert_eq!(s.book.frames_at(s.point).unwrap().len(), 3);
    assert!(s.book.frame(mine).unwrap().is_some());
}
