//! WebP without its metadata. Source: RFC 9649, 2.

use super::orientation;

/// Bits of the head of an extended file: what other chunks there are.
const EXIF: u8 = 0x08;
const XMP: u8 = 0x04;

/// Chunks that pixels, their colours or their movement are made from.
const KEPT: [&[u8; 4]; 7] = [
    b"VP8 ", b"VP8L", b"VP8X", b"ANIM", b"ANMF", b"ALPH", b"ICCP",
];

/// The picture as long as its head says that it is.
pub(super) fn stripped(bytes: &[u8]) -> Option<Vec<u8>> {
    let size = u32::from_le_bytes(bytes.get(4..8)?.try_into().ok()?);
    let end = usize::try_from(size).ok()?.checked_add(8)?;
    let bytes = bytes.get(..end)?;
    if bytes.get(8..12)? != b"WEBP" {
        return None;
    }
    let mut out = b"RIFF\0\0\0\0WEBP".to_vec();
    let (mut flags_at, mut turned) = (None, None);
    let mut at = 12;
    while at + 8 <= end {
        let name = bytes.get(at..at + 4)?;
        let length = u32::from_le_bytes(bytes.get(at + 4..at + 8)?.try_into().ok()?);
        let length = usize::try_from(length).ok()?;
        let data = bytes.get(at + 8..at.checked_add(8)?.checked_add(length)?)?;
        if name == b"EXIF" {
            // Some programs begin it as JPEG does.
            let tiff = data.strip_prefix(b"Exif\0\0").unwrap_or(data);
            turned = orientation::read(tiff);
        } else if KEPT.iter().any(|kept| kept.as_slice() == name) {
            if name == b"VP8X" {
                flags_at = Some(out.len() + 8);
            }
            chunk(&mut out, name, data);
        }
        at += 8 + length + length % 2;
    }
    let tiff = orientation::block(turned);
    if let Some(flags) = flags_at.and_then(|at| out.get_mut(at)) {
        *flags &= !(EXIF | XMP);
        if let Some(tiff) = tiff {
            *flags |= EXIF;
            chunk(&mut out, b"EXIF", &tiff);
        }
    }
    let size = u32::try_from(out.len() - 8).ok()?;
    out.get_mut(4..8)?.copy_from_slice(&size.to_le_bytes());
    Some(out)
}

fn chunk(out: &mut Vec<u8>, name: &[u8], data: &[u8]) {
    out.extend(name);
    // No longer than what it was read from.
    out.extend(u32::try_from(data.len()).unwrap_or(u32::MAX).to_le_bytes());
    out.extend(data);
    out.extend(std::iter::repeat_n(0, data.len() % 2));
}
