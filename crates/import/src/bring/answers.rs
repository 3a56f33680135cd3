//! What somebody wrote of a trait, a leaf stage and tools, by the key's ids or by its words.

use std::collections::BTreeSet;

use standbook_identify::CANNOT_TELL;
use standbook_key::fault::short;
use standbook_key::{LeafStage, Need, Trait, TraitKind};

use crate::delimited::{called, with_point};

/// How people write that they could not tell.
const NOT_TOLD: [&str; 5] = [
    CANNOT_TELL,
    "can't tell",
    "can\u{2019}t tell",
    "cannot tell",
    "?",
];

/// A value with states by id, where it has them by the key's words.
pub(super) fn by_ids(one: &Trait, written: &str, delimiter: u8) -> String {
    if NOT_TOLD.contains(&written.to_lowercase().as_str()) {
        return CANNOT_TELL.to_owned();
    }
    if let TraitKind::Measure(_) = one.kind {
        return with_point(written, delimiter);
    }
    let ids = written.split('|').map(|part| {
        let part = part.trim();
        let state = one.states().iter().find(|state| {
            state.id.as_str().eq_ignore_ascii_case(part) || state.name.eq_ignore_ascii_case(part)
        });
        state.map_or(part, |state| state.id.as_str())
    });
    ids.collect::<Vec<_>>().join("|")
}

pub(super) fn stage(text: &str) -> Result<LeafStage, String> {
    let is_it = |(id, _, name): &&(&str, LeafStage, &str)| {
        *id == called(text) || name.eq_ignore_ascii_case(text)
    };
    let found = LeafStage::ALL
        .iter()
        .find(is_it)
        .map(|(_, stage, _)| *stage);
    found.ok_or_else(|| {
        let all: Vec<&str> = LeafStage::ALL.iter().map(|(id, ..)| *id).collect();
        format!(
            "`{}` is no leaf stage; use one of {}",
            short(text),
            all.join(", ")
        )
    })
}

pub(super) fn tools(text: &str) -> Result<BTreeSet<Need>, String> {
    let words = text
        .split('|')
        .map(str::trim)
        .filter(|word| !word.is_empty());
    words
        .map(|word| {
            Need::from_id(&called(word)).ok_or_else(|| {
                let all: Vec<&str> = Need::ALL.iter().map(|(id, ..)| *id).collect();
                format!(
                    "`{}` is no tool; use one of {}, several joined by |",
                    short(word),
                    all.join(", ")
                )
            })
        })
        .collect()
}
