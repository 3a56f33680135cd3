//! Bytes of a file as text.
//!
//! In: bytes. Out: text, and what was done to read it; or why it is none.

use standbook_key::fault::short;

use crate::Fault;

/// The largest file read, bytes: some 500,000 lines.
pub const MOST_BYTES: usize = 32 * 1024 * 1024;

/// Letters that Windows-1252 puts at 0x80 to 0x9F; NUL where it has none. Source: the Encoding
/// Standard's index windows-1252 (memory), which differs in that it keeps the five gaps as control
/// characters.
const LETTERS_1252: [char; 32] = [
    '\u{20ac}', '\0', '\u{201a}', '\u{0192}', '\u{201e}', '\u{2026}', '\u{2020}', '\u{2021}',
    '\u{02c6}', '\u{2030}', '\u{0160}', '\u{2039}', '\u{0152}', '\0', '\u{017d}', '\0', '\0',
    '\u{2018}', '\u{2019}', '\u{201c}', '\u{201d}', '\u{2022}', '\u{2013}', '\u{2014}', '\u{02dc}',
    '\u{2122}', '\u{0161}', '\u{203a}', '\u{0153}', '\0', '\u{017e}', '\u{0178}',
];

/// A file's text.
#[derive(Debug, PartialEq, Eq)]
pub struct Text {
    /// Without a byte order mark.
    pub text: String,
    /// What was done to read it, for the person; may be empty.
    pub notes: Vec<String>,
}

/// Reads UTF-8, UTF-16 with its mark, or else Windows-1252, which is told.
pub fn decode(bytes: &[u8]) -> Result<Text, Fault> {
    let fault = |said: &str| Err((1, format!("column 1: {said}")));
    if bytes.len() > MOST_BYTES {
        let most = MOST_BYTES / (1024 * 1024);
        return fault(&format!(
            "the file has more than {most} MB; bring it in parts"
        ));
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return fault(
            "this is a workbook or a zip, not text; save the sheet as CSV and bring that",
        );
    }
    let plain = |text: &str| Text {
        text: text.to_owned(),
        notes: Vec::new(),
    };
    let read = if let [0xff, 0xfe, rest @ ..] = bytes {
        utf16(rest, u16::from_le_bytes)
    } else if let [0xfe, 0xff, rest @ ..] = bytes {
        utf16(rest, u16::from_be_bytes)
    } else {
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        match std::str::from_utf8(bytes) {
            Ok(text) => Some(plain(text)),
            Err(_) => windows_1252(bytes),
        }
    };
    match read {
        Some(read) if read.text.contains('\0') => {
            fault("this is not text; save it as CSV in UTF-8")
        }
        Some(read) if read.text.trim().is_empty() => fault("the file is empty; choose it again"),
        Some(read) => Ok(without_mark(read)),
        None => fault("this is not text; save it as CSV in UTF-8"),
    }
}

/// Spreadsheets may say in a first line what parts fields; an empty line keeps the count of lines.
fn without_mark(mut read: Text) -> Text {
    let head = read.text.lines().next().unwrap_or_default();
    if head.len() == 5 && head.starts_with("sep=") {
        read.text.drain(..5);
    }
    read
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Option<Text> {
    let pairs = bytes.chunks_exact(2);
    if !pairs.remainder().is_empty() {
        return None;
    }
    let text = char::decode_utf16(pairs.map(|pair| unit([pair[0], pair[1]])))
        .collect::<Result<String, _>>()
        .ok()?;
    Some(Text {
        text,
        notes: vec!["The file is UTF-16; it was read as that.".to_owned()],
    })
}

fn windows_1252(bytes: &[u8]) -> Option<Text> {
    let mut text = String::with_capacity(bytes.len() + 64);
    for byte in bytes {
        match *byte {
            0x80..=0x9f => match LETTERS_1252[usize::from(*byte - 0x80)] {
                '\0' => return None,
                letter => text.push(letter),
            },
            other => text.push(char::from(other)),
        }
    }
    // One word shown tells a reader at once whether the guess of the alphabet was right.
    let (at, word) = text.lines().enumerate().find_map(|(at, line)| {
        let word = line
            .split([',', ';', '\t', ' '])
            .find(|word| !word.is_ascii())?;
        Some((at + 1, short(word)))
    })?;
    let note = format!(
        "The file is not UTF-8. It was read as Windows-1252: line {at} says \u{201c}{word}\u{201d}. If that looks wrong, save the file as UTF-8 and choose it again."
    );
    Some(Text {
        text,
        notes: vec![note],
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn alphabets_are_told_apart() {
        let utf8 = decode("\u{feff}scout\nJoña Fenn\n".as_bytes()).unwrap();
        assert_eq!(
            (utf8.text.as_str(), utf8.notes.len()),
            ("scout\nJoña Fenn\n", 0)
        );
        // 0xf1 is n with tilde in Windows-1252, 0x92 the apostrophe that word processors set.
        let old = decode(b"scout\nJo\xf1a O\x92Fenn\n").unwrap();
        assert_eq!(old.text, "scout\nJoña O\u{2019}Fenn\n");
        assert!(
            old.notes[0].contains("line 2 says \u{201c}Joña\u{201d}"),
            "{:?}",
            old.notes
        );
        let wide: Vec<u8> = [0xff, 0xfe]
            .into_iter()
            .chain("a,b\n1,ñ\n".encode_utf16().flat_map(u16::to_le_bytes))
            .collect();
        assert_eq!(decode(&wide).unwrap().text, "a,b\n1,ñ\n");
        for (bytes, said) in [
            (&b""[..], "empty"),
            (b"PK\x03\x04xx", "workbook"),
            (b"a\x81b", "not text"),
            (b"a\0b", "not text"),
            (b"\xff\xfea", "not text"),
        ] {
            let (_, told) = decode(bytes).unwrap_err();
            assert!(told.contains(said), "{told}");
        }
    }
}
