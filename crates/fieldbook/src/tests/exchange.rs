//! Export and import.

use super::*;
use crate::{BookError, Import, LineFault};

fn empty() -> (tempfile::TempDir, Book) {
    let folder = tempfile::tempdir().unwrap();
    let book = Book::create(folder.path().join("other.book")).unwrap();
    (folder, book)
}

/// A sample with every kind of record and a few corrections.
pub(super) fn rich() -> Sample {
    let s = Sample::new();
    s.keep(record(a_frame(s.point, 1)));
    let determination = s.keep(record(a_determination(s.point)));
    s.keep(record(an_opinion(determination)));
    s.book
        .add_photo(
            b"\xFF\xD8\xFF\xE0",
            s.point,
            "",
            "A. Fenn",
            "phone",
            RecordId::new(),
        )
        .unwrap();
    let plan = s.keep(record(a_plan(s.planting)));
    s.keep(record(Point {
        planned: Some(PlannedAt { plan, number: 2 }),
        unreachable: "standing water".into(),
        ..a_point(s.plot, s.visit, "2")
    }));
    let first = s.keep(record(a_frame(s.point, 2)));
    s.keep(record(Frame {
        scout: "B. Reed".into(),
        repeats: Some(first),
        ..a_frame(s.point, 2)
    }));
    s.keep(record(a_seed_lot(s.planting)));
    s.keep(record(an_event(s.planting, "2026-06-20")));
    s.keep(record(Outline {
        of: OutlineOf::Plot(s.plot),
        ..an_outline(s.planting)
    }));
    s.keep(record(a_standard()));
    let renamed = s.keep(correction(s.plot, 1, a_plot(s.planting, "one")));
    s.keep(correction(renamed, 2, a_plot(s.planting, "uno")));
    s.keep(record(a_plot(s.planting, "1")));
    // Seeding moved past a visit that was moved before: each step was right when it was taken.
    s.keep(correction(
        s.visit,
        3,
        Visit {
            on: "2026-08-30".into(),
            ..a_visit(s.planting)
        },
    ));
    s.keep(correction(
        s.planting,
        4,
        Planting {
            seeded_on: "2026-08-01".into(),
            ..a_planting(s.site)
        },
    ));
    s
}

#[track_caller]
fn line_faults(result: Result<Import, BookError>) -> Vec<LineFault> {
    match result {
        Err(BookError::Import(faults)) => faults,
        other => panic!("expected Import, got {other:?}"),
    }
}

#[test]
fn export_import_export_gives_identical_bytes() {
    let s = rich();
    let text = s.export();
    let (_folder, other) = empty();
    let count = text.lines().count();
    assert_eq!(
        other.import(text.as_bytes()).unwrap(),
        Import {
            new: count,
            already: 0
        }
    );
    assert_eq!(exported(&other), text);
    assert_eq!(
        other.import(text.as_bytes()).unwrap(),
        Import {
            new: 0,
            already: count
        }
    );
    assert_eq!(
        s.book.import(text.as_bytes()).unwrap(),
        Import {
            new: 0,
            already: count
        }
    );
    assert_sound(&other);
}

#[test]
fn lines_may_come_in_any_order() {
    let text = rich().export();
    let backwards: String = text
        .lines()
        .rev()
        .flat_map(|line| [line, "\r\n", "\n"])
        .collect();
    let (_folder, other) = empty();
    other
        .import(format!("\u{feff}{backwards}").as_bytes())
        .unwrap();
    assert_eq!(exported(&other), text);
}

#[test]
fn two_exports_may_come_in_either_order() {
    let s = Sample::new();
    let common = s.export();
    let (_folder, twin) = empty();
    twin.import(common.as_bytes()).unwrap();
    // Two laptops go their own ways, and both correct the same plot.
    s.keep(record(a_frame(s.point, 1)));
    s.keep(correction(s.plot, 10, a_plot(s.planting, "east")));
    twin.append(vec![
        record(a_frame(s.point, 2)),
        correction(s.plot, 20, a_plot(s.planting, "west")),
    ])
    .unwrap();
    let (here, there) = (s.export(), exported(&twin));
    let (_folder, a) = empty();
    a.import(here.as_bytes()).unwrap();
    a.import(there.as_bytes()).unwrap();
    let (_folder, b) = empty();
    b.import(there.as_bytes()).unwrap();
    b.import(here.as_bytes()).unwrap();
    assert_eq!(exported(&a), exported(&b));
    for book in [a, b] {
        assert_eq!(book.plot(s.plot).unwrap().unwrap().body.name, "west");
        assert_eq!(book.frames_at(s.point).unwrap().len(), 2);
    }
}

#[test]
fn a_line_without_receipt_is_received_now() {
    let (_folder, book) = empty();
    let site = record(a_site());
    let line = serde_json::to_string(&site).unwrap();
    book.import(line.as_bytes()).unwrap();
    assert!(book.get(site.id).unwrap().unwrap().received_at.is_some());
    let odd = line
        .replace("\"device\"", "\"received_at\":\"yesterday\",\"device\"")
        .replace(&site.id.to_string(), &RecordId::new().to_string());
    let faults = line_faults(book.import(odd.as_bytes()));
    assert!(faults[0].problem.contains("received_at"), "{faults:?}");
}

#[test]
fn every_bad_line_is_named_and_nothing_is_written() {
    let s = Sample::new();
    let before = s.export();
    let good = serde_json::to_string(&record(a_site())).unwrap();
    let with_extra = good.replacen('{', "{\"colour\":\"green\",", 1);
    let text = format!(
        "{good}\nnonsense\n\n{with_extra}\n{}\n{good}\n",
        &good[..good.len() / 2]
    );
    let faults = line_faults(s.book.import(text.as_bytes()));
    assert_eq!(
        faults.iter().map(|fault| fault.line).collect::<Vec<_>>(),
        [2, 4, 5]
    );
    assert!(faults[1].problem.contains("colour"), "{}", faults[1]);
    assert_eq!(s.export(), before);

    // Lines that can be read but break rules, or clash with what is there.
    let stray = serde_json::to_string(&record(a_plot(RecordId::new(), "1"))).unwrap();
    let clash = before
        .lines()
        .next()
        .unwrap()
        .replace("Quill Farm", "Quince Farm");
    let nameless = serde_json::to_string(&record(Site {
        name: String::new(),
        ..a_site()
    }))
    .unwrap();
    let faults = line_faults(
        s.book
            .import(format!("{nameless}\n{stray}\n{good}\n{clash}\n").as_bytes()),
    );
    assert_eq!(
        faults.iter().map(|fault| fault.line).collect::<Vec<_>>(),
        [1, 2, 4]
    );
    assert_eq!(s.export(), before);
}

#[test]
fn unknown_fields_of_any_kind_are_refused() {
    let s = rich();
    let text = s.export();
    let mut kinds = std::collections::BTreeSet::new();
    for line in text.lines() {
        let mut value: serde_json::Value = serde_json::from_str(line).unwrap();
        let body = value["body"].as_object_mut().unwrap();
        let (kind, fields) = body.iter_mut().next().unwrap();
        kinds.insert(kind.clone());
        fields["colour"] = "green".into();
        let faults = line_faults(s.book.import(value.to_string().as_bytes()));
        assert!(faults[0].problem.contains("colour"), "{}", faults[0]);
    }
    assert_eq!(kinds.len(), 15, "{kinds:?}");
    // What says nothing is not written, as in version 1.
    let bare = Site {
        owner: String::new(),
        county: String::new(),
        state: String::new(),
        ..a_site()
    };
    let line = serde_json::to_string(&record(bare)).unwrap();
    assert!(
        !line.contains("owner") && !line.contains("county"),
        "{line}"
    );
}

#[test]
fn no_bytes_make_the_import_panic() {
    let s = Sample::new();
    let before = s.export();
    line_faults(s.book.import(&b"\xFF\xFE\0\0"[..]));
    line_faults(s.book.import("[".repeat(100_000).as_bytes()));
    let long = vec![b'x'; 5 * 1024 * 1024];
    let faults = line_faults(s.book.import(&long[..]));
    assert!(faults[0].problem.contains("longer"), "{}", faults[0]);
    for cut in (0..before.len()).step_by(97) {
        // A cut on the border of two lines is a shorter file, and right.
        let _ = s.book.import(&before.as_bytes()[..cut]);
    }
    assert_eq!(s.export(), before);
    assert_eq!(
        s.book.import(&b""[..]).unwrap(),
        Import { new: 0, already: 0 }
    );
}

#[test]
fn an_export_that_cannot_be_written_says_so() {
    struct Wall;
    impl std::io::Write for Wall {
        fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
            Err(std::io::Error::other("the stick was pulled out"))
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let s = Sample::new();
    let error = s.book.export(Wall).unwrap_err();
    assert!(
        error.to_string().contains("the stick was pulled out"),
        "{error}"
    );
}
