//! Determinations, opinions and photos of any sort.

use proptest::prelude::*;

use super::super::*;
use super::field::position;
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

fn evidence() -> impl Strategy<Value = Evidence> {
    (
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
        )
}

pub(super) fn determination(point: RecordId, unknown: RecordId) -> impl Strategy<Value = Body> {
    (
        prop::option::of(1_u32..=100),
        any::<bool>(),
        prop::option::of(id()),
        note(),
        evidence(),
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
    let named = prop_oneof![
        Just((None, None, None)),
        name().prop_map(|genus| (None, None, Some(genus.chars().take(80).collect()))),
        (
            id(),
            prop::sample::select(vec![None, Some(Qualifier::Cf), Some(Qualifier::Aff)])
        )
            .prop_map(|(taxon, qualifier)| (Some(taxon), qualifier, None)),
    ];
    let walked = prop::option::of(evidence());
    (named, name(), note(), any::<bool>(), walked).prop_map(
        move |((taxon, qualifier, genus), name_as_written, reasons, blind, evidence)| {
            Opinion {
                about,
                taxon,
                name_as_written,
                reasons,
                qualifier,
                genus,
                blind,
                evidence,
            }
            .into()
        },
    )
}

pub(super) fn voucher(about: RecordId) -> impl Strategy<Value = Body> {
    let preparation = prop::sample::select(vec![
        Preparation::Pressed,
        Preparation::Dried,
        Preparation::Living,
        Preparation::InSpirit,
    ]);
    let notes = (note(), note(), note(), note(), note(), note());
    (name(), name(), date(), preparation, line(), notes).prop_map(
        move |(collector, number, collected_on, preparation, kept_at, notes)| {
            let (parts, habitat, associates, habit, abundance, fading) = notes;
            Voucher {
                about,
                collector,
                number,
                collected_on,
                preparation,
                parts,
                kept_at,
                habitat,
                associates,
                habit,
                abundance,
                fading,
            }
            .into()
        },
    )
}

pub(super) fn come_back(about: RecordId) -> impl Strategy<Value = Body> {
    let reason = prop::sample::select(vec![
        ComeBackReason::Heading,
        ComeBackReason::GreenUp,
        ComeBackReason::Other,
    ]);
    let seen = prop::option::of((date(), name()));
    (date(), reason, note(), prop::option::of(position()), seen).prop_map(
        move |(due_on, reason, pin, position, seen)| {
            let (seen_on, found) = seen.unzip();
            ComeBack {
                about,
                due_on,
                reason,
                pin,
                position,
                seen_on,
                found: found.unwrap_or_default(),
            }
            .into()
        },
    )
}

pub(super) fn audit(visit: RecordId, plants: [RecordId; 2]) -> impl Strategy<Value = Body> {
    (1e-6..=1.0_f64, any::<u32>(), 2_u32.., 1_usize..=2).prop_map(
        move |(share, draw_seed, of, drawn)| {
            Audit {
                visit,
                share,
                draw_seed,
                plants: of,
                drawn: plants[..drawn].to_vec(),
            }
            .into()
        },
    )
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
