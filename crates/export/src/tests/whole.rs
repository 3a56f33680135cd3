//! A file that is there whole or not at all.

use std::fs;

use super::sample::Sample;
use crate::{ExportError, Format, Request, take_out, whole};

#[test]
fn what_fails_leaves_what_lay_there() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out.zip");
    fs::write(&out, "the old one").unwrap();
    let failed = whole(&out, |part| {
        fs::write(part, "half")?;
        Err::<(), _>(ExportError::Writing("no room".to_owned()))
    });
    let said = failed.unwrap_err().to_string();
    assert!(said.contains("out.zip can't be written: no room"), "{said}");
    assert_eq!(fs::read_to_string(&out).unwrap(), "the old one");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn a_book_is_never_replaced() {
    let sample = Sample::new();
    let before = fs::read(sample.book.path()).unwrap();
    let refused = take_out(
        &sample.book,
        sample.given(),
        &Request::new(Format::Csv),
        sample.book.path(),
    );
    let said = refused.unwrap_err().to_string();
    assert!(said.contains("a book has this name"), "{said}");
    assert_eq!(fs::read(sample.book.path()).unwrap(), before);
}

#[test]
fn the_same_book_gives_the_same_bytes() {
    let sample = Sample::new();
    for format in [
        Format::DarwinCore,
        Format::Csv,
        Format::GeoJson,
        Format::Gpx,
    ] {
        let request = Request::new(format);
        assert_eq!(sample.bytes(&request), sample.bytes(&request), "{format:?}");
    }
}

#[test]
fn what_makes_no_sense_is_refused_with_its_option() {
    let sample = Sample::new();
    let wish = Request::new(Format::Gpx);
    for (request, field) in [
        (
            Request {
                blur_m: Some(9.9),
                ..wish.clone()
            },
            "--blur: cells of 9.9 m",
        ),
        (
            Request {
                blur_m: Some(f64::NAN),
                ..wish.clone()
            },
            "--blur",
        ),
        (
            Request {
                photos: true,
                ..wish.clone()
            },
            "--photos: pictures can't travel inside gpx",
        ),
        (
            Request {
                country: "usa".to_owned(),
                ..wish.clone()
            },
            "--country: `usa`",
        ),
    ] {
        let refused = take_out(
            &sample.book,
            sample.given(),
            &request,
            &sample.folder.path().join("x"),
        );
        let said = refused.unwrap_err().to_string();
        assert!(said.starts_with(field), "{said}");
        assert!(!sample.folder.path().join("x").exists());
    }
}
