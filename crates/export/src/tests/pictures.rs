//! What a camera wrote is gone; what the picture looks like, and which way is up, stays.

use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Rgb, RgbImage};
use std::io::Cursor;

use crate::pictures::stripped;

/// What must not leave.
const SECRET: &[u8] = b"N41.2345 W96.5432 at Heron Farm";

/// A TIFF block with an orientation and a place.
fn tiff(orientation: u8, big: bool) -> Vec<u8> {
    let short = |value: u16| {
        if big {
            value.to_be_bytes()
        } else {
            value.to_le_bytes()
        }
    };
    let long = |value: u32| {
        if big {
            value.to_be_bytes()
        } else {
            value.to_le_bytes()
        }
    };
    let mut out = if big {
        b"MM\0*".to_vec()
    } else {
        b"II*\0".to_vec()
    };
    out.extend(long(8));
    out.extend(short(2));
    // Maker (0x010F), as text that lies behind; orientation (0x0112).
    out.extend([short(0x010F), short(2)].concat());
    out.extend([long(u32::try_from(SECRET.len()).unwrap()), long(38)].concat());
    out.extend([short(0x0112), short(3)].concat());
    out.extend(long(1));
    out.extend([short(u16::from(orientation)), short(0)].concat());
    out.extend(long(0));
    out.extend(SECRET);
    out
}

fn drawn(format: ImageFormat) -> Vec<u8> {
    let image = RgbImage::from_fn(40, 30, |x, y| {
        Rgb([(x * 6) as u8, (y * 8) as u8, ((x * y) % 251) as u8])
    });
    let mut out = Cursor::new(Vec::new());
    DynamicImage::ImageRgb8(image)
        .write_to(&mut out, format)
        .unwrap();
    out.into_inner()
}

fn pixels(bytes: &[u8]) -> Vec<u8> {
    image::load_from_memory(bytes).unwrap().to_rgb8().into_raw()
}

/// Which way is up, by a reader that is not ours.
fn up(bytes: &[u8]) -> u8 {
    let reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .unwrap();
    reader
        .into_decoder()
        .unwrap()
        .orientation()
        .unwrap()
        .to_exif()
}

fn holds_secret(bytes: &[u8]) -> bool {
    bytes
        .windows(10)
        .any(|piece| SECRET.windows(10).any(|secret| secret == piece))
}

fn check(dirty: &[u8], turned: u8, what: &str) {
    assert!(holds_secret(dirty), "{what}: nothing to strip");
    let clean = stripped(dirty).unwrap_or_else(|| panic!("{what}: not read"));
    assert!(!holds_secret(&clean), "{what}");
    assert_eq!(pixels(&clean), pixels(dirty), "{what}");
    assert_eq!(up(&clean), turned, "{what}");
    // Stripping what is clean changes nothing.
    assert_eq!(stripped(&clean).unwrap(), clean, "{what}");
    // A file that broke off is not taken for whole.
    for cut in [3, clean.len() / 2, clean.len() - 1] {
        assert_eq!(stripped(&clean[..cut]), None, "{what}: cut at {cut}");
    }
}

fn segment(marker: u8, data: &[u8]) -> Vec<u8> {
    let mut out = vec![0xFF, marker];
    out.extend(u16::try_from(data.len() + 2).unwrap().to_be_bytes());
    out.extend(data);
    out
}

#[test]
fn a_jpeg_leaves_without_place_words_preview_and_what_hangs_behind() {
    let plain = drawn(ImageFormat::Jpeg);
    for (turned, big) in [(1, false), (6, false), (8, true)] {
        let mut dirty = plain[..2].to_vec();
        dirty.extend(segment(
            0xE1,
            &[b"Exif\0\0".as_slice(), &tiff(turned, big)].concat(),
        ));
        dirty.extend(segment(
            0xE1,
            &[b"http://ns.adobe.com/xap/1.0/\0", SECRET].concat(),
        ));
        dirty.extend(segment(0xED, &[b"Photoshop 3.0\0", SECRET].concat()));
        dirty.extend(segment(0xE2, &[b"MPF\0", SECRET].concat()));
        dirty.extend(segment(0xFE, SECRET));
        // JFIF with a preview of 2 by 2 pixels.
        dirty.extend(segment(
            0xE0,
            &[
                b"JFIF\0\x01\x02\0\0\x01\0\x01\x02\x02".as_slice(),
                &SECRET[..12],
            ]
            .concat(),
        ));
        dirty.extend(&plain[2..]);
        dirty.extend(SECRET);
        check(&dirty, turned, "jpeg");
    }
    // Colours stay as they were coded and meant.
    let icc = segment(0xE2, b"ICC_PROFILE\0\x01\x01profile");
    let with_profile = [&plain[..2], &icc, &plain[2..]].concat();
    let clean = stripped(&with_profile).unwrap();
    assert!(clean.windows(icc.len()).any(|piece| piece == icc));
}

fn chunk(name: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut sum = flate2::Crc::new();
    sum.update(name);
    sum.update(data);
    let length = u32::try_from(data.len()).unwrap();
    [
        &length.to_be_bytes(),
        name.as_slice(),
        data,
        &sum.sum().to_be_bytes(),
    ]
    .concat()
}

#[test]
fn a_png_leaves_without_place_words_and_time() {
    let plain = drawn(ImageFormat::Png);
    let head = 8 + 25; // signature and IHDR
    let mut dirty = plain[..head].to_vec();
    dirty.extend(chunk(b"eXIf", &tiff(3, true)));
    dirty.extend(chunk(b"tEXt", &[b"Comment\0", SECRET].concat()));
    dirty.extend(chunk(
        b"iTXt",
        &[b"XML:com.adobe.xmp\0\0\0\0\0", SECRET].concat(),
    ));
    dirty.extend(chunk(b"prVt", SECRET));
    dirty.extend(&plain[head..]);
    dirty.extend(SECRET);
    check(&dirty, 3, "png");
}

fn riff(name: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let length = u32::try_from(data.len()).unwrap();
    let mut out = [name.as_slice(), &length.to_le_bytes(), data].concat();
    out.extend(vec![0; data.len() % 2]);
    out
}

#[test]
fn a_webp_leaves_without_place_and_words() {
    let plain = drawn(ImageFormat::WebP);
    for turned in [1, 6] {
        // Extended: Exif (8) and XMP (4) are there; 40 by 30 pixels, each less 1.
        let mut body = b"WEBP".to_vec();
        body.extend(riff(b"VP8X", &[0x0C, 0, 0, 0, 39, 0, 0, 29, 0, 0]));
        body.extend(&plain[12..]);
        body.extend(riff(b"EXIF", &tiff(turned, false)));
        body.extend(riff(b"XMP ", SECRET));
        body.extend(riff(b"prVt", SECRET));
        let dirty = [
            b"RIFF".as_slice(),
            &u32::try_from(body.len()).unwrap().to_le_bytes(),
            &body,
        ]
        .concat();
        let dirty = [dirty.as_slice(), SECRET].concat();
        check(&dirty, turned, "webp");
    }
}

#[test]
fn what_is_no_picture_does_not_leave() {
    for bytes in [
        &b""[..],
        b"\xFF\xD8\xFF",
        b"RIFF",
        b"\x89PNG\r\n\x1a\n",
        b"GIF89a",
        b"\0\0\0\x18ftypheic",
    ] {
        assert_eq!(stripped(bytes), None, "{bytes:?}");
    }
}
