//! PNG without its metadata. Source: W3C PNG (third edition), 5 and 11.

use super::orientation;

/// The first bytes of every PNG.
pub(super) const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";

/// Chunks that pixels, their colours, their size on paper or their movement are made from.
const KEPT: [&[u8; 4]; 18] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB",
    b"cICP", b"mDCV", b"cLLI", b"bKGD", b"pHYs", b"acTL", b"fcTL", b"fdAT",
];

/// The picture up to its last chunk.
pub(super) fn stripped(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut head = SIGNATURE.to_vec();
    let mut body: Vec<u8> = Vec::new();
    let mut turned = None;
    let mut at = SIGNATURE.len();
    loop {
        let length = u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?);
        let length = usize::try_from(length).ok()?;
        let name = bytes.get(at + 4..at + 8)?;
        let end = at.checked_add(length)?.checked_add(12)?;
        let whole = bytes.get(at..end)?;
        match name {
            b"IHDR" => head.extend(whole),
            b"eXIf" => turned = orientation::read(whole.get(8..8 + length)?),
            _ if KEPT.iter().any(|kept| kept.as_slice() == name) => body.extend(whole),
            _ => {}
        }
        at = end;
        if name == b"IEND" {
            break;
        }
    }
    if let Some(tiff) = orientation::block(turned) {
        chunk(&mut head, b"eXIf", &tiff);
    }
    head.extend(body);
    Some(head)
}

fn chunk(out: &mut Vec<u8>, name: &[u8; 4], data: &[u8]) {
    let mut sum = flate2::Crc::new();
    sum.update(name);
    sum.update(data);
    out.extend(u32::try_from(data.len()).unwrap_or(u32::MAX).to_be_bytes());
    out.extend(name);
    out.extend(data);
    out.extend(sum.sum().to_be_bytes());
}
