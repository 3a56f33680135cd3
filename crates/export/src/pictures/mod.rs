//! Copies of pictures without what cameras and phones write into them: place, time, owner, words,
//! previews. What the picture looks like stays: pixels as they are, colour profile, which way is up.
//!
//! In: the bytes of a JPEG, PNG or WebP. Out: the same without its metadata, or that it can't be read:
//! then it does not leave at all. HEIC is not taken apart here and does not leave either.

mod jpeg;
mod orientation;
mod png;
mod webp;

use std::collections::HashMap;
use std::io::Write;

use standbook_fieldbook::RecordId;

use crate::error::Done;
use crate::leaving::Leaving;
use crate::zipped::Zipped;

/// The picture without metadata; `None` for one that can't be taken apart.
pub(crate) fn stripped(bytes: &[u8]) -> Option<Vec<u8>> {
    if bytes.starts_with(&[0xFF, 0xD8]) {
        jpeg::stripped(bytes)
    } else if bytes.starts_with(png::SIGNATURE) {
        png::stripped(bytes)
    } else if bytes.starts_with(b"RIFF") {
        webp::stripped(bytes)
    } else {
        None
    }
}

/// Names of the pictures that left, by the first id of the photo's chain.
pub(crate) type Pictures = HashMap<RecordId, String>;

/// Writes the pictures that may leave into the folder `photos` of an archive.
pub(crate) fn write<W: Write>(leaving: &Leaving, zip: &mut Zipped<W>) -> Done<Pictures> {
    let mut names = Pictures::new();
    if !leaving.request.photos {
        return Ok(names);
    }
    let (mut heic, mut broken, mut lost) = (0_usize, 0_usize, 0_usize);
    leaving.each_photo(|photo| {
        let body = &photo.entry.body;
        let ending = match body.media_type.as_str() {
            "image/jpeg" => "jpg",
            "image/png" => "png",
            "image/webp" => "webp",
            _ => {
                heic += 1;
                return Ok(());
            }
        };
        let path = leaving.book.photo_path(&body.sha256);
        let Some(bytes) = path.and_then(|path| std::fs::read(path).ok()) else {
            lost += 1;
            return Ok(());
        };
        let Some(bytes) = stripped(&bytes) else {
            broken += 1;
            return Ok(());
        };
        let name = format!("photos/{}.{ending}", photo.root);
        zip.stored(&name, &bytes)?;
        names.insert(photo.root, name);
        Ok(())
    })?;
    if heic > 0 {
        leaving.warn(format!("{heic} picture(s) in HEIC stayed here: their place can't be taken out without unpacking them. Save them as JPEG and add those."));
    }
    if broken > 0 {
        leaving.warn(format!("{broken} picture(s) stayed here: they can't be read, so nobody can say what else is in them."));
    }
    if lost > 0 {
        leaving.warn(format!(
            "{lost} picture(s) stayed here: the file is lost. `standbook doctor` says which."
        ));
    }
    if leaving.request.blur_m.is_some() && !names.is_empty() {
        leaving.warn("Pictures leave without what the camera wrote into them, but may show where they were taken. Look at them before you pass the file on.");
    }
    Ok(names)
}
