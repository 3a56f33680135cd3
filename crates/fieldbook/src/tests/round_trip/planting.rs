//! Plantings, seed lots, events and standards of any sort.

use proptest::prelude::*;

use super::super::*;
use super::words::*;

pub(super) const PURPOSES: [Purpose; 4] = [
    Purpose::Forage,
    Purpose::Biomass,
    Purpose::Conservation,
    Purpose::Wildlife,
];

pub(super) fn method() -> impl Strategy<Value = SeedingMethod> {
    prop_oneof![
        Just(SeedingMethod::Broadcast),
        positive(500.0).prop_map(|row_spacing_cm| SeedingMethod::Drilled { row_spacing_cm })
    ]
}

pub(super) fn mix() -> impl Strategy<Value = Vec<MixItem>> {
    let rate = || prop::option::of(positive(500.0));
    prop::collection::btree_map(id(), (rate(), rate()), 1..8).prop_map(|items| {
        items
            .into_iter()
            .map(
                |(taxon, (pls_lb_per_acre, planned_pls_lb_per_acre))| MixItem {
                    taxon,
                    pls_lb_per_acre,
                    planned_pls_lb_per_acre,
                },
            )
            .collect()
    })
}

pub(super) fn planting(site: RecordId) -> impl Strategy<Value = Body> {
    let purpose = prop::sample::select(PURPOSES.to_vec());
    let more = (
        line(),
        line(),
        line(),
        prop::option::of(positive(1e9)),
        any::<Option<bool>>(),
        note(),
    );
    (name(), purpose, date(), method(), mix(), more).prop_map(
        move |(name, purpose, seeded_on, method, mix, more)| {
            Planting {
                site,
                name,
                purpose,
                seeded_on,
                method,
                mix,
                farm_number: more.0,
                tract_number: more.1,
                field_number: more.2,
                stated_area_m2: more.3,
                irrigated: more.4,
                note: more.5,
            }
            .into()
        },
    )
}

pub(super) fn seed_lot(planting: RecordId) -> impl Strategy<Value = Body> {
    let percent = |most: f64| prop::option::of(0.0..=most);
    let tag = (
        percent(60.0),
        percent(13.0),
        percent(13.0),
        percent(14.0),
        percent(50.0),
        percent(50.0),
    );
    let noxious = prop::collection::btree_map(name(), positive(1e9), 0..4).prop_map(|kinds| {
        kinds
            .into_iter()
            .map(|(name, per_lb)| NoxiousSeed { name, per_lb })
            .collect::<Vec<_>>()
    });
    // No later than 1969: the records of these tests are born after.
    let tested = (1900_i16..1970, 1_i8..13).prop_map(|(y, m)| format!("{y:04}-{m:02}"));
    (
        (id(), name(), line(), line(), note()),
        tag,
        noxious,
        prop::option::of(tested),
        prop::option::of(positive(1e9)),
        prop::option::of(positive(1e6)),
    )
        .prop_map(
            move |(words, tag, noxious, tested, seeds_per_lb, bulk_lb)| {
                SeedLot {
                    planting,
                    taxon: words.0,
                    lot: words.1,
                    variety: words.2,
                    origin: words.3,
                    purity_percent: tag.0,
                    germination_percent: tag.4,
                    dormant_percent: tag.5,
                    other_crop_percent: tag.1,
                    inert_percent: tag.2,
                    weed_percent: tag.3,
                    noxious,
                    tested,
                    seeds_per_lb,
                    bulk_lb,
                    note: words.4,
                }
                .into()
            },
        )
}

pub(super) fn event(planting: RecordId) -> impl Strategy<Value = Body> {
    let what = prop_oneof![
        prop::option::of(positive(500.0)).prop_map(|height_cm| EventKind::Mowed { height_cm }),
        (
            prop::option::of(0.0..=8_784.0),
            prop::option::of(0.0..=3_653.0)
        )
            .prop_map(|(entry_after_h, graze_after_days)| EventKind::Sprayed {
                entry_after_h,
                graze_after_days
            }),
        prop::option::of(positive(2_000.0)).prop_map(|mm| EventKind::Rain { mm }),
        prop::sample::select(vec![
            EventKind::Drought,
            EventKind::Grazed,
            EventKind::Burned,
            EventKind::Overseeded,
            EventKind::Other,
        ]),
    ];
    (date(), what, name()).prop_map(move |(on, what, note)| {
        Event {
            planting,
            on,
            what,
            note,
        }
        .into()
    })
}

pub(super) fn standard() -> impl Strategy<Value = Body> {
    let asked = prop_oneof![
        positive(1.0).prop_map(|share| (StandardMeasure::Frequency, share)),
        positive(1e5).prop_map(|plants| (StandardMeasure::Density, plants)),
    ];
    (
        (name(), line(), name()),
        prop::sample::subsequence(PURPOSES.to_vec(), 0..=4).prop_shuffle(),
        prop::collection::btree_set(id(), 0..5),
        asked,
        prop::option::of(1_u32..=100),
        any::<bool>(),
    )
        .prop_map(
            |((name, region, source), purposes, taxa, (measure, at_least), season, withdrawn)| {
                Standard {
                    name,
                    purposes,
                    taxa: taxa.into_iter().rev().collect(),
                    region,
                    measure,
                    at_least,
                    season,
                    source,
                    withdrawn,
                }
                .into()
            },
        )
}
