//! Pictures: type, size, place, second sending.

use std::fs;

use super::*;
use crate::{BookError, Made, PHOTO_MAX_BYTES};

const JPEG: &[u8] = b"\xFF\xD8\xFF\xE0 picture of a collar";
const PNG: &[u8] = b"\x89PNG\r\n\x1a\n picture";
const WEBP: &[u8] = b"RIFF\x10\0\0\0WEBPVP8 picture";
const HEIC: &[u8] = b"\0\0\0\x18ftypheic picture";
const HEIF: &[u8] = b"\0\0\0\x18ftypmif1 picture";

fn add(s: &Sample, bytes: &[u8], id: RecordId) -> Result<Record, BookError> {
    s.book
        .add_photo(bytes, s.unknown, "collar", "A. Fenn", "phone", id)
}

#[test]
fn the_type_is_found_from_the_bytes_and_the_file_lies_under_its_hash() {
    let s = Sample::new();
    for (bytes, media_type, ending) in [
        (JPEG, "image/jpeg", "jpg"),
        (PNG, "image/png", "png"),
        (WEBP, "image/webp", "webp"),
        (HEIC, "image/heic", "heic"),
        (HEIF, "image/heif", "heif"),
    ] {
        let kept = add(&s, bytes, RecordId::new()).unwrap();
        assert!(kept.received_at.is_some());
        let Body::Photo(photo) = &kept.body else {
            panic!("{kept:?}")
        };
        assert_eq!(
            (photo.media_type.as_str(), photo.bytes),
            (media_type, bytes.len() as u64)
        );
        let path = s.book.photo_path(&photo.sha256).unwrap();
        let expected = s
            .folder
            .path()
            .join("season.book.photos")
            .join(&photo.sha256[..2])
            .join(format!("{}.{ending}", photo.sha256));
        assert_eq!(path, expected);
        assert_eq!(fs::read(path).unwrap(), bytes);
        assert_eq!(s.book.get(kept.id).unwrap().unwrap(), kept);
    }
    assert_eq!(s.book.photos(s.unknown).unwrap().len(), 5);
    // Nothing half-written is left.
    let left = walk(&s.book.photo_folder());
    assert!(
        left.iter().all(|name| !name.contains("part")) && left.len() == 5,
        "{left:?}"
    );
}

fn walk(folder: &std::path::Path) -> Vec<String> {
    fs::read_dir(folder)
        .unwrap()
        .flat_map(|entry| {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path)
            } else {
                vec![path.display().to_string()]
            }
        })
        .collect()
}

/// SHA-256 of "abc". Source: FIPS 180-4 example, "SHA256.pdf" of NIST's example values.
#[test]
fn the_hash_is_sha_256() {
    use sha2::Digest;
    let hash = sha2::Sha256::digest(b"abc");
    let hex: String = hash.iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(
        hex,
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
}

#[test]
fn other_bytes_and_sizes_are_refused() {
    let s = Sample::new();
    for bytes in [
        &b""[..],
        b"\0\0\0\x18ftypavif",
        b"\0\0\0\x18ftyp",
        b"RIFF\x10\0\0\0WAVE",
        b"<svg/>",
        b"\xFF\xD8",
        b"GIF89a",
    ] {
        assert!(
            matches!(
                add(&s, bytes, RecordId::new()),
                Err(BookError::PhotoType { .. })
            ),
            "{bytes:?}"
        );
    }
    let mut large = JPEG.to_vec();
    large.resize(PHOTO_MAX_BYTES as usize + 1, 0);
    let error = add(&s, &large, RecordId::new()).unwrap_err();
    assert_eq!(
        error,
        BookError::PhotoTooLarge {
            bytes: PHOTO_MAX_BYTES + 1,
            limit: PHOTO_MAX_BYTES
        }
    );
    large.pop();
    add(&s, &large, RecordId::new()).unwrap();
}

#[test]
fn sending_a_picture_again_gives_the_first_record() {
    let s = Sample::new();
    let id = RecordId::new();
    let first = add(&s, JPEG, id).unwrap();
    std::thread::sleep(std::time::Duration::from_millis(5)); // another birth, were it made again
    assert_eq!(add(&s, JPEG, id).unwrap(), first);
    assert_eq!(add(&s, PNG, id).unwrap_err(), BookError::Conflict { id });
    assert_eq!(
        s.book
            .add_photo(JPEG, s.point, "collar", "A. Fenn", "phone", id)
            .unwrap_err(),
        BookError::Conflict { id }
    );
    // The same picture under another id is another record of the same file.
    add(&s, JPEG, RecordId::new()).unwrap();
    assert_eq!(walk(&s.book.photo_folder()).len(), 1);
}

#[test]
fn a_lost_or_damaged_file_is_healed_by_sending_it_again() {
    let s = Sample::new();
    let id = RecordId::new();
    let Body::Photo(photo) = add(&s, JPEG, id).unwrap().body else {
        panic!()
    };
    let path = s.book.photo_path(&photo.sha256).unwrap();
    fs::write(&path, "half").unwrap();
    add(&s, JPEG, id).unwrap();
    assert_eq!(fs::read(&path).unwrap(), JPEG);
    fs::remove_file(&path).unwrap();
    assert_eq!(s.book.photo_path(&photo.sha256), None);
    add(&s, JPEG, id).unwrap();
    assert_eq!(fs::read(&path).unwrap(), JPEG);
}

#[test]
fn what_is_made_of_a_picture_lies_beside_it_and_can_be_lost() {
    let s = Sample::new();
    let none = s.book.keep_made(&"ab".repeat(32), Made::Small, b"small");
    assert!(matches!(none, Err(BookError::Missing { .. })), "{none:?}");
    let Body::Photo(photo) = add(&s, HEIC, RecordId::new()).unwrap().body else {
        panic!()
    };
    assert_eq!(s.book.made_path(&photo.sha256, Made::View), None);
    for bytes in [&b"first"[..], b"second"] {
        s.book.keep_made(&photo.sha256, Made::View, bytes).unwrap();
        let path = s.book.made_path(&photo.sha256, Made::View).unwrap();
        assert_eq!(fs::read(path).unwrap(), bytes);
    }
    // The original is untouched, and is what its hash leads to.
    let original = s.book.photo_path(&photo.sha256).unwrap();
    assert_eq!(fs::read(original).unwrap(), HEIC);
    assert_eq!(s.book.made_path("../../etc/passwd", Made::View), None);
}

#[test]
fn eight_threads_send_the_same_picture() {
    let s = Sample::new();
    let id = RecordId::new();
    std::thread::scope(|scope| {
        for _ in 0..8 {
            scope.spawn(|| add(&s, JPEG, id).unwrap());
        }
    });
    assert_eq!(s.book.photos(s.unknown).unwrap().len(), 1);
    assert_eq!(walk(&s.book.photo_folder()).len(), 1);
}

#[test]
fn a_refused_picture_leaves_no_file() {
    let s = Sample::new();
    let error = s
        .book
        .add_photo(JPEG, RecordId::new(), "", "", "phone", RecordId::new())
        .unwrap_err();
    let BookError::Invalid(problems) = error else {
        panic!("{error}")
    };
    let fields: Vec<_> = problems
        .iter()
        .map(|problem| problem.field.as_str())
        .collect();
    assert_eq!(fields, ["author", "of"]);
    assert!(!s.book.photo_folder().exists());
}

#[test]
fn paths_come_only_from_hashes() {
    let s = Sample::new();
    for text in [
        "",
        "../../etc/passwd",
        &"A".repeat(64),
        &"a".repeat(63),
        &"a".repeat(65),
        &"é".repeat(32),
    ] {
        assert_eq!(s.book.photo_path(text), None, "{text}");
    }
}
