//! Texts, dates and numbers as people and devices can give them.

use proptest::prelude::*;

pub(super) fn name() -> impl Strategy<Value = String> {
    // Letters of many scripts, quotes and signs that mean something to SQL; never blank.
    "[\\p{L}0-9'\"%;_?\\-][\\p{L}\\p{S}0-9 '\",;:%_?\\-]{0,100}"
        .prop_map(|text| text.chars().take(120).collect())
}

/// One line that may be empty.
pub(super) fn line() -> impl Strategy<Value = String> {
    prop_oneof![Just(String::new()), name()]
}

pub(super) fn note() -> impl Strategy<Value = String> {
    "[\\p{L}\\p{P}\\p{S}\n ]{0,300}"
}

pub(super) fn id() -> impl Strategy<Value = String> {
    "[a-z0-9_]{1,80}"
}

pub(super) fn date() -> impl Strategy<Value = String> {
    (2027_i16..2199, 1_i8..13, 1_i8..29).prop_map(|(y, m, d)| format!("{y:04}-{m:02}-{d:02}"))
}

pub(super) fn positive(most: f64) -> impl Strategy<Value = f64> {
    (f64::MIN_POSITIVE..most).prop_filter("above 0", |x| *x > 0.0)
}
