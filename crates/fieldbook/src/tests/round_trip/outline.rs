//! Outlines and plans of any sort.

use proptest::prelude::*;

use super::super::*;
use super::words::*;

pub(super) fn corner() -> impl Strategy<Value = [f64; 2]> {
    (-90.0..=90.0, -180.0..=180.0).prop_map(|(latitude, longitude)| [latitude, longitude])
}

pub(super) fn outline(planting: RecordId, plot: RecordId) -> impl Strategy<Value = Body> {
    let of = prop::sample::select(vec![
        OutlineOf::Field,
        OutlineOf::Plot(plot),
        OutlineOf::KeepOut,
    ]);
    // Drawn from so many places, no two corners are the same.
    let ring = prop::collection::vec(corner(), 3..9);
    let polygon = prop::collection::vec(ring, 1..4).prop_map(|rings| Polygon { rings });
    (of, line(), prop::collection::vec(polygon, 1..4), name()).prop_map(
        move |(of, name, polygons, origin)| {
            Outline {
                planting,
                of,
                name,
                polygons,
                origin,
            }
            .into()
        },
    )
}

pub(super) fn plan(planting: RecordId, plot: RecordId) -> impl Strategy<Value = Body> {
    let metres = || positive(1e4);
    let design = prop_oneof![
        Just(PlanDesign::Balanced),
        metres().prop_map(|spacing_m| PlanDesign::Grid { spacing_m }),
        (metres(), metres(), 0.0..=180.0).prop_map(|(apart_m, step_m, bearing_deg)| {
            PlanDesign::Transects {
                apart_m,
                step_m,
                bearing_deg,
            }
        }),
    ];
    let places = || prop::collection::vec((corner(), any::<bool>()), 1..30);
    let points = places().prop_flat_map(move |to_walk| {
        let walk: Vec<u32> = (1..).take(to_walk.len()).collect();
        (Just(to_walk), Just(walk).prop_shuffle())
    });
    let points = (
        points,
        prop::collection::vec((corner(), any::<bool>()), 0..9),
    )
        .prop_map(move |((to_walk, order), spares)| {
            let walks = order.into_iter().map(Some).chain(std::iter::repeat(None));
            let places = to_walk.into_iter().chain(spares);
            places
                .zip(walks)
                .map(|(([latitude, longitude], in_plot), walk)| PlannedPoint {
                    latitude,
                    longitude,
                    plot: in_plot.then_some(plot),
                    spare: walk.is_none(),
                    walk,
                })
                .collect::<Vec<_>>()
        });
    let rate = || 1e-9..0.499_f64;
    let stopping = (0.0..0.5_f64, 0.5..=1.0_f64, rate(), rate(), 1_u32..=9_999).prop_map(
        |(low, high, wrongly_enough, wrongly_too_few, most_points)| Stopping {
            low,
            high,
            wrongly_enough,
            wrongly_too_few,
            most_points,
        },
    );
    (
        name(),
        design,
        any::<u32>(),
        0.0..=1e4_f64,
        points,
        prop::option::of(stopping),
    )
        .prop_map(move |(name, design, seed, edge_m, points, stopping)| {
            Plan {
                planting,
                name,
                design,
                seed,
                edge_m,
                points,
                stopping,
            }
            .into()
        })
}
