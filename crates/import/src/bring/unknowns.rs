//! Plants without a name in a file of frames: `unknown 3`, and what it looks like.

use std::collections::BTreeMap;

use super::maker::Maker;
use crate::frames::Read;

/// Whether something counted goes by the word for plants without a name.
pub(super) fn is_unknown(written: &str) -> bool {
    let lower = written.to_lowercase();
    lower
        .strip_prefix("unknown")
        .is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
}

/// Its number, where it has one.
pub(super) fn unknown_number(written: &str) -> Option<u32> {
    written.split_whitespace().nth(1)?.parse().ok()
}

/// What unknowns look like, wherever in the file that stands.
pub(super) fn descriptions(maker: &mut Maker, read: &Read) -> BTreeMap<u32, String> {
    let mut all: BTreeMap<u32, String> = BTreeMap::new();
    for frame in &read.frames {
        for (name, words) in &frame.descriptions {
            let Some(number) = unknown_number(name) else {
                continue;
            };
            let known = all.entry(number).or_insert_with(|| words.clone());
            if known != words {
                let said = format!(
                    "{}: unknown {number} is described otherwise elsewhere in the file; describe it once",
                    read.place("description")
                );
                maker.fault(&format!("line {}", frame.line), said);
            }
        }
    }
    all
}
