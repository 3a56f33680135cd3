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
    let mut hash = Sha256::new();
    feed(value, &mut hash);
    hash.finalize()
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

fn feed(value: &serde_json::Value, hash: &mut Sha256) {
    use serde_json::Value;
    match value {
        // The lengths keep neighbours apart: ["a", "b"] must not equal ["ab"].
        Value::Null => hash.update(b"0"),
        Value::Bool(b) => hash.update(if *b { b"t" } else { b"f" }),
        Value::Number(n) => hash.update(format!("n{n};")),
        Value::String(text) => {
            let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
            hash.update(format!("s{}:", text.len()));
            hash.update(text);
        }
        Value::Array(items) => {
            hash.update(format!("a{}:", items.len()));
            items.iter().for_each(|item| feed(item, hash));
        }
        Value::Object(map) => {
            hash.update(format!("o{}:", map.len()));
            for (name, item) in map {
                hash.update(format!("{}:{name}", name.len()));
                feed(item, hash);
            }
        }
    }
}
