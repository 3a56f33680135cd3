//! Which way is up: the one thing of a picture's metadata that stays.
//!
//! Source: Exif 2.32 (CIPA DC-008), 4.5.2 and 4.6.4 A; TIFF 6.0, section 2 (memory).

/// The tag of the orientation in the first directory.
const TAG: u16 = 0x0112;

/// The orientation in the TIFF block of some Exif data, 1 to 8; `None` where it says none.
pub(super) fn read(tiff: &[u8]) -> Option<u8> {
    let little = match tiff.get(..4)? {
        b"II*\0" => true,
        b"MM\0*" => false,
        _ => return None,
    };
    let short = |at: usize| -> Option<u16> {
        let two: [u8; 2] = tiff.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if little {
            u16::from_le_bytes(two)
        } else {
            u16::from_be_bytes(two)
        })
    };
    let four: [u8; 4] = tiff.get(4..8)?.try_into().ok()?;
    let directory = if little {
        u32::from_le_bytes(four)
    } else {
        u32::from_be_bytes(four)
    };
    let directory = usize::try_from(directory).ok()?;
    let entries = usize::from(short(directory)?);
    (0..entries)
        .filter_map(|entry| {
            let at = directory.checked_add(2 + entry * 12)?;
            // Type 3 is a number of two bytes, which stands in the entry itself.
            (short(at)? == TAG && short(at + 2)? == 3).then(|| short(at + 8))?
        })
        .find_map(|value| {
            u8::try_from(value)
                .ok()
                .filter(|value| (1..=8).contains(value))
        })
}

/// A TIFF block that says nothing but the orientation; `None` for upright, which needs no saying.
pub(super) fn block(orientation: Option<u8>) -> Option<Vec<u8>> {
    let orientation = orientation.filter(|orientation| *orientation != 1)?;
    let mut tiff = b"II*\0\x08\0\0\0\x01\0".to_vec();
    tiff.extend(TAG.to_le_bytes());
    tiff.extend([3, 0, 1, 0, 0, 0, orientation, 0, 0, 0]);
    tiff.extend([0; 4]);
    Some(tiff)
}
