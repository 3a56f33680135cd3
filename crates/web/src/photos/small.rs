//! How large a photo is, and its thumbnail.
//!
//! In: bytes that some phone sent. Out: width and height, upright, read from the head of the file
//! without unpacking it; a thumbnail, made once and kept beside the picture. A few bytes can stand
//! for billions of pixels, so nothing is unpacked before its size was looked at.

use std::io::Cursor;
use std::sync::{Mutex, PoisonError};

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageReader, ImageResult, Limits};
use standbook_fieldbook::{Body, Book, Made, Record};

/// Long side of a thumbnail, pixels.
const LONG_SIDE: u32 = 320;

/// Most pixels of a photo: phones take 12 to 108 million (memory).
const MOST_PIXELS: u64 = 120_000_000;

/// Memory for unpacking one, bytes: [`MOST_PIXELS`] of three bytes each, and some.
const MOST_MEMORY_BYTES: u64 = 512 * 1024 * 1024;

/// Quality of thumbnails, of 100.
const QUALITY: u8 = 80;

/// A laptop unpacks one photo at a time, whoever asks.
static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());

fn open(bytes: &[u8]) -> ImageResult<impl ImageDecoder> {
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY_BYTES);
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format()?;
    reader.limits(limits);
    reader.into_decoder()
}

/// Width and height of the upright picture, pixels; `None` where they can't be read.
pub(crate) fn measure(bytes: &[u8]) -> Option<(u32, u32)> {
    let mut decoder = open(bytes).ok()?;
    let (width, height) = decoder.dimensions();
    Some(match decoder.orientation() {
        Ok(
            Orientation::Rotate90
            | Orientation::Rotate270
            | Orientation::Rotate90FlipH
            | Orientation::Rotate270FlipH,
        ) => (height, width),
        _ => (width, height),
    })
}

/// Why a picture is not taken for its pixels, in words. One that can't be read is taken: its bytes
/// may say more to another program than to this one.
pub(crate) fn check_pixels(bytes: &[u8]) -> Result<(), String> {
    match measure(bytes) {
        Some((width, height)) if u64::from(width) * u64::from(height) > MOST_PIXELS => {
            Err(format!(
                "This picture says that it has {width} by {height} pixels, and the limit is {} million. Make a smaller copy and add that.",
                MOST_PIXELS / 1_000_000
            ))
        }
        _ => Ok(()),
    }
}

/// Width and height of the thumbnail of a picture of this size, pixels.
fn fit((width, height): (u32, u32)) -> (u32, u32) {
    let long = width.max(height).max(1);
    let side = |side: u32| {
        let small = u64::from(side) * u64::from(LONG_SIDE) / u64::from(long);
        u32::try_from(small).unwrap_or(LONG_SIDE).max(1)
    };
    match long <= LONG_SIDE {
        true => (width.max(1), height.max(1)),
        false => (side(width), side(height)),
    }
}

/// What the thumbnail is made of: the original, or what a phone made of one that can't be unpacked here.
fn source(book: &Book, sha256: &str) -> Option<Vec<u8>> {
    let view = book.made_path(sha256, Made::View);
    let path = view.or_else(|| book.photo_path(sha256))?;
    std::fs::read(path).ok()
}

/// Width and height of a photo as pages show it large, pixels, upright; `None` for one that can't be shown.
pub(crate) fn full_size(book: &Book, sha256: &str) -> Option<(u32, u32)> {
    measure(&source(book, sha256)?)
}

/// Width and height of a photo's thumbnail, pixels, whether it is made already or not; `None`
/// for a photo that can't be shown.
pub(crate) fn size(book: &Book, sha256: &str) -> Option<(u32, u32)> {
    let made = book.made_path(sha256, Made::Small);
    if let Some(size) = made.and_then(|path| measure(&std::fs::read(path).ok()?)) {
        return Some(size);
    }
    measure(&source(book, sha256)?).map(fit)
}

/// The thumbnail, JPEG; made when it is missing. `None` for a photo that can't be unpacked.
pub(crate) fn thumbnail(book: &Book, sha256: &str) -> Option<Vec<u8>> {
    let kept = || std::fs::read(book.made_path(sha256, Made::Small)?).ok();
    if let Some(bytes) = kept() {
        return Some(bytes);
    }
    // A picture that broke the decoder says nothing about the next one.
    let _turn = ONE_AT_A_TIME.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(bytes) = kept() {
        return Some(bytes);
    }
    let bytes = make(&source(book, sha256)?).ok()?;
    if book.read_only().is_none() {
        // A full disk: it is made again next time.
        let _ = book.keep_made(sha256, Made::Small, &bytes);
    }
    Some(bytes)
}

fn make(bytes: &[u8]) -> ImageResult<Vec<u8>> {
    let mut decoder = open(bytes)?;
    let orientation = decoder.orientation()?;
    let mut image = DynamicImage::from_decoder(decoder)?;
    let (width, height) = fit((image.width(), image.height()));
    if (width, height) != (image.width(), image.height()) {
        image = image.thumbnail_exact(width, height);
    }
    image.apply_orientation(orientation);
    let mut small = Vec::new();
    JpegEncoder::new_with_quality(&mut small, QUALITY).encode_image(&image.to_rgb8())?;
    Ok(small)
}

/// Has the thumbnail of a kept photo made by and by: whoever sent it does not wait for that.
pub(crate) fn make_later(book: &Book, photo: &Record) {
    let Body::Photo(photo) = &photo.body else {
        return;
    };
    let (book, sha256) = (book.clone(), photo.sha256.clone());
    if let Ok(runtime) = tokio::runtime::Handle::try_current() {
        runtime.spawn_blocking(move || thumbnail(&book, &sha256));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thumbnails_keep_the_shape_and_are_never_larger() {
        assert_eq!(fit((4000, 3000)), (320, 240));
        assert_eq!(fit((3000, 4000)), (240, 320));
        assert_eq!(fit((100, 50)), (100, 50));
        // A strip of one row stays a picture.
        assert_eq!(fit((100_000, 1)), (320, 1));
    }
}
