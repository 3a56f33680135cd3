//! Determinations, opinions and photos of any sort.

use proptest::prelude::*;

use super::super::*;
use super::words::*;

pub(super) fn answer() -> impl Strategy<Value = AnswerGiven> {
    let value = prop_oneof![
        prop::collection::btree_set(id(), 1..5)
            .prop_map(|set| ValueGiven::States(set.into_iter().rev().collect())),
        (-1e6..1e6).prop_map(ValueGiven::Measure),
        Just(ValueGiven::CannotTell),
    ];
    (id(), value).prop_map(|(r#trait, value)| AnswerGiven { r#trait, value })
}

pub(super) fn ranking() -> impl Strategy<Value = Vec<Ranked>> {
    prop::collection::btree_map(id(), 1e-9..1.0_f64, 1..30).prop_map(|weights| {
        let sum: f64 = weights.values().sum();
        let mut list: Vec<Ranked> = weights
            .into_iter()
            .map(|(taxon, weight)| Ranked {
                taxon,
                probability: weight / sum,
            })
            .collect();
        list.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        list
    })
}

pub(super) fn determination(point: RecordId, unknown: RecordId) -> impl Strategy<Value = Body> {
    let evidence = (
        id(),
        "[0-9a-f]{1,128}",
        id(),
        prop::collection::btree_set(id(), 0..5),
        prop::collection::vec(answer(), 0..20),
        id(),
        ranking(),
    )
        .prop_map(
            |(key, table_fingerprint, leaf_stage, tools, answers, outcome, ranking)| Evidence {
                key,
                table_fingerprint,
                leaf_stage,
                tools: tools.into_iter().collect(),
                prior: PriorUsed::Even,
                answers,
                outcome,
                ranking,
            },
        );
    (
        prop::option::of(1_u32..=100),
        any::<bool>(),
        prop::option::of(id()),
        note(),
        evidence,
    )
        .prop_map(move |(cell, for_unknown, taxon, note, evidence)| {
            Determination {
                point,
                cell,
                unknown: for_unknown.then_some(unknown),
                taxon,
                note,
                evidence,
            }
            .into()
        })
}

pub(super) fn opinion(about: RecordId) -> impl Strategy<Value = Body> {
    (prop::option::of(id()), name(), note()).prop_map(move |(taxon, name_as_written, reasons)| {
        Opinion {
            about,
            taxon,
            name_as_written,
            reasons,
        }
        .into()
    })
}

pub(super) fn photo(of: RecordId) -> impl Strategy<Value = Body> {
    let media_type = prop::sample::select(crate::photo::MEDIA_TYPES.to_vec());
    (
        "[0-9a-f]{64}",
        media_type,
        1..=crate::PHOTO_MAX_BYTES,
        name(),
    )
        .prop_map(move |(sha256, media_type, bytes, shows)| {
            Photo {
                of,
                sha256,
                media_type: media_type.into(),
                bytes,
                shows,
            }
            .into()
        })
}
