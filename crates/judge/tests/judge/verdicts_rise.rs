//! Verdicts rise with the counts, and nothing makes the judge panic.

use std::collections::BTreeSet;

use jiff::civil::Date;
use proptest::prelude::*;
use standbook_judge::*;
use standbook_key::standards::Purpose;
use standbook_stand::convert::Grid;
use standbook_stand::summary::{Reading, Seen};

use crate::cases::*;

fn cells(found: &[BTreeSet<u32>]) -> Vec<Laid> {
    let numbered = found.iter().enumerate();
    numbered
        .map(|(at, cells)| {
            let mut laid = frame(&format!("p{at}"), &[]);
            if let Seen::Grid { occupied, .. } = &mut laid.reading.seen {
                occupied.insert(taxon(SWITCHGRASS), cells.clone());
            }
            laid
        })
        .collect()
}

fn purpose() -> impl Strategy<Value = Purpose> {
    prop_oneof![
        Just(Purpose::Biomass),
        Just(Purpose::Forage),
        Just(Purpose::Conservation),
        Just(Purpose::Wildlife),
    ]
}

fn label() -> impl Strategy<Value = Label> {
    prop_oneof![
        Just(taxon(SWITCHGRASS)),
        Just(taxon("bromus_inermis")),
        Just(taxon("nobody_knows")),
        Just(Label::NotInKey),
        Just(Label::Unknown("unknown 1".to_owned())),
    ]
}

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(f64::NAN),
        Just(f64::INFINITY),
        Just(-1.0),
        Just(0.0),
        0.0..1e6f64,
        Just(15.0),
        Just(0.25),
    ]
}

fn seen() -> impl Strategy<Value = Seen<Label>> {
    let cells = || proptest::collection::btree_set(0..40u32, 0..30);
    prop_oneof![
        (
            0..30u32,
            number(),
            proptest::collection::btree_map(label(), cells(), 0..4)
        )
            .prop_map(|(cells, cell_side_cm, occupied)| Seen::Grid {
                grid: Grid {
                    cells,
                    cell_side_cm
                },
                occupied,
            }),
        proptest::collection::btree_map(label(), cells(), 0..4).prop_map(|occupied| Seen::Grid {
            grid: Grid::STANDARD,
            occupied,
        }),
        (
            number(),
            proptest::collection::btree_map(label(), any::<u32>(), 0..4)
        )
            .prop_map(|(area_m2, plants)| Seen::Quadrat { area_m2, plants }),
    ]
}

fn laid() -> impl Strategy<Value = Laid> {
    let row = proptest::option::of((number(), number()));
    (0..5u32, seen(), any::<bool>(), row).prop_map(|(spot, seen, looked_twice, row)| Laid {
        reading: Reading {
            spot: format!("p{spot}"),
            seen,
        },
        scout: String::new(),
        looked_twice,
        row: row.map(|(length_m, spacing_m)| RowLaid {
            length_m,
            spacing_m,
        }),
    })
}

fn day() -> impl Strategy<Value = Date> {
    (1890..2300i16, 1..=12i8, 1..=28i8).prop_map(|(y, m, d)| Date::new(y, m, d).unwrap())
}

prop_compose! {
    fn odd_case()(
        readings in proptest::collection::vec(laid(), 0..12),
        purpose in purpose(),
        days in (day(), day(), day()),
        sown in proptest::collection::vec((number(), number()), 0..3),
        audits in proptest::collection::vec((label(), label()), 0..60),
        twice in proptest::collection::vec((seen(), seen()), 0..4),
        areas in proptest::collection::vec(proptest::option::of(number()), 0..4),
        irrigated in proptest::option::of(any::<bool>()),
        spacing in any::<bool>(),
    ) -> Case {
        let mut case = biomass();
        case.purpose = purpose;
        if spacing {
            (case.seeded_on, case.visited_on, case.today) = days;
        }
        case.irrigated = irrigated;
        let taxa = [SWITCHGRASS, "andropogon_gerardi", "tripsacum_dactyloides"];
        case.mix = sown.iter().zip(taxa).map(|((rate, seeds), taxon)| Sown {
            taxon: taxon.to_owned(),
            pls_lb_per_acre: Some(*rate),
            seeds_per_lb: Some(*seeds),
        }).collect();
        case.labels = labels(&case.mix);
        case.audits = audits.into_iter().map(|(called, truth)| Audit { called, truth }).collect();
        case.double_reads = twice.into_iter().map(|(first, second)| DoubleRead {
            spot: "p1".to_owned(),
            first_scout: "A. Fenn".to_owned(),
            second_scout: "B. Rook".to_owned(),
            first,
            second,
        }).collect();
        case.strata = areas.into_iter().enumerate().map(|(at, area_m2)| Stratum {
            name: format!("part {at}"),
            area_m2,
            spots: BTreeSet::from([format!("p{at}"), format!("p{}", at + 2)]),
        }).collect();
        case.readings = readings;
        case
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// More occupied cells never turn established into below, nor the other way round.
    #[test]
    fn more_cells_never_turn_established_into_below(
        fewer in proptest::collection::vec(proptest::collection::btree_set(1..=25u32, 0..25), 2..14),
        more in proptest::collection::vec(proptest::collection::btree_set(1..=25u32, 0..25), 14),
        purpose in purpose(),
    ) {
        let mut case = biomass();
        case.purpose = purpose;
        case.readings = cells(&fewer);
        let before = judged(&case);
        let all: Vec<BTreeSet<u32>> =
            fewer.iter().zip(&more).map(|(a, b)| a.union(b).copied().collect()).collect();
        case.readings = cells(&all);
        let after = judged(&case);
        let pair = (before.verdict.verdict, after.verdict.verdict);
        prop_assert_ne!(pair, (Verdict::Established, Verdict::Below));
        for (one, two) in before.compared.iter().zip(&after.compared) {
            prop_assert_eq!(&one.threshold.id, &two.threshold.id);
            for (a, b) in one.by.iter().zip(&two.by) {
                prop_assert_ne!((a.verdict, b.verdict), (Verdict::Established, Verdict::Below));
            }
        }
    }

    /// A verdict is never bolder than its interval.
    #[test]
    fn a_verdict_is_borne_by_its_interval(
        found in proptest::collection::vec(proptest::collection::btree_set(1..=25u32, 0..25), 0..14),
        purpose in purpose(),
    ) {
        let mut case = biomass();
        case.purpose = purpose;
        case.readings = cells(&found);
        for compared in judged(&case).compared {
            for by in compared.by {
                match by.verdict {
                    Verdict::Established => prop_assert!(by.sure.lower >= Some(by.established_at)),
                    Verdict::Below => prop_assert!(by.sure.upper.is_some_and(|u| u < by.established_at)),
                    Verdict::NotDecided => {}
                }
            }
        }
    }

    #[test]
    fn odd_input_never_panics_and_always_leaves_as_json(case in odd_case()) {
        match judge(&case, standards()) {
            Ok(judgement) => {
                prop_assert!(serde_json::to_string(&judgement).is_ok());
                for note in &judgement.notes {
                    let said = note.to_string();
                    prop_assert!(said.ends_with('.') && !said.contains(".."), "{}", said);
                }
                if judgement.facts.frames < case.readings.len() {
                    let out = judgement.notes.iter().filter(|n| matches!(n, Note::LeftOut { .. }));
                    prop_assert_eq!(out.count(), case.readings.len() - judgement.facts.frames);
                }
            }
            Err(JudgeError::BadDate { .. }) => {}
            Err(error) => prop_assert!(false, "{}", error),
        }
    }
}
