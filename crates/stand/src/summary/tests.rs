//! Checks of the summary on small invented fields.
#![allow(clippy::unwrap_used)]
use super::*;
use crate::cluster::NoInterval;
use crate::confidence::Interval;
use crate::convert::{ConvertError, Density};
use crate::method::Method;
use proptest::prelude::*;

type Field = Vec<Reading<u32, u8>>;

fn grid(spot: u32, occupied: &[(u8, &[u32])]) -> Reading<u32, u8> {
    on(Grid::STANDARD, spot, occupied)
}

fn on(grid: Grid, spot: u32, occupied: &[(u8, &[u32])]) -> Reading<u32, u8> {
    let occupied = occupied
        .iter()
        .map(|(l, cells)| (*l, cells.iter().copied().collect()))
        .collect();
    Reading {
        spot,
        seen: Seen::Grid { grid, occupied },
    }
}

fn quadrat(spot: u32, area_m2: f64, plants: &[(u8, u32)]) -> Reading<u32, u8> {
    Reading {
        spot,
        seen: Seen::Quadrat {
            area_m2,
            plants: plants.iter().copied().collect(),
        },
    }
}

fn first(n: u32) -> Vec<u32> {
    (1..=n).collect()
}

fn ask(looked_for: &[u8], members: &[u8], unsettled: &[u8]) -> Request<u8> {
    Request {
        looked_for: looked_for.iter().copied().collect(),
        groups: vec![Group {
            name: "planted".into(),
            members: members.iter().copied().collect(),
            unsettled: unsettled.iter().copied().collect(),
        }],
        confidence: Confidence::P95,
        rules: Rule::PLAIN.to_vec(),
    }
}

fn label<T>(labels: &[(u8, T)], wanted: u8) -> &T {
    &labels.iter().find(|(label, _)| *label == wanted).unwrap().1
}

/// S3b and S5c: Oklahoma State's four separate placements (okstate_eval), end to end.
#[test]
fn the_published_four_placements() {
    let field: Field = [15, 14, 20, 21]
        .iter()
        .zip(1..)
        .map(|(&n, spot)| grid(spot, &[(1, &first(n))]))
        .collect();
    let all = summarise(&field, &ask(&[1, 2], &[1, 2], &[])).unwrap();
    let part = &all.grids[0];
    assert_eq!((part.frames, part.spots, part.cells), (4, 4, 100));
    let found = label(&part.labels, 1);
    assert_eq!((found.occupied, found.cells), (70, 100));
    let limits = found.estimate.limits.unwrap();
    assert_eq!(limits.method, Method::EffectiveCells);
    let by_t = found.estimate.by_t.unwrap();
    assert!((by_t.lower - 0.476472).abs() < 1e-6);
    assert!((by_t.upper - 0.923528).abs() < 1e-6);
    let per_m2: Vec<f64> = found
        .densities
        .iter()
        .map(|one| one.density.unwrap().estimate.per_m2())
        .collect();
    for (found, wanted) in per_m2.iter().zip([28.0, 31.1111, 53.5099]) {
        assert!((found - wanted).abs() < 5e-5);
    }
    let (lower, upper) = found.densities[0].density.unwrap().limits.unwrap();
    // Limits are converted like the estimate: x 0.4 of the percent.
    assert!((lower.per_m2() - 40.0 * limits.interval.lower).abs() < 1e-9);
    assert!((upper.per_m2() - 40.0 * limits.interval.upper).abs() < 1e-9);
    // Label 2 was looked for and found nowhere: 0 of 100 cells, with an upper limit.
    assert_eq!(all.found_nowhere, [2]);
    let none = label(&part.labels, 2);
    assert_eq!((none.occupied, none.cells), (0, 100));
    assert_eq!(none.estimate.limits.unwrap().method, Method::EffectiveCells);
}

#[test]
fn four_flips_at_one_spot_are_one_unit() {
    let field: Field = (0..4).map(|_| grid(7, &[(1, &first(10))])).collect();
    let all = summarise(&field, &ask(&[], &[1], &[])).unwrap();
    let found = label(&all.grids[0].labels, 1);
    assert_eq!((all.grids[0].frames, all.grids[0].spots), (4, 1));
    assert_eq!(found.estimate.limits, Err(NoInterval::OneSpot));
    assert_eq!(
        found.densities[0].density.unwrap().estimate,
        Density::About(16.0)
    );
    assert_eq!(found.densities[0].density.unwrap().limits, None);
    assert_eq!(all.grids[0].groups[0].envelope(), None);
}

#[test]
fn a_cell_with_two_of_a_group_counts_once() {
    let field = vec![grid(1, &[(1, &[1, 2, 3]), (2, &[3, 4])]), grid(2, &[])];
    let all = summarise(&field, &ask(&[], &[1, 2], &[])).unwrap();
    let group = &all.grids[0].groups[0];
    // Cells 1 to 4 of 50; "looked, none" at spot 2 is in the denominator.
    assert_eq!((group.low.occupied, group.low.cells), (4, 50));
    assert!(group.high.is_none());
}

#[test]
fn unsettled_unknowns_give_bounds() {
    let field = vec![
        grid(1, &[(1, &[1, 2]), (9, &[2, 3, 4])]),
        grid(2, &[(1, &[5])]),
        grid(3, &[]),
    ];
    let all = summarise(&field, &ask(&[1], &[1], &[9])).unwrap();
    let group = &all.grids[0].groups[0];
    assert_eq!(
        (group.low.occupied, group.high.as_ref().unwrap().occupied),
        (3, 5)
    );
    assert_eq!(
        group.bounds(),
        Interval {
            lower: 3.0 / 75.0,
            upper: 5.0 / 75.0
        }
    );
    let envelope = group.envelope().unwrap();
    assert!(envelope.contains(3.0 / 75.0) && envelope.contains(5.0 / 75.0));
}

/// An unknown that nobody has settled may belong to any of the groups: it raises the upper reading of
/// each, and the lower of none. A row of 3.048 m (10 ft) on rows 0.1905 m (7.5 in) apart is an area
/// like any quadrat, here 0.580644 m2.
#[test]
fn several_groups_side_by_side_in_frames_quadrats_and_rows() {
    let group = |name: &str, members: &[u8], unsettled: &[u8]| Group {
        name: name.into(),
        members: members.iter().copied().collect(),
        unsettled: unsettled.iter().copied().collect(),
    };
    let request = Request {
        groups: vec![
            group("planted", &[1, 2], &[9]),
            group("annual weeds", &[3], &[9]),
            group("perennial weeds", &[4], &[]),
            group("empty", &[], &[]),
        ],
        ..ask(&[], &[], &[])
    };
    let row_m2 = 3.048 * 0.1905;
    let field = vec![
        grid(1, &[(1, &[1]), (2, &[1, 2]), (3, &[2]), (9, &[7])]),
        grid(2, &[(4, &[3, 4]), (9, &[3])]),
        quadrat(1, 1.0, &[(1, 3), (4, 1)]),
        quadrat(2, row_m2, &[(2, 5), (9, 2)]),
    ];
    let all = summarise(&field, &request).unwrap();
    let cells: Vec<_> = all.grids[0]
        .groups
        .iter()
        .map(|group| {
            (
                group.low.occupied,
                group.high.as_ref().map(|high| high.occupied),
            )
        })
        .collect();
    assert_eq!(cells, [(2, Some(4)), (1, Some(3)), (2, None), (0, None)]);
    let part = all.quadrats.unwrap();
    assert!((part.area_m2 - 1.580644).abs() < 1e-12);
    let plants: Vec<_> = part
        .groups
        .iter()
        .map(|group| {
            (
                group.low.plants,
                group.high.as_ref().map(|high| high.plants),
            )
        })
        .collect();
    assert_eq!(plants, [(8, Some(10)), (0, Some(2)), (1, None), (0, None)]);
    assert!((part.groups[0].low.estimate.value - 8.0 / 1.580644).abs() < 1e-12);
}

#[test]
fn grids_with_cells_of_another_size_are_kept_apart() {
    let small = Grid {
        cells: 16,
        cell_side_cm: 10.0,
    };
    let field = vec![
        grid(1, &[(1, &[1])]),
        grid(2, &[]),
        on(small, 3, &[(1, &[1, 2])]),
    ];
    let all = summarise(&field, &ask(&[], &[1], &[])).unwrap();
    assert!(all.has_mixed_grids());
    assert_eq!(
        all.grids.iter().map(|part| part.cells).collect::<Vec<_>>(),
        [16, 50]
    );
    let refused = &label(&all.grids[0].labels, 1).densities;
    assert!(matches!(
        refused[0].density,
        Err(ConvertError::OtherFrame { .. })
    ));
    assert!(refused[2].density.is_ok());
}

/// Own, by hand: 4 + 0 + 2 plants over 2 + 1 + 1 m2 = 1.5 per m2; distances from the line
/// 1, -1.5, 0.5, squares 3.5; Var = 3.5 / (3 x 2 x (4/3)^2) = 0.328125.
#[test]
fn quadrats_of_any_size_go_together() {
    let field = vec![
        quadrat(1, 1.0, &[(1, 3)]),
        quadrat(1, 1.0, &[(1, 1)]),
        quadrat(2, 1.0, &[]),
        quadrat(3, 1.0, &[(1, 2)]),
    ];
    let all = summarise(&field, &ask(&[1, 2], &[1], &[])).unwrap();
    let part = all.quadrats.unwrap();
    assert_eq!((part.frames, part.spots, part.area_m2), (4, 3, 4.0));
    let found = label(&part.labels, 1);
    assert_eq!((found.plants, found.estimate.value), (6, 1.5));
    assert!((found.estimate.standard_error.unwrap().powi(2) - 0.328125).abs() < 1e-12);
    assert_eq!(found.estimate.if_independent.method, Method::Garwood);
    // S2b: none of label 2 in 4 m2 still allows 3.689 / 4 plants per m2.
    let none = label(&part.labels, 2).estimate.if_independent;
    assert_eq!(none.method, Method::Garwood);
    assert!((none.interval.upper - 3.689 / 4.0).abs() < 2e-4);
    assert_eq!(all.found_nowhere, [2]);
}

#[test]
fn no_readings_are_an_empty_summary() {
    let all = summarise::<u32, u8>(&[], &ask(&[1], &[1], &[])).unwrap();
    assert!(all.grids.is_empty() && all.quadrats.is_none());
    // Nobody has looked, so nothing was "found nowhere".
    assert!(all.found_nowhere.is_empty());
}

#[test]
fn impossible_readings_are_named() {
    let request = ask(&[1], &[1], &[]);
    let refuse = |bad: Reading<u32, u8>| {
        summarise(&[grid(1, &[]), bad], &request)
            .unwrap_err()
            .to_string()
    };
    assert_eq!(
        refuse(grid(1, &[(1, &[26])])),
        "reading 2: there is no cell 26 in a grid of 25: correct the cell (they count from 1) or the grid"
    );
    assert!(refuse(grid(1, &[(1, &[0])])).contains("no cell 0"));
    for area_m2 in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-300] {
        assert!(refuse(quadrat(1, area_m2, &[])).contains("reading 2: an area of"));
    }
    for cell_side_cm in [0.0, f64::NAN, -15.0, f64::INFINITY] {
        let message = refuse(on(
            Grid {
                cells: 25,
                cell_side_cm,
            },
            1,
            &[],
        ));
        assert!(message.contains("reading 2: a cell side of"), "{message}");
    }
    assert!(
        refuse(on(
            Grid {
                cells: 0,
                cell_side_cm: 15.0
            },
            1,
            &[]
        ))
        .contains("0 cells")
    );
    let mut twice = request.clone();
    twice.groups.push(twice.groups[0].clone());
    assert!(matches!(
        summarise::<u32, u8>(&[], &twice),
        Err(SummaryError::SameGroupName { .. })
    ));
}

fn any_reading() -> impl Strategy<Value = Reading<u32, u8>> {
    let cells =
        prop::collection::btree_map(0u8..5, prop::collection::btree_set(1u32..26, 0..26), 0..5);
    let plants = prop::collection::btree_map(0u8..5, 0u32..9, 0..5);
    prop_oneof![
        (0u32..6, cells).prop_map(|(spot, occupied)| Reading {
            spot,
            seen: Seen::Grid {
                grid: Grid::STANDARD,
                occupied
            },
        }),
        (0u32..6, 0.1..3.0f64, plants).prop_map(|(spot, area_m2, plants)| Reading {
            spot,
            seen: Seen::Quadrat { area_m2, plants }
        }),
    ]
}

proptest! {
    #[test]
    fn the_order_of_readings_changes_nothing(
        (field, shuffled) in prop::collection::vec(any_reading(), 0..12)
            .prop_flat_map(|field| (Just(field.clone()), Just(field).prop_shuffle())),
    ) {
        let request = ask(&[0, 9], &[0, 1, 2], &[3]);
        prop_assert_eq!(summarise(&field, &request), summarise(&shuffled, &request));
    }

    #[test]
    fn a_group_lies_between_its_largest_member_and_their_sum(
        field in prop::collection::vec(any_reading(), 1..12),
    ) {
        let all = summarise(&field, &ask(&[0, 1, 2, 3], &[0, 1, 2], &[3])).unwrap();
        for part in &all.grids {
            let occupied: Vec<u64> = (0..3).map(|l| label(&part.labels, l).occupied).collect();
            let group = &part.groups[0];
            prop_assert!(group.low.occupied >= *occupied.iter().max().unwrap());
            prop_assert!(group.low.occupied <= occupied.iter().sum());
            prop_assert!(group.low.occupied <= group.high.as_ref().unwrap().occupied);
            prop_assert!(group.bounds().lower <= group.bounds().upper);
        }
        for part in all.quadrats.iter() {
            // Plants are counted one by one: a group of them is the sum.
            let plants: u64 = (0..3).map(|l| label(&part.labels, l).plants).sum();
            prop_assert_eq!(part.groups[0].low.plants, plants);
        }
    }

    #[test]
    fn every_limit_holds_its_estimate_through_every_rule(
        field in prop::collection::vec(any_reading(), 1..12),
    ) {
        let all = summarise(&field, &ask(&[0], &[0, 1], &[2])).unwrap();
        for part in &all.grids {
            for (_, found) in &part.labels {
                for result in &found.densities {
                    let converted = result.density.unwrap();
                    if let Some((lower, upper)) = converted.limits {
                        prop_assert!(lower.per_m2() <= converted.estimate.per_m2());
                        prop_assert!(converted.estimate.per_m2() <= upper.per_m2());
                    }
                }
            }
        }
    }
}

/// The page and the command line hand results out as JSON: no limit may turn into `null`,
/// which is what serde makes of infinity.
#[test]
fn every_number_is_finite_even_on_a_full_or_empty_field() {
    let full = first(25);
    for cells in [&full[..], &[]] {
        let field = vec![
            grid(1, &[(1, cells)]),
            grid(2, &[(1, cells)]),
            quadrat(1, 0.0001, &[(1, u32::MAX)]),
            quadrat(2, 1.0, &[]),
        ];
        let all = summarise(&field, &ask(&[2], &[1], &[2])).unwrap();
        for (_, found) in &all.grids[0].labels {
            for result in &found.densities {
                let converted = result.density.unwrap();
                let (lower, upper) = converted.limits.unwrap();
                for density in [converted.estimate, lower, upper] {
                    assert!(density.per_m2().is_finite());
                }
                // Only a full cell hides how many there are.
                assert_eq!(
                    converted.estimate.is_at_least(),
                    found.occupied == found.cells
                );
            }
        }
        for (_, counted) in &all.quadrats.as_ref().unwrap().labels {
            assert!(counted.estimate.limits.unwrap().interval.upper.is_finite());
        }
    }
}
