//! The text of a question as it stands in addresses and forms: not to be read in passing.
//!
//! In: the text, which names what is drawn. Out: letters that say nothing to the eye, and the text again.
//! A veil and no lock: whoever wants to cheat herself finds a way. Two questions on the same grass look
//! nothing alike, and one question looks the same for ever, so that addresses can be kept.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest, Sha256};

/// Begins a veiled text; no question begins so.
const MARK: char = '_';

/// Bytes of the text's own hash that go in front: they make the veil, and show a text that was altered.
const HASH: usize = 8;

/// Veils the text of a question.
pub(crate) fn veiled(text: &str) -> String {
    let mut bytes = Sha256::digest(text.as_bytes())[..HASH].to_vec();
    bytes.extend_from_slice(text.as_bytes());
    cover(&mut bytes);
    format!("{MARK}{}", URL_SAFE_NO_PAD.encode(bytes))
}

/// The text under a veil; a text without one as it is. `None`: this was never veiled here.
pub(crate) fn lifted(text: &str) -> Option<String> {
    let Some(letters) = text.strip_prefix(MARK) else {
        return Some(text.to_owned());
    };
    let mut bytes = URL_SAFE_NO_PAD.decode(letters).ok()?;
    if bytes.len() < HASH {
        return None;
    }
    cover(&mut bytes);
    let text = String::from_utf8(bytes.split_off(HASH)).ok()?;
    (Sha256::digest(text.as_bytes())[..HASH] == bytes[..]).then_some(text)
}

/// Whether a text is veiled.
pub(crate) fn is_veiled(text: &str) -> bool {
    text.starts_with(MARK)
}

/// Covers what follows the hash with a stream made of it; covering twice uncovers.
fn cover(bytes: &mut [u8]) {
    let (hash, text) = bytes.split_at_mut(HASH);
    for (number, part) in text.chunks_mut(32).enumerate() {
        let stream = Sha256::new()
            .chain_update(b"a question, not to be read in passing")
            .chain_update(&*hash)
            .chain_update((number as u64).to_le_bytes())
            .finalize();
        for (byte, over) in part.iter_mut().zip(stream) {
            *byte ^= over;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_veil_is_lifted_and_says_nothing() {
        let texts = [
            "name.andropogon_gerardi.few_leaves.7",
            "name.andropogon_gerardi.few_leaves.8",
            "see.ligule_type.panicum_virgatum.tillering.4294967295",
            "",
        ];
        for text in texts {
            let letters = veiled(text);
            assert!(is_veiled(&letters));
            assert_eq!(lifted(&letters).as_deref(), Some(text));
            assert!(text.is_empty() || !letters.contains(text));
        }
        // Neighbours have nothing in common that an eye could learn.
        let (one, other) = (veiled(texts[0]), veiled(texts[1]));
        assert_ne!(one[1..5], other[1..5]);
        assert_ne!(one[12..24], other[12..24]);
        assert_eq!(lifted("name.a.b.1").as_deref(), Some("name.a.b.1"));
    }

    #[test]
    fn what_was_altered_is_no_question() {
        let letters = veiled("name.andropogon_gerardi.few_leaves.7");
        let mut altered = letters.clone();
        let last = if altered.ends_with('A') { "B" } else { "A" };
        altered.replace_range(altered.len() - 1.., last);
        for text in [
            altered.as_str(),
            "_",
            "_AAAA",
            "_\u{e9}",
            "_====",
            &letters[..20],
        ] {
            assert_eq!(lifted(text), None, "{text}");
        }
    }
}
