//! Visits, points and frames of any sort.

use proptest::prelude::*;

use super::super::*;
use super::words::*;

pub(super) fn visit(planting: RecordId) -> impl Strategy<Value = Body> {
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

pub(super) fn position() -> impl Strategy<Value = Position> {
    (
        -90.0..=90.0,
        -180.0..=180.0,
        prop::option::of(positive(1e5)),
    )
        .prop_map(|(latitude, longitude, uncertainty_m)| Position {
            latitude,
            longitude,
            uncertainty_m,
        })
}

pub(super) fn point(
    plot: RecordId,
    visit: RecordId,
    plan: RecordId,
) -> impl Strategy<Value = Body> {
    let planned = (1_u32..=4).prop_map(move |number| PlannedAt { plan, number });
    (
        name(),
        prop::option::of(position()),
        prop::option::of(planned),
        note(),
    )
        .prop_map(move |(label, position, planned, unreachable)| {
            Point {
                plot,
                visit,
                label,
                position,
                planned,
                unreachable,
            }
            .into()
        })
}

pub(super) fn counted(unknown: RecordId) -> impl Strategy<Value = Counted> {
    prop_oneof![4 => id().prop_map(Counted::Taxon), 1 => Just(Counted::Unknown(unknown))]
}

pub(super) fn frame(point: RecordId, unknown: RecordId) -> impl Strategy<Value = Body> {
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
    let counting = prop_oneof![
        positive(1e4).prop_map(|area_m2| FrameShape::Quadrat { area_m2 }),
        (positive(1e3), positive(500.0)).prop_map(|(length_m, row_spacing_cm)| FrameShape::Row {
            length_m,
            row_spacing_cm
        }),
    ];
    (
        1_u32..9999,
        name(),
        prop_oneof![grid, (counting, tallies)],
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
                repeats: None,
            }
            .into()
        })
}

/// A second reading of the frame that `a_frame` gives.
pub(super) fn repeat(first: RecordId, point: RecordId) -> impl Strategy<Value = Body> {
    (name(), 1_u32..=25).prop_map(move |(scout, cell)| {
        let mut frame = a_frame(point, 1);
        frame.scout = scout;
        frame.tallies[0].cell = Some(cell);
        frame.repeats = Some(first);
        frame.into()
    })
}
