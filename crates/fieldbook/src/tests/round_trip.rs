//! Save, then load: the same record, for generated records of every kind.

use proptest::prelude::*;

use super::*;
use crate::Kept;

fn name() -> impl Strategy<Value = String> {
    // Letters of many scripts, quotes and signs that mean something to SQL; never blank.
    "[\\p{L}0-9'\"%;_?\\-][\\p{L}\\p{S}0-9 '\",;:%_?\\-]{0,100}"
        .prop_map(|text| text.chars().take(120).collect())
}

fn note() -> impl Strategy<Value = String> {
    "[\\p{L}\\p{P}\\p{S}\n ]{0,300}"
}

fn id() -> impl Strategy<Value = String> {
    "[a-z0-9_]{1,80}"
}

fn date() -> impl Strategy<Value = String> {
    (2027_i16..2199, 1_i8..13, 1_i8..29).prop_map(|(y, m, d)| format!("{y:04}-{m:02}-{d:02}"))
}

fn positive(most: f64) -> impl Strategy<Value = f64> {
    (f64::MIN_POSITIVE..most).prop_filter("above 0", |x| *x > 0.0)
}

fn method() -> impl Strategy<Value = SeedingMethod> {
    prop_oneof![
        Just(SeedingMethod::Broadcast),
        positive(500.0).prop_map(|row_spacing_cm| SeedingMethod::Drilled { row_spacing_cm })
    ]
}

fn mix() -> impl Strategy<Value = Vec<MixItem>> {
    prop::collection::btree_map(id(), prop::option::of(positive(500.0)), 1..8).prop_map(|items| {
        items
            .into_iter()
            .map(|(taxon, pls_lb_per_acre)| MixItem {
                taxon,
                pls_lb_per_acre,
            })
            .collect()
    })
}

fn planting(site: RecordId) -> impl Strategy<Value = Body> {
    let purpose = prop::sample::select(vec![
        Purpose::Forage,
        Purpose::Biomass,
        Purpose::Conservation,
        Purpose::Wildlife,
    ]);
    (name(), purpose, date(), method(), mix()).prop_map(
        move |(name, purpose, seeded_on, method, mix)| {
            Planting {
                site,
                name,
                purpose,
                seeded_on,
                method,
                mix,
            }
            .into()
        },
    )
}

fn visit(planting: RecordId) -> impl Strategy<Value = Body> {
    (date(), prop::collection::btree_set(name(), 1..5), note()).prop_map(
        move |(on, scouts, note)| {
            Visit {
                planting,
                on,
                scouts: scouts.into_iter().collect(),
                note,
            }
            .into()
        },
    )
}

fn point(plot: RecordId, visit: RecordId) -> impl Strategy<Value = Body> {
    let fix = (
        -90.0..=90.0,
        -180.0..=180.0,
        prop::option::of(positive(1e5)),
    )
        .prop_map(|(latitude, longitude, uncertainty_m)| Position {
            latitude,
            longitude,
            uncertainty_m,
        });
    (name(), prop::option::of(fix)).prop_map(move |(label, position)| {
        Point {
            plot,
            visit,
            label,
            position,
        }
        .into()
    })
}

fn counted(unknown: RecordId) -> impl Strategy<Value = Counted> {
    prop_oneof![4 => id().prop_map(Counted::Taxon), 1 => Just(Counted::Unknown(unknown))]
}

fn frame(point: RecordId, unknown: RecordId) -> impl Strategy<Value = Body> {
    let grid = (1_u32..=100, positive(200.0)).prop_flat_map(move |(cells, cell_side_cm)| {
        let tallies =
            prop::collection::btree_set((1..=cells, counted(unknown)), 0..40).prop_map(|set| {
                set.into_iter()
                    .map(|(cell, what)| Tally {
                        cell: Some(cell),
                        what,
                        plants: None,
                    })
                    .collect::<Vec<_>>()
            });
        (
            Just(FrameShape::Grid {
                cells,
                cell_side_cm,
            }),
            tallies,
        )
    });
    let tallies =
        prop::collection::btree_map(counted(unknown), 1_u32..=1_000_000, 0..20).prop_map(|map| {
            map.into_iter()
                .map(|(what, plants)| Tally {
                    cell: None,
                    what,
                    plants: Some(plants),
                })
                .collect::<Vec<_>>()
        });
    let quadrat = (
        positive(1e4).prop_map(|area_m2| FrameShape::Quadrat { area_m2 }),
        tallies,
    );
    (
        1_u32..9999,
        name(),
        prop_oneof![grid, quadrat],
        any::<bool>(),
    )
        .prop_map(move |(number, scout, (shape, tallies), looked_twice)| {
            Frame {
                point,
                number,
                scout,
                shape,
                tallies,
                looked_twice,
            }
            .into()
        })
}

fn answer() -> impl Strategy<Value = AnswerGiven> {
    let value = prop_oneof![
        prop::collection::btree_set(id(), 1..5)
            .prop_map(|set| ValueGiven::States(set.into_iter().rev().collect())),
        (-1e6..1e6).prop_map(ValueGiven::Measure),
        Just(ValueGiven::CannotTell),
    ];
    (id(), value).prop_map(|(r#trait, value)| AnswerGiven { r#trait, value })
}

fn ranking() -> impl Strategy<Value = Vec<Ranked>> {
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

fn determination(point: RecordId, unknown: RecordId) -> impl Strategy<Value = Body> {
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

fn opinion(about: RecordId) -> impl Strategy<Value = Body> {
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

fn photo(of: RecordId) -> impl Strategy<Value = Body> {
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

fn body(s: &Sample) -> impl Strategy<Value = Body> + use<> {
    let (planting_id, point_id, unknown_id, visit_id) = (s.planting, s.point, s.unknown, s.visit);
    prop_oneof![
        (name(), note(), note()).prop_map(|(name, locality, permission)| Site {
            name,
            locality,
            permission
        }
        .into()),
        planting(s.site),
        (name(), note()).prop_map(move |(name, note)| Plot {
            planting: planting_id,
            name,
            note
        }
        .into()),
        visit(s.planting),
        point(s.plot, s.visit),
        frame(s.point, s.unknown),
        (2_u32..9999, name()).prop_map(move |(number, description)| {
            Unknown {
                visit: visit_id,
                number,
                description,
                first_seen: point_id,
            }
            .into()
        }),
        determination(s.point, s.unknown),
        opinion(unknown_id),
        photo(s.unknown),
    ]
}

fn wrapped(s: &Sample) -> impl Strategy<Value = Record> + use<> {
    let instant = (0_i64..4_000_000_000_000)
        .prop_map(|ms| crate::time::stamp(jiff::Timestamp::from_millisecond(ms).unwrap()));
    (body(s), instant, name(), name()).prop_map(|(body, born_at, device, author)| Record {
        born_at,
        device,
        author,
        ..record(body)
    })
}

#[test]
fn save_then_load_gives_the_same_record() {
    let s = Sample::new();
    let (_folder, other) = {
        let folder = tempfile::tempdir().unwrap();
        let book = Book::create(folder.path().join("other.book")).unwrap();
        book.import(s.export().as_bytes()).unwrap();
        (folder, book)
    };
    let kinds = std::cell::RefCell::new(std::collections::BTreeSet::new());
    // 400 cases: about 40 of each kind.
    let mut runner = proptest::test_runner::TestRunner::new(ProptestConfig {
        cases: 400,
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    runner
        .run(&wrapped(&s), |record| {
            let sent = match s.book.append(vec![record.clone()]) {
                Ok(kept) => kept,
                // A name or number that an earlier case has taken already.
                Err(crate::BookError::Invalid(problems))
                    if problems
                        .iter()
                        .all(|problem| problem.problem.contains("already")) =>
                {
                    return Ok(());
                }
                Err(error) => return Err(TestCaseError::fail(error.to_string())),
            };
            prop_assert_eq!(sent, [Kept::New]);
            kinds.borrow_mut().insert(record.body.kind());
            let mut loaded = s.book.get(record.id).unwrap().unwrap();
            let line = serde_json::to_string(&loaded).unwrap();
            prop_assert!(loaded.received_at.take().is_some());
            prop_assert_eq!(&loaded, &record);
            // Through JSON into another book and back, to the last digit.
            other.import(line.as_bytes()).unwrap();
            let again = other.get(record.id).unwrap().unwrap();
            prop_assert_eq!(serde_json::to_string(&again).unwrap(), line);
            prop_assert_eq!(s.book.append(vec![record]).unwrap(), [Kept::Already]);
            Ok(())
        })
        .unwrap();
    assert_eq!(kinds.borrow().len(), 10, "{kinds:?}");
    assert_sound(&s.book);
    assert_eq!(exported(&other), s.export());
}
