//! JPEG without its metadata. Source: ITU-T T.81 (ISO/IEC 10918-1), annex B; JFIF 1.02; ICC.1, annex B.4.

use super::orientation;

const START: u8 = 0xD8;
const END: u8 = 0xD9;
const SCAN: u8 = 0xDA;

/// The picture up to its end: what some phones hang on behind it (a film, a second picture) goes too.
pub(super) fn stripped(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut out = vec![0xFF, START];
    let mut turned = None;
    let mut body = Vec::new();
    let mut at = 2;
    loop {
        // Any number of 0xFF may stand in front of a marker.
        if *bytes.get(at)? != 0xFF {
            return None;
        }
        while bytes.get(at + 1) == Some(&0xFF) {
            at += 1;
        }
        let marker = *bytes.get(at + 1)?;
        at += 2;
        if marker == END {
            break;
        }
        // Markers without a segment do not stand here.
        if marker == 0 || marker == 1 || (0xD0..=START).contains(&marker) {
            return None;
        }
        let length = usize::from(u16::from_be_bytes(bytes.get(at..at + 2)?.try_into().ok()?));
        let data = bytes.get(at + 2..at + length)?;
        at += length;
        if marker == 0xE1 && turned.is_none() {
            turned = data.strip_prefix(b"Exif\0\0").and_then(orientation::read);
        }
        if let Some(kept) = kept(marker, data) {
            segment(&mut body, marker, kept);
        }
        if marker == SCAN {
            let scan = scan_length(bytes.get(at..)?)?;
            body.extend_from_slice(bytes.get(at..at + scan)?);
            at += scan;
        }
    }
    if let Some(tiff) = orientation::block(turned) {
        segment(&mut out, 0xE1, &[b"Exif\0\0".as_slice(), &tiff].concat());
    }
    out.extend(body);
    out.extend([0xFF, END]);
    Some(out)
}

/// What of a segment stays: everything that pixels are made from. Of JFIF its head without the preview;
/// colour profiles; how colours are coded (Adobe).
fn kept(marker: u8, data: &[u8]) -> Option<&[u8]> {
    match marker {
        0xE0 if data.starts_with(b"JFIF\0") => data.get(..12),
        0xE2 if data.starts_with(b"ICC_PROFILE\0") => Some(data),
        0xEE if data.starts_with(b"Adobe") => data.get(..12),
        0xE0..=0xEF | 0xFE => None,
        _ => Some(data),
    }
}

fn segment(out: &mut Vec<u8>, marker: u8, data: &[u8]) {
    // The head of JFIF goes on with the size of its preview: none.
    let preview: &[u8] = if marker == 0xE0 { &[0, 0] } else { &[] };
    // What was read from a segment, or is shorter, fits into one.
    let length = u16::try_from(data.len() + preview.len() + 2).unwrap_or(u16::MAX);
    out.extend([0xFF, marker]);
    out.extend(length.to_be_bytes());
    out.extend(data);
    out.extend(preview);
}

/// Bytes of coded pixels up to the next marker that ends them.
fn scan_length(bytes: &[u8]) -> Option<usize> {
    let mut at = 0;
    loop {
        at += bytes.get(at..)?.iter().position(|byte| *byte == 0xFF)?;
        match bytes.get(at + 1)? {
            // A byte of pixels that is 0xFF, and restart marks, belong to them; filling does not matter.
            0 | 0xD0..=0xD7 => at += 2,
            0xFF => at += 1,
            _ => return Some(at),
        }
    }
}
