//! Rules of opinions and photos by themselves.
//!
//! Not here: whether taxa and genera are in a key; the book knows none.

use super::evidence::evidence;
use super::{Faults, is_sha256, limits, short};
use crate::record::{Opinion, Photo};

pub(super) fn opinion(faults: &mut Faults, opinion: &Opinion) {
    if let Some(taxon) = &opinion.taxon {
        faults.id("taxon", taxon);
    }
    if let Some(genus) = &opinion.genus {
        faults.text("genus", genus, 1, limits::ID_CHARS, false);
        if opinion.taxon.is_some() {
            faults.add(
                "genus",
                "there is a taxon, so the species is named",
                "Give a taxon or a genus, not both.",
            );
        }
    }
    if opinion.qualifier.is_some() && opinion.taxon.is_none() {
        faults.add(
            "qualifier",
            "there is no taxon to which it belongs",
            "Give the taxon that the plant is compared with, or no qualifier.",
        );
    }
    faults.text(
        "name_as_written",
        &opinion.name_as_written,
        0,
        limits::NAME_CHARS,
        false,
    );
    faults.note("reasons", &opinion.reasons);
    let says_nothing = [&opinion.name_as_written, &opinion.reasons]
        .iter()
        .all(|text| text.trim().is_empty());
    if opinion.taxon.is_none() && opinion.genus.is_none() && says_nothing {
        faults.add(
            "taxon",
            "the opinion says nothing",
            "Give a taxon, a genus, a name in words, or reasons.",
        );
    }
    if let Some(seen) = &opinion.evidence {
        evidence(faults, seen);
    }
}

pub(super) fn photo(faults: &mut Faults, photo: &Photo) {
    if !is_sha256(&photo.sha256) {
        faults.add(
            "sha256",
            "this is not a SHA-256 hash",
            "Give 64 hex digits, lower case.",
        );
    }
    if !crate::photo::MEDIA_TYPES.contains(&photo.media_type.as_str()) {
        let problem = format!(
            "`{}` is not a type of picture the book takes",
            short(&photo.media_type)
        );
        faults.add(
            "media_type",
            problem,
            "Use image/jpeg, image/png, image/webp, image/heic or image/heif.",
        );
    }
    if photo.bytes == 0 || photo.bytes > crate::photo::PHOTO_MAX_BYTES {
        let problem = format!("{} bytes are out of range", photo.bytes);
        faults.add(
            "bytes",
            problem,
            format!(
                "Pictures have 1 to {} bytes.",
                crate::photo::PHOTO_MAX_BYTES
            ),
        );
    }
    faults.text("shows", &photo.shows, 0, limits::NAME_CHARS, false);
}
