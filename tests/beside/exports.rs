//! What leaves a book, read by other people's libraries: `exports.py` says which, and compares.
//!
//! Without Python there is nothing to compare with: the test is left out of a plain run, and
//! `cargo xtask exports` (and CI) runs it with the Python that it made.

use std::ffi::OsString;
use std::path::Path;
use std::process::Command;

use standbook_fieldbook::{Book, NewPhoto, RecordId};

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
