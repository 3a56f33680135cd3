//! The fingerprint of a key: a hash of its meaning, not of its white space.
//!
//! SHA-256 over the key as canonical JSON (fields in the order of the types, maps sorted,
//! taxa by id). Comments, quoting, line breaks inside folded text and the order of files
//! change nothing; any word, state, frequency or source does.

use sha2::{Digest, Sha256};

use crate::model::Key;

/// 64 hex digits that name the meaning of `key`.
pub fn of_key(key: &Key) -> String {
    of_json(&serde_json::to_value(key).unwrap_or_default())
}

/// 64 hex digits that name a JSON value; white space runs in texts count as one space.
pub fn of_json(value: &serde_json::Value) -> String {
    let mut bytes = Vec::new();
    feed(value, &mut bytes);
    of_bytes(&bytes)
}

/// SHA-256 of `bytes`, 64 hex digits.
pub fn of_bytes(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// Appends `value` to `bytes` so that unequal values give unequal bytes. The lengths keep
/// neighbours apart: `["a", "b"]` must not equal `["ab"]`.
fn feed(value: &serde_json::Value, bytes: &mut Vec<u8>) {
    use serde_json::Value;
    let mark = |bytes: &mut Vec<u8>, kind: u8, n: usize| {
        bytes.push(kind);
        bytes.extend_from_slice(&(n as u64).to_le_bytes());
    };
    match value {
        Value::Null => bytes.push(b'0'),
        Value::Bool(b) => bytes.push(if *b { b't' } else { b'f' }),
        Value::Number(n) => {
            let text = n.to_string();
            mark(bytes, b'n', text.len());
            bytes.extend_from_slice(text.as_bytes());
        }
        Value::String(text) => {
            let start = bytes.len();
            mark(bytes, b's', 0);
            for (at, word) in text.split_whitespace().enumerate() {
                if at > 0 {
                    bytes.push(b' ');
                }
                bytes.extend_from_slice(word.as_bytes());
            }
            let n = (bytes.len() - start - 9) as u64;
            bytes[start + 1..start + 9].copy_from_slice(&n.to_le_bytes());
        }
        Value::Array(items) => {
            mark(bytes, b'a', items.len());
            items.iter().for_each(|item| feed(item, bytes));
        }
        Value::Object(map) => {
            mark(bytes, b'o', map.len());
            for (name, item) in map {
                mark(bytes, b'k', name.len());
                bytes.extend_from_slice(name.as_bytes());
                feed(item, bytes);
            }
        }
    }
}
