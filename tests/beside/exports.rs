//! What leaves a book, read by other people's libraries: `exports.py` says which, and compares.
//!
//! Without Python there is nothing to compare with: the test is left out of a plain run, and
//! `cargo xtask exports` (and CI) runs it with the Python that it made.

use std::ffi::OsString;
use std::path::Path;
use std::process::Command;

use standbook_fieldbook::record::{Opinion, Qualifier};
use standbook_fieldbook::{Book, NewPhoto, Record, RecordId};

/// A JPEG of 8 by 6 pixels as Pillow 13.0.0 wrote it, with a place (GPS), an orientation (6), XMP and a
/// comment; `exports.py` finds them in it before it looks at what left.
const DIRTY: &[u8] = include_bytes!("dirty.jpg");

#[test]
#[ignore = "needs Python; run by cargo xtask exports"]
fn other_readers_read_what_leaves() {
    let python: OsString = std::env::var_os("STANDBOOK_PYTHON")
        .expect("STANDBOOK_PYTHON, as cargo xtask exports sets it");
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.standbook");
    let book = Book::create(&path).unwrap();
    let demo = std::fs::read(root.join("demo-data/demo.jsonl")).unwrap();
    book.import(demo.as_slice()).unwrap();
    let plant = &book.determinations_all().unwrap()[0];
    book.keep_photo(
        DIRTY,
        &NewPhoto {
            id: RecordId::new(),
            of: plant.id,
            shows: "collar",
            author: "Ada Fenn",
            device: "phone",
            born_at: plant.born_at.clone(),
        },
    )
    .unwrap();
    doubt(&book);
    drop(book);
    std::fs::write(folder.path().join("dirty.jpg"), DIRTY).unwrap();
    for (file, options) in [
        ("archive.zip", &["--as", "darwin-core", "--photos"][..]),
        ("map.geojson", &["--as", "geojson"]),
        ("points.gpx", &["--as", "gpx"]),
        ("tables.zip", &["--as", "csv"]),
        ("analysis.sqlite", &["--as", "sqlite"]),
        ("blurred.geojson", &["--as", "geojson", "--blur", "1000"]),
        (
            "blurred.zip",
            &["--as", "darwin-core", "--blur", "1000", "--without-names"],
        ),
    ] {
        let done = Command::new(env!("CARGO_BIN_EXE_standbook"))
            .arg("export")
            .arg(&path)
            .args(options)
            .arg("--out")
            .arg(folder.path().join(file))
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&done.stderr);
        assert!(done.status.success(), "{file}: {said}");
    }
    let done = Command::new(python)
        .arg(root.join("tests/beside/exports.py"))
        .arg(&path)
        .arg(folder.path())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&done.stderr);
    assert!(done.status.success(), "{said}");
}

/// Opinions that are sure of less than a species: what is absent then is another question.
fn doubt(book: &Book) {
    let planting = book.plantings().unwrap()[0].id;
    let visits = book.visits(planting).unwrap();
    let unknowns = visits
        .iter()
        .flat_map(|visit| book.unknowns(visit.id).unwrap());
    let unknowns: Vec<RecordId> = unknowns.map(|unknown| unknown.id).collect();
    let opinions = [
        Opinion {
            genus: Some("Panicum".into()),
            ..Opinion::on(unknowns[0])
        },
        Opinion {
            taxon: Some("bouteloua_curtipendula".into()),
            qualifier: Some(Qualifier::Cf),
            ..Opinion::on(unknowns[1])
        },
    ];
    let records = opinions.map(|opinion| Record {
        id: RecordId::new(),
        born_at: "2026-09-01T10:00:00.000Z".into(),
        received_at: None,
        device: "laptop".into(),
        author: "Marit Lowe".into(),
        supersedes: None,
        body: opinion.into(),
    });
    book.append(records.to_vec()).unwrap();
}
